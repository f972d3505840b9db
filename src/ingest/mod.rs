//! From files to records: every row used, used with a warning, or refused with a reason.
//!
//! [`read_study`] reads every file a study names and hands on [`Records`] in the study's
//! projected system, the [`Finding`]s made on the way, and [`Counts`] that add up.
//!
//! ```text
//! file ─ tables ─ columns ─┬─ dates ───────┐
//!  (csv, xlsx, parquet,    ├─ coordinates ─┼─ places ── pigs in the study's system
//!   geojson)               ├─ inspection ──┤  (swapped, mirrored, far away)
//!                          └─ pigs ────────┘
//! ```
//!
//! # What a user may rely on
//! * A row is used as written or not at all: nothing is set right in silence.
//! * Every row that is not used has a finding that names file, row, column, value and the mend.
//! * `counts.read == counts.used + counts.used_with_warning + counts.refused`.
//! * Pigs keep the order of the files and of the rows in them.
//! * The same bytes in give the same records and findings out.
//!
//! # The uncertainty of a fix
//! `coordinateUncertaintyInMeters` is a radius, read as that of the circle that holds the true
//! place with 95 % probability. For a bivariate normal of s.d. σ per axis that radius is
//! σ·√(χ²₂,₀.₉₅) = 2.4477 σ, so `fix_sd_m = radius / 2.4477`. A blank cell takes the study's
//! `detection.fix_radius_m`.

use crate::projection::Projector;
use crate::record::{Pig, Records};
use crate::study::Study;
use geo::MultiPolygon;
use jiff::civil::Date;
use std::collections::BTreeMap;

pub mod ages;
pub mod angles;
mod areas;
pub mod columns;
pub mod coordinates;
pub mod cross_checks;
mod csv_table;
pub mod dates;
mod dentition;
mod errors;
mod geojson_table;
mod geopackage;
mod inspection;
pub mod neighbourhood;
pub mod numbers;
mod operations;
mod parquet_table;
pub mod pigs;
pub mod places;
pub mod problems;
mod spatial;
pub mod tables;
mod xlsx_table;

pub use errors::IngestError;
pub use problems::{Counts, Finding, Severity};
pub use tables::InputFile;

use columns::{Columns, RowView};
use pigs::Draft;

/// Everything read.
#[derive(Debug, Clone)]
pub struct Ingested {
    /// Pigs, zones, blocks, cover and operations in the study's system.
    pub records: Records,
    /// Every finding: file by file, row by row.
    pub findings: Vec<Finding>,
    /// What became of the pig rows.
    pub counts: Counts,
    /// Every file read, with its fingerprint.
    pub inputs: Vec<InputFile>,
    /// Pigs used whose age comes from the `dentition` column.
    pub ages_from_jaw: usize,
    /// The day the study speaks of: `study.as_of`, otherwise the last day on which a pig used was killed.
    pub as_of: Date,
    /// The study's system, and the ways positions took into it with their accuracy.
    pub projection_note: String,
}

/// Reads every file of a study; dates after today are in the future.
///
/// # Errors
/// [`IngestError`] only when nothing can go on: a file that cannot be read, a column that is
/// absent, a system that cannot be used, or no usable pig. Everything else is a finding.
pub fn read_study(study: &Study) -> Result<Ingested, IngestError> {
    read_study_on(study, jiff::ZonedDateTime::now().date())
}

/// As [`read_study`], with the day that counts as today where the study has no `as_of`.
///
/// # Errors
/// As [`read_study`].
pub fn read_study_on(study: &Study, today: Date) -> Result<Ingested, IngestError> {
    let projector = Projector::new(&study.study.crs)?;
    let latest = study.study.as_of.unwrap_or(today);
    let mut inputs = Vec::new();
    if !study.file.is_empty() {
        inputs.push(tables::read_bytes(&study.path(&study.file), &study.file, "study")?.1);
    }
    let jaws = dentition::Jaws::of(study, &mut inputs)?;
    let mut notes: Vec<Finding> = Vec::new();
    let mut drafts: Vec<Draft> = Vec::new();
    for name in study.records.pigs.paths() {
        let (table, input) = tables::read_table(&study.path(&name), &name, study.records.sheet.as_deref(), "pigs")?;
        inputs.push(input);
        notes.extend(table.notes.iter().cloned());
        notes.extend(emptiness(&table));
        if table.headings.is_empty() {
            continue;
        }
        let (columns, mut found) = Columns::find(&table, &study.records.columns)?;
        notes.append(&mut found);
        drafts.extend(
            table
                .rows
                .iter()
                .map(|row| pigs::draft(&RowView { table: &table, columns: &columns, row }, study, &jaws, latest)),
        );
    }
    repeated_ids(&mut drafts);
    let mut converter = neighbourhood::Converter::new(&projector);
    let spots = places::judge(&mut drafts, &mut converter);
    let projection_note = converter.note();
    let mut pigs: Vec<Pig> = Vec::new();
    let mut used: Vec<usize> = Vec::new();
    for (i, (draft, spot)) in drafts.iter_mut().zip(&spots).enumerate() {
        if let Some(pig) = finish(draft, *spot) {
            pigs.push(pig);
            used.push(i);
        }
    }
    let first_file = study.records.pigs.paths().first().cloned().unwrap_or_default();
    notes.extend(cross_checks::look(&pigs, &used, &mut drafts, &first_file));
    let ages_from_jaw = used.iter().filter(|k| drafts[**k].age_from_jaw).count();
    let mut counts = Counts::default();
    let mut findings = Vec::new();
    for draft in &drafts {
        counts.add(&draft.findings);
        findings.extend(draft.findings.iter().cloned());
    }
    // Notes on a file come before its rows: a stable sort by the file's place in the study.
    notes.append(&mut findings);
    let mut findings = notes;
    let order: BTreeMap<String, usize> =
        study.records.pigs.paths().into_iter().enumerate().map(|(i, p)| (p, i)).rev().collect();
    findings.sort_by_key(|f| order.get(&f.file).copied().unwrap_or(usize::MAX));
    if pigs.is_empty() {
        return Err(IngestError::NoUsablePig { findings, counts });
    }
    let last_kill = pigs.iter().map(|p| p.killed.last).max().unwrap_or(latest);
    let mut records = Records { pigs, ..Records::default() };
    let as_of = study.study.as_of.unwrap_or(last_kill);
    read_areas(study, &projector, as_of, &mut records, &mut findings, &mut inputs)?;
    Ok(Ingested { records, findings, counts, inputs, ages_from_jaw, as_of, projection_note })
}

