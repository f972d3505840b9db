//! One row of pig records, seen by column: the cells that the readers of values ask for.

use crate::ingest::columns::{Column, is_blank};
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::table::Table;
use crate::ingest::translate::plan::{TablePlan, field_of};
use crate::ingest::translate::read_row::ReadRow;

/// One row of pig records, seen by column.
pub(crate) struct RowView<'a> {
    pub tables: &'a [Table],
    pub plan: &'a TablePlan,
    pub read: &'a ReadRow,
}

impl<'a> RowView<'a> {
    /// The trimmed text of a cell of ours; `None` when blank or when the file has no such column.
    pub(crate) fn text(&self, column: Column) -> Option<&'a str> {
        let cell = self.read.cells.get(&column)?.text.trim();
        (!is_blank(cell)).then_some(cell)
    }

    /// The user's column name of a column, our name where the file has none.
    pub(crate) fn column_name(&self, column: Column) -> &'a str {
        let name = |table: usize, index: usize| {
            self.tables.get(table).and_then(|t| t.column_names.get(index)).map(String::as_str)
        };
        let cell = self.read.cells.get(&column).and_then(|c| name(c.table, c.column));
        let field = || name(self.read.table, self.plan.index(field_of(column))?);
        cell.or_else(field).unwrap_or(column.name())
    }

    /// The file of the row.
    pub(crate) fn file(&self) -> &'a str {
        &self.tables[self.read.table].file
    }

    /// A finding about one cell, quoting it as it is written.
    pub(crate) fn finding(
        &self,
        severity: Severity,
        code: &'static str,
        column: Column,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        let cell = self.read.cells.get(&column);
        let written = cell.map(|c| c.written.as_str()).filter(|w| !w.is_empty()).or(self.text(column));
        self.place().cell(
            severity,
            code,
            Some(self.column_name(column)),
            written,
            message,
            suggested_correction,
        )
    }

    /// A finding about the row as a whole.
    pub(crate) fn row_finding(
        &self,
        severity: Severity,
        code: &'static str,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        self.place().whole(severity, code, message, suggested_correction)
    }

    fn place(&self) -> Place<'a> {
        Place { file: self.file(), row: Some(self.read.number) }
    }
}
