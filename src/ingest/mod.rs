//! From files to records: every row used, used with a warning, or refused with a reason.
//!
//! [`read_study`] reads every file a study names and hands on [`Records`] in the study's
//! projected system, the [`Finding`]s made on the way, and [`Counts`] that add up.
//!
//! ```text
//! file ─ find_table ─ header_row ─ translate ─ pig_row ─ places ─ cross_checks ─ records
//!        (formats/)               (plan, row,  (values/) (swapped, mirrored, far away)
//!                                  merge; vocabulary/)
//! ```
//!
//! # What a user may rely on
//! * What a column is read as is said once, with its evidence and the key that overrules it.
//! * A cell is read by a rule that stands in the account of its row, or refused: nothing is set right in
//!   silence.
//! * Every row that is not used has a finding that names file, row, column, value and the suggested
//!   correction.
//! * `counts.read == used + used_with_warning + refused + left_out + joined`.
//! * Pigs keep the order of the files and of the rows in them.
//! * The same bytes in give the same records and findings out.
//!
//! # The uncertainty of a GPS position
//! `coordinateUncertaintyInMeters` is a radius, read as that of the circle that holds the true
//! place with 95 % probability. For a bivariate normal of s.d. σ per axis that radius is
//! σ·√(χ²₂,₀.₉₅) = 2.4477 σ, so `position_sd_m = radius / 2.4477`. A blank cell takes the study's
//! `detection.position_radius_m`.

pub(crate) mod account;
pub(crate) mod areas;
pub(crate) mod column_checks;
pub(crate) mod columns;
pub(crate) mod corrections;
pub(crate) mod cross_checks;
pub(crate) mod errors;
pub(crate) mod file_notes;
pub(crate) mod find_table;
pub(crate) mod findings;
pub(crate) mod formats;
pub(crate) mod header_row;
pub(crate) mod header_words;
pub(crate) mod input_file;
pub(crate) mod memory;
pub(crate) mod neighbourhood;
pub(crate) mod operations;
pub(crate) mod phrase;
pub(crate) mod pig_row;
pub(crate) mod places;
pub(crate) mod propose;
pub(crate) mod row_accounts;
pub(crate) mod row_view;
pub(crate) mod sheets;
pub(crate) mod table;
pub(crate) mod translate;
pub(crate) mod values;
pub(crate) mod vocabulary;

use crate::geography::coordinates::projector::Projector;
pub use crate::ingest::account::Account;
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Counts, Finding, Severity};
use crate::ingest::input_file::InputFile;
use crate::ingest::pig_row::Draft;
use crate::ingest::row_view::RowView;
use crate::records::{Pig, Records};
use crate::study::study_file::Study;
use geo::MultiPolygon;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Scale of distances up to which a system will do. Own choice: national grids and UTM zones stay within
/// 1.003 where they
/// are used, equal-area systems of a continent within about 1.04.
const MOST_STRETCH: f64 = 1.05;

/// Everything read.
#[derive(Debug, Clone)]
pub struct Ingested {
    /// Pigs, zones, blocks, cover and operations in the study's system.
    pub records: Records,
    /// The analysis date: `study.as_of`, otherwise the last day on which a pig used was killed.
    pub as_of: Date,
    /// What was read of each file.
    pub account: Account,
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
        inputs.push(crate::ingest::table::read_bytes(&study.path(&study.file), &study.file, "study")?.1);
    }
    let jaws = crate::ingest::values::dentition::Jaws::of(study, &mut inputs)?;
    let mut notes: Vec<Finding> = Vec::new();
    let sheets = crate::ingest::sheets::read(study, &projector, latest, &mut inputs)?;
    notes.extend(sheets.notes.iter().cloned());
    let mut drafts: Vec<Draft> = sheets
        .merged
        .rows
        .iter()
        .map(|read| {
            let row = RowView { tables: &sheets.tables, plan: &sheets.plans[read.table], read };
            crate::ingest::pig_row::draft(&row, study, &jaws, latest)
        })
        .collect();
    repeated_ids(&mut drafts);
    let mut converter = crate::ingest::neighbourhood::Converter::new(&projector);
    let spots = crate::ingest::places::judge(&mut drafts, &mut converter);
    let projection_note = converter.note();
    let mut pigs: Vec<Pig> = Vec::new();
    let mut used: Vec<usize> = Vec::new();
    for (i, (draft, spot)) in drafts.iter_mut().zip(&spots).enumerate() {
        if let Some(pig) = finish(draft, *spot) {
            pigs.push(pig);
            used.push(i);
        }
    }
    let first_file = study.records.pigs.all().first().cloned().unwrap_or_default();
    notes.extend(crate::ingest::cross_checks::look(&pigs, &used, &mut drafts, &first_file));
    let ages_from_jaw = used.iter().filter(|k| drafts[**k].age_from_jaw).count();
    let mut counts = Counts::default();
    let mut findings = Vec::new();
    for draft in &drafts {
        counts.add(&draft.findings);
        findings.extend(draft.findings.iter().cloned());
    }
    let aside: Vec<Finding> = sheets.merged.left_out.iter().filter_map(|r| r.left_out.clone()).collect();
    let refused = aside.iter().filter(|f| f.severity == Severity::Refused).count();
    counts.set_aside(aside.len(), refused, sheets.merged.joined.len());
    findings.extend(aside);
    // Notes on a file come before its rows: a stable sort by the file's place in the study.
    notes.append(&mut findings);
    let mut findings = notes;
    let paths = study.records.pigs.all();
    let order: BTreeMap<&str, usize> =
        sheets.tables.iter().enumerate().map(|(i, t)| (t.file.as_str(), i)).rev().collect();
    let of_file = |file: &str| paths.iter().position(|p| file.starts_with(p.as_str())).unwrap_or(usize::MAX);
    findings.sort_by_cached_key(|f| (of_file(&f.file), order.get(f.file.as_str()).map_or(0, |k| k + 1)));
    let rows = row_accounts::rows(&sheets, &drafts);
    let mut account = Account {
        findings,
        counts,
        inputs,
        ages_from_jaw,
        projection_note,
        corrections: sheets.corrections.clone(),
        inferences: sheets.inferences(),
        rows,
    };
    if pigs.is_empty() {
        return Err(IngestError::NoUsablePig { account: Box::new(account) });
    }
    check_stretch(&projector, &pigs)?;
    let last_kill = pigs.iter().map(|p| p.killed.last).max().unwrap_or(latest);
    let mut records = Records { pigs, ..Records::default() };
    let as_of = study.study.as_of.unwrap_or(last_kill);
    let Account { findings, inputs, .. } = &mut account;
    read_areas(study, &projector, as_of, &mut records, findings, inputs)?;
    Ok(Ingested { records, as_of, account })
}