/// Outlines of land within reach, from a GeoJSON file of polygons, in the study's system; with what was
/// wrong with them.
///
/// # Errors
/// [`IngestError`] when the file is unreadable or not GeoJSON, or its system cannot be used.
pub fn read_reach(study: &Study, name: &str) -> Result<(Vec<MultiPolygon<f64>>, Vec<Finding>), IngestError> {
    let projector = Projector::new(&study.study.crs)?;
    let read = areas::outlines(study, name, &projector)?;
    Ok((read.areas, read.findings))
}

fn read_areas(
    study: &Study,
    projector: &Projector,
    as_of: Date,
    records: &mut Records,
    findings: &mut Vec<Finding>,
    inputs: &mut Vec<InputFile>,
) -> Result<(), IngestError> {
    if let Some(name) = &study.areas.zones {
        let mut read = areas::zones(study, name, projector)?;
        findings.append(&mut read.findings);
        records.zones = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.blocks {
        let mut read = areas::blocks(study, name, projector)?;
        findings.append(&mut read.findings);
        records.blocks = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.cover {
        let mut read = areas::cover(study, name, projector)?;
        findings.append(&mut read.findings);
        findings.extend(areas::risk_classes(study, name, &read.areas));
        records.cover = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.operations {
        let (operations, mut found, input) = operations::read(study, name, &records.blocks, as_of)?;
        findings.append(&mut found);
        records.operations = operations;
        inputs.push(input);
    }
    Ok(())
}

/// A file that holds nothing, or headings only.
fn emptiness(table: &tables::Table) -> Option<Finding> {
    let place = problems::Place { file: &table.file, row: None };
    if table.headings.is_empty() {
        return Some(place.whole(
            Severity::Refused,
            "file-empty",
            "holds nothing",
            "save it again with headings and records, or take it out of the study file",
        ));
    }
    table.rows.is_empty().then(|| {
        place.whole(
            Severity::Refused,
            "file-without-rows",
            "has headings and no record",
            "add the records, or take it out of the study file",
        )
    })
}

/// Refuses every row after the first with the same id.
fn repeated_ids(drafts: &mut [Draft]) {
    let mut first: BTreeMap<String, (String, usize)> = BTreeMap::new();
    for draft in drafts.iter_mut() {
        let Some(id) = draft.id.clone() else { continue };
        match first.get(&id) {
            None => {
                first.insert(id, (draft.source.file.clone(), draft.source.row));
            }
            Some((file, row)) => {
                let place = problems::Place { file: &draft.source.file, row: Some(draft.source.row) };
                draft.findings.push(place.cell(
                    Severity::Refused,
                    "id-repeated",
                    Some(&draft.id_heading),
                    Some(&id),
                    format!("is the specimen of {file} row {row} already"),
                    "give every specimen a number of its own, or delete the row if it is the same pig",
                ));
            }
        }
    }
}

/// A draft with nothing refused, as a pig.
fn finish(draft: &mut Draft, spot: Option<geo::Coord>) -> Option<Pig> {
    if draft.is_refused() {
        return None;
    }
    match (draft.id.clone(), draft.killed, draft.reading, spot) {
        (Some(id), Some(killed), Some(reading), Some(at)) => Some(Pig {
            id,
            source: draft.source.clone(),
            easting_m: at.x,
            northing_m: at.y,
            fix_sd_m: draft.fix_sd_m,
            sex: draft.sex,
            killed,
            age: draft.age,
            released_on: draft.released_on,
            inspection: draft.inspection.clone(),
            reading,
        }),
        _ => {
            // Each missing part has a refusal of its own; this guards the counts should one be forgotten.
            let place = problems::Place { file: &draft.source.file, row: Some(draft.source.row) };
            draft.findings.push(place.whole(
                Severity::Refused,
                "row-incomplete",
                "lacks an id, a date, a result or a position that can be used",
                "fill the row in",
            ));
            None
        }
    }
}
