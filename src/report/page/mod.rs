//! `report.html`: one self-contained page for three readers, which fetches nothing.
//!
//! | question of the reader | file |
//! | --- | --- |
//! | Is it here? | `status` |
//! | Where first? | `priorities` |
//! | Have we looked? | `coverage`, `model_checks` |
//!
//! Sentences come from `sentences`; rows, drawings and templates stand here, so that the page reads without
//! script. The script (`script/`) adds the map one can move, from the figures of `payload`. The same analysis
//! gives the same bytes.

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
pub(crate) mod small_maps;
pub(crate) mod static_map;
pub(crate) mod status;
pub(crate) mod svg;
pub(crate) mod what_if;

use crate::geography::coordinates::projector::Projector;
use crate::inference::posterior::ACCEPT;
use crate::pipeline::analysis::Analysis;
use crate::report::error::PageError;
use crate::report::page::charts::land::StandingLand;
use crate::report::page::escape::rows;
use crate::report::page::mesh::Mesh;
use crate::report::page::static_map::Figure;
use crate::report::sentences::{coverage as coverage_words, operations, run, verdicts, words};
use crate::score::Score;
use minijinja::{Environment, Value, context};

/// The page's parts, by the name under which templates include them; names end in `.html`, by
/// which the engine escapes what they show.
const TEMPLATES: [(&str, &str); 7] = [
    ("report.html", include_str!("template/report.html")),
    ("status.html", include_str!("template/status.html")),
    ("priorities.html", include_str!("template/priorities.html")),
    ("coverage.html", include_str!("template/coverage.html")),
    ("model_checks.html", include_str!("template/model_checks.html")),
    ("map.html", include_str!("template/map.html")),
    ("foot.html", include_str!("template/foot.html")),
];

/// Cards shown before the others are folded away.
const MOST_CARDS: usize = 6;

const STYLE: &str = concat!(
    include_str!("style/base.css"),
    include_str!("style/charts.css"),
    include_str!("style/map.css"),
    include_str!("style/cards.css"),
    include_str!("style/print.css")
);

