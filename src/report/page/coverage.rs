//! "Have we looked?": coverage, gaps, what was wrong with the data, and how the run went.

use crate::inference::posterior::{LARGEST_R_HAT, SMALLEST_ESS};
use crate::ingest::findings::{Finding, Severity};
use crate::pipeline::analysis::Analysis;
use crate::report::page::rows::MOST_GAPS;
use crate::report::sentences::words;
use serde::Serialize;
use std::collections::BTreeMap;

/// Most refusals and warnings listed one by one; all of them are in `findings.csv`.
const MOST_LISTED: usize = 150;

/// Coverage of one area.
pub(crate) struct Looked {
    /// Index among the zones; absent for the whole grid.
    pub zone: Option<usize>,
    /// Name.
    pub name: String,
    /// Land on the grid, hectares.
    pub area_ha: f64,
    /// Land at or over the target, hectares.
    pub at_target_ha: f64,
    /// Hectares active, possible, quiet, unseen.
    pub standing_ha: [f64; 4],
    /// Mean sensitivity over the land; `None` where there is none.
    pub mean_sensitivity: Option<f64>,
    /// Pig-years lived there within the window.
    pub exposure_pig_years: f64,
}

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

/// Coverage of every zone, then of the whole grid.
pub(crate) fn coverage(analysis: &Analysis) -> Vec<Looked> {
    let layout = &analysis.layout;
    let all = vec![1.0; layout.grid.cells()];
    let zones = layout.records.zones.iter().zip(&layout.zone_shares).enumerate();
    let mut out: Vec<Looked> =
        zones.map(|(i, (z, shares))| one(analysis, Some(i), &z.name, shares)).collect();
    out.push(one(analysis, None, "Whole grid", &all));
    out
}

fn one(analysis: &Analysis, zone: Option<usize>, name: &str, shares: &[f64]) -> Looked {
    let cell_ha = analysis.layout.grid.cell_area_ha();
    let target = analysis.layout.study.coverage.target;
    let mut l = Looked {
        zone,
        name: name.into(),
        area_ha: 0.0,
        at_target_ha: 0.0,
        standing_ha: [0.0; 4],
        mean_sensitivity: None,
        exposure_pig_years: 0.0,
    };
    let mut sum = 0.0;
    for (cell, share) in analysis.assessment.cells.iter().zip(shares).filter(|(_, s)| **s > 0.0) {
        let ha = share * cell_ha;
        l.area_ha += ha;
        sum += ha * cell.surveillance_sensitivity;
        l.exposure_pig_years += share * cell.exposure_pig_years;
        l.standing_ha[crate::report::page::palette::standing_number(cell.standing)] += ha;
        if cell.surveillance_sensitivity >= target {
            l.at_target_ha += ha;
        }
    }
    l.mean_sensitivity = (l.area_ha > 0.0).then(|| sum / l.area_ha);
    l
}

/// Opening sentences.
pub(crate) fn sentences(analysis: &Analysis, looked: &[Looked]) -> Vec<String> {
    let layout = &analysis.layout;
    let study = &layout.study;
    let zones: Vec<&Looked> = looked.iter().filter(|l| l.zone.is_some()).collect();
    let (land, judged): (&str, Vec<&Looked>) = if zones.is_empty() {
        ("the land on the grid", looked.iter().collect())
    } else {
        ("the areas' land", zones)
    };
    let total: f64 = judged.iter().map(|l| l.area_ha).sum();
    let reached: f64 = judged.iter().map(|l| l.at_target_ha).sum();
    let unseen: f64 = judged.iter().map(|l| l.standing_ha[3]).sum();
    let mut out = vec![format!(
        "On {} of {land}, a focus of {} infections per pig-year, present for the {} to {}, would have been found with probability {} or more; {} ha are unseen: neither active, nor possible and looked at, nor looked at hard enough to call quiet.",
        if total > 0.0 {
            words::percent(reached / total)
        } else {
            words::not_estimated("no land on the grid")
        },
        study.coverage.design_force_of_infection,
        words::months(study.coverage.window_months),
        layout.as_of,
        study.coverage.target,
        words::hectares(unseen)
    )];
    let least =
        judged.iter().filter_map(|l| Some((l.mean_sensitivity?, &l.name))).min_by(|a, b| a.0.total_cmp(&b.0));
    if let (Some((mean, name)), true) = (least, judged.len() > 1) {
        out.push(format!(
            "Least looked at is {name}: there such a focus would have been found with probability {} on average.",
            words::prob(mean)
        ));
    }
    let c = &analysis.account.counts;
    let mut data = format!(
        "Of {}, {} were used, {} of them with a warning, and {} refused.",
        words::count(c.read, "row read", "rows read"),
        words::grouped((c.used + c.used_with_warning) as f64),
        words::grouped(c.used_with_warning as f64),
        words::grouped(c.refused as f64)
    );
    let missed = analysis.posterior.shortfalls(&analysis.watches);
    data.push_str(&if missed.is_empty() {
        " The sampler met all of its targets.".to_string()
    } else {
        format!(
            " The sampler missed {}: read every figure on this page as provisional until a longer run meets them.",
            words::count(missed.len(), "of its targets", "of its targets")
        )
    });
    out.push(data);
    if !analysis.assessment.fit.misfits().is_empty() {
        out.extend(crate::report::sentences::trust::fit_sentences(analysis));
    }
    out
}

