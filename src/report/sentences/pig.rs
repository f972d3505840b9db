//! One pig in words.

use crate::assess::attribution::PositiveFigures;
use crate::pipeline::analysis::Analysis;
use crate::records::{Age, Pig, Reading, Sex};
use crate::report::sentences::words;
use crate::study::study_file::Study;

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
pub(crate) fn sex(s: Sex) -> &'static str {
    match s {
        Sex::Female => "female",
        Sex::Male => "male",
        Sex::Unknown => "sex not recorded",
    }
}

/// Day of death, or the span it is known to.
pub(crate) fn killed(pig: &Pig) -> String {
    if pig.killed.first == pig.killed.last {
        pig.killed.first.to_string()
    } else {
        format!("{} to {}", pig.killed.first, pig.killed.last)
    }
}

/// One pig in a sentence or two.
pub(crate) fn pig_sentence(analysis: &Analysis, p: &PositiveFigures, study: &Study) -> String {
    let pig = &analysis.layout.records.pigs[p.pig];
    let found = if pig.reading == Reading::Confirmed {
        format!(
            "The laboratory confirmed it; the probability that it was truly infected is {}.",
            words::prob(p.p_true)
        )
    } else {
        format!(
            "A lesion was seen that no laboratory has judged; the probability that it was truly infected is {}.",
            words::prob(p.p_true)
        )
    };
    let when = match p.infection_days {
        Some(q) => format!(
            "If so, it was infected between {} and {} (90 % interval), the middle of the estimate being {}.",
            words::month(q[1]),
            words::month(q[5]),
            words::month(q[3])
        ),
        None => {
            "When it was infected is not estimated: no time in its life at which an infection could have shown.".into()
        }
    };
    let near = format!(
        "The probability that it was infected within {} km of the kill place and in the {} before {} is {}.",
        study.recent.local_radius_m / 1000.0,
        words::months(study.recent.months),
        analysis.layout.as_of,
        words::prob(p.p_local)
    );
    format!("{found} {when} {near}")
}
