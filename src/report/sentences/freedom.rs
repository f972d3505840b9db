//! Probability of freedom, area by area and year by year, and what would raise it, in words.

use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::words;
use serde::Serialize;

/// One area's history.
#[derive(Serialize)]
pub(crate) struct FreedomRow {
    zone: usize,
    name: String,
    raise: String,
    before: String,
    years: Vec<YearRow>,
}

/// One year of it.
#[derive(Serialize)]
struct YearRow {
    year: i16,
    seen: String,
    news: String,
    no_case: String,
    before: String,
    p_free: String,
    own: String,
}

/// Most parts of an area named in a sentence; the others are its rest.
const MOST_PARTS: usize = 4;

/// P(free) with its bounds, or why there is none.
pub(crate) fn stated(analysis: &Analysis, zone: Option<usize>) -> String {
    let Some(zone) = zone else {
        return words::not_estimated("it is stated for areas");
    };
    match analysis.assessment.freedom[zone].last() {
        Some(y) => with_bounds(y.p_free, y.bounds),
        None => words::not_estimated("the area has no land on the grid"),
    }
}

fn with_bounds(p: f64, [low, high]: [f64; 2]) -> String {
    format!("{} ({} to {})", words::prob(p), words::prob(low), words::prob(high))
}

/// Rows of the table, in the order of the areas.
pub(crate) fn rows(analysis: &Analysis) -> Vec<FreedomRow> {
    let zones = &analysis.layout.records.zones;
    analysis
        .assessment
        .freedom
        .iter()
        .enumerate()
        .map(|(i, f)| FreedomRow {
            zone: i,
            name: zones[i].name.clone(),
            raise: raise(analysis, f),
            before: format!(
                "{} before the first year, introduction {} a year",
                words::prob(f.prior),
                f.introduction_per_year
            ),
            // The latest first, as the pigs are.
            years: f
                .years
                .iter()
                .rev()
                .map(|y| YearRow {
                    year: y.year,
                    seen: with_bounds(y.sensitivity, y.sensitivity_range),
                    news: words::prob(y.sensitivity_given_earlier),
                    no_case: words::prob(y.no_case),
                    before: words::prob(y.prior),
                    p_free: with_bounds(y.p_free, y.bounds),
                    own: words::prob(y.p_under_threshold),
                })
                .collect(),
        })
        .collect()
}

/// Opening sentence about all areas; `None` without areas.
pub(crate) fn sentence(analysis: &Analysis) -> Option<String> {
    let a = &analysis.assessment;
    let study = &analysis.layout.study;
    let mut areas: Vec<(f64, String)> = a
        .zones
        .iter()
        .zip(&a.freedom)
        .filter_map(|(z, f)| {
            let y = f.last()?;
            Some((y.p_free, format!("{} {}", z.name, with_bounds(y.p_free, y.bounds))))
        })
        .collect();
    areas.sort_by(|a, b| b.0.total_cmp(&a.0));
    let names: Vec<String> = areas.into_iter().map(|a| a.1).collect();
    let year = analysis.layout.as_of.year();
    (!names.is_empty()).then(|| {
        format!(
            "Probability that an area is free of a focus of {} infections per pig-year, {year} (90 % bounds): {}. Weaker transmission, above {}, may go on beside it: the two probabilities need not add up to 1.",
            study.coverage.design_force_of_infection,
            words::list(&names, 6),
            study.recent.force_of_infection_threshold
        )
    })
}

/// What would raise an area's P(free) to the target.
fn raise(analysis: &Analysis, f: &ZoneFreedom) -> String {
    let study = &analysis.layout.study;
    let (target, age) = (study.freedom.target, study.sampling.age_months);
    let as_of = analysis.layout.as_of;
    match &f.raise {
        PigsNeeded::Reached => format!("It is at the target of {target} or over."),
        PigsNeeded::Pigs { cells, parts } => {
            let shown = parts.len().min(MOST_PARTS);
            let mut named: Vec<String> =
                parts[..shown].iter().map(|(part, n)| format!("{n} from its {part}")).collect();
            let rest: usize = parts[shown..].iter().map(|p| p.1).sum();
            if rest > 0 {
                named.push(format!("{rest} from the rest of it"));
            }
            let from = match parts.as_slice() {
                [(part, _)] => format!("all from its {part}"),
                _ => words::list(&named, named.len()),
            };
            format!(
                "{}, had they been shot by {as_of}, would have raised it to {target}: {from}.",
                words::count(
                    cells.len(),
                    &format!("more clear pig of {age} months"),
                    &format!("more clear pigs of {age} months")
                )
            )
        }
        PigsNeeded::MoreThan(n) => format!(
            "More than {} more clear pigs of {age} months would be needed to raise it to {target}.",
            words::grouped(*n as f64)
        ),
        PigsNeeded::CaseInside => {
            let q = f.last().map_or(1.0, |y| y.no_case);
            format!(
                "No number of clear pigs would raise it to {target} this year: the probability that a positive was infected inside this year is {}. The next year starts from the chance of being free again, {}, as far as that is so, and its clear pigs count from there.",
                words::prob(1.0 - q),
                study.freedom.prior_after_infection
            )
        }
        PigsNeeded::Nothing => {
            words::not_estimated("the area has no land on the grid, or a next pig would show nothing")
        }
    }
}
