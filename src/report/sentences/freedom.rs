//! Probability of freedom, area by area and year by year, and what would raise it.

use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::words;

/// Most parts of an area named in a sentence; the others are its rest.
const MOST_PARTS: usize = 4;

/// A probability with its bounds: `84 % (70 to 92 %)`.
pub(crate) fn with_bounds(p: f64, bounds: [f64; 2]) -> String {
    format!("{} ({})", words::chance(p), words::chances(bounds))
}

/// P(free) of an area with its bounds, or why there is none.
pub(crate) fn of_area(analysis: &Analysis, zone: Option<usize>) -> String {
    let Some(zone) = zone else {
        return words::not_estimated("it is stated for areas");
    };
    match analysis.assessment.freedom[zone].last() {
        Some(y) => with_bounds(y.p_free, y.bounds),
        None => words::not_estimated("the area has no land on the grid"),
    }
}

/// What the first year starts from.
pub(crate) fn start(f: &ZoneFreedom) -> String {
    format!(
        "Before the first year {}; introduction {} a year.",
        words::given(f.prior),
        words::given(f.introduction_per_year)
    )
}

/// All areas, and what "free" means; `None` without areas.
pub(crate) fn areas(analysis: &Analysis) -> Option<String> {
    let a = &analysis.assessment;
    let coverage = &analysis.layout.study.coverage;
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
    (!names.is_empty()).then(|| {
        format!(
            "Probability of freedom in {} (90 % bounds): {}. \
             Free means: no focus {} across with {} infections per pig-year, \
             where {} of 100 pigs would be infected in a year. A weaker focus could be left.",
            analysis.layout.as_of.year(),
            words::list(&names, 6),
            words::km(coverage.patch_m),
            coverage.design_force_of_infection,
            words::of_100_pigs(coverage.design_force_of_infection)
        )
    })
}

/// What would raise an area's probability of freedom to the target.
pub(crate) fn needed(analysis: &Analysis, f: &ZoneFreedom) -> String {
    let study = &analysis.layout.study;
    let (target, age) = (words::given(study.freedom.target), study.sampling.age_months);
    match &f.raise {
        PigsNeeded::Reached => format!("At the target of {target} or over."),
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
                "To reach {target}: about {} with no visible lesion (NVL), {age} months old, {from}.",
                words::count(cells.len(), "more pig", "more pigs")
            )
        }
        PigsNeeded::MoreThan(n) => format!(
            "To reach {target}: more than {} more pigs with no visible lesion (NVL), {age} months old.",
            words::grouped(*n as f64)
        ),
        PigsNeeded::CaseInside => format!(
            "It cannot reach {target} this year, whatever is examined: \
             a pig was infected there this year (probability {}). \
             If so, the next year starts from {}, and its negative pigs count from there.",
            words::chance(1.0 - f.last().map_or(1.0, |y| y.no_case)),
            words::given(study.freedom.prior_after_infection)
        ),
        PigsNeeded::Nothing => {
            words::not_estimated("the area has no land on the grid, or one more pig would show nothing")
        }
    }
}
