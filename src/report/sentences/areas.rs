//! Figures of areas: how much land is active, and when its infections happened.

use crate::assess::areas::ZoneFigures;
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::words;

/// The grid as an area among the areas.
pub(crate) const WHOLE_GRID: &str = "Whole grid, sea and unvisited land too";

/// How much land is active where most of it is, and the mean force of infection there.
///
/// The grid reaches beyond the areas, where little more than the prior is known: with areas, the sentence
/// is about one of them.
pub(crate) fn active_land(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    let (place, f) = match a.zones.iter().max_by(|x, y| x.active_ha.median().total_cmp(&y.active_ha.median()))
    {
        Some(z) => (z.name.as_str(), z),
        None => ("the grid", &a.study_area),
    };
    format!(
        "{} {place}: about {} of {} ha (90 % credible interval, CrI, {} ha). \
         The mean force of infection there is {} infections per pig-year (90 % CrI {}): \
         of 100 pigs living there for a year, about {} would be infected ({}).",
        if a.zones.len() > 1 { "Active land is widest in" } else { "Active land in" },
        words::hectares(f.active_ha.median()),
        words::hectares(f.area_ha),
        words::range(f.active_ha.q05(), f.active_ha.q95(), words::hectares),
        words::two_digits(f.hazard.median()),
        words::range(f.hazard.q05(), f.hazard.q95(), words::two_digits),
        words::of_100_pigs(f.hazard.median()),
        words::range(f.hazard.q05(), f.hazard.q95(), words::of_100_pigs),
    )
}

/// Active land of an area: median and 90 % CrI.
pub(crate) fn active_ha(z: &ZoneFigures) -> String {
    let s = &z.active_ha;
    format!("{} ({})", words::hectares(s.median()), words::range(s.q05(), s.q95(), words::hectares))
}

/// Mean force of infection of an area: median and 90 % CrI.
pub(crate) fn force_of_infection(z: &ZoneFigures) -> String {
    let s = &z.hazard;
    format!("{} ({})", words::two_digits(s.median()), words::range(s.q05(), s.q95(), words::two_digits))
}

/// Infections of examined pigs attributed to an area, and those of the recent months.
pub(crate) fn infected_inside(z: &ZoneFigures) -> String {
    format!(
        "{} ({})",
        words::expected(z.infected_inside_expected),
        words::expected(z.infected_recently_expected)
    )
}

/// Pigs of an area, how many were positive or suspect, and how many of those confirmed.
pub(crate) fn pigs(z: &ZoneFigures) -> String {
    format!("{}, {} ({})", words::grouped(z.pigs as f64), z.positives, z.confirmed)
}
