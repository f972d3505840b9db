//! How far the run can be trusted: fit to the records, what holds under other inputs, areas held out.

use crate::pipeline::analysis::Analysis;
use crate::report::page::escape::rows;
use crate::report::sentences::{model_checks, pigs, words};
use itertools::Itertools as _;
use minijinja::{Value, context};
use serde::Serialize;

/// One count compared.
#[derive(Serialize)]
struct CountRow {
    group: String,
    pigs: String,
    observed: usize,
    mean: String,
    interval: String,
    p: String,
    all: String,
    misfit: bool,
}

/// One surprising record.
#[derive(Serialize)]
struct RecordRow {
    /// Number among the positives, by which the page shows it; absent for negative pigs.
    number: Option<usize>,
    id: String,
    reading: &'static str,
    killed: String,
    about: String,
    chance: String,
    found: usize,
    expected: String,
}

/// One headline conclusion.
#[derive(Serialize)]
struct ConclusionRow {
    claim: String,
    holds: bool,
    exceptions: Vec<String>,
}

/// One re-run.
#[derive(Serialize)]
struct RunRow {
    label: &'static str,
    keys: String,
    held: String,
    went: String,
    off_grid: String,
}

/// One area held out.
#[derive(Serialize)]
struct HeldRow {
    zone: usize,
    name: String,
    pigs: String,
    expected: String,
    score: String,
    by_constant: String,
    gain: String,
    verdict: &'static str,
    joint: String,
    went: String,
}

/// Everything for the template.
pub(crate) fn context(analysis: &Analysis) -> Value {
    let fit = &analysis.assessment.fit;
    let sensitivity = analysis.sensitivity.as_ref();
    let held = analysis.held_out.as_ref();
    let zones = &analysis.layout.records.zones;
    context! {
        sentences => model_checks::fit(analysis),
        samples => words::grouped(fit.samples as f64),
        counts => rows(&counts(analysis)),
        records => rows(&records(analysis)),
        sensitivity => sensitivity.map(|s| model_checks::sensitivity_in_short(analysis, s)),
        conclusions => rows(&conclusions(analysis)),
        runs => rows(&runs(analysis)),
        left_out => sensitivity.map(|s| {
            s.left_out.iter().map(|(what, why)| format!("{what}: {why}")).collect::<Vec<_>>()
        }),
        held_out => held.map(|h| model_checks::held_out(analysis, h)),
        held => rows(&held_rows(analysis)),
        not_held => held.map(|h| {
            h.left_out.iter().map(|(z, why)| format!("{}: {why}", zones[*z].name)).collect::<Vec<_>>()
        }),
    }
}

fn counts(analysis: &Analysis) -> Vec<CountRow> {
    let list = analysis.assessment.fit.comparisons.iter();
    list.map(|c| CountRow {
        group: model_checks::group_name(analysis, c.group),
        pigs: words::grouped(c.pigs as f64),
        observed: c.observed,
        mean: words::expected(c.mean),
        interval: format!("{} to {}", c.interval[0], c.interval[1]),
        p: words::p_value(c.two_sided()),
        all: words::p_value(c.p_all),
        misfit: c.misfit(),
    })
    .collect()
}

fn records(analysis: &Analysis) -> Vec<RecordRow> {
    let a = &analysis.assessment;
    let records = &analysis.layout.records.pigs;
    let row = |s: &crate::assess::model_checks::Surprise| {
        let pig = &records[s.pig];
        RecordRow {
            number: a.positives.iter().position(|p| p.pig == s.pig),
            id: pig.id.clone(),
            reading: model_checks::reading(a.fit.records[s.pig].positive),
            killed: pigs::killed(pig),
            about: pigs::sex_and_age(pig),
            chance: words::p_value(a.fit.records[s.pig].p_reading()),
            found: s.found,
            expected: words::expected(s.expected),
        }
    };
    a.fit.surprising.iter().map(row).collect()
}

fn conclusions(analysis: &Analysis) -> Vec<ConclusionRow> {
    let Some(s) = &analysis.sensitivity else { return Vec::new() };
    let row = |i: usize| ConclusionRow {
        claim: model_checks::claim(analysis, &s.base[i]),
        holds: s.holds_in_all(i),
        exceptions: model_checks::exceptions(s, i),
    };
    (0..s.base.len()).map(row).collect()
}

fn runs(analysis: &Analysis) -> Vec<RunRow> {
    let runs = analysis.sensitivity.iter().flat_map(|s| &s.runs);
    runs.map(|r| RunRow {
        label: r.label,
        keys: r.keys.iter().map(|(k, a, b)| format!("{k} {a} → {b}")).join(", "),
        held: format!("{} of {}", r.holds.iter().filter(|h| **h).count(), r.holds.len()),
        went: model_checks::went(r.again, r.missed.len()),
        off_grid: words::share(r.mass_off_grid),
    })
    .collect()
}

fn held_rows(analysis: &Analysis) -> Vec<HeldRow> {
    let zones = &analysis.layout.records.zones;
    let areas = analysis.held_out.iter().flat_map(|h| &h.areas);
    areas
        .map(|a| HeldRow {
            zone: a.zone,
            name: zones[a.zone].name.clone(),
            pigs: format!("{}, {}", words::grouped(a.pigs as f64), a.positives),
            expected: words::expected(a.expected),
            score: score(a.log_score),
            by_constant: format!(
                "{} ({} a year)",
                score(a.log_score_constant),
                words::two_digits(a.constant_hazard)
            ),
            gain: format!("{} ± {:.1}", words::signed(a.gain()), a.difference_se),
            verdict: a.verdict(),
            joint: format!("{} (ESS {:.0})", score(a.joint), a.joint_effective_samples),
            went: model_checks::went(true, a.missed.len()),
        })
        .collect()
}

fn score(v: f64) -> String {
    words::signed(v).trim_start_matches('+').to_string()
}
