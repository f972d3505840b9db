//! `report.html`: one self-contained page for three readers, which fetches nothing.
//!
//! | question of the reader | file |
//! | --- | --- |
//! | Is it here? | `here` |
//! | Where first? | `first` |
//! | Have we looked? | `looked` |
//!
//! Sentences, tables and drawings are written here, so that the page reads without script; the
//! script (`script/`) adds the map one can move, from the figures of `payload`. Text is escaped in
//! `escape` alone. The same analysis gives the same bytes.

pub(crate) mod charts;
pub(crate) mod chosen;
pub(crate) mod coverage;
pub(crate) mod escape;
pub(crate) mod graticule;
pub(crate) mod mesh;
pub(crate) mod model_checks;
pub(crate) mod palette;
pub(crate) mod payload;
pub(crate) mod priorities;
pub(crate) mod reach;
pub(crate) mod rows;
pub(crate) mod static_map;
pub(crate) mod status;
pub(crate) mod svg;

use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::report::error::PageError;
use crate::report::page::charts::land::StandingLand;
use crate::report::page::rows::rows;
use crate::report::page::static_map::Figure;
use crate::score::Score;
use minijinja::{Environment, Value, context};

/// The page's parts, by the name under which templates include them; names end in `.html`, by
/// which the engine escapes what they show.
const TEMPLATES: [(&str, &str); 7] = [
    ("report.html", include_str!("template/report.html")),
    ("here.html", include_str!("template/here.html")),
    ("first.html", include_str!("template/first.html")),
    ("looked.html", include_str!("template/looked.html")),
    ("trust.html", include_str!("template/trust.html")),
    ("map.html", include_str!("template/map.html")),
    ("foot.html", include_str!("template/foot.html")),
];

const STYLE: &str = concat!(
    include_str!("style/base.css"),
    include_str!("style/charts.css"),
    include_str!("style/map.css"),
    include_str!("style/print.css")
);

const SCRIPT: &str = concat!(
    "(function () {\n'use strict';\n",
    include_str!("script/figures.js"),
    include_str!("script/build.js"),
    include_str!("script/sheet.js"),
    include_str!("script/panel.js"),
    include_str!("script/map.js"),
    include_str!("script/ways.js"),
    "}());\n"
);

/// The page of an analysis; with `score` also how its stated chances fared against the truth.
///
/// # Errors
/// [`PageError`]: in practice only when the grid reaches where the study's projection does not.
pub fn render(analysis: &Analysis, score: Option<&Score>) -> Result<String, PageError> {
    render_with(analysis, score, crate::report::page::mesh::MOST_SQUARES)
}

