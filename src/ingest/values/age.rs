//! The age at death: recorded bounds, otherwise an interval from the jaw, otherwise unknown.
//!
//! `ageMinMonths` and `ageMaxMonths` bound the age at death, in months; equal bounds are an
//! exact age. With the upper bound alone the age lies between 0 and it. With the lower bound
//! alone the upper one is taken as [`OPEN_AGE_TOP_MONTHS`], or [`OPEN_AGE_SPAN_MONTHS`] past
//! the lower bound where that is later, never past `exposure.max_age_months`. With neither,
//! `dentition` gives an interval by the table of eruption ([`crate::ageing`]); bounds that are
//! recorded win over it, and a jaw that fights them is a warning. With nothing the age is unknown
//! and a mixture over age classes is used. Each assumption is a warning.

use crate::ageing::estimate::Estimate;
use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::row_view::RowView;
use crate::ingest::values::date::date_span;
use crate::ingest::values::dentition::{Fault, Jaws};
use crate::ingest::values::number::{MONTHS, complaint, number};
use crate::ingest::values::written_age::OLDEST_AGE_MONTHS;
use crate::records::{Age, DateSpan};

/// Upper age taken where only a lower bound is given, months. Own choice, no source. Most
/// hunted pigs are younger (60 to 80 % of a harvest under 48 months in a hunters' guide to
/// jaws, a lay source), so the greatest age of a pig would overstate the exposure of most.
pub(crate) const OPEN_AGE_TOP_MONTHS: f64 = 60.0;
/// Least width of an age interval left open at the top, months. Own choice, no source.
pub(crate) const OPEN_AGE_SPAN_MONTHS: f64 = 24.0;

/// An age, and whether the jaw told it.
pub(crate) struct Told {
    pub age: Age,
    pub by_jaw: bool,
}

/// The age at death; `None` when a cell is wrong or nothing is known.
pub(crate) fn age(
    row: &RowView,
    max_age_months: f64,
    jaws: &Jaws,
    killed: Option<DateSpan>,
    findings: &mut Vec<Finding>,
) -> Option<Told> {
    let mut faulty = false;
    let mut bound = |column: Column| -> Option<f64> {
        let text = row.text(column)?;
        let fault = match number(text) {
            Ok(v) if v < 0.0 => {
                ("age-negative", "is below 0".to_string(), "write the age in months".to_string())
            }
            Ok(v) if v > OLDEST_AGE_MONTHS => (
                "age-too-old",
                format!(
                    "is more than {OLDEST_AGE_MONTHS} months, that is {} years",
                    OLDEST_AGE_MONTHS / 12.0
                ),
                "write the age in months, not days".to_string(),
            ),
            Ok(v) => return Some(v),
            Err(problem) => {
                let (message, suggested_correction) =
                    complaint(&problem, MONTHS, "leave it empty if unknown");
                ("age-not-a-number", message, both_bounds(text).unwrap_or(suggested_correction))
            }
        };
        faulty = true;
        findings.push(row.finding(Severity::Refused, fault.0, column, fault.1, fault.2));
        None
    };
    let (min, max) = (bound(Column::AgeMin), bound(Column::AgeMax));
    if faulty {
        return None;
    }
    let mut warn = |code, column, message: String, suggested_correction: &str| {
        findings.push(row.finding(Severity::Warning, code, column, message, suggested_correction));
    };
    let (min_months, max_months) = match (min, max) {
        (Some(min), Some(max)) => (min, max),
        (Some(min), None) => {
            let open = OPEN_AGE_TOP_MONTHS.max(min + OPEN_AGE_SPAN_MONTHS);
            let max = open.min(max_age_months).max(min);
            warn(
                "age-upper-missing",
                Column::AgeMin,
                format!("has no upper bound beside it; {max} months is assumed"),
                "fill in ageMaxMonths",
            );
            (min, max)
        }
        (None, Some(max)) => {
            warn(
                "age-lower-missing",
                Column::AgeMax,
                "has no lower bound beside it; 0 months is assumed".into(),
                "fill in ageMinMonths",
            );
            (0.0, max)
        }
        (None, None) => {
            if row.text(Column::Dentition).is_none() {
                findings.push(row.row_finding(
                    Severity::Warning,
                    "age-unknown",
                    "has no age; a mixture over age classes is used",
                    "fill in ageMinMonths and ageMaxMonths, or dentition: without an age a pig says little \
                     about when",
                ));
            }
            let jaw = jaw(row, jaws, killed, "; the age counts as unknown", findings)?;
            return by_jaw(row, &jaw, max_age_months, findings);
        }
    };
    if min_months > max_months {
        findings.push(row.finding(
            Severity::Refused,
            "age-bounds-reversed",
            Column::AgeMin,
            format!("is above {} = {max_months}", row.column_name(Column::AgeMax)),
            "write the lower bound first",
        ));
        return None;
    }
    if row.text(Column::Dentition).is_some() {
        let jaw = jaw(row, jaws, killed, "; the recorded ages are used", findings);
        if let Some(j) =
            jaw.filter(|j| j.informed && (j.min_months > max_months || j.max_months < min_months))
        {
            findings.push(row.finding(
                Severity::Warning,
                "age-against-dentition",
                Column::Dentition,
                format!(
                    "allows {} to {} months ({}), and the age recorded is {min_months} to {max_months}, \
                     which is used",
                    j.min_months,
                    j.max_months,
                    j.reason()
                ),
                "correct the ages or the dentition",
            ));
        }
    }
    if max_months > max_age_months {
        findings.push(row.finding(
            Severity::Warning,
            "age-over-limit",
            if max.is_some() { Column::AgeMax } else { Column::AgeMin },
            format!("is above exposure.max_age_months = {max_age_months}: exposure before that is left out"),
            "check the age, or raise exposure.max_age_months",
        ));
    }
    Some(Told { age: Age::Interval { min_months, max_months }, by_jaw: false })
}

