//! Areas: whether transmission is ongoing, and how much land is active.

use crate::assess::areas::{ZoneFigures, verdict};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::words;

/// The grid as an area among the areas.
pub(crate) const WHOLE_GRID: &str = "Whole grid, sea and unvisited land too";

/// Whether some cell that lies mostly in an area is itself likely to be active.
fn any_cell_likely(analysis: &Analysis, zone: usize) -> bool {
    let shares = &analysis.layout.zone_shares[zone];
    analysis.assessment.cells.iter().zip(shares).any(|(c, s)| *s > 0.5 && verdict(c.p_active) == "likely")
}

/// What is said of ongoing transmission in an area: `likely`, `not ruled out`, `open`, `unlikely`.
///
/// Many cells, each a little likely, make an area that is likely to hold an active one. That is no find:
/// most often nobody has looked. It is said not to be ruled out, in headline and table alike.
pub(crate) fn ongoing(analysis: &Analysis, zone: Option<usize>, figures: &ZoneFigures) -> &'static str {
    match (verdict(figures.p_active_any), zone) {
        ("likely", Some(zone)) if !any_cell_likely(analysis, zone) => "not ruled out",
        (word, _) => word,
    }
}

/// What "active" means, in pigs.
pub(crate) fn active_means(analysis: &Analysis) -> String {
    let threshold = analysis.layout.study.recent.force_of_infection_threshold;
    format!(
        "Active means more than {threshold} infections per pig-year: \
         of 100 pigs living there for a year, more than {} would be infected.",
        words::of_100_pigs(threshold)
    )
}

/// Where transmission is ongoing.
pub(crate) fn transmission(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    let window =
        format!("the {} to {}", words::months(analysis.layout.study.recent.months), analysis.layout.as_of);
    if a.zones.is_empty() {
        let p = a.study_area.p_active_any;
        let word = match verdict(p) {
            "open" => "an open question",
            word => word,
        };
        return format!(
            "Ongoing transmission somewhere on the grid is {word} ({}). \
             In brackets: the probability that some cell was active over {window}. {}",
            words::chance(p),
            active_means(analysis)
        );
    }
    let named = |word: &str| -> Vec<String> {
        let all = a.zones.iter().enumerate();
        let mut zones: Vec<&ZoneFigures> =
            all.filter(|(i, z)| ongoing(analysis, Some(*i), z) == word).map(|(_, z)| z).collect();
        zones.sort_by(|x, y| y.p_active_any.total_cmp(&x.p_active_any));
        zones.iter().map(|z| format!("{} ({})", z.name, words::chance(z.p_active_any))).collect()
    };
    let parts: Vec<String> = [
        ("likely", "Ongoing transmission is likely in", "."),
        ("not ruled out", "It is not ruled out in", ", though no single cell is likely to be active."),
        ("open", "It is an open question in", "."),
        ("unlikely", "It is unlikely in", "."),
    ]
    .into_iter()
    .filter_map(|(word, said, end)| {
        let names = named(word);
        (!names.is_empty()).then(|| format!("{said} {}{end}", words::list(&names, 4)))
    })
    .collect();
    let mut said = parts.join(" ");
    // The first sentence names its subject, whichever it is.
    if let Some(rest) = said.strip_prefix("It is ") {
        said = format!("Ongoing transmission is {rest}");
    }
    format!(
        "{said} In brackets: the probability that some cell of the area was active over {window}. {}",
        active_means(analysis)
    )
}

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

/// When the infections attributed to an area happened: 90 % CrI.
pub(crate) fn infected_between(z: &ZoneFigures) -> String {
    z.window.map_or("too few to date".to_string(), |w| words::range(w[0], w[2], words::year_month))
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
