//! One pig, and all positive pigs together.

use crate::assess::attribution::PositiveFigures;
use crate::pipeline::analysis::Analysis;
use crate::records::{Age, Pig, Reading, Sex};
use crate::report::sentences::words;

/// Why a pig has no infection window.
pub(crate) const NO_WINDOW: &str = "at no time in its life could an infection have shown";
/// The probability of infection within the recent months, as a label.
pub(crate) const RECENT: &str = "infected in the recent months";
/// The probability of infection near the kill place within the recent months, as a label.
pub(crate) const LOCAL: &str = "infected in the recent months and near the kill place";
/// The probability of infection in the area of the kill place, as a label.
pub(crate) const IN_AREA: &str = "infected in the area where it was killed, at any time";

/// Age in words, months.
pub(crate) fn age(a: Age) -> String {
    match a {
        Age::Interval { min_months, max_months } if min_months == max_months => {
            format!("{min_months:.0} months")
        }
        Age::Interval { min_months, max_months } => format!("{min_months:.0} to {max_months:.0} months"),
        Age::Unknown => "age not recorded".into(),
    }
}

/// Sex in words.
fn sex(s: Sex) -> &'static str {
    match s {
        Sex::Female => "female",
        Sex::Male => "male",
        Sex::Unknown => "sex not recorded",
    }
}

/// Sex and age: `male, 16 months`.
pub(crate) fn sex_and_age(pig: &Pig) -> String {
    format!("{}, {}", sex(pig.sex), age(pig.age))
}

/// Day of death, or the span it is known to.
pub(crate) fn killed(pig: &Pig) -> String {
    if pig.killed.first == pig.killed.last {
        pig.killed.first.to_string()
    } else {
        format!("{} to {}", pig.killed.first, pig.killed.last)
    }
}

/// Result of a positive or suspect pig in a word.
pub(crate) fn result_word(pig: &Pig) -> &'static str {
    if pig.reading == Reading::Confirmed { "confirmed" } else { "suspect" }
}

/// Result of a positive or suspect pig.
pub(crate) fn result(pig: &Pig) -> &'static str {
    if pig.reading == Reading::Confirmed {
        "confirmed by the laboratory"
    } else {
        "lesion seen, not tested by a laboratory"
    }
}

/// Where a pig was probably infected.
pub(crate) fn origin(analysis: &Analysis, p: &PositiveFigures) -> String {
    let ha = |cells: &[usize]| words::hectares(cells.len() as f64 * analysis.layout.grid.cell_area_ha());
    match (p.area50.is_empty(), p.origin_distance_m_median) {
        (false, Some(m)) => format!(
            "50 % within {} ha, 90 % within {} ha; median distance from the kill place {} km",
            ha(&p.area50),
            ha(&p.area90),
            words::two_digits(m / 1000.0)
        ),
        _ => words::not_estimated("no origin on the grid"),
    }
}

/// One pig in a few sentences.
pub(crate) fn pig(analysis: &Analysis, p: &PositiveFigures) -> String {
    let study = &analysis.layout.study;
    let found = if analysis.layout.records.pigs[p.pig].reading == Reading::Confirmed {
        "The laboratory confirmed it."
    } else {
        "A lesion was seen; no laboratory has tested it."
    };
    let when = match p.infection_days {
        Some(q) => format!(
            "If so, it was infected between {} and {} (90 % CrI; median {}).",
            words::month(q[1]),
            words::month(q[5]),
            words::month(q[3])
        ),
        None => format!("Its infection window is {}.", words::not_estimated(NO_WINDOW)),
    };
    format!(
        "{found} The probability that it was truly infected is {}. {when} \
         The probability that it was infected within {} of the kill place in the {} to {} is {}.",
        words::chance(p.p_true),
        words::km(study.recent.local_radius_m),
        words::months(study.recent.months),
        analysis.layout.as_of,
        words::chance(p.p_local)
    )
}

/// How many positive and suspect pigs were truly infected, and how many of them recently.
pub(crate) fn positives(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    if a.positives.is_empty() {
        return "No positive or suspect pig is among the records, so no infection window is estimated."
            .into();
    }
    format!(
        "Of {}, {} were probably truly infected. Infected in the {} to {}: {}.",
        words::count(a.positives.len(), "positive or suspect pig", "positive and suspect pigs"),
        words::whole_pigs(a.positives.iter().map(|p| p.p_true).sum()),
        words::months(analysis.layout.study.recent.months),
        analysis.layout.as_of,
        words::whole_pigs(a.positives.iter().map(|p| p.p_recent).sum())
    )
}
