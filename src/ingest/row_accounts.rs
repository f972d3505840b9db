//! The account of every row, field by field: from which text, by which rule.

use crate::ingest::account::{FieldRead, RowAccount};
use crate::ingest::findings::Severity;
use crate::ingest::pig_row::Draft;
use crate::ingest::sheets::SheetsRead;
use crate::ingest::translate::read_row::ReadRow;

/// The account of all rows: those used or refused, then those left out or joined to others, by file and row.
pub(crate) fn rows(sheets: &SheetsRead, drafts: &[Draft]) -> Vec<RowAccount> {
    let mut out: Vec<(usize, usize, RowAccount)> = Vec::new();
    for (read, draft) in sheets.merged.rows.iter().zip(drafts) {
        let worst = draft.findings.iter().min_by_key(|f| f.severity);
        let (status, reason) = match worst.map(|f| f.severity) {
            Some(Severity::Refused) => ("refused", of_severity(draft, Severity::Refused)),
            Some(Severity::Warning) => ("used with a warning", of_severity(draft, Severity::Warning)),
            _ => ("used", String::new()),
        };
        out.push((read.table, read.number, account(sheets, read, status, reason)));
    }
    for read in &sheets.merged.left_out {
        let Some(why) = &read.left_out else { continue };
        let status = if why.severity == Severity::Refused { "refused" } else { "left out" };
        out.push((read.table, read.number, account(sheets, read, status, why.message.clone())));
    }
    for read in &sheets.merged.joined {
        let reason = "has the number of a row above or on another sheet".to_string();
        out.push((read.table, read.number, account(sheets, read, "part of another row", reason)));
    }
    out.sort_by_key(|(table, row, _)| (*table, *row));
    out.into_iter().map(|(_, _, account)| account).collect()
}

fn of_severity(draft: &Draft, severity: Severity) -> String {
    let all = draft.findings.iter().filter(|f| f.severity == severity);
    all.map(|f| format!("{}: {}", f.column.as_deref().unwrap_or("row"), f.message))
        .collect::<Vec<_>>()
        .join("; ")
}

fn account(sheets: &SheetsRead, read: &ReadRow, status: &'static str, reason: String) -> RowAccount {
    let fields = read
        .cells
        .iter()
        .filter(|(_, c)| !c.text.is_empty() || !c.written.is_empty())
        .map(|(column, cell)| FieldRead {
            field: column.name(),
            value: cell.text.clone(),
            column: sheets.tables[cell.table].column_names.get(cell.column).cloned().unwrap_or_default(),
            text: cell.written.clone(),
            rule: cell.rule,
        })
        .collect();
    let id = read.cells.get(&crate::ingest::columns::Column::OccurrenceId);
    RowAccount {
        file: sheets.tables[read.table].file.clone(),
        row: read.number,
        id: id.map(|c| c.text.clone()).unwrap_or_default(),
        status,
        reason,
        fields,
    }
}