/// As [`render`], drawing at most `most_squares` squares on the map.
///
/// # Errors
/// As [`render`].
pub fn render_with(
    analysis: &Analysis,
    score: Option<&Score>,
    most_squares: usize,
) -> Result<String, PageError> {
    let layout = &analysis.layout;
    let study = &layout.study;
    let mesh = crate::report::page::mesh::Mesh::new(analysis, most_squares);
    let projector = Projector::new(&study.study.crs)?;
    let graticule = crate::report::page::graticule::lines(&layout.grid, &projector)?;
    let data = crate::report::page::escape::json_block(&crate::report::page::payload::Payload::new(
        analysis, &mesh, graticule,
    ))?;

    let mut env = Environment::new();
    for (name, text) in TEMPLATES {
        env.add_template(name, text)?;
    }
    let c = &analysis.account.counts;
    let page = context! {
        style => safe(STYLE),
        script => safe(SCRIPT),
        library => safe(include_str!("vendor/leaflet.js")),
        library_licence => safe(include_str!("vendor/leaflet-LICENSE")),
        data => safe(&data),
        version => env!("CARGO_PKG_VERSION"),
        study => study.study.name.clone(),
        as_of => layout.as_of.to_string(),
        crs => study.study.crs.clone(),
        seed => study.study.seed,
        projection => analysis.account.projection_note.clone(),
        pigs => crate::report::sentences::words::count(layout.records.pigs.len(), "pig", "pigs"),
        positives => analysis.assessment.positives.len(),
        counts => context! {
            read => crate::report::sentences::words::grouped(c.read as f64), used => crate::report::sentences::words::grouped(c.used as f64),
            warned => crate::report::sentences::words::grouped(c.used_with_warning as f64), refused => crate::report::sentences::words::grouped(c.refused as f64),
        },
        threshold => study.recent.force_of_infection_threshold.to_string(),
        recent => crate::report::sentences::words::months(study.recent.months),
        window => crate::report::sentences::words::months(study.coverage.window_months),
        target => study.coverage.target.to_string(),
        focus_stays => study.freedom.focus_stays,
        free_target => study.freedom.target.to_string(),
        next_age => study.sampling.age_months.to_string(),
        least_looked => crate::assess::cells::LEAST_LOOKED.to_string(),
        design => study.coverage.design_force_of_infection.to_string(),
        patch_km => (study.coverage.patch_m / 1000.0).to_string(),
        radius_km => (study.recent.local_radius_m / 1000.0).to_string(),
        cell_m => layout.grid.cell_m.to_string(),
        cells => crate::report::sentences::words::grouped(layout.grid.cells() as f64),
        periods => layout.grid.periods(),
        coarse => (mesh.factor > 1).then(|| context! {
            squares => crate::report::sentences::words::grouped(mesh.len() as f64), side_m => mesh.side_m(&layout.grid).to_string(), cells_each => mesh.factor * mesh.factor,
        }),
        here => here_context(analysis, &mesh)?,
        first => first_context(analysis, &mesh)?,
        looked => looked_context(analysis, &mesh, score)?,
        trust => crate::report::page::model_checks::context(analysis)?,
    };
    Ok(env.get_template("report.html")?.render(page)?)
}

/// Text that is already part of a page: our own templates' styles and scripts, drawings, data.
fn safe(text: &str) -> Value {
    Value::from_safe_string(text.to_string())
}

fn drawings(list: Vec<String>) -> Vec<Value> {
    list.iter().map(|s| safe(s)).collect()
}

fn here_context(analysis: &Analysis, mesh: &crate::report::page::mesh::Mesh) -> Result<Value, PageError> {
    let order = crate::report::page::status::by_date(analysis);
    Ok(context! {
        sentences => crate::report::page::status::sentences(analysis),
        still => safe(&crate::report::page::static_map::draw(analysis, mesh, Figure::Chance, "still-chance")),
        areas => rows(&crate::report::page::status::area_rows(analysis))?,
        freedom => rows(&crate::report::sentences::freedom::rows(analysis))?,
        pigs => rows(&crate::report::page::status::pig_rows(analysis, &order))?,
        windows => drawings(crate::report::page::charts::windows::draw(analysis, &order)),
        hazard => drawings(crate::report::page::charts::hazard::draw(analysis)),
    })
}

fn first_context(analysis: &Analysis, mesh: &crate::report::page::mesh::Mesh) -> Result<Value, PageError> {
    let blocks = crate::report::page::priorities::order(analysis);
    let names = &analysis.layout.records.blocks;
    let lands: Vec<StandingLand> = blocks
        .iter()
        .take(24)
        .map(|b| StandingLand { name: &names[b.block].name, ha: b.standing_ha })
        .collect();
    let keys = &analysis.layout.study.priorities;
    let decided = analysis.assessment.decision.as_ref().and_then(|d| d.as_ref().ok());
    Ok(context! {
        sentences => crate::report::page::priorities::sentences(analysis),
        still => safe(&crate::report::page::static_map::draw(analysis, mesh, if decided.is_some() { Figure::Blocks } else { Figure::Standing }, "still-standing")),
        shown_first => if decided.is_some() { "blocks" } else { "standing" },
        operations => rows(&crate::report::page::priorities::operations(analysis))?,
        currency => keys.currency.clone(),
        budget => decided.map(|d| crate::report::sentences::decisions::money(&keys.currency, d.budget)),
        solved => decided.map_or(0, |d| d.draws_solved),
        tie_km => (keys.tie_distance_m / 1000.0).to_string(),
        sample => crate::report::sentences::words::count(keys.sample_pigs, "pig", "pigs"),
        sample_months => keys.sample_age_months.to_string(),
        pig_cost => crate::report::sentences::decisions::money(&keys.currency, keys.sample_cost_per_pig),
        costs => crate::report::page::priorities::costs(analysis),
        operators => crate::report::sentences::decisions::OPERATORS,
        frontier => decided.map(|d| safe(&crate::report::page::charts::frontier::draw(d, &keys.currency))),
        blocks => rows(&crate::report::page::priorities::rows(analysis, &blocks))?,
        shown => lands.len(),
        standing => (!lands.is_empty()).then(|| safe(&crate::report::page::charts::land::standing(&lands, "standing-blocks", "Land by standing, block by block"))),
    })
}

