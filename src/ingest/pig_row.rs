//! One row of pig records: every cell read, every fault found, nothing converted yet.
//!
//! A row becomes a draft. All of its faults are found, not only the first, so that a user
//! corrects a file once. A draft with a refusal is not used; its findings say why.
//!
//! # Dates
//! `eventDate` may be a day, a month, a year or an interval. It may not lie after the study's
//! `as_of` day (or today, when none is given), nor before [`FIRST_YEAR`]. An interval that
//! only ends after that day is cut to it, with a note.

use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::row_view::RowView;
use crate::ingest::table::RowProblem;
use crate::ingest::values::age::age;
use crate::ingest::values::date::{complaint as date_complaint, date_span};
use crate::ingest::values::dentition::Jaws;
use crate::ingest::values::number::{METRES, complaint, number};
use crate::ingest::values::position::WrittenPosition;
use crate::ingest::values::{inspection, position};
use crate::records::{
    Age, CIRCLE_95, DAYS_PER_MONTH, DateSpan, Inspection, Reading, Sex, Source, day_number,
};
use crate::study::study_file::Study;
use jiff::civil::Date;

/// First year believed of a kill. Own choice: earlier dates are mistyped.
pub(crate) const FIRST_YEAR: i16 = 1950;
/// Radius of a GPS position above which it says little about where a pig lived, metres. Own choice.
pub(crate) const LARGE_UNCERTAINTY_M: f64 = 5000.0;

/// A row as read.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    pub source: Source,
    pub id: Option<String>,
    /// The user's column name of the id.
    pub id_column: String,
    pub places: Vec<WrittenPosition>,
    pub position_sd_m: f64,
    pub sex: Sex,
    pub killed: Option<DateSpan>,
    pub age: Age,
    /// Whether the age was told by the jaw.
    pub age_from_jaw: bool,
    pub released_on: Option<Date>,
    pub inspection: Inspection,
    pub reading: Option<Reading>,
    pub findings: Vec<Finding>,
}

impl Draft {
    /// Whether the row is not used.
    pub(crate) fn is_refused(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Refused)
    }

    /// In what two rows of one specimen differ.
    pub(crate) fn differs(&self, other: &Draft) -> Vec<&'static str> {
        let place =
            |d: &Draft| d.places.iter().map(|w| (w.at.x.to_bits(), w.at.y.to_bits())).collect::<Vec<_>>();
        [
            ("date", self.killed != other.killed),
            ("position", place(self) != place(other)),
            ("sex", self.sex != other.sex),
            ("age", self.age != other.age),
            ("result", self.inspection != other.inspection),
            ("day of release", self.released_on != other.released_on),
        ]
        .into_iter()
        .filter(|d| d.1)
        .map(|d| d.0)
        .collect()
    }
}

/// Reads one row; `latest` is the last day a pig may have been killed.
pub(crate) fn draft(row: &RowView, study: &Study, jaws: &Jaws, latest: Date) -> Draft {
    let mut draft = Draft {
        source: Source { file: row.file().to_string(), row: row.read.number },
        id: None,
        id_column: row.column_name(Column::OccurrenceId).into(),
        places: Vec::new(),
        position_sd_m: study.detection.position_radius_m / CIRCLE_95,
        sex: Sex::Unknown,
        killed: None,
        age: Age::Unknown,
        age_from_jaw: false,
        released_on: None,
        inspection: Inspection::default(),
        reading: None,
        findings: Vec::new(),
    };
    if let Some(finding) = row_problem(row) {
        draft.findings.push(finding);
        return draft;
    }
    let f = &mut draft.findings;
    draft.id = row.text(Column::OccurrenceId).map(str::to_string);
    if draft.id.is_none() {
        f.push(row.finding(
            Severity::Refused,
            "id-missing",
            Column::OccurrenceId,
            "is empty",
            "give every specimen a number of its own",
        ));
    }
    draft.killed = killed(row, latest, f);
    draft.released_on = released(row, f);
    let (places, mut faults) = position::written(row);
    draft.places = places;
    f.append(&mut faults);
    if let Some(radius) = radius_m(row, f) {
        draft.position_sd_m = radius / CIRCLE_95;
    }
    draft.sex = sex(row, f);
    if let Some(told) = age(row, study.exposure.max_age_months, jaws, draft.killed, f) {
        (draft.age, draft.age_from_jaw) = (told.age, told.by_jaw);
    }
    let (inspection, reading, mut faults) = inspection::read(row);
    (draft.inspection, draft.reading) = (inspection, reading);
    f.append(&mut faults);
    if let (Some(killed), Some(released)) = (draft.killed, draft.released_on) {
        f.extend(sentinel(row, killed, released, draft.age));
    }
    add_faults(row, f);
    draft
}

