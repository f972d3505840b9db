//! The sheets of a workbook that have a header row, or the one named.
//!
//! Dates become ISO 8601, whole numbers lose their `.0` (an id typed as a number stays the id),
//! error cells keep their text (`#N/A`) so that a finding can quote them. Cells of a formula
//! have the value the spreadsheet last computed; sheets not read and formulas without a value are said.

use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::header_row;
use crate::ingest::table::{Row, Table, number_text};
use calamine::{Data, ExcelDateTime, Range, Reader, SheetType, SheetVisible, Sheets};
use itertools::Itertools as _;
use std::io::Cursor;

/// Most cells of the rectangle that a sheet spans: more are a slip of the hand far from the records.
const MOST_CELLS: f64 = 1e8;

/// Most texts of a sheet that is not read which are looked through for a legend.
const MOST_NOTES: usize = 200;

type Book = Sheets<Cursor<Vec<u8>>>;

/// Reads one sheet by name, or every sheet that is not hidden and has a header row; says which others are
/// not read. A workbook without such a sheet gives its first that is not hidden.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not a workbook; [`IngestError::NoSheet`];
/// [`IngestError::SheetTooLarge`].
pub(crate) fn read(
    bytes: Vec<u8>,
    name: &str,
    sheet: Option<&str>,
    header_row: Option<usize>,
) -> Result<Vec<Table>, IngestError> {
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
    let named = |s: &str| sheets.iter().position(|(n, _)| n.trim().eq_ignore_ascii_case(s.trim()));
    let first = match sheet {
        Some(s) => named(s),
        None => sheets.iter().position(|(_, visible)| *visible),
    };
    let Some(first) = first else {
        return Err(IngestError::NoSheet {
            file: name.to_string(),
            sheet: sheet.unwrap_or("(the first that is not hidden)").to_string(),
            present: sheets.iter().map(|(n, _)| n.as_str()).join(", "),
        });
    };
    let mut wanted = vec![first];
    if sheet.is_none() {
        let mut with_header = Vec::new();
        for (k, (title, visible)) in sheets.iter().enumerate() {
            // A sheet that cannot be held is left; that it is there is said all the same.
            let rows =
                if *visible { cells(&mut book, name, title).unwrap_or_default().1 } else { Vec::new() };
            if header_row::find(rows.iter()).is_some() {
                with_header.push(k);
            }
        }
        if !with_header.is_empty() {
            wanted = with_header;
        }
    }
    let mut tables = Vec::new();
    for k in &wanted {
        tables.push(table(&mut book, name, &sheets[*k].0, header_row)?);
    }
    if sheet.is_none() {
        let (other_texts, note) = not_read(&mut book, name, &sheets, &wanted);
        for table in &mut tables {
            table.preamble.extend(other_texts.iter().cloned());
        }
        tables[0].notes.extend(note);
    }
    Ok(tables)
}

/// One sheet as a table: its header row is the first that reads so, otherwise the first that holds anything.
fn table(book: &mut Book, name: &str, title: &str, header_row: Option<usize>) -> Result<Table, IngestError> {
    let (first, rows) = cells(book, name, title)?;
    let mut table = Table { sheet: title.to_string(), ..Table::default() };
    let head = header_row
        .and_then(|row| row.checked_sub(first))
        .or_else(|| header_row::find(rows.iter()))
        .or_else(|| rows.iter().position(|r| r.iter().any(|c| !c.trim().is_empty())));
    let above = head.and_then(|h| h.checked_sub(1)).and_then(|above| rows.get(above)).cloned();
    for (i, cells) in rows.into_iter().enumerate() {
        match head {
            Some(head) if i < head => {
                table.preamble.extend(cells.into_iter().filter(|c| !c.trim().is_empty()));
            }
            Some(head) if i == head => table.column_names = cells,
            Some(_) => table.rows.push(Row { number: first + i, cells, problem: None }),
            None => {}
        }
    }
    if let Some(names) = above.and_then(|above| header_row::with_row_above(&table.column_names, &above)) {
        table.column_names = names;
    }
    let range = range(book, name, title)?;
    table.notes.extend(not_computed(book, name, title, &range));
    Ok(table)
}

/// The number of a sheet's first row and the texts of its cells; a cell merged downwards holds for every row.
fn cells(book: &mut Book, name: &str, title: &str) -> Result<(usize, Vec<Vec<String>>), IngestError> {
    let range = range(book, name, title)?;
    let start = range.start().unwrap_or((0, 0));
    let mut rows: Vec<Vec<String>> = range.rows().map(|r| r.iter().map(cell_text).collect()).collect();
    let merged = match book {
        Sheets::Xlsx(book) => book.merge_cells_by_sheet_name(title).unwrap_or_default(),
        _ => Vec::new(),
    };
    for area in merged.iter().filter(|a| a.end.0 > a.start.0 && a.end.1 == a.start.1) {
        let at = |row: u32| row.checked_sub(start.0).map(|r| r as usize);
        let column = area.start.1.checked_sub(start.1).map(|c| c as usize);
        let (Some(top), Some(bottom), Some(column)) = (at(area.start.0), at(area.end.0), column) else {
            continue;
        };
        let Some(text) = rows.get(top).and_then(|r| r.get(column)).cloned() else { continue };
        for row in rows.iter_mut().take(bottom + 1).skip(top + 1) {
            if let Some(cell) = row.get_mut(column).filter(|c| c.is_empty()) {
                cell.clone_from(&text);
            }
        }
    }
    Ok((start.0 as usize + 1, rows))
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

/// The texts of the sheets that are not read, and a note that lists those that hold something.
fn not_read(
    book: &mut Book,
    name: &str,
    sheets: &[(String, bool)],
    read: &[usize],
) -> (Vec<String>, Option<Finding>) {
    let (mut texts, mut others) = (Vec::new(), Vec::new());
    for (_, (title, visible)) in sheets.iter().enumerate().filter(|(k, _)| !read.contains(k)) {
        let named = format!("\"{title}\"{}", if *visible { "" } else { " (hidden)" });
        let Ok((_, rows)) = cells(book, name, title) else {
            others.push(named);
            continue;
        };
        // A word in one cell and its meaning in the next are one explanation.
        let line = |row: Vec<String>| {
            let filled: Vec<String> = row.into_iter().filter(|c| !c.trim().is_empty()).collect();
            match &filled[..] {
                [word, meaning] => vec![format!("{} = {}", word.trim(), meaning.trim())],
                _ => filled,
            }
        };
        let held: Vec<String> = rows.into_iter().flat_map(line).collect();
        if held.is_empty() {
            continue;
        }
        others.push(named);
        texts.extend(held.into_iter().take(MOST_NOTES));
    }
    let read = read.iter().map(|k| format!("\"{}\"", sheets[*k].0)).join(", ");
    let note = (!others.is_empty()).then(|| {
        Place { file: name, row: None }.whole(
            Severity::Note,
            "sheets-not-read",
            format!("sheet {read} is read, not {}", others.join(", ")),
            "if another holds the records, name it under records.sheet",
        )
    });
    (texts, note)
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
