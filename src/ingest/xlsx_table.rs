//! A sheet of a workbook: the first row that holds anything is the heading row.
//!
//! Dates become ISO 8601, whole numbers lose their `.0` (an id typed as a number stays the id),
//! error cells keep their text (`#N/A`) so that a finding can quote them. Cells of a formula
//! have the value the spreadsheet last computed.

use super::IngestError;
use super::tables::{Row, Table, number_text};
use calamine::{Data, ExcelDateTime, Reader};
use std::io::Cursor;

/// Reads one sheet, by name or the first.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not a workbook; [`IngestError::NoSheet`].
pub(crate) fn read(bytes: Vec<u8>, name: &str, sheet: Option<&str>) -> Result<Table, IngestError> {
    let malformed = |reason: String| IngestError::Malformed { file: name.to_string(), format: "a workbook", reason };
    let mut book = calamine::open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|e| malformed(e.to_string()))?;
    let sheets = book.sheet_names();
    let wanted = match sheet {
        Some(s) => sheets.iter().find(|n| n.trim().eq_ignore_ascii_case(s.trim())),
        None => sheets.first(),
    };
    let Some(wanted) = wanted.cloned() else {
        return Err(IngestError::NoSheet {
            file: name.to_string(),
            sheet: sheet.unwrap_or("(first)").to_string(),
            present: sheets.join(", "),
        });
    };
    let range = book.worksheet_range(&wanted).map_err(|e| malformed(e.to_string()))?;
    let first = range.start().map_or(0, |(row, _)| row as usize) + 1;
    let mut table = Table::default();
    for (i, row) in range.rows().enumerate() {
        let cells: Vec<String> = row.iter().map(cell_text).collect();
        if table.headings.is_empty() {
            if cells.iter().any(|c| !c.trim().is_empty()) {
                table.headings = cells;
            }
            continue;
        }
        table.rows.push(Row { number: first + i, cells, problem: None });
    }
    Ok(table)
}

fn cell_text(cell: &Data) -> String {
    match cell {
        Data::Empty => String::new(),
        Data::String(s) | Data::DateTimeIso(s) | Data::DurationIso(s) => s.clone(),
        Data::Int(i) => i.to_string(),
        Data::Float(x) => number_text(*x),
        Data::Bool(b) => b.to_string(),
        Data::DateTime(d) => date_text(d),
        Data::Error(e) => e.to_string(),
    }
}

/// A date cell as ISO 8601, with the time when it is not midnight.
fn date_text(cell: &ExcelDateTime) -> String {
    if cell.is_duration() {
        return number_text(cell.as_f64());
    }
    let (y, mo, d, h, mi, s, _) = cell.to_ymd_hms_milli();
    if (h, mi, s) == (0, 0, 0) {
        format!("{y:04}-{mo:02}-{d:02}")
    } else {
        format!("{y:04}-{mo:02}-{d:02}T{h:02}:{mi:02}:{s:02}")
    }
}
