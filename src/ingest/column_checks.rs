//! Whether the columns of all tables together are enough, and which are not used.

use crate::ingest::columns::{Column, plain};
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::table::{Table, headed};
use crate::ingest::translate::plan::{FURTHER, TablePlan, column_of, field_named, name_of};
use crate::ingest::vocabulary::Field;
use crate::study::study_file::{OneOrMany, RecordFiles};
use itertools::Itertools as _;
use std::collections::BTreeMap;

/// A row among the first that reads like column names, where a title stands above them.
fn lower_heading_row(table: &Table) -> Option<usize> {
    let known = |row: &&crate::ingest::table::Row| {
        // A row that is longer than the title above it has been cut to one text.
        let cells = row.cells.iter().flat_map(|c| c.split([',', ';', '\t']));
        cells.filter(|c| Column::of_column_name(c.trim_matches('"')).is_some()).count() >= 3
    };
    table.rows.iter().take(10).find(known).map(|r| r.number)
}

/// The entries of `[records.columns]`: the name of the field, and the column name in the file.
fn columns_of(map: &BTreeMap<String, OneOrMany>) -> Result<Vec<(String, String)>, IngestError> {
    let known = || Column::ALL.iter().map(|c| c.name().to_string()).chain(FURTHER.map(name_of)).join(", ");
    let field = |ours: &String| {
        let unknown = || IngestError::UnknownColumnName { name: ours.clone(), known: known() };
        field_named(ours).map(name_of).ok_or_else(unknown)
    };
    let entry = |(ours, theirs): (&String, &OneOrMany)| -> Result<Vec<(String, String)>, IngestError> {
        let field = field(ours)?;
        Ok(theirs.all().into_iter().map(|theirs| (field.clone(), theirs)).collect())
    };
    map.iter().map(entry).flatten_ok().collect()
}

/// Checks `[records.columns]` against all files: each column name is in some file, and names one column of
/// ours.
///
/// # Errors
/// [`IngestError::UnknownColumnName`], [`IngestError::NoSuchHeading`], [`IngestError::SharedHeading`].
pub(crate) fn check_map(tables: &[Table], keys: &RecordFiles) -> Result<(), IngestError> {
    let entries = columns_of(&keys.columns)?;
    for (i, (column, column_name)) in entries.iter().enumerate() {
        if let Some((other, _)) = entries[..i].iter().find(|(_, h)| plain(h) == plain(column_name)) {
            return Err(IngestError::SharedHeading {
                column_name: column_name.to_string(),
                first: other.clone(),
                second: column.clone(),
            });
        }
        let mut read = tables.iter().filter(|t| !t.column_names.is_empty());
        if read.clone().all(|t| headed(t, column_name).is_empty())
            && let Some(first) = read.next()
        {
            return Err(IngestError::NoSuchHeading {
                file: first.file.clone(),
                column: column.clone(),
                column_name: column_name.to_string(),
                present: first.column_names.join(", "),
            });
        }
    }
    Ok(())
}

/// Checks that the tables together say when, where and what was found.
///
/// # Errors
/// [`IngestError::MissingColumns`].
pub(crate) fn check_required(tables: &[Table], plans: &[TablePlan]) -> Result<(), IngestError> {
    use Field as F;
    let has = |f: F| plans.iter().any(|p| p.fields.contains_key(&f));
    let pair = |a, b| plans.iter().any(|p| p.fields.contains_key(&a) && p.fields.contains_key(&b));
    let constant = |c: Column| plans.iter().any(|p| p.constants.contains_key(&c));
    let mut missing: Vec<String> = Vec::new();
    if !has(F::Date) && !has(F::Year) && !constant(Column::EventDate) {
        missing.push(Column::EventDate.name().into());
    }
    if !(pair(F::Latitude, F::Longitude)
        || pair(F::LatitudeDegrees, F::LongitudeDegrees)
        || pair(F::Easting, F::Northing)
        || has(F::Position))
    {
        missing.push(
            "a position (decimalLatitude and decimalLongitude, easting and northing, or \
             verbatimCoordinates)"
                .into(),
        );
    }
    let nodes = plans.iter().any(|p| !p.nodes.is_empty());
    let results = [F::Lesion, F::LabResult, F::Result, F::Culture, F::Pcr, F::Histology];
    if !nodes && !results.into_iter().any(has) && !constant(Column::GrossLesion) {
        missing.push("a result (grossLesion or labResult)".into());
    }
    let Some(table) = tables.first().filter(|_| !missing.is_empty()) else { return Ok(()) };
    Err(IngestError::MissingColumns {
        file: table.file.clone(),
        missing: missing.join(", "),
        present: table.column_names.join(", "),
        suggested_correction: match lower_heading_row(table) {
            Some(row) => format!("the column names seem to be in row {row}: set records.header_row = {row}"),
            None => "name a column that is called otherwise under [records.columns]".into(),
        },
    })
}

/// Columns that are not used, in one note.
pub(crate) fn unused(table: &Table, plan: &TablePlan) -> Option<Finding> {
    let mut used: Vec<usize> = plan.fields.values().copied().collect();
    used.extend(plan.nodes.iter().map(|n| n.index));
    used.extend(plan.labs.iter().map(|l| l.0));
    used.extend(plan.teeth.iter().map(|t| t.0));
    use Field as F;
    let samples = plan.nodes.is_empty() && plan.is_of_the_field();
    let quiet = |f: &F| match f {
        F::Species | F::Status => false,
        F::Sample => !samples,
        other => column_of(*other).is_none(),
    };
    for (field, index) in &plan.fields {
        if quiet(field) {
            used.retain(|u| u != index);
        }
    }
    let unused: Vec<&str> = table
        .column_names
        .iter()
        .enumerate()
        .filter(|(i, h)| !h.is_empty() && !used.contains(i))
        .map(|(_, h)| h.as_str())
        .collect();
    if unused.is_empty() {
        return None;
    }
    Some(Place { file: &table.file, row: None }.whole(
        Severity::Note,
        "columns-not-used",
        format!("{} column(s) are not used: {}", unused.len(), unused.join(", ")),
        "if one of them is meant, name it under [records.columns] in the study file",
    ))
}
