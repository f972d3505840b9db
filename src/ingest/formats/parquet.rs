//! A Parquet file: every column as text, dates as ISO 8601, rows numbered from 1.
//!
//! Columns of nested or binary kinds (lists, structures, geometry) have no place in a table
//! of records; they are left empty and said so.

use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Place, Severity};
use crate::ingest::table::{Row, Table, number_text};
use crate::records::date_of_day;
use polars::prelude::*;
use std::io::Cursor;

/// Reads a whole Parquet file.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not Parquet or holds a compression or a type that
/// cannot be read.
pub(crate) fn read(bytes: Vec<u8>, name: &str) -> Result<Table, IngestError> {
    let malformed =
        |reason: String| IngestError::Malformed { file: name.to_string(), format: "Parquet", reason };
    // Every Parquet file starts and ends with these four bytes (Parquet format, "File format").
    if bytes.len() < 12 || !bytes.starts_with(b"PAR1") || !bytes.ends_with(b"PAR1") {
        return Err(malformed("its first and last four bytes are not PAR1".into()));
    }
    let mut reader = ParquetReader::new(Cursor::new(bytes));
    let schema = reader.schema().map_err(|e| malformed(e.to_string()))?;
    let readable: Vec<String> = schema
        .iter()
        .filter(|(_, field)| is_readable(field.dtype()))
        .map(|(column, _)| column.to_string())
        .collect();
    let unreadable: Vec<(String, String)> = schema
        .iter()
        .filter(|(_, field)| !is_readable(field.dtype()))
        .map(|(column, field)| (column.to_string(), format!("{:?}", field.dtype())))
        .collect();
    let mut table = Table::default();
    for (column, kind) in unreadable {
        table.notes.push(Place { file: name, row: None }.cell(
            Severity::Warning,
            "column-type-not-read",
            Some(&column),
            Some(&kind),
            "is a type of column that is not read, so the column counts as absent",
            "save it as text, a date, or a 32- or 64-bit number if it is needed",
        ));
    }
    if readable.is_empty() {
        return Ok(table);
    }
    let frame = reader.with_columns(Some(readable)).finish().map_err(|e| malformed(e.to_string()))?;
    table.column_names = frame.get_column_names().iter().map(|n| n.to_string()).collect();
    table.rows = (0..frame.height())
        .map(|i| Row { number: i + 1, cells: Vec::with_capacity(frame.width()), problem: None })
        .collect();
    for column in frame.columns() {
        for (i, row) in table.rows.iter_mut().enumerate() {
            let value = column.get(i).map_err(|e| malformed(e.to_string()))?;
            row.cells.push(text(&value));
        }
    }
    Ok(table)
}

/// Types this build of the Parquet reader turns into a column.
fn is_readable(dtype: &ArrowDataType) -> bool {
    use ArrowDataType as T;
    match dtype {
        T::Null | T::Boolean | T::Int32 | T::Int64 | T::UInt32 | T::UInt64 | T::Float32 | T::Float64 => true,
        T::Date32 | T::Date64 | T::Timestamp(..) => true,
        T::Utf8 | T::LargeUtf8 | T::Utf8View => true,
        T::Dictionary(_, inner, _) => matches!(**inner, T::Utf8 | T::LargeUtf8 | T::Utf8View),
        _ => false,
    }
}

fn text(value: &AnyValue) -> String {
    match value {
        AnyValue::Null => String::new(),
        AnyValue::String(s) => s.to_string(),
        AnyValue::StringOwned(s) => s.to_string(),
        AnyValue::Float64(x) if x.is_nan() => String::new(),
        AnyValue::Float32(x) if x.is_nan() => String::new(),
        AnyValue::Float64(x) => number_text(*x),
        AnyValue::Float32(x) => format!("{x}"),
        AnyValue::Date(day) => date_of_day(f64::from(*day)).to_string(),
        AnyValue::Datetime(ticks, unit, _) => datetime_text(*ticks, *unit),
        AnyValue::DatetimeOwned(ticks, unit, _) => datetime_text(*ticks, *unit),
        other => match other.get_str() {
            Some(s) => s.to_string(),
            None => other.to_string(),
        },
    }
}

/// Ticks since 1970 as ISO 8601 (UTC where the column has a zone), without the time at midnight.
fn datetime_text(ticks: i64, unit: TimeUnit) -> String {
    let per_second = match unit {
        TimeUnit::Nanoseconds => 1_000_000_000,
        TimeUnit::Microseconds => 1_000_000,
        TimeUnit::Milliseconds => 1_000,
    };
    let seconds = ticks.div_euclid(per_second);
    let (day, second) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    let date = date_of_day(day as f64);
    if second == 0 {
        date.to_string()
    } else {
        format!("{date}T{:02}:{:02}:{:02}", second / 3600, second / 60 % 60, second % 60)
    }
}
