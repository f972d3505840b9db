//! Findings: what is wrong with a file, a row or a cell, and how to correct it.
//!
//! A finding always says *where* (file, row as the user's editor counts, column name),
//! *what* was read (the value, cut to [`VALUE_CHARS`] characters), what is wrong and
//! what to write instead. Findings are collected, all of them; the run goes on.

use serde::Serialize;
use std::fmt;

/// Longest value shown in a finding, characters; a longer one is cut and ends in `…`.
pub(crate) const VALUE_CHARS: usize = 60;

/// What a finding means for the row it is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The row (or feature, or file) is not used.
    Refused,
    /// Used, with an assumption or a doubt the user should know.
    Warning,
    /// Used as it stands; worth knowing.
    Note,
}

impl Severity {
    /// The word used in files: `refused`, `warning`, `note`.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Refused => "refused",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// One thing found in the input.
///
/// ```
/// use pignut::internals::ingest::findings::{Finding, Severity};
/// let f = Finding {
///     severity: Severity::Refused,
///     code: "age-not-a-number",
///     file: "pigs.csv".into(),
///     row: Some(41),
///     column: Some("ageMinMonths".into()),
///     value: Some("6m".into()),
///     message: "is not a number".into(),
///     suggested_correction: "write 6, or leave it empty if unknown".into(),
/// };
/// assert_eq!(
///     f.to_string(),
///     "pigs.csv row 41, column \"ageMinMonths\": \"6m\" is not a number; \
///      write 6, or leave it empty if unknown"
/// );
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// What it means for the row.
    pub severity: Severity,
    /// Stable name of the kind of finding, kebab-case.
    pub code: &'static str,
    /// File name as given in the study file.
    pub file: String,
    /// Line (text), sheet row (XLSX), or feature/row number from 1 (GeoJSON, Parquet); `None`: the file as a
    /// whole.
    pub row: Option<usize>,
    /// Heading in the user's file.
    pub column: Option<String>,
    /// Value as read, cut to [`VALUE_CHARS`] characters; `None` when the cell is empty or no cell is meant.
    pub value: Option<String>,
    /// What is wrong, readable after the value.
    pub message: String,
    /// What to do about it.
    pub suggested_correction: String,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(row) = self.row {
            write!(f, " row {row}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", column \"{column}\"")?;
        }
        f.write_str(": ")?;
        if let Some(value) = &self.value {
            write!(f, "\"{value}\" ")?;
        }
        write!(f, "{}; {}", self.message, self.suggested_correction)
    }
}

/// A value cut to [`VALUE_CHARS`] characters, line breaks shown as spaces.
///
/// ```
/// assert_eq!(pignut::internals::ingest::findings::cut("a\nb"), "a b");
/// assert_eq!(pignut::internals::ingest::findings::cut(&"x".repeat(99)).chars().count(), 60);
/// ```
pub fn cut(value: &str) -> String {
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    if value.chars().count() <= VALUE_CHARS {
        value.chars().map(clean).collect()
    } else {
        value.chars().take(VALUE_CHARS - 1).map(clean).chain(['…']).collect()
    }
}

/// The cause that keeps most rows from being used, with its fix: the refusals of one kind in one column.
pub(crate) fn main_cause(all: &[Finding]) -> Option<String> {
    let mut kinds: Vec<(&Finding, usize)> = Vec::new();
    for finding in all.iter().filter(|f| f.severity == Severity::Refused) {
        match kinds.iter_mut().find(|(f, _)| f.code == finding.code && f.column == finding.column) {
            Some((_, n)) => *n += 1,
            None => kinds.push((finding, 1)),
        }
    }
    // Of equals the first stands.
    let (first, n) = kinds.into_iter().rev().max_by_key(|(_, n)| *n)?;
    Some(match (n, first.row) {
        (1, _) | (_, None) => format!("the cause is {first}"),
        _ => format!("{n} rows have one cause, such as {first}"),
    })
}

/// Where a finding is made: a file, a row and a severity, to which the rest is added.
///
/// Rows and files share this so that every finding is written in one way.
#[derive(Debug, Clone)]
pub(crate) struct Place<'a> {
    /// File name as given in the study file.
    pub file: &'a str,
    /// Row, when a row is meant.
    pub row: Option<usize>,
}

impl Place<'_> {
    /// A finding about the row (or file) as a whole.
    pub(crate) fn whole(
        &self,
        severity: Severity,
        code: &'static str,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        self.cell(severity, code, None, None, message, suggested_correction)
    }

    /// A finding about a cell: column name and value where there are any.
    pub(crate) fn cell(
        &self,
        severity: Severity,
        code: &'static str,
        column: Option<&str>,
        value: Option<&str>,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        Finding {
            severity,
            code,
            file: self.file.to_string(),
            row: self.row,
            column: column.map(str::to_string),
            value: value.map(cut),
            message: message.into(),
            suggested_correction: suggested_correction.into(),
        }
    }
}

/// How many pig rows were read and what became of them.
///
/// `read == used + used_with_warning + refused + left_out + joined`, always ([`Counts::check`]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    /// Pig rows read over all files (rows with nothing in any cell are not rows).
    pub read: usize,
    /// Used without a refusal or a warning (notes do not count against a row).
    pub used: usize,
    /// Used with at least one warning.
    pub used_with_warning: usize,
    /// Not used; each has a finding that says why.
    pub refused: usize,
    /// Left out because they are no pig or were withdrawn; each has a note that says why.
    pub left_out: usize,
    /// Rows that became part of another row of the same animal.
    pub joined: usize,
}

impl Counts {
    /// Adds one row, given the severities of its findings.
    pub fn add(&mut self, findings: &[Finding]) {
        self.read += 1;
        match findings.iter().map(|f| f.severity).min() {
            Some(Severity::Refused) => self.refused += 1,
            Some(Severity::Warning) => self.used_with_warning += 1,
            Some(Severity::Note) | None => self.used += 1,
        }
    }

    /// Adds rows that were left out, those of them that are refused, and rows that became part of others.
    pub(crate) fn set_aside(&mut self, left_out: usize, refused: usize, joined: usize) {
        self.read += left_out + joined;
        self.left_out += left_out - refused;
        self.refused += refused;
        self.joined += joined;
    }

    /// Whether the counts add up.
    pub fn check(&self) -> bool {
        self.read == self.used + self.used_with_warning + self.refused + self.left_out + self.joined
    }
}