/// The suggested correction of a cell that holds two ages, or a date that a spreadsheet has made of them.
fn both_bounds(text: &str) -> Option<String> {
    if date_span(text).is_ok_and(|span| span.first == span.last) {
        return Some(
            "a spreadsheet may have made a date of two ages: write the younger and the older in columns of \
             their own, in months"
                .into(),
        );
    }
    let (min, max) = text.split_once(['-', '\u{2013}'])?;
    let (min, max) = (number(min).ok()?, number(max).ok()?);
    (min < max).then(|| format!("write {min} in ageMinMonths and {max} in ageMaxMonths, if months are meant"))
}

/// What the jaw says, or a finding on why it says nothing.
fn jaw(
    row: &RowView,
    jaws: &Jaws,
    killed: Option<DateSpan>,
    instead: &str,
    findings: &mut Vec<Finding>,
) -> Option<Estimate> {
    let column = Column::Dentition;
    let mut warn = |code, message: String, suggested_correction: String| {
        findings.push(row.finding(Severity::Warning, code, column, message, suggested_correction));
        None
    };
    match jaws.age(row.text(column)?, killed) {
        Ok(jaw) => Some(jaw),
        Err(Fault::Unreadable(e)) => {
            warn("dentition-not-read", format!("{e}{instead}"), e.suggested_correction())
        }
        Err(Fault::Contradictory(c)) => warn(
            "dentition-contradictory",
            format!("contradicts itself: {c}{instead}"),
            "look at the jaw again, and leave out a tooth that is in doubt".into(),
        ),
    }
}

/// The jaw's interval as the pig's age.
fn by_jaw(row: &RowView, jaw: &Estimate, max_age_months: f64, findings: &mut Vec<Finding>) -> Option<Told> {
    let mut warn = |code, message: String, suggested_correction: &str| {
        findings.push(row.finding(Severity::Warning, code, Column::Dentition, message, suggested_correction));
    };
    if !jaw.informed {
        warn(
            "dentition-says-nothing",
            "tells nothing of the age, which counts as unknown".into(),
            "write what other teeth show, or fill in ageMinMonths and ageMaxMonths",
        );
        return None;
    }
    // An open age is counted as far as the study counts exposure.
    let max_months = jaw.max_months.min(max_age_months).max(jaw.min_months);
    if jaw.open_top {
        warn(
            "dentition-top-open",
            format!("sets no upper bound ({}); {max_months} months is assumed", jaw.reason()),
            "add the wear class, such as \"wear 2\"",
        );
    }
    Some(Told { age: Age::Interval { min_months: jaw.min_months, max_months }, by_jaw: true })
}
