//! A row as read, and the reader of its cells.

use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::phrase;
use crate::ingest::table::{Row, RowProblem, Table};
use crate::ingest::translate::findings::LabAnswer;
use crate::ingest::translate::node_list::Sides;
use crate::ingest::translate::plan::TablePlan;
use crate::ingest::vocabulary::{self, Field};
use std::collections::BTreeMap;

/// A cell of one of our own columns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ReadCell {
    /// What our own column would hold.
    pub text: String,
    /// The table it was read from.
    pub table: usize,
    /// The column of that table; `usize::MAX` for none.
    pub column: usize,
    /// What stands there.
    pub written: String,
    /// How the one was read from the other.
    pub rule: &'static str,
}

/// A row as read, before the rows of one animal are put together.
#[derive(Debug, Clone, Default)]
pub(crate) struct ReadRow {
    /// The table it stands in.
    pub table: usize,
    /// Its number in the file.
    pub number: usize,
    pub problem: Option<RowProblem>,
    /// The cells as they stand, for a row with a problem.
    pub raw: Vec<String>,
    pub cells: BTreeMap<Column, ReadCell>,
    /// Answers of the laboratory, in the order of the columns.
    pub labs: Vec<LabAnswer>,
    /// Sides of each pair that were examined; `None`: not recorded.
    pub sides: Option<Sides>,
    pub lesion: Option<bool>,
    /// What cannot be read, by the column of ours it would fill.
    pub faults: Vec<(Option<Column>, Finding)>,
    /// Why the row does not count: another species, withdrawn, not asked for.
    pub left_out: Option<Finding>,
    /// Table and number of the rows that became part of it.
    pub joined: Vec<(usize, usize)>,
}

/// A row under its plan.
pub(crate) struct Reader<'a> {
    pub plan: &'a TablePlan,
    pub table: &'a Table,
    pub row: &'a Row,
}

impl<'a> Reader<'a> {
    /// The trimmed text of a cell as it stands.
    pub(crate) fn raw(&self, index: usize) -> &'a str {
        self.row.cells.get(index).map_or("", |c| c.trim())
    }

    /// The text of a cell with the words of the study file put in; `None` where it says nothing.
    pub(crate) fn text(&self, index: usize) -> Option<&str> {
        let raw = self.raw(index);
        let map = self.plan.words.get(&index);
        let text = map.and_then(|m| m.get(&phrase::cell(raw))).map_or(raw, String::as_str).trim();
        let blank = vocabulary::is_blank_word(text) && !(self.plan.signed.contains(&index) && text == "-");
        // "ND" of a laboratory is not detected as well as not done: only the keeper can say which.
        let answers = self.plan.labs.iter().any(|(i, _)| *i == index);
        let blank = blank && !(answers && phrase::words(text).replace(' ', "") == "nd");
        (!blank).then_some(text)
    }

    /// The text of a field's cell, with its column.
    pub(crate) fn field(&self, field: Field) -> Option<(usize, &str)> {
        let index = self.plan.index(field)?;
        Some((index, self.text(index)?))
    }

    /// What a legend on the sheet says of a text.
    pub(crate) fn meaning(&self, text: &str) -> Option<&str> {
        self.plan.legend.meanings.get(&phrase::cell(text)).map(String::as_str)
    }

    /// A cell of ours.
    pub(crate) fn cell(&self, index: usize, text: impl Into<String>, rule: &'static str) -> ReadCell {
        let (text, written) = (text.into(), self.raw(index).to_string());
        let rule = if text == written { "as written" } else { rule };
        ReadCell { text, table: 0, column: index, written, rule }
    }

    /// A finding on a cell of the file.
    pub(crate) fn finding(
        &self,
        severity: Severity,
        code: &'static str,
        index: usize,
        message: impl Into<String>,
        fix: impl Into<String>,
    ) -> Finding {
        let name = self.table.column_names.get(index).map(String::as_str);
        let raw = self.raw(index);
        let value = (!raw.is_empty()).then_some(raw);
        Place { file: &self.table.file, row: Some(self.row.number) }
            .cell(severity, code, name, value, message, fix)
    }
}
