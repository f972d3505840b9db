//! Reads Parquet columns and JSON files of a folder, with errors that name file, column and row.

use crate::contract::{FileSpec, members};
use polars::prelude::{Column, DataFrame, DataType, ParquetReader, SerReader};
use serde::de::DeserializeOwned;
use std::path::{Path, PathBuf};

/// Why a file cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// Missing or not readable.
    #[error("{path}: cannot be read: {reason}; name a complete folder written by this version")]
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
pub(crate) struct TableReader {
    path: PathBuf,
    file: Option<&'static FileSpec>,
    frame: DataFrame,
}

impl TableReader {
    /// A declared table of a result folder; only declared columns can be asked of it.
    ///
    /// # Errors
    /// [`TableError::Unreadable`].
    pub(crate) fn of(result: &Path, file: &'static FileSpec) -> Result<TableReader, TableError> {
        Ok(TableReader { file: Some(file), ..TableReader::open(&result.join(file.path))? })
    }

    /// Any Parquet file.
    ///
    /// # Errors
    /// [`TableError::Unreadable`].
    pub(crate) fn open(path: &Path) -> Result<TableReader, TableError> {
        let failed = |reason: String| unreadable(path, reason);
        let file = std::fs::File::open(path).map_err(|e| failed(e.to_string()))?;
        let frame = ParquetReader::new(file).finish().map_err(|e| failed(e.to_string()))?;
        Ok(TableReader { path: path.to_path_buf(), file: None, frame })
    }

    /// An error about a column.
    pub(crate) fn bad(&self, column: &str, found: impl Into<String>, expected: &'static str) -> TableError {
        let (path, found) = (self.path.display().to_string(), found.into());
        TableError::BadColumn { path, column: column.into(), found, expected }
    }

    fn cast(&self, column: &str, to: &DataType, expected: &'static str) -> Result<Column, TableError> {
        let declared = self.file.is_none_or(|f| members(f.columns).iter().any(|m| m.name == column));
        if !declared {
            return Err(self.bad(column, "it is not declared", expected));
        }
        let c = self.frame.column(column).map_err(|_| self.bad(column, "it is missing", expected))?;
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

    /// Numbers; `None` where there is none or it is not finite.
    pub(crate) fn numbers_or_absent(&self, column: &str) -> Result<Vec<Option<f64>>, TableError> {
        let c = self.cast(column, &DataType::Float64, "a number")?;
        let values = c.f64().map_err(|e| self.bad(column, e.to_string(), "a number"))?;
        Ok(values.iter().map(|v| v.filter(|x| x.is_finite())).collect())
    }

    /// Numbers, one in every row.
    pub(crate) fn numbers(&self, column: &str) -> Result<Vec<f64>, TableError> {
        self.full(column, self.numbers_or_absent(column)?, "a finite number")
    }

    /// Numbers in single precision, one in every row.
    pub(crate) fn singles(&self, column: &str) -> Result<Vec<f32>, TableError> {
        Ok(self.numbers(column)?.into_iter().map(|v| v as f32).collect())
    }

    /// Texts, one in every row.
    pub(crate) fn texts(&self, column: &str) -> Result<Vec<String>, TableError> {
        let c = self.cast(column, &DataType::String, "text")?;
        let values = c.str().map_err(|e| self.bad(column, e.to_string(), "text"))?;
        self.full(column, values.iter().map(|v| v.map(str::to_string)).collect(), "text")
    }

    /// True or false; `None` where nothing is said.
    pub(crate) fn flags_or_absent(&self, column: &str) -> Result<Vec<Option<bool>>, TableError> {
        let c = self.cast(column, &DataType::Boolean, "true or false")?;
        let values = c.bool().map_err(|e| self.bad(column, e.to_string(), "true or false"))?;
        Ok(values.iter().collect())
    }

    /// True or false in every row.
    pub(crate) fn flags(&self, column: &str) -> Result<Vec<bool>, TableError> {
        self.full(column, self.flags_or_absent(column)?, "true or false")
    }

    /// Dates as day numbers; `None` where there is none.
    pub(crate) fn days_or_absent(&self, column: &str) -> Result<Vec<Option<f64>>, TableError> {
        let c = self.cast(column, &DataType::Date, "a date")?;
        let numbers = c.cast(&DataType::Int32).map_err(|e| self.bad(column, e.to_string(), "a date"))?;
        let values = numbers.i32().map_err(|e| self.bad(column, e.to_string(), "a date"))?;
        Ok(values.iter().map(|v| v.map(f64::from)).collect())
    }

    /// Dates as day numbers, one in every row.
    pub(crate) fn days(&self, column: &str) -> Result<Vec<f64>, TableError> {
        self.full(column, self.days_or_absent(column)?, "a date")
    }
}

/// Reads a JSON file.
///
/// # Errors
/// [`TableError::Unreadable`], also where the file is not of the shape asked for.
pub(crate) fn read_json<T: DeserializeOwned>(path: &Path) -> Result<T, TableError> {
    let text = std::fs::read_to_string(path).map_err(|e| unreadable(path, e.to_string()))?;
    serde_json::from_str(&text).map_err(|e| unreadable(path, e.to_string()))
}

/// An error about a file as a whole.
pub(crate) fn unreadable(path: &Path, reason: impl Into<String>) -> TableError {
    TableError::Unreadable { path: path.display().to_string(), reason: reason.into() }
}
