//! What was read of the files, and what was found on the way.

use crate::ingest::findings::{Counts, Finding, Place, Severity};
use crate::ingest::input_file::InputFile;
use serde::Serialize;

/// What was read, and what was found on the way.
#[derive(Debug, Clone, Default)]
pub struct Account {
    /// Every finding: file by file, row by row.
    pub findings: Vec<Finding>,
    /// What became of the pig rows.
    pub counts: Counts,
    /// Every file read, with its fingerprint.
    pub inputs: Vec<InputFile>,
    /// Pigs used whose age comes from the `dentition` column.
    pub ages_from_jaw: usize,
    /// The study's system, and the ways positions took into it with their accuracy.
    pub projection_note: String,
    /// What was read otherwise than as our own columns are written, once per column.
    pub inferences: Vec<Inference>,
    /// Cells corrected by hand.
    pub corrections: Vec<Correction>,
    /// What was read of every row.
    pub rows: Vec<RowAccount>,
}

/// Something read otherwise than as our own columns are written, said once per column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Inference {
    /// File, and sheet where a workbook has several.
    pub file: String,
    /// Column name in the file.
    pub column: String,
    /// What it is read as.
    pub read_as: String,
    /// What that rests on.
    pub evidence: String,
    /// The lines of the study file that pin it, or overrule it with another value.
    pub key: String,
    /// Whether nothing but a key can decide.
    pub undecided: bool,
}

impl Inference {
    /// As a finding on the file.
    pub(crate) fn finding(&self) -> Finding {
        let place = Place { file: &self.file, row: None };
        let (severity, code) = match self.undecided {
            true => (Severity::Warning, "column-undecided"),
            false => (Severity::Note, "column-read-as"),
        };
        let message = match self.undecided {
            true => format!("is not settled: {}", self.evidence),
            false => format!("is read as {} ({})", self.read_as, self.evidence),
        };
        let key = self.key.replace('\n', " ");
        let fix = if self.undecided { format!("say it with {key}") } else { format!("pin or change: {key}") };
        place.cell(severity, code, Some(&self.column), None, message, fix)
    }
}

/// A cell corrected by hand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Correction {
    /// File, and sheet where a workbook has several.
    pub file: String,
    /// Row as a spreadsheet counts.
    pub row: usize,
    /// Column name in the file.
    pub column: String,
    /// What stands in the file.
    pub before: String,
    /// What is read instead.
    pub value: String,
    /// Who corrected it.
    pub who: String,
    /// The reason.
    pub why: String,
}

/// What was read of one field of a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FieldRead {
    /// Our own column.
    pub field: &'static str,
    /// What is used.
    pub value: String,
    /// The column in the file.
    pub column: String,
    /// What stands there.
    pub text: String,
    /// How the value was read from the text.
    pub rule: &'static str,
}

/// What became of one row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RowAccount {
    /// File as named in the study, and the sheet where it has several.
    pub file: String,
    /// Row as a spreadsheet counts.
    pub row: usize,
    /// Number of the specimen.
    pub id: String,
    /// `used`, `used with a warning`, `refused`, `left out`, `part of` another row.
    pub status: &'static str,
    /// Why, where it is not simply used.
    pub reason: String,
    /// What was read of each field.
    pub fields: Vec<FieldRead>,
}