/// Refuses a system in which distances at the records are not distances on the ground.
fn check_stretch(projector: &Projector, pigs: &[Pig]) -> Result<(), IngestError> {
    let Some(pig) = pigs.get(pigs.len() / 2) else { return Ok(()) };
    let at = geo::Coord { x: pig.easting_m, y: pig.northing_m };
    // A system without a way back has been said already.
    let (Ok(scale), Ok(degrees)) = (projector.stretch(at), projector.to_wgs84(&[at])) else { return Ok(()) };
    if scale <= MOST_STRETCH {
        return Ok(());
    }
    let instead = crate::geography::coordinates::projector::utm_zone(degrees[0]);
    Err(IngestError::Stretched { code: projector.code().into(), scale, instead })
}

/// Boundaries of land within reach, from a GeoJSON file of polygons, in the study's system; with what was
/// wrong with them.
///
/// # Errors
/// [`IngestError`] when the file is unreadable or not GeoJSON, or its system cannot be used.
pub(crate) fn read_reach(
    study: &Study,
    name: &str,
) -> Result<(Vec<MultiPolygon<f64>>, Vec<Finding>), IngestError> {
    let projector = Projector::new(&study.study.crs)?;
    let read = crate::ingest::areas::boundaries(study, name, &projector)?;
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
        let mut read = crate::ingest::areas::zones(study, name, projector)?;
        findings.append(&mut read.findings);
        let boundaries = || read.areas.iter().map(|z| (z.id.as_str(), &z.boundary));
        findings.extend(crate::ingest::areas::overlaps(name, boundaries()));
        findings.extend(crate::ingest::areas::far_away(name, boundaries(), &records.pigs));
        records.zones = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.blocks {
        let mut read = crate::ingest::areas::blocks(study, name, projector)?;
        findings.append(&mut read.findings);
        let boundaries = || read.areas.iter().map(|b| (b.id.as_str(), &b.boundary));
        findings.extend(crate::ingest::areas::overlaps(name, boundaries()));
        findings.extend(crate::ingest::areas::far_away(name, boundaries(), &records.pigs));
        records.blocks = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.cover {
        let mut read = crate::ingest::areas::cover(study, name, projector)?;
        findings.append(&mut read.findings);
        findings.extend(crate::ingest::areas::risk_classes(study, name, &read.areas));
        records.cover = read.areas;
        inputs.push(read.input);
    }
    if let Some(name) = &study.areas.operations {
        let (operations, mut found, input) =
            crate::ingest::operations::read(study, name, &records.blocks, as_of)?;
        findings.append(&mut found);
        records.operations = operations;
        inputs.push(input);
    }
    Ok(())
}

/// Refuses every row after the first sound one with the same id, and says in what the two differ.
fn repeated_ids(drafts: &mut [Draft]) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for i in 0..drafts.len() {
        // A row that is refused anyhow is nobody's first: the row that corrects it is used.
        let Some(id) = drafts[i].id.clone().filter(|_| !drafts[i].is_refused()) else { continue };
        let Some(&k) = first.get(&id) else {
            first.insert(id, i);
            continue;
        };
        let (held, draft) = (&drafts[k], &drafts[i]);
        let differs = held.differs(draft);
        let (how, suggested_correction) = if differs.is_empty() {
            (
                String::new(),
                "delete the row if it is the same pig, or give every specimen a number of its own",
            )
        } else {
            (
                format!(", with another {}", differs.join(", another ")),
                "keep the correct row if it is the same pig, or give every specimen a number of its own",
            )
        };
        let place = crate::ingest::findings::Place { file: &draft.source.file, row: Some(draft.source.row) };
        let finding = place.cell(
            Severity::Refused,
            "id-repeated",
            Some(&draft.id_column),
            Some(&id),
            format!(
                "is the specimen of {} row {} already{how}; that row is used",
                held.source.file, held.source.row
            ),
            suggested_correction,
        );
        drafts[i].findings.push(finding);
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
            position_sd_m: draft.position_sd_m,
            sex: draft.sex,
            killed,
            age: draft.age,
            released_on: draft.released_on,
            inspection: draft.inspection.clone(),
            reading,
        }),
        _ => {
            // Each missing part has a refusal of its own; this guards the counts should one be forgotten.
            let place =
                crate::ingest::findings::Place { file: &draft.source.file, row: Some(draft.source.row) };
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
