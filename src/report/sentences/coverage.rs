//! Surveillance coverage: whether a focus would have been found, and where not.

use crate::assess::area_coverage::AreaCoverage;
use crate::assess::gaps::Gap;
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::{areas, words};

/// Areas whose mean probabilities lie closer than this are said to be alike.
const ALIKE: f64 = 0.05;
/// Why an area has no coverage.
pub(crate) const NO_LAND: &str = "no land on the grid";

/// Name of an area, or of the whole grid.
pub(crate) fn name(analysis: &Analysis, zone: Option<usize>) -> &str {
    zone.map_or(areas::WHOLE_GRID, |z| &analysis.layout.records.zones[z].name)
}

/// The areas; where there are none, the grid.
fn judged(all: &[AreaCoverage]) -> Vec<&AreaCoverage> {
    let zones: Vec<&AreaCoverage> = all.iter().filter(|l| l.zone.is_some()).collect();
    if zones.is_empty() { all.iter().collect() } else { zones }
}

/// How much land has been looked at hard enough.
pub(crate) fn land(analysis: &Analysis, all: &[AreaCoverage]) -> String {
    let coverage = &analysis.layout.study.coverage;
    let judged = judged(all);
    let place = if judged.iter().any(|l| l.zone.is_some()) { "areas" } else { "grid" };
    let sum = |of: fn(&AreaCoverage) -> f64| judged.iter().map(|l| of(l)).sum::<f64>();
    let (total, reached) = (sum(|l| l.area_ha), sum(|l| l.at_target_ha));
    if total <= 0.0 {
        return format!("Coverage is {}.", words::not_estimated(NO_LAND));
    }
    let enough = if reached > 0.0 {
        format!(
            "{} of the land of the {place} was looked at hard enough to find a focus with probability {} \
             or more.",
            words::share(reached / total),
            words::given(coverage.target)
        )
    } else {
        format!(
            "No land of the {place} was looked at hard enough to find a focus with probability {} or more.",
            words::given(coverage.target)
        )
    };
    format!(
        "{enough} The focus meant is {} across, with {} infections per pig-year, present for the {} to {}. \
         On {} ha too few pigs were examined to say that there is no focus, and none is shown (unseen land).",
        words::km(coverage.patch_m),
        coverage.design_force_of_infection,
        words::months(coverage.window_months),
        analysis.layout.as_of,
        words::hectares(sum(|l| l.standing_ha[3]))
    )
}

/// Mean probability of finding a focus, area by area; the least only where it lies clearly lower.
pub(crate) fn means(analysis: &Analysis, all: &[AreaCoverage]) -> Option<String> {
    let mut means: Vec<(f64, &str)> =
        judged(all).iter().filter_map(|l| Some((l.mean_sensitivity?, name(analysis, l.zone)))).collect();
    means.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (means.first()?.0, means.last()?.0);
    let such = "would have been found with probability";
    Some(match means.as_slice() {
        [(mean, _)] => format!("On average such a focus {such} {}.", words::chance(*mean)),
        _ if last - first < ALIKE => format!(
            "The areas are alike: on average such a focus {such} {}.",
            words::range(first, last, words::chance)
        ),
        [(mean, name), (next, _), ..] if next - mean >= ALIKE => format!(
            "Least looked at is {name}: there such a focus {such} {} on average, elsewhere {}.",
            words::chance(*mean),
            if means.len() == 2 { words::chance(*next) } else { words::range(*next, last, words::chance) }
        ),
        _ => format!(
            "On average such a focus {such} {} to {}, area by area.",
            words::chance(first),
            words::chance(last)
        ),
    })
}

/// Pigs that would close a gap.
pub(crate) fn pigs_for_gap(analysis: &Analysis, gap: &Gap) -> String {
    match gap.pigs_needed {
        Some(n) => words::grouped(n as f64),
        None => format!("more than {}", words::grouped(analysis.layout.study.sampling.most_pigs as f64)),
    }
}

/// A gap's place: its area, and whether it is all of it.
pub(crate) fn gap_place(analysis: &Analysis, all: &[AreaCoverage], gap: &Gap) -> String {
    let Some(zone) = gap.zone else { return "no areas in the study".into() };
    let name = name(analysis, Some(zone));
    let land = all.iter().find(|l| l.zone == Some(zone)).map_or(f64::INFINITY, |l| l.area_ha);
    if gap.area_ha >= 0.99 * land { format!("all of {name}") } else { name.to_string() }
}
