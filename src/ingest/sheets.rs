//! All record sheets of a study: tables found, planned, read row by row, and put together.

use crate::geography::coordinates::projector::Projector;
use crate::ingest::account::{Correction, Inference};
use crate::ingest::column_checks::{check_map, check_required, unused};
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::input_file::InputFile;
use crate::ingest::table::Table;
use crate::ingest::translate::make_plan::plan;
use crate::ingest::translate::merge::{Merged, merge};
use crate::ingest::translate::plan::{Given, TablePlan};
use crate::ingest::translate::{row, row_findings};
use crate::study::study_file::Study;
use jiff::civil::Date;

/// The record sheets of a study as read.
pub(crate) struct SheetsRead {
    pub tables: Vec<Table>,
    pub plans: Vec<TablePlan>,
    pub merged: Merged,
    /// Findings on files as a whole.
    pub notes: Vec<Finding>,
    /// Cells corrected by hand.
    pub corrections: Vec<Correction>,
}

impl SheetsRead {
    /// What was read otherwise than as our own columns are written.
    pub(crate) fn inferences(&self) -> Vec<Inference> {
        self.plans.iter().flat_map(|p| p.inferences.iter().cloned()).collect()
    }
}

/// Reads the record sheets of a study.
///
/// # Errors
/// [`IngestError`] when a file cannot be read, or the tables lack what no row can do without.
pub(crate) fn read(
    study: &Study,
    projector: &Projector,
    latest: Date,
    inputs: &mut Vec<InputFile>,
) -> Result<SheetsRead, IngestError> {
    let mut tables = Vec::new();
    let mut notes = Vec::new();
    for name in study.records.pigs.all() {
        let (read, input) = crate::ingest::find_table::read_tables(
            &study.path(&name),
            &name,
            crate::ingest::find_table::Wanted {
                sheet: study.records.sheet.as_deref(),
                header_row: study.records.header_row,
                role: "pigs",
            },
        )?;
        inputs.push(input);
        tables.extend(read);
    }
    check_map(&tables, &study.records)?;
    for table in &tables {
        notes.extend(table.notes.iter().cloned());
        notes.extend(emptiness(table));
    }
    tables.retain(|t| !t.column_names.is_empty());
    let given = Given { keys: &study.records, projector: Some(projector), latest_year: latest.year() };
    let planned = |tables: &[Table]| tables.iter().map(|t| plan(t, &given)).collect::<Result<Vec<_>, _>>();
    let mut plans: Vec<TablePlan> = planned(&tables)?;
    let (corrections, found) = crate::ingest::corrections::apply(study, &mut tables, &plans, inputs)?;
    if !corrections.is_empty() {
        // What a column is read as may rest on the cells corrected.
        plans = planned(&tables)?;
    }
    notes.extend(found);
    check_required(&tables, &plans)?;
    for (table, plan) in tables.iter().zip(&plans) {
        notes.extend(plan.inferences.iter().map(Inference::finding));
        notes.extend(unused(table, plan));
    }
    let mut merged = rows(&tables, &plans);
    notes.append(&mut merged.notes);
    Ok(SheetsRead { tables, plans, merged, notes, corrections })
}

/// Reads the rows of all tables and puts those of one animal together.
pub(crate) fn rows(tables: &[Table], plans: &[TablePlan]) -> Merged {
    let all = tables.iter().zip(plans).enumerate();
    let read =
        all.flat_map(|(k, (table, plan))| table.rows.iter().map(move |r| row::read(plan, table, r, k)));
    let mut merged = merge(read.collect(), tables, plans);
    merged.rows.iter_mut().chain(&mut merged.joined).for_each(row_findings::write);
    merged
}

/// A file that holds nothing, or column names only.
fn emptiness(table: &Table) -> Option<Finding> {
    let place = crate::ingest::findings::Place { file: &table.file, row: None };
    if table.column_names.is_empty() {
        return Some(place.whole(
            Severity::Refused,
            "file-empty",
            "holds nothing",
            "save it again with column names and records, or take it out of the study file",
        ));
    }
    table.rows.is_empty().then(|| {
        place.whole(
            Severity::Refused,
            "file-without-rows",
            "has column names and no record",
            "add the records, or take it out of the study file",
        )
    })
}