fn looked_context(
    analysis: &Analysis,
    mesh: &crate::report::page::mesh::Mesh,
    score: Option<&Score>,
) -> Result<Value, PageError> {
    let looked = crate::report::page::coverage::coverage(analysis);
    let findings = &analysis.account.findings;
    let (listed, left) = crate::report::page::coverage::listed(findings);
    let a = &analysis.assessment;
    let areas: Vec<_> = std::iter::once(&a.district).chain(&a.zones).collect();
    let lands: Vec<StandingLand> =
        looked.iter().map(|l| StandingLand { name: &l.name, ha: l.standing_ha }).collect();
    let p = &analysis.posterior;
    let (year_names, by_year) = crate::report::page::coverage::by_year(analysis);
    let (gaps, gaps_left) = crate::report::page::coverage::gap_rows(analysis);
    Ok(context! {
        year_names => year_names,
        by_year => rows(&by_year)?,
        gaps => rows(&gaps)?,
        gaps_left => gaps_left,
        sentences => crate::report::page::coverage::sentences(analysis, &looked),
        still => safe(&crate::report::page::static_map::draw(analysis, mesh, Figure::Coverage, "still-coverage")),
        coverage => rows(&crate::report::page::coverage::coverage_rows(analysis, &looked))?,
        standing => safe(&crate::report::page::charts::land::standing(&lands, "standing-areas", "Land by standing, area by area")),
        years => drawings(crate::report::page::charts::areas::pigs_by_year(&areas)),
        findings => rows(&crate::report::page::coverage::finding_rows(findings))?,
        listed => rows(&listed)?,
        left => left,
        watched => rows(&crate::report::page::coverage::watch_rows(analysis))?,
        chains => rows(&crate::report::page::coverage::chain_rows(analysis))?,
        accept_aimed_at => crate::inference::posterior::ACCEPT.to_string(),
        targets => crate::report::page::coverage::targets(),
        missed => p.shortfalls(&analysis.watches).len(),
        draws => crate::report::sentences::words::grouped(p.draws() as f64),
        off_grid => crate::report::sentences::words::percent(p.mass_off_grid),
        mode_found => p.mode.converged,
        mode_steps => p.mode.steps,
        learnt => drawings(crate::report::page::charts::learnt::draw(analysis)),
        reliability => score.map(|s| context! {
            drawing => safe(&crate::report::page::charts::reliability::draw(s)),
            district => s.district.clone(), cells => crate::report::sentences::words::grouped(s.cells as f64), active => crate::report::sentences::words::grouped(s.active_cells as f64),
            bins => s.reliability.iter().map(|b| context! {
                from => b.from.to_string(), to => b.to.to_string(), cells => crate::report::sentences::words::grouped(b.cells as f64),
                stated => b.mean_prob().map_or_else(|| crate::report::sentences::words::not_estimated("no cells"), |p| format!("{p:.3}")),
                seen => b.active_share().map_or_else(|| crate::report::sentences::words::not_estimated("no cells"), |p| format!("{p:.3}")),
            }).collect::<Vec<_>>(),
        }),
        inputs => analysis.account.inputs.iter().map(|i| context! {
            path => i.path.clone(), role => i.role,
            rows => i.rows.map_or_else(|| "not counted".to_string(), |r| crate::report::sentences::words::grouped(r as f64)),
            sha256 => i.sha256.clone(),
        }).collect::<Vec<_>>(),
        parameters => rows(&crate::report::page::coverage::parameters(analysis))?,
    })
}
