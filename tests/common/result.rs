//! Reading a result: figures of JSON, columns of Parquet.

use polars::prelude::{DataFrame, DataType, ParquetReader, SerReader};
use serde_json::Value;
use std::fs;
use std::path::Path;

pub fn json_file(path: &Path) -> Value {
    let bytes = fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_slice(&bytes).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

pub fn parquet(path: &Path) -> DataFrame {
    let file = fs::File::open(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    ParquetReader::new(file).finish().unwrap()
}

pub fn num(v: &Value, name: &str) -> f64 {
    v[name].as_f64().unwrap_or_else(|| panic!("{name} is a number in {v}"))
}

pub fn word<'a>(v: &'a Value, name: &str) -> &'a str {
    v[name].as_str().unwrap_or_else(|| panic!("{name} is a text in {v}"))
}

pub fn close(a: f64, b: f64, rel: f64) -> bool {
    (a - b).abs() <= rel * a.abs().max(b.abs()) + 1e-12
}

pub fn numbers(table: &DataFrame, name: &str) -> Vec<f64> {
    let column = table.column(name).unwrap_or_else(|_| panic!("column {name}"));
    assert_eq!(column.null_count(), 0, "{name}");
    column.cast(&DataType::Float64).unwrap().f64().unwrap().into_no_null_iter().collect()
}

/// Numbers of which some may be absent.
pub fn perhaps(table: &DataFrame, name: &str) -> Vec<Option<f64>> {
    let column = table.column(name).unwrap_or_else(|_| panic!("column {name}"));
    column.cast(&DataType::Float64).unwrap().f64().unwrap().iter().collect()
}

pub fn texts(table: &DataFrame, name: &str) -> Vec<String> {
    let column = table.column(name).unwrap_or_else(|_| panic!("column {name}"));
    let value = |v: Option<&str>| v.unwrap_or_else(|| panic!("{name} is never absent")).to_string();
    column.str().unwrap().iter().map(value).collect()
}

/// Dates as days since 1970-01-01, and as ISO 8601.
pub fn dates(table: &DataFrame, name: &str) -> Vec<Option<String>> {
    let column = table.column(name).unwrap().cast(&DataType::Int32).unwrap();
    let day = |d: i32| jiff::civil::date(1970, 1, 1) + jiff::Span::new().days(d);
    column.i32().unwrap().iter().map(|d| d.map(|d| day(d).to_string())).collect()
}