/// Rows of the table of coverage.
pub(crate) fn coverage_rows(analysis: &Analysis, looked: &[Looked]) -> Vec<CoverageRow> {
    let a = &analysis.assessment;
    looked
        .iter()
        .map(|l| CoverageRow {
            zone: l.zone,
            name: l.name.clone(),
            mean: l.mean_sensitivity.map_or_else(|| words::not_estimated("no land on the grid"), words::prob),
            at_target: if l.area_ha > 0.0 {
                words::percent(l.at_target_ha / l.area_ha)
            } else {
                words::not_estimated("no land on the grid")
            },
            below_ha: words::hectares(l.area_ha - l.at_target_ha),
            unseen_ha: words::hectares(l.standing_ha[3]),
            exposure: words::two_digits(l.exposure_pig_years),
            pigs: words::grouped(l.zone.map_or(a.district.pigs, |z| a.zones[z].pigs) as f64),
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
                .map(|y| [words::prob(y.mean_sensitivity), words::percent(y.share_at_target)])
                .collect(),
        }
    };
    (names, areas.map(row).collect())
}

/// Rows of the gaps, the largest first, and how many more there are.
pub(crate) fn gap_rows(analysis: &Analysis) -> (Vec<GapRow>, usize) {
    let (gaps, records) = (&analysis.assessment.gaps, &analysis.layout.records);
    let most = analysis.layout.study.sampling.most_pigs;
    let rows = gaps
        .iter()
        .take(MOST_GAPS)
        .enumerate()
        .map(|(number, g)| GapRow {
            number,
            id: crate::report::layers::gaps::gap_id(number),
            below: g.below.to_string(),
            area: g.zone.map_or_else(|| "no areas in the study".into(), |z| records.zones[z].name.clone()),
            ha: words::hectares(g.area_ha),
            mean: words::prob(g.sensitivity),
            lowest: words::prob(g.sensitivity_lowest),
            exposure: words::two_digits(g.exposure_pig_years),
            pigs: g.pigs_needed.map_or_else(
                || format!("more than {}", words::grouped(most as f64)),
                |n| words::grouped(n as f64),
            ),
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
    let same = || words::not_estimated("its draws do not vary");
    analysis
        .posterior
        .watched
        .iter()
        .map(|w| {
            let why: Vec<&str> =
                missed.iter().filter(|(n, _)| *n == w.name).map(|(_, y)| y.as_str()).collect();
            let size = |v: Option<f64>| v.map_or_else(same, words::grouped);
            WatchRow {
                name: plain(analysis, &w.name),
                mean: signed(w.mean),
                sd: signed(w.sd),
                r_hat: w.convergence.r_hat.map_or_else(same, |r| format!("{r:.3}")),
                ess_bulk: size(w.convergence.ess_bulk),
                ess_tail: size(w.convergence.ess_tail),
                verdict: match (why.is_empty(), w.convergence.ess_bulk) {
                    (false, _) => why.join("; "),
                    (true, Some(e)) if e < SMALLEST_ESS => {
                        format!("met (R-hat; {SMALLEST_ESS:.0} draws are asked of areas only)")
                    }
                    _ => "met".into(),
                },
            }
        })
        .collect()
}

/// A watched quantity's name for people.
fn plain(analysis: &Analysis, name: &str) -> String {
    match name.split_once(':') {
        Some(("zone_force_of_infection", id)) => {
            let zone = analysis.layout.records.zones.iter().find(|z| z.id == id);
            format!("recent hazard of {}", zone.map_or(id, |z| &z.name))
        }
        Some(("cell_force_of_infection", id)) => format!("recent hazard of cell {id}"),
        _ => name.replace('_', " "),
    }
}

fn signed(v: f64) -> String {
    if !v.is_finite() {
        return words::not_estimated("no number");
    }
    let text = words::two_digits(v.abs());
    if v < 0.0 && text != "0" { format!("−{text}") } else { text }
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

/// What is asked of the sampler, in a sentence.
pub(crate) fn targets() -> String {
    format!(
        "Asked of every quantity: split R-hat below {LARGEST_R_HAT}; of the total and the areas' hazards also {SMALLEST_ESS:.0} effective draws; of the trajectories, none divergent."
    )
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