const SCRIPT: &str = concat!(
    "(function () {\n'use strict';\n",
    include_str!("script/figures.js"),
    include_str!("script/build.js"),
    include_str!("script/sheet.js"),
    include_str!("script/panel.js"),
    include_str!("script/map.js"),
    include_str!("script/tables.js"),
    include_str!("script/whatif.js"),
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
    let mesh = Mesh::new(analysis, most_squares);
    let projector = Projector::new(&study.study.crs)?;
    let graticule = graticule::lines(&layout.grid, &projector)?;
    let data = escape::json_block(&payload::Payload::new(analysis, &mesh, graticule))?;

    let mut env = Environment::new();
    for (name, text) in TEMPLATES {
        env.add_template(name, text)?;
    }
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
        pigs => words::count(layout.records.pigs.len(), "pig", "pigs"),
        positives => analysis.assessment.positives.len(),
        counts => run::counts(&analysis.account.counts),
        threshold => study.recent.force_of_infection_threshold.to_string(),
        recent => words::months(study.recent.months),
        window => words::months(study.coverage.window_months),
        target => words::given(study.coverage.target),
        focus_stays => study.freedom.focus_stays,
        next_age => study.sampling.age_months.to_string(),
        least_looked => words::given(crate::assess::cells::LEAST_LOOKED),
        design => study.coverage.design_force_of_infection.to_string(),
        patch => words::km(study.coverage.patch_m),
        radius => words::km(study.recent.local_radius_m),
        cell_m => layout.grid.cell_m.to_string(),
        cells => words::grouped(layout.grid.cells() as f64),
        periods => layout.grid.periods(),
        coarse => (mesh.factor > 1).then(|| context! {
            squares => words::grouped(mesh.len() as f64),
            side_m => mesh.side_m(&layout.grid).to_string(),
            cells_each => mesh.factor * mesh.factor,
        }),
        no_window => crate::report::sentences::drawings::no_window(),
        status => status_context(analysis, &mesh),
        priorities => priorities_context(analysis, &mesh),
        coverage => coverage_context(analysis, &mesh, score),
        checks => model_checks::context(analysis),
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

fn status_context(analysis: &Analysis, mesh: &Mesh) -> Value {
    let order = status::by_date(analysis);
    context! {
        opening => status::opening(analysis),
        little => verdicts::nearly_assumed(analysis),
        cards => rows(&status::cards(analysis)),
        most_cards => MOST_CARDS,
        meanings => verdicts::meanings(analysis),
        small => drawings(small_maps::draw(analysis)),
        plan => rows(&status::plan(analysis).into_iter().collect::<Vec<_>>()),
        still => safe(&static_map::draw(analysis, mesh, Figure::Chance, "still-chance")),
        areas => rows(&status::area_rows(analysis)),
        least_support => words::given(status::LEAST_SUPPORT),
        freedom => rows(&status::freedom_rows(analysis)),
        pigs => rows(&status::pig_rows(analysis, &order)),
        windows => drawings(charts::windows::draw(analysis, &order)),
        force => drawings(charts::force_of_infection::draw(analysis)),
    }
}

fn priorities_context(analysis: &Analysis, mesh: &Mesh) -> Value {
    let blocks = priorities::order(analysis);
    let names = &analysis.layout.records.blocks;
    let lands: Vec<StandingLand> = blocks
        .iter()
        .take(24)
        .map(|b| StandingLand { name: &names[b.block].name, ha: b.standing_ha })
        .collect();
    let keys = &analysis.layout.study.priorities;
    let decided = analysis.assessment.decision.as_ref().and_then(|d| d.as_ref().ok());
    let (figure, shown_first) =
        if decided.is_some() { (Figure::Blocks, "blocks") } else { (Figure::Standing, "standing") };
    let land = |lands: &[StandingLand]| {
        charts::land::standing(lands, "standing-blocks", "Land by standing, block by block")
    };
    context! {
        opening => priorities::opening(analysis),
        still => safe(&static_map::draw(analysis, mesh, figure, "still-standing")),
        shown_first => shown_first,
        operations => rows(&priorities::operation_tables(analysis)),
        currency => keys.currency.clone(),
        budget => decided.map(|d| words::money(&keys.currency, d.budget)),
        solved => decided.map_or(0, |d| d.samples_solved),
        tie => words::km(keys.tie_distance_m),
        sample => words::count(keys.sample_pigs, "pig", "pigs"),
        sample_months => keys.sample_age_months.to_string(),
        pig_cost => words::money(&keys.currency, keys.sample_cost_per_pig),
        costs => crate::report::sentences::priorities::costs(&analysis.assessment.slate),
        operators => operations::OPERATORS,
        frontier => decided.map(|d| safe(&charts::frontier::draw(d, &keys.currency))),
        blocks => rows(&priorities::rows(analysis, &blocks)),
        shown => lands.len(),
        standing => (!lands.is_empty()).then(|| safe(&land(&lands))),
    }
}

fn coverage_context(analysis: &Analysis, mesh: &Mesh, score: Option<&Score>) -> Value {
    let a = &analysis.assessment;
    let looked = crate::assess::area_coverage::area_coverage(&analysis.layout, &a.cells);
    let findings = &analysis.account.findings;
    let (listed, left) = coverage::listed(findings);
    let areas: Vec<_> = std::iter::once(&a.study_area).chain(&a.zones).collect();
    let lands: Vec<StandingLand> = looked
        .iter()
        .map(|l| StandingLand { name: coverage_words::name(analysis, l.zone), ha: l.standing_ha })
        .collect();
    let land = charts::land::standing(&lands, "standing-areas", "Land by standing, area by area");
    let p = &analysis.posterior;
    let (year_names, by_year) = coverage::by_year(analysis);
    let (gaps, gaps_left) = coverage::gap_rows(analysis, &looked);
    context! {
        opening => coverage::opening(analysis, &looked),
        still => safe(&static_map::draw(analysis, mesh, Figure::Coverage, "still-coverage")),
        areas => rows(&coverage::coverage_rows(analysis, &looked)),
        standing => safe(&land),
        year_names => year_names,
        by_year => rows(&by_year),
        gaps => rows(&gaps),
        gaps_left => gaps_left,
        half_target => words::given(0.5 * analysis.layout.study.coverage.target),
        years => drawings(charts::areas::pigs_by_year(&areas)),
        findings => rows(&coverage::finding_rows(findings)),
        listed => rows(&listed),
        left => left,
        watched => rows(&coverage::watch_rows(analysis)),
        chains => rows(&coverage::chain_rows(analysis)),
        accept_aimed_at => ACCEPT.to_string(),
        checks_asked => run::checks_asked(),
        missed => p.shortfalls(&analysis.watches).len(),
        samples => words::grouped(p.samples() as f64),
        off_grid => words::share(p.mass_off_grid),
        mode_found => p.mode.converged,
        mode_steps => p.mode.steps,
        learnt => drawings(charts::learnt::draw(analysis)),
        reliability => score.map(reliability),
        inputs => analysis.account.inputs.iter().map(|i| context! {
            path => i.path.clone(),
            role => i.role,
            rows => i.rows.map_or_else(|| "not counted".to_string(), |r| words::grouped(r as f64)),
            sha256 => i.sha256.clone(),
        }).collect::<Vec<_>>(),
        parameters => rows(&coverage::parameters(analysis)),
    }
}

fn reliability(score: &Score) -> Value {
    let figure = |p: Option<f64>| p.map_or_else(|| words::not_estimated("no cells"), words::share);
    context! {
        drawing => safe(&charts::reliability::draw(score)),
        study_area => score.study_area.clone(),
        cells => words::grouped(score.cells as f64),
        active => words::grouped(score.active_cells as f64),
        bins => score.reliability.iter().map(|b| context! {
            from => words::given(b.from),
            to => words::given(b.to),
            cells => words::grouped(b.cells as f64),
            stated => figure(b.mean_prob()),
            seen => figure(b.active_share()),
        }).collect::<Vec<_>>(),
    }
}
