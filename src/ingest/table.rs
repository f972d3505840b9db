//! One table from any file: column names and rows of text, whatever the format.
//!
//! No reader guesses types. Every cell is handed on as the text a person would see, so that
//! a finding can quote it; numbers and dates are read in one place, by
//! [`crate::ingest::values::number`] and [`crate::ingest::values::date`].
//!
//! | extension | read as |
//! | --- | --- |
//! | `.csv` `.tsv` `.txt` | delimited text: comma, semicolon or tab, found from the header line |
//! | `.xlsx` `.xlsm` `.xlsb` `.xls` `.ods` | a sheet of a workbook |
//! | `.parquet` `.pq` | Parquet |
//! | `.geojson` `.json` | GeoJSON points; the geometry becomes two columns |
//! | `.gpkg` | a layer of a GeoPackage, of points or without places |

use crate::ingest::columns::plain;
use crate::ingest::errors::IngestError;
use crate::ingest::findings::Finding;
use crate::ingest::input_file::InputFile;
use sha2::{Digest, Sha256};
use std::path::Path;

/// A file as rows of text.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    /// File name as given in the study file.
    pub file: String,
    /// Column names, trimmed, in the file's order.
    pub column_names: Vec<String>,
    /// Rows that hold something, in the file's order.
    pub rows: Vec<Row>,
    /// What was found about the file as a whole.
    pub notes: Vec<Finding>,
    /// Name of the sheet, in a workbook.
    pub sheet: String,
    /// Texts above the header row, and of sheets without a table.
    pub preamble: Vec<String>,
    /// Units that stand in a row of their own, one per column name; empty texts where none do.
    pub units: Vec<String>,
    /// Rows that are no records: further headers, units, totals, notes.
    pub passed_over: Vec<PassedOver>,
}

/// A row that is no record, with the reason.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct PassedOver {
    /// Its number in the file.
    pub row: usize,
    /// What it is: `header`, `units`, `total`, `note`.
    pub what: &'static str,
    /// Its text.
    pub text: String,
}

/// One row of text.
#[derive(Debug, Clone, Default)]
pub(crate) struct Row {
    /// Line (text), sheet row (XLSX), or feature/row number from 1 (GeoJSON, GeoPackage, Parquet).
    pub number: usize,
    /// One text per column name where `problem` is `None`; not trimmed.
    pub cells: Vec<String>,
    /// Why the cells cannot be trusted, if they cannot.
    pub problem: Option<RowProblem>,
}

/// Why a row's cells cannot be matched with the column names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum RowProblem {
    /// Fewer or more cells than column names.
    Ragged {
        /// Cells in the row.
        cells: usize,
        /// Column names in the file.
        column_names: usize,
    },
    /// A quotation mark opens a cell and is not closed on the row.
    UnclosedQuote,
    /// A GeoJSON feature that is not a point.
    NotAPoint {
        /// Kind of geometry found.
        kind: &'static str,
    },
    /// A geometry that cannot be read.
    PlaceUnreadable {
        /// What is wrong with it.
        reason: String,
    },
}

/// Where a column name stands in a file: as it is written, otherwise as column names are compared.
pub(crate) fn headed(table: &Table, column_name: &str) -> Vec<usize> {
    let all = |same: &dyn Fn(&str) -> bool| -> Vec<usize> {
        table.column_names.iter().enumerate().filter(|(_, h)| same(h)).map(|(i, _)| i).collect()
    };
    let exact = all(&|h| h.trim() == column_name.trim());
    if exact.is_empty() { all(&|h| plain(h) == plain(column_name)) } else { exact }
}

/// Reads a whole file and takes its fingerprint.
///
/// # Errors
/// [`IngestError::Unreadable`].
pub(crate) fn read_bytes(
    path: &Path,
    name: &str,
    role: &'static str,
) -> Result<(Vec<u8>, InputFile), IngestError> {
    let bytes = std::fs::read(path)
        .map_err(|e| IngestError::Unreadable { file: name.to_string(), reason: e.to_string() })?;
    let digest = Sha256::digest(&bytes);
    let sha256 = digest.iter().map(|b| format!("{b:02x}")).collect();
    let input = InputFile { path: name.to_string(), role, bytes: bytes.len() as u64, sha256, rows: None };
    Ok((bytes, input))
}

/// Runs a reader of a binary format that may panic on a damaged file, and makes that an error.
///
/// The readers are libraries; the Parquet one panics on some damaged files (found by the test
/// that changes bytes). Nothing they leave half-done outlives the call.
pub(crate) fn guarded<T>(
    name: &str,
    format: &'static str,
    read: impl FnOnce() -> Result<T, IngestError>,
) -> Result<T, IngestError> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(read)).unwrap_or_else(|_| {
        Err(IngestError::Malformed {
            file: name.to_string(),
            format,
            reason: "the file is damaged".to_string(),
        })
    })
}

/// A number as a person would write it: whole numbers without a decimal point, otherwise the
/// shortest text that reads back as the same number.
///
/// ```
/// use pignut::internals::ingest::table::number_text;
/// assert_eq!(number_text(12.0), "12");
/// assert_eq!(number_text(-41.29), "-41.29");
/// ```
pub fn number_text(value: f64) -> String {
    // Rust prints f64 without an exponent and without ".0" for whole numbers.
    format!("{value}")
}
