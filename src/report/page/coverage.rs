//! "Have we looked?": the rows of coverage, gaps, findings, and how the run went.

use crate::assess::area_coverage::AreaCoverage;
use crate::inference::posterior::SMALLEST_ESS;
use crate::ingest::findings::{Finding, Severity};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::{coverage, model_checks, run, words};
use serde::Serialize;
use std::collections::BTreeMap;

/// Most gaps listed on the page and drawn on its map; all of them are in `gaps.geojson`.
pub(crate) const MOST_GAPS: usize = 40;
/// Most refusals and warnings listed one by one; all of them are in `findings.csv`.
const MOST_LISTED: usize = 150;

/// One row of the table of coverage.
#[derive(Serialize)]
pub(crate) struct CoverageRow {
    zone: Option<usize>,
    name: String,
    mean: String,
    at_target: String,
    below_ha: String,
    unseen_ha: String,
    exposure: String,
    pigs: String,
}

/// Coverage of one area, year by year.
#[derive(Serialize)]
pub(crate) struct YearsRow {
    zone: usize,
    name: String,
    /// Mean sensitivity over the land, and share of it at the target.
    years: Vec<[String; 2]>,
}

/// One gap.
#[derive(Serialize)]
pub(crate) struct GapRow {
    number: usize,
    id: String,
    below: String,
    area: String,
    ha: String,
    mean: String,
    lowest: String,
    exposure: String,
    pigs: String,
}

/// Findings of one kind.
#[derive(Serialize)]
pub(crate) struct FindingRow {
    severity: &'static str,
    code: &'static str,
    count: usize,
    example: String,
}

/// One watched quantity.
#[derive(Serialize)]
pub(crate) struct WatchRow {
    name: String,
    mean: String,
    sd: String,
    r_hat: String,
    ess_bulk: String,
    ess_tail: String,
    verdict: String,
}

/// One chain.
#[derive(Serialize)]
pub(crate) struct ChainRow {
    chain: usize,
    accept: String,
    step: String,
    gradients: String,
    retried: usize,
    divergences: usize,
}

/// A key of the study and its value.
#[derive(Serialize)]
pub(crate) struct ParameterRow {
    key: String,
    value: String,
}

/// Opening paragraphs.
pub(crate) fn opening(analysis: &Analysis, looked: &[AreaCoverage]) -> Vec<String> {
    let mut out = vec![coverage::land(analysis, looked)];
    out.extend(coverage::means(analysis, looked));
    out.push(format!("{}. {}", run::counts(&analysis.account.counts), run::settled(analysis)));
    if !analysis.assessment.fit.misfits().is_empty() {
        out.push(model_checks::fit(analysis).join(" "));
    }
    out
}

fn no_land() -> String {
    words::not_estimated(coverage::NO_LAND)
}

/// Rows of the table of coverage.
pub(crate) fn coverage_rows(analysis: &Analysis, looked: &[AreaCoverage]) -> Vec<CoverageRow> {
    let a = &analysis.assessment;
    looked
        .iter()
        .map(|l| CoverageRow {
            zone: l.zone,
            name: coverage::name(analysis, l.zone).into(),
            mean: l.mean_sensitivity.map_or_else(no_land, words::chance),
            at_target: if l.area_ha > 0.0 { words::share(l.at_target_ha / l.area_ha) } else { no_land() },
            below_ha: words::hectares(l.area_ha - l.at_target_ha),
            unseen_ha: words::hectares(l.standing_ha[3]),
            exposure: words::two_digits(l.exposure_pig_years),
            pigs: words::grouped(l.zone.map_or(a.study_area.pigs, |z| a.zones[z].pigs) as f64),
        })
        .collect()
}

/// Years covered, and each area's sensitivity in them; a focus is there through that one year.
pub(crate) fn by_year(analysis: &Analysis) -> (Vec<i16>, Vec<YearsRow>) {
    let a = &analysis.assessment;
    let years = a.freedom.iter().map(|f| &f.years).find(|y| !y.is_empty());
    let names = years.into_iter().flatten().map(|y| y.year).collect();
    let areas = a.zones.iter().zip(&a.freedom).enumerate().filter(|(_, (_, f))| !f.years.is_empty());
    let row = |(zone, (z, f)): (
        usize,
        (&crate::assess::areas::ZoneFigures, &crate::assess::freedom_figures::ZoneFreedom),
    )| {
        YearsRow {
            zone,
            name: z.name.clone(),
            years: f
                .years
                .iter()
                .map(|y| [words::chance(y.mean_sensitivity), words::share(y.share_at_target)])
                .collect(),
        }
    };
    (names, areas.map(row).collect())
}

