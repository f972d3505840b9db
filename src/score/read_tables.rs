//! Reads Parquet columns and JSON files of a run or a truth folder, with errors that name the place.

use polars::prelude::{DataFrame, DataType, ParquetReader, SerReader};
use serde::de::DeserializeOwned;
use std::path::{Path, PathBuf};

/// Why a file of a run or truth folder cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// Missing or not readable.
    #[error("{path}: cannot be read: {reason}; check that the folder is complete")]
    Unreadable {
        /// File.
        path: String,
        /// What the system or the reader said.
        reason: String,
    },
    /// A column is missing or of another kind.
    #[error("{path}, column \"{column}\": {found}; {expected} is needed")]
    BadColumn {
        /// File.
        path: String,
        /// Column.
        column: String,
        /// What is there.
        found: String,
        /// What is needed.
        expected: &'static str,
    },
    /// A value is missing where none may be.
    #[error("{path} row {row}, column \"{column}\": no value; {expected} is needed")]
    MissingValue {
        /// File.
        path: String,
        /// Row, from 1.
        row: usize,
        /// Column.
        column: String,
        /// What is needed.
        expected: &'static str,
    },
}

/// A Parquet file in memory.
#[derive(Debug)]
pub(crate) struct Table {
    path: PathBuf,
    frame: DataFrame,
}

impl Table {
    pub(crate) fn open(path: &Path) -> Result<Table, TableError> {
        let unreadable = |reason: String| TableError::Unreadable { path: path.display().to_string(), reason };
        let file = std::fs::File::open(path).map_err(|e| unreadable(e.to_string()))?;
        let frame = ParquetReader::new(file).finish().map_err(|e| unreadable(e.to_string()))?;
        Ok(Table { path: path.to_path_buf(), frame })
    }

    fn bad(&self, column: &str, found: String, expected: &'static str) -> TableError {
        TableError::BadColumn {
            path: self.path.display().to_string(),
            column: column.into(),
            found,
            expected,
        }
    }

    fn cast(
        &self,
        column: &str,
        to: &DataType,
        expected: &'static str,
    ) -> Result<polars::prelude::Column, TableError> {
        let c = self.frame.column(column).map_err(|_| self.bad(column, "it is missing".into(), expected))?;
        let numeric = c.dtype().is_primitive_numeric() && to.is_primitive_numeric();
        if c.dtype() != to && !numeric {
            return Err(self.bad(column, format!("it holds {}", c.dtype()), expected));
        }
        c.cast(to).map_err(|e| self.bad(column, e.to_string(), expected))
    }

    fn full<T>(
        &self,
        column: &str,
        values: Vec<Option<T>>,
        expected: &'static str,
    ) -> Result<Vec<T>, TableError> {
        let missing = |row: usize| TableError::MissingValue {
            path: self.path.display().to_string(),
            row: row + 1,
            column: column.into(),
            expected,
        };
        values.into_iter().enumerate().map(|(i, v)| v.ok_or_else(|| missing(i))).collect()
    }

    pub(crate) fn floats_or_null(&self, column: &str) -> Result<Vec<Option<f64>>, TableError> {
        let c = self.cast(column, &DataType::Float64, "a number")?;
        let values = c.f64().map_err(|e| self.bad(column, e.to_string(), "a number"))?;
        Ok(values.iter().map(|v| v.filter(|x| x.is_finite())).collect())
    }

    pub(crate) fn floats(&self, column: &str) -> Result<Vec<f64>, TableError> {
        self.full(column, self.floats_or_null(column)?, "a finite number")
    }

    pub(crate) fn strings(&self, column: &str) -> Result<Vec<String>, TableError> {
        let c = self.cast(column, &DataType::String, "text")?;
        let values = c.str().map_err(|e| self.bad(column, e.to_string(), "text"))?;
        self.full(column, values.iter().map(|v| v.map(str::to_string)).collect(), "text")
    }

    pub(crate) fn booleans(&self, column: &str) -> Result<Vec<bool>, TableError> {
        let c = self.cast(column, &DataType::Boolean, "true or false")?;
        let values = c.bool().map_err(|e| self.bad(column, e.to_string(), "true or false"))?;
        self.full(column, values.iter().collect(), "true or false")
    }

    /// Dates as day numbers.
    pub(crate) fn days_or_null(&self, column: &str) -> Result<Vec<Option<f64>>, TableError> {
        let c = self.cast(column, &DataType::Date, "a date")?;
        let numbers = c.cast(&DataType::Int32).map_err(|e| self.bad(column, e.to_string(), "a date"))?;
        let values = numbers.i32().map_err(|e| self.bad(column, e.to_string(), "a date"))?;
        Ok(values.iter().map(|v| v.map(f64::from)).collect())
    }

    pub(crate) fn days(&self, column: &str) -> Result<Vec<f64>, TableError> {
        self.full(column, self.days_or_null(column)?, "a date")
    }
}

/// Reads a JSON file.
pub(crate) fn read_json<T: DeserializeOwned>(path: &Path) -> Result<T, TableError> {
    let unreadable = |reason: String| TableError::Unreadable { path: path.display().to_string(), reason };
    let text = std::fs::read_to_string(path).map_err(|e| unreadable(e.to_string()))?;
    serde_json::from_str(&text).map_err(|e| unreadable(e.to_string()))
}
