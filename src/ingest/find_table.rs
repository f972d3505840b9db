//! The table in a file, whatever its format.

use crate::ingest::errors::IngestError;
use crate::ingest::formats::layer::Ask;
use crate::ingest::formats::{csv, parquet, spatial, workbook};
use crate::ingest::input_file::InputFile;
use crate::ingest::table::{Row, RowProblem, Table, guarded, read_bytes};
use std::path::Path;

/// Reads the one table of a file; the format follows from the extension.
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
    let (mut tables, input) = read_tables(path, name, Wanted { sheet, header_row: None, role })?;
    Ok((tables.swap_remove(0), input))
}

/// What is asked of a file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    /// Sheet of a workbook or layer of a GeoPackage.
    pub sheet: Option<&'a str>,
    /// Number of the header row.
    pub header_row: Option<usize>,
    /// What the file holds.
    pub role: &'static str,
}

/// Reads the tables of a file, at least one: every sheet of a workbook that has a header row.
///
/// # Errors
/// As [`read_table`].
pub(crate) fn read_tables(
    path: &Path,
    name: &str,
    Wanted { sheet, header_row, role }: Wanted,
) -> Result<(Vec<Table>, InputFile), IngestError> {
    let extension = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    let (bytes, mut input) = read_bytes(path, name, role)?;
    let mut tables = match extension.as_str() {
        _ if bytes.is_empty() => vec![Table::default()],
        "csv" | "tsv" | "txt" => vec![csv::read(&bytes, name, header_row)?],
        "xlsx" | "xlsm" | "xlsb" | "xls" | "ods" => {
            guarded(name, "a workbook", || workbook::read(bytes, name, sheet, header_row))?
        }
        "parquet" | "pq" => vec![guarded(name, "Parquet", || parquet::read(bytes, name))?],
        "geojson" | "json" | "gpkg" => {
            vec![spatial::table(spatial::layer(path, bytes, Ask { name, layer: sheet, role })?)]
        }
        _ => {
            return Err(IngestError::UnknownFormat { file: name.to_string(), extension });
        }
    };
    let several = tables.len() > 1;
    for table in &mut tables {
        table.file = if several { format!("{name}, sheet {}", table.sheet) } else { name.to_string() };
        for column_name in &mut table.column_names {
            *column_name = column_name.trim().trim_start_matches('\u{feff}').trim().to_string();
        }
        drop_empty_rows(table);
        crate::ingest::header_row::settle(table);
        without_column_name(table);
    }
    input.rows = Some(tables.iter().map(|t| t.rows.len()).sum());
    Ok((tables, input))
}

/// Takes out rows with nothing in any cell, and says how many.
pub(crate) fn drop_empty_rows(table: &mut Table) {
    use crate::ingest::findings::{Place, Severity};
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

/// Says where columns without a column name hold something: what is there is not read.
pub(crate) fn without_column_name(table: &mut Table) {
    use crate::ingest::findings::{Place, Severity};
    let nameless: Vec<usize> =
        (0..table.column_names.len()).filter(|k| table.column_names[*k].is_empty()).collect();
    let held = |r: &Row| {
        let cells = nameless.iter().filter_map(|k| r.cells.get(*k)).map(|c| c.trim());
        cells.filter(|c| !c.is_empty()).map(str::to_string).next().filter(|_| r.problem.is_none())
    };
    let rows: Vec<(usize, String)> = table.rows.iter().filter_map(|r| Some((r.number, held(r)?))).collect();
    if let Some((row, value)) = rows.first() {
        let finding = Place { file: &table.file, row: Some(*row) }.cell(
            Severity::Warning,
            "cell-without-column-name",
            None,
            Some(value),
            format!(
                "stands in a column without a name and is not read; \
                 {} row(s) hold something there, this one first",
                rows.len()
            ),
            "give the column a name, or delete what is in it",
        );
        table.notes.push(finding);
    }
}
