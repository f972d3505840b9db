//! Columns of a table, and the table as Parquet.

use crate::assess::spread::{QUANTILE_NAMES, Spread};
use polars::prelude::*;

pub(crate) fn frame(columns: Vec<Column>) -> PolarsResult<DataFrame> {
    let height = columns.first().map_or(0, Column::len);
    DataFrame::new(height, columns)
}

pub(crate) fn numbers(name: &str, values: impl Iterator<Item = f64>) -> Column {
    Column::new(name.into(), values.collect::<Vec<f64>>())
}

/// Mean and quantiles as columns with a prefix.
pub(crate) fn spreads<'a>(prefix: &str, values: impl Iterator<Item = &'a Spread> + Clone) -> Vec<Column> {
    let mut out = vec![numbers(&format!("{prefix}_mean"), values.clone().map(|s| s.mean))];
    for (i, q) in QUANTILE_NAMES.iter().enumerate() {
        out.push(numbers(&format!("{prefix}_{q}"), values.clone().map(|s| s.q[i])));
    }
    out
}

pub(crate) fn perhaps(name: &str, values: impl Iterator<Item = Option<f64>>) -> Column {
    Column::new(name.into(), values.collect::<Vec<Option<f64>>>())
}

pub(crate) fn texts(name: &str, values: impl Iterator<Item = String>) -> Column {
    Column::new(name.into(), values.collect::<Vec<String>>())
}