/// Rows of the gaps, the largest first, and how many more there are.
pub(crate) fn gap_rows(analysis: &Analysis, looked: &[AreaCoverage]) -> (Vec<GapRow>, usize) {
    let gaps = &analysis.assessment.gaps;
    let rows = gaps
        .iter()
        .take(MOST_GAPS)
        .enumerate()
        .map(|(number, g)| GapRow {
            number,
            id: crate::report::layers::gaps::gap_id(number),
            below: words::given(g.below),
            area: coverage::gap_place(analysis, looked, g),
            ha: words::hectares(g.area_ha),
            mean: words::chance(g.sensitivity),
            lowest: words::chance(g.sensitivity_lowest),
            exposure: words::two_digits(g.exposure_pig_years),
            pigs: coverage::pigs_for_gap(analysis, g),
        })
        .collect();
    (rows, gaps.len().saturating_sub(MOST_GAPS))
}

/// Findings by kind, gravest first.
pub(crate) fn finding_rows(findings: &[Finding]) -> Vec<FindingRow> {
    let mut kinds: BTreeMap<(Severity, &'static str), (usize, String)> = BTreeMap::new();
    for f in findings {
        kinds.entry((f.severity, f.code)).or_insert_with(|| (0, f.to_string())).0 += 1;
    }
    kinds
        .into_iter()
        .map(|((severity, code), (count, example))| FindingRow {
            severity: severity.word(),
            code,
            count,
            example,
        })
        .collect()
}

/// Refusals and warnings one by one, and how many are left to the file.
pub(crate) fn listed(findings: &[Finding]) -> (Vec<(&'static str, String)>, usize) {
    let mut grave: Vec<&Finding> = findings.iter().filter(|f| f.severity != Severity::Note).collect();
    grave.sort_by_key(|f| f.severity);
    let left = grave.len().saturating_sub(MOST_LISTED);
    (grave.into_iter().take(MOST_LISTED).map(|f| (f.severity.word(), f.to_string())).collect(), left)
}

/// Rows of the watched quantities.
pub(crate) fn watch_rows(analysis: &Analysis) -> Vec<WatchRow> {
    let missed = analysis.posterior.shortfalls(&analysis.watches);
    let same = || words::not_estimated("its samples do not vary");
    analysis
        .posterior
        .watched
        .iter()
        .map(|w| {
            let why: Vec<&str> =
                missed.iter().filter(|(n, _)| *n == w.name).map(|(_, y)| y.as_str()).collect();
            let size = |v: Option<f64>| v.map_or_else(same, words::grouped);
            WatchRow {
                name: run::quantity(analysis, &w.name),
                mean: words::two_digits_signed(w.mean),
                sd: words::two_digits_signed(w.sd),
                r_hat: w.convergence.r_hat.map_or_else(same, |r| format!("{r:.3}")),
                ess_bulk: size(w.convergence.ess_bulk),
                ess_tail: size(w.convergence.ess_tail),
                verdict: match (why.is_empty(), w.convergence.ess_bulk) {
                    (false, _) => why.join("; "),
                    (true, Some(e)) if e < SMALLEST_ESS => {
                        format!("passed (R-hat; an ESS of {SMALLEST_ESS:.0} is asked of areas only)")
                    }
                    _ => "passed".into(),
                },
            }
        })
        .collect()
}

/// Rows of the chains.
pub(crate) fn chain_rows(analysis: &Analysis) -> Vec<ChainRow> {
    analysis
        .posterior
        .chains
        .iter()
        .enumerate()
        .map(|(i, c)| ChainRow {
            chain: i + 1,
            accept: words::two_digits(c.accept),
            step: words::two_digits(c.step),
            gradients: words::grouped(c.gradients as f64),
            retried: c.retried,
            divergences: c.divergences,
        })
        .collect()
}

/// Every key of the study that bears on a figure, as the run used it.
pub(crate) fn parameters(analysis: &Analysis) -> Vec<ParameterRow> {
    let Ok(value) = serde_json::to_value(&analysis.layout.study) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for (table, keys) in value.as_object().into_iter().flatten() {
        let keys = keys.as_object().into_iter().flatten();
        for (key, v) in keys.filter(|(_, v)| !v.is_null() && v.as_object().is_none_or(|o| !o.is_empty())) {
            // Threads are the machine's business: figures, and this page, do not depend on them.
            if table == "run" && key == "threads" {
                continue;
            }
            let value = v.as_str().map_or_else(|| v.to_string(), str::to_string);
            out.push(ParameterRow { key: format!("{table}.{key}"), value });
        }
    }
    out
}
