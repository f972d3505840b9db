//! One table from any file: headings and rows of text, whatever the format.
//!
//! No reader guesses types. Every cell is handed on as the text a person would see, so that
//! a finding can quote it; numbers and dates are read in one place, by
//! [`crate::ingest::numbers`] and [`crate::ingest::dates`].
//!
//! | extension | read as |
//! | --- | --- |
//! | `.csv` `.tsv` `.txt` | delimited text: comma, semicolon or tab, found from the heading line |
//! | `.xlsx` `.xlsm` `.xlsb` `.xls` `.ods` | a sheet of a workbook |
//! | `.parquet` `.pq` | Parquet |
//! | `.geojson` `.json` | GeoJSON points; the geometry becomes two columns |
//! | `.gpkg` | a layer of a GeoPackage, of points or without places |

use super::{IngestError, problems::Finding};
use sha2::{Digest, Sha256};
use std::path::Path;

use super::geopackage::Ask;
use super::{csv_table, parquet_table, spatial, xlsx_table};

/// A file as rows of text.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// File name as given in the study file.
    pub file: String,
    /// Headings, trimmed, in the file's order.
    pub headings: Vec<String>,
    /// Rows that hold something, in the file's order.
    pub rows: Vec<Row>,
    /// What was found about the file as a whole.
    pub notes: Vec<Finding>,
}

/// One row of text.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// Line (text), sheet row (XLSX), or feature/row number from 1 (GeoJSON, GeoPackage, Parquet).
    pub number: usize,
    /// One text per heading where `problem` is `None`; not trimmed.
    pub cells: Vec<String>,
    /// Why the cells cannot be trusted, if they cannot.
    pub problem: Option<RowProblem>,
}

/// Why a row's cells cannot be matched with the headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowProblem {
    /// Fewer or more cells than headings.
    Ragged {
        /// Cells in the row.
        cells: usize,
        /// Headings in the file.
        headings: usize,
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

/// A file that was read, for the manifest.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct InputFile {
    /// Path as given in the study file.
    pub path: String,
    /// What it holds: `study`, `pigs`, `zones`, `blocks`, `cover`, `operations`, `ageing`.
    pub role: &'static str,
    /// Length, bytes.
    pub bytes: u64,
    /// SHA-256 of the bytes, hexadecimal.
    pub sha256: String,
    /// Rows or features read, where the file has them.
    pub rows: Option<usize>,
}

/// Reads a whole file and takes its fingerprint.
///
/// # Errors
/// [`IngestError::Unreadable`].
pub(crate) fn read_bytes(path: &Path, name: &str, role: &'static str) -> Result<(Vec<u8>, InputFile), IngestError> {
    let bytes =
        std::fs::read(path).map_err(|e| IngestError::Unreadable { file: name.to_string(), reason: e.to_string() })?;
    let digest = Sha256::digest(&bytes);
    let sha256 = digest.iter().map(|b| format!("{b:02x}")).collect();
    let input = InputFile { path: name.to_string(), role, bytes: bytes.len() as u64, sha256, rows: None };
    Ok((bytes, input))
}

/// Reads a table; the format follows from the extension.
///
/// `name` is used in findings, `sheet` only for workbooks (default: the first) and GeoPackages
/// (default: the only layer, or the one named as the role).
///
/// # Errors
/// [`IngestError`]: unreadable, not of the format its extension says, or an extension that
/// is not known.
pub(crate) fn read_table(
    path: &Path,
    name: &str,
    sheet: Option<&str>,
    role: &'static str,
) -> Result<(Table, InputFile), IngestError> {
    let extension = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    let (bytes, mut input) = read_bytes(path, name, role)?;
    let mut table = match extension.as_str() {
        _ if bytes.is_empty() => Table::default(),
        "csv" | "tsv" | "txt" => csv_table::read(&bytes, name),
        "xlsx" | "xlsm" | "xlsb" | "xls" | "ods" => {
            guarded(name, "a workbook", || xlsx_table::read(bytes, name, sheet))?
        }
        "parquet" | "pq" => guarded(name, "Parquet", || parquet_table::read(bytes, name))?,
        "geojson" | "json" | "gpkg" => spatial::table(spatial::layer(path, bytes, Ask { name, layer: sheet, role })?),
        _ => {
            return Err(IngestError::UnknownFormat { file: name.to_string(), extension });
        }
    };
    table.file = name.to_string();
    for heading in &mut table.headings {
        *heading = heading.trim().trim_start_matches('\u{feff}').trim().to_string();
    }
    drop_empty_rows(&mut table);
    without_heading(&mut table);
    input.rows = Some(table.rows.len());
    Ok((table, input))
}

/// Runs a reader of a binary format that may panic on a damaged file, and makes that an error.
///
/// The readers are libraries; the Parquet one panics on some damaged files (found by the test
/// that changes bytes). Nothing they leave half-done outlives the call.
pub(super) fn guarded<T>(
    name: &str,
    format: &'static str,
    read: impl FnOnce() -> Result<T, IngestError>,
) -> Result<T, IngestError> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(read)).unwrap_or_else(|_| {
        Err(IngestError::Malformed { file: name.to_string(), format, reason: "the file is damaged".to_string() })
    })
}

/// Takes out rows with nothing in any cell, and says how many.
fn drop_empty_rows(table: &mut Table) {
    use super::problems::{Place, Severity};
    let empty = |r: &Row| {
        r.cells.iter().all(|c| c.trim().is_empty())
            && !matches!(r.problem, Some(RowProblem::NotAPoint { .. } | RowProblem::PlaceUnreadable { .. }))
    };
    let first = table.rows.iter().find(|r| empty(r)).map(|r| r.number);
    let Some(first) = first else { return };
    let before = table.rows.len();
    table.rows.retain(|r| !empty(r));
    let gone = before - table.rows.len();
    let note = Place { file: &table.file, row: Some(first) }.whole(
        Severity::Note,
        "rows-empty",
        format!("{gone} row(s) hold nothing in any cell and are passed over, this one first"),
        "delete them from the sheet if they are not meant",
    );
    table.notes.push(note);
}

/// Says where columns without a heading hold something: what is there is not read.
fn without_heading(table: &mut Table) {
    use super::problems::{Place, Severity};
    let nameless: Vec<usize> = (0..table.headings.len()).filter(|k| table.headings[*k].is_empty()).collect();
    let held = |r: &Row| {
        let cells = nameless.iter().filter_map(|k| r.cells.get(*k)).map(|c| c.trim());
        cells.filter(|c| !c.is_empty()).map(str::to_string).next().filter(|_| r.problem.is_none())
    };
    let rows: Vec<(usize, String)> = table.rows.iter().filter_map(|r| Some((r.number, held(r)?))).collect();
    if let Some((row, value)) = rows.first() {
        let finding = Place { file: &table.file, row: Some(*row) }.cell(
            Severity::Warning,
            "cell-without-heading",
            None,
            Some(value),
            format!(
                "stands in a column without a heading and is not read; {} row(s) hold something there, this one first",
                rows.len()
            ),
            "give the column a heading, or delete what is in it",
        );
        table.notes.push(finding);
    }
}

/// A number as a person would write it: whole numbers without a decimal point, otherwise the
/// shortest text that reads back as the same number.
///
/// ```
/// use pignut::ingest::tables::number_text;
/// assert_eq!(number_text(12.0), "12");
/// assert_eq!(number_text(-41.29), "-41.29");
/// ```
pub fn number_text(value: f64) -> String {
    // Rust prints f64 without an exponent and without ".0" for whole numbers.
    format!("{value}")
}
