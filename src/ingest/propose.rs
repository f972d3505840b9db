//! What record files hold, before there is a study file: the system of their positions, and how each column
//! is read.

use crate::geography::coordinates::projector::{Projector, utm_zone};
use crate::ingest::account::Inference;
use crate::ingest::column_checks::check_required;
use crate::ingest::columns::Column;
use crate::ingest::errors::IngestError;
use crate::ingest::find_table::{Wanted, read_tables};
use crate::ingest::sheets;
use crate::ingest::table::Table;
use crate::ingest::translate::make_plan::plan;
use crate::ingest::translate::merge::Merged;
use crate::ingest::translate::plan::{Given, TablePlan};
use crate::ingest::values::angle::degrees_minutes_seconds;
use crate::ingest::values::number::degrees;
use crate::study::study_file::RecordFiles;
use geo::Coord;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What a study of some record files would rest on.
#[derive(Debug, Clone)]
pub(crate) struct Proposal {
    /// The study's system with the reason for it; `None` where nothing tells it.
    pub crs: Option<(String, String)>,
    /// How each column is read, and what only a key can decide.
    pub inferences: Vec<Inference>,
    /// What no row can do without and no column is called.
    pub missing: Option<String>,
    /// Tables found: file and sheet, rows of records, rows passed over.
    pub tables: Vec<(String, usize, usize)>,
}

/// Reads record files by their paths and the names that a study file would give them.
///
/// # Errors
/// [`IngestError`] for a file that cannot be read, or holds nothing.
pub(crate) fn propose(files: &[(PathBuf, String)], today: Date) -> Result<Proposal, IngestError> {
    let mut tables = Vec::new();
    for (path, name) in files {
        let (read, _) = read_tables(path, name, Wanted { sheet: None, header_row: None, role: "pigs" })?;
        if read.iter().all(|t| t.column_names.is_empty()) {
            return Err(IngestError::HoldsNothing { file: name.clone() });
        }
        tables.extend(read.into_iter().filter(|t| !t.column_names.is_empty()));
    }
    let keys = RecordFiles::of("");
    let planned = |projector: Option<&Projector>| -> Result<Vec<TablePlan>, IngestError> {
        let given = Given { keys: &keys, projector, latest_year: today.year() };
        tables.iter().map(|t| plan(t, &given)).collect()
    };
    let plans = planned(None)?;
    let crs = system(&sheets::rows(&first_rows(&tables), &plans));
    // With the system known, columns under each other's name and seasons of the south are seen.
    let projector = crs.as_ref().and_then(|(code, _)| Projector::new(code).ok());
    let plans = match &projector {
        Some(projector) => planned(Some(projector))?,
        None => plans,
    };
    let missing = check_required(&tables, &plans).err().map(|e| e.to_string());
    let size = |t: &Table| (t.file.clone(), t.rows.len(), t.passed_over.len());
    Ok(Proposal {
        crs,
        inferences: plans.into_iter().flat_map(|p| p.inferences).collect(),
        missing,
        tables: tables.iter().map(size).collect(),
    })
}

/// Most rows of a table from which the system is told.
const ENOUGH: usize = 3000;

/// The tables with their first rows only.
fn first_rows(tables: &[Table]) -> Vec<Table> {
    let cut = |t: &Table| Table {
        file: t.file.clone(),
        column_names: t.column_names.clone(),
        rows: t.rows.iter().take(ENOUGH).cloned().collect(),
        sheet: t.sheet.clone(),
        ..Table::default()
    };
    tables.iter().map(cut).collect()
}

/// The grid that most rows are written in, otherwise the UTM zone of the median position.
fn system(rows: &Merged) -> Option<(String, String)> {
    let mut grids: BTreeMap<&str, usize> = BTreeMap::new();
    let (mut longitudes, mut latitudes) = (Vec::new(), Vec::new());
    for row in &rows.rows {
        let text = |column: Column| row.cells.get(&column).map(|c| c.text.as_str());
        if let Some(code) = text(Column::Crs) {
            *grids.entry(code).or_default() += 1;
        }
        let at = match (text(Column::DecimalLongitude), text(Column::DecimalLatitude)) {
            (Some(x), Some(y)) => degrees(x).ok().zip(degrees(y).ok()).map(|(x, y)| Coord { x, y }),
            _ => text(Column::VerbatimCoordinates).and_then(|t| degrees_minutes_seconds(t).ok()),
        };
        if let Some(at) = at {
            longitudes.push(at.x);
            latitudes.push(at.y);
        }
    }
    if let Some((code, n)) = grids.into_iter().max_by_key(|(_, n)| *n) {
        return Some((code.to_string(), format!("the grid of {n} of {} positions", rows.rows.len())));
    }
    let median = |values: &mut Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let at = Coord { x: median(&mut longitudes)?, y: median(&mut latitudes)? };
    let inside = at.x.abs() <= 180.0 && at.y.abs() <= 84.0;
    inside.then(|| (utm_zone(at), format!("the UTM zone of the median of {} positions", longitudes.len())))
}