/// Adds what could not be read of the sheet's own words; a cell that could not be read is not missing.
fn add_faults(row: &RowView, findings: &mut Vec<Finding>) {
    const ABSENT: [(&str, &[Column]); 5] = [
        ("date-missing", &[Column::EventDate]),
        ("position-missing", &[Column::DecimalLatitude, Column::Easting]),
        ("result-missing", &[Column::GrossLesion, Column::LabResult]),
        ("age-unknown", &[Column::AgeMin]),
        ("id-missing", &[Column::OccurrenceId]),
    ];
    for (column, fault) in &row.read.faults {
        findings.retain(|f| {
            let absent = ABSENT.iter().find(|(code, _)| *code == f.code);
            !absent.is_some_and(|(_, columns)| column.is_some_and(|c| columns.contains(&c)))
        });
        findings.push(fault.clone());
    }
}

fn row_problem(row: &RowView) -> Option<Finding> {
    let refuse = |code, message: String, suggested_correction: &str| {
        Some(row.row_finding(Severity::Refused, code, message, suggested_correction))
    };
    match row.read.problem.as_ref()? {
        RowProblem::Ragged { cells, column_names } if cells < column_names => refuse(
            "row-too-short",
            format!("has {cells} cells for {column_names} column names"),
            "fill the row up; an empty cell still needs its delimiter",
        ),
        RowProblem::Ragged { cells, column_names } => refuse(
            "row-too-long",
            format!("has {cells} cells for {column_names} column names"),
            "put a cell that holds the delimiter between quotation marks",
        ),
        RowProblem::UnclosedQuote => {
            let line = row.read.raw.first().map(String::as_str);
            let place = crate::ingest::findings::Place { file: row.file(), row: Some(row.read.number) };
            Some(place.cell(
                Severity::Refused,
                "quote-not-closed",
                None,
                line,
                "opens a quotation mark that is not closed on the row",
                "close it, or double a quotation mark that belongs to the text",
            ))
        }
        RowProblem::NotAPoint { kind } => refuse(
            "geometry-not-a-point",
            format!("is a {kind}, not a point"),
            "give each pig one point, such as where it was shot",
        ),
        RowProblem::PlaceUnreadable { reason } => {
            refuse("geometry-unreadable", reason.clone(), "save the layer again with plain points")
        }
    }
}

fn killed(row: &RowView, latest: Date, findings: &mut Vec<Finding>) -> Option<DateSpan> {
    let column = Column::EventDate;
    let mut refuse = |code, message: String, suggested_correction: String| {
        findings.push(row.finding(Severity::Refused, code, column, message, suggested_correction));
        None
    };
    let Some(text) = row.text(column) else {
        return refuse(
            "date-missing",
            "is empty".into(),
            "fill in the date killed; a month (2021-03) or a year (2021) will do".into(),
        );
    };
    let span = match date_span(text) {
        Ok(span) => span,
        Err(problem) => {
            let (code, message, suggested_correction) = date_complaint(&problem);
            return refuse(code, message, suggested_correction);
        }
    };
    if span.first > latest {
        return refuse(
            "date-in-future",
            format!("lies after {latest}, the analysis date"),
            "correct the date, or set study.as_of to a later day".into(),
        );
    }
    if span.first.year() < FIRST_YEAR {
        return refuse("date-too-old", format!("lies before {FIRST_YEAR}"), "correct the year".into());
    }
    let cut = DateSpan { first: span.first, last: span.last.min(latest) };
    if cut != span {
        findings.push(row.finding(
            Severity::Note,
            "date-cut",
            column,
            format!("reaches past {latest}, the analysis date, and is cut to it"),
            "nothing to do, or give a finer date",
        ));
    }
    if cut.days() > 31.0 {
        findings.push(row.finding(
            Severity::Note,
            "date-coarse",
            column,
            format!("leaves {} days open", cut.days()),
            "give the day or the month if it is known",
        ));
    }
    Some(cut)
}

