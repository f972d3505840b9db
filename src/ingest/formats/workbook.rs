//! A sheet of a workbook, by name or the first that is not hidden: the first row that holds anything is the
//! header row.
//!
//! Dates become ISO 8601, whole numbers lose their `.0` (an id typed as a number stays the id),
//! error cells keep their text (`#N/A`) so that a finding can quote them. Cells of a formula
//! have the value the spreadsheet last computed; sheets not read and formulas without a value are said.

use crate::ingest::columns::plain;
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::table::{Row, Table, number_text};
use calamine::{Data, ExcelDateTime, Range, Reader, SheetType, SheetVisible, Sheets};
use itertools::Itertools as _;
use std::io::Cursor;

/// Most cells of the rectangle that a sheet spans: more are a slip of the hand far from the records.
const MOST_CELLS: f64 = 1e8;

type Book = Sheets<Cursor<Vec<u8>>>;

/// Reads one sheet, by name or the first that is not hidden; says which others are not read.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not a workbook; [`IngestError::NoSheet`];
/// [`IngestError::SheetTooLarge`].
pub(crate) fn read(bytes: Vec<u8>, name: &str, sheet: Option<&str>) -> Result<Table, IngestError> {
    let malformed =
        |reason: String| IngestError::Malformed { file: name.to_string(), format: "a workbook", reason };
    let mut book: Book =
        calamine::open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|e| malformed(e.to_string()))?;
    let sheets: Vec<(String, bool)> = book
        .sheets_metadata()
        .iter()
        .filter(|s| s.typ == SheetType::WorkSheet)
        .map(|s| (s.name.clone(), s.visible == SheetVisible::Visible))
        .collect();
    let wanted = match sheet {
        Some(s) => sheets.iter().position(|(n, _)| n.trim().eq_ignore_ascii_case(s.trim())),
        None => sheets.iter().position(|(_, visible)| *visible),
    };
    let Some(wanted) = wanted else {
        return Err(IngestError::NoSheet {
            file: name.to_string(),
            sheet: sheet.unwrap_or("(the first that is not hidden)").to_string(),
            present: sheets.iter().map(|(n, _)| n.as_str()).join(", "),
        });
    };
    let range = range(&mut book, name, &sheets[wanted].0)?;
    let first = range.start().map_or(0, |(row, _)| row as usize) + 1;
    let mut table = Table::default();
    for (i, row) in range.rows().enumerate() {
        let cells: Vec<String> = row.iter().map(cell_text).collect();
        if table.column_names.is_empty() {
            if cells.iter().any(|c| !c.trim().is_empty()) {
                table.column_names = cells;
            }
            continue;
        }
        table.rows.push(Row { number: first + i, cells, problem: None });
    }
    table.notes.extend(not_computed(&mut book, name, &sheets[wanted].0, &range));
    if sheet.is_none() {
        table.notes.extend(not_read(&mut book, name, &sheets, wanted, &table.column_names));
    }
    Ok(table)
}

/// The cells of a sheet.
fn range(book: &mut Book, name: &str, sheet: &str) -> Result<Range<Data>, IngestError> {
    let malformed =
        |reason: String| IngestError::Malformed { file: name.to_string(), format: "a workbook", reason };
    // The library holds the whole rectangle: one cell in the last corner of a sheet would take all memory.
    if let Sheets::Xlsx(book) = book {
        let mut reader = book.worksheet_cells_reader(sheet).map_err(|e| malformed(e.to_string()))?;
        let (mut from, mut to) = ((u32::MAX, u32::MAX), (0, 0));
        while let Some(cell) = reader.next_cell().map_err(|e| malformed(e.to_string()))? {
            let (row, column) = cell.get_position();
            (from, to) = ((from.0.min(row), from.1.min(column)), (to.0.max(row), to.1.max(column)));
        }
        let cells = (f64::from(to.0) - f64::from(from.0) + 1.0) * (f64::from(to.1) - f64::from(from.1) + 1.0);
        if from.0 != u32::MAX && cells > MOST_CELLS {
            let (file, sheet) = (name.to_string(), sheet.to_string());
            return Err(IngestError::SheetTooLarge { file, sheet, row: to.0 + 1, column: to.1 + 1, cells });
        }
    }
    book.worksheet_range(sheet).map_err(|e| malformed(e.to_string()))
}

/// Formulas whose value the file does not hold: their cells read as empty.
fn not_computed(book: &mut Book, name: &str, sheet: &str, range: &Range<Data>) -> Option<Finding> {
    let formulas = book.worksheet_formula(sheet).ok()?;
    let (row, column) = formulas.start()?;
    let empty = |r: u32, c: u32| matches!(range.get_value((r, c)), None | Some(Data::Empty));
    let all: Vec<(u32, &String)> = formulas
        .used_cells()
        .map(|(r, c, f)| (row + r as u32, column + c as u32, f))
        .filter(|(r, c, f)| !f.is_empty() && empty(*r, *c))
        .map(|(r, _, f)| (r, f))
        .collect();
    let (row, formula) = all.first()?;
    Some(Place { file: name, row: Some(*row as usize + 1) }.cell(
        Severity::Warning,
        "formula-without-value",
        None,
        Some(&format!("={formula}")),
        format!("has no value in the file and reads as empty; {} such formula(s), this one first", all.len()),
        "open the file in the spreadsheet program and save it again, or paste the values",
    ))
}

/// Other sheets that hold something: a warning where one has the same column names, so that it may hold
/// records.
fn not_read(
    book: &mut Book,
    name: &str,
    sheets: &[(String, bool)],
    read: usize,
    column_names: &[String],
) -> Option<Finding> {
    let (mut others, mut alike) = (Vec::new(), false);
    let ours: Vec<String> = column_names.iter().map(|h| plain(h)).filter(|h| !h.is_empty()).collect();
    for (_, (sheet, visible)) in sheets.iter().enumerate().filter(|(k, _)| *k != read) {
        let named = format!("\"{sheet}\"{}", if *visible { "" } else { " (hidden)" });
        // A sheet that cannot be held is not needed; that it is there is said all the same.
        let Ok(range) = range(book, name, sheet) else {
            others.push(named);
            continue;
        };
        let first = range.rows().map(|r| r.iter().map(cell_text).collect::<Vec<_>>());
        let Some(first) = first.into_iter().find(|r| r.iter().any(|c| !c.trim().is_empty())) else {
            continue;
        };
        let shared = ours.iter().filter(|h| first.iter().any(|c| plain(c) == **h)).count();
        alike |= ours.is_empty() || 2 * shared >= ours.len();
        others.push(named);
    }
    let severity = if alike { Severity::Warning } else { Severity::Note };
    (!others.is_empty()).then(|| {
        Place { file: name, row: None }.whole(
            severity,
            "sheets-not-read",
            format!("only its sheet \"{}\" is read, not {}", sheets[read].0, others.join(", ")),
            "if another holds the records, name it under records.sheet; \
             if several do, save each as a file and list all under records.pigs",
        )
    })
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