fn released(row: &RowView, findings: &mut Vec<Finding>) -> Option<Date> {
    let text = row.text(Column::ReleasedOn)?;
    match date_span(text) {
        Ok(span) if span.first == span.last => Some(span.first),
        Ok(_) => {
            findings.push(row.finding(
                Severity::Refused,
                "release-date-coarse",
                Column::ReleasedOn,
                "is not a single day",
                "give the day of release: exposure is counted from it",
            ));
            None
        }
        Err(problem) => {
            let (_, message, suggested_correction) = date_complaint(&problem);
            findings.push(row.finding(
                Severity::Refused,
                "release-date-unreadable",
                Column::ReleasedOn,
                message,
                suggested_correction,
            ));
            None
        }
    }
}

fn sentinel(row: &RowView, killed: DateSpan, released: Date, age: Age) -> Option<Finding> {
    if released > killed.last {
        return Some(row.finding(
            Severity::Refused,
            "released-after-killed",
            Column::ReleasedOn,
            format!("lies after {}, the day it was killed", killed.last),
            "correct one of the two dates",
        ));
    }
    // At least this long between release and death, whichever day of the span it was killed.
    let months = (day_number(killed.first) - day_number(released)) / DAYS_PER_MONTH;
    match age {
        Age::Interval { max_months, .. } if months > max_months => Some(row.finding(
            Severity::Warning,
            "age-below-release",
            Column::ReleasedOn,
            format!(
                "is {months:.1} months before its death, which is more than its greatest age of \
                 {max_months} months"
            ),
            "correct the age or the date of release",
        )),
        _ => None,
    }
}

fn radius_m(row: &RowView, findings: &mut Vec<Finding>) -> Option<f64> {
    let column = Column::CoordinateUncertainty;
    let text = row.text(column)?;
    let mut warn = |code, message: String, suggested_correction: String| {
        findings.push(row.finding(Severity::Warning, code, column, message, suggested_correction));
    };
    let default = "; the study's default radius is used";
    match number(text) {
        Err(problem) => {
            let (message, suggested_correction) =
                complaint(&problem, METRES, "leave it empty for the study's default");
            warn("uncertainty-not-a-number", message + default, suggested_correction);
            None
        }
        Ok(r) if r < 0.0 => {
            warn(
                "uncertainty-negative",
                format!("is below 0{default}"),
                "write the radius in metres, or leave it empty".into(),
            );
            None
        }
        Ok(0.0) => {
            warn(
                "uncertainty-zero",
                format!("is 0, and no position is exact{default}"),
                "write the radius in metres, or leave it empty".into(),
            );
            None
        }
        Ok(r) => {
            if r > LARGE_UNCERTAINTY_M {
                warn(
                    "uncertainty-large",
                    format!(
                        "is more than {LARGE_UNCERTAINTY_M} m: the record says little about where the pig \
                         lived"
                    ),
                    "check the unit (metres) and the value".into(),
                );
            }
            Some(r)
        }
    }
}

fn sex(row: &RowView, findings: &mut Vec<Finding>) -> Sex {
    let Some(text) = row.text(Column::Sex) else {
        return Sex::Unknown;
    };
    match text.to_lowercase().as_str() {
        "f" | "female" | "sow" | "gilt" => Sex::Female,
        "m" | "male" | "boar" | "barrow" => Sex::Male,
        "u" | "unknown" | "?" => Sex::Unknown,
        _ => {
            findings.push(row.finding(
                Severity::Warning,
                "sex-unknown",
                Column::Sex,
                "is no sex known here; counted as not recorded",
                "write female or male, or leave it empty",
            ));
            Sex::Unknown
        }
    }
}
