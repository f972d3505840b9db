//! Writing an analysis down: layers, tables, findings, summary, manifest and page.
//!
//! One file a format; no format knows where it is written. Everything goes into a folder beside
//! the one asked for, which takes its name only when all is complete: a killed run leaves the
//! last complete result as it was.

pub(crate) mod error;
pub(crate) mod findings;
pub(crate) mod folder;
pub(crate) mod generalise;
pub(crate) mod json;
pub(crate) mod layers;
pub(crate) mod manifest;
pub(crate) mod page;
pub(crate) mod rasters;
pub(crate) mod records_read;
pub(crate) mod reread;
pub(crate) mod sentences;
pub(crate) mod summary;
pub(crate) mod tables;

use crate::contract::documents::{FINDINGS, MANIFEST, RECORDS_READ, REPORT, SUMMARY};
use crate::contract::error::ContractError;
use crate::contract::files::asked_for;
use crate::contract::{FileKind, FileSpec, Written, layers as layer, tables as table};
use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use crate::report::folder::Staging;
use crate::report::manifest::Times;
use std::path::PathBuf;

/// What a run writes beside its own results, where it was asked for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Extras {
    /// Truth folder of a simulated study area: the page then compares the stated probabilities with it.
    pub truth: Option<PathBuf>,
    /// Side of the squares to which the publishable layers are generalised, metres.
    pub generalise_m: Option<f64>,
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenFiles {
    /// Every file of the result.
    pub files: Vec<PathBuf>,
    /// Folder in which an earlier result is left, where it could not be removed.
    pub earlier: Option<PathBuf>,
}

/// Writes every output of an analysis into the folder opened for it, complete or not at all.
///
/// # Errors
/// [`ReportError`]: the folder is foreign or cannot be written, or a position has no place on Earth.
pub fn write(analysis: &Analysis, staging: Staging, times: &Times) -> Result<WrittenFiles, ReportError> {
    write_with(analysis, staging, times, &Extras::default())
}

/// As [`write()`], and what was asked for beside it.
///
/// # Errors
/// As [`write()`], and [`ReportError::Truth`] or [`ReportError::Public`] where an extra cannot be made.
pub(crate) fn write_with(
    analysis: &Analysis,
    staging: Staging,
    times: &Times,
    extras: &Extras,
) -> Result<WrittenFiles, ReportError> {
    let folder = staging.named().to_path_buf();
    let projector = Projector::new(&analysis.layout.study.study.crs)?;
    let mut asked = Vec::new();
    asked.extend(analysis.sensitivity.is_some().then_some(Written::WithSensitivity));
    asked.extend(analysis.held_out.is_some().then_some(Written::WithHoldOut));
    asked.extend(extras.generalise_m.is_some().then_some(Written::WithGeneralise));
    let mut public = match extras.generalise_m {
        Some(side_m) => generalise::files(analysis, &projector, side_m)?,
        None => Vec::new(),
    };
    let mut names: Vec<(&str, Vec<u8>)> = Vec::new();
    for file in asked_for(&asked).filter(|f| ![REPORT.path, MANIFEST.path].contains(&f.path)) {
        let bytes = match public.iter().position(|p| p.0 == file.path) {
            Some(at) => public.swap_remove(at).1,
            None => content(file, analysis, &projector)?,
        };
        names.push((file.path, bytes));
    }
    let mut listed = Vec::new();
    for (name, bytes) in &names {
        staging.write(name, bytes)?;
        listed.push(manifest::Output::of(name, bytes));
    }
    let score = match &extras.truth {
        None => None,
        Some(truth) => {
            // Scoring reads what was written, as anybody who is handed the result would.
            staging.write(MANIFEST.path, &manifest::json(analysis, times, &listed)?)?;
            Some(crate::score::score(staging.aside(), truth)?)
        }
    };
    let page = page::render(analysis, score.as_ref())?.into_bytes();
    staging.write(REPORT.path, &page)?;
    listed.push(manifest::Output::of(REPORT.path, &page));
    names.push((REPORT.path, page));
    staging.write(MANIFEST.path, &manifest::json(analysis, times, &listed)?)?;
    let earlier = staging.finish()?;
    let files = names.iter().map(|(n, _)| folder.join(n)).chain([folder.join(MANIFEST.path)]).collect();
    Ok(WrittenFiles { files, earlier })
}

/// What a declared file of a result holds.
///
/// # Errors
/// [`ReportError::Contract`] for a file that is declared and not made; otherwise as its writer.
fn content(file: &FileSpec, analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let is = |other: &FileSpec| file.path == other.path;
    let made = match file.kind {
        FileKind::Raster => return rasters::raster(file, analysis, projector.facts()),
        FileKind::Layer if is(&layer::CELLS) => layers::cells(analysis, projector)?,
        FileKind::Layer if is(&layer::POSITIVES) => layers::positives(analysis, projector)?,
        FileKind::Layer if is(&layer::ORIGINS) => layers::origins(analysis, projector)?,
        FileKind::Layer if is(&layer::ZONES) => layers::zones(analysis, projector)?,
        FileKind::Layer if is(&layer::GAPS) => layers::gaps::gaps(analysis, projector)?,
        FileKind::Layer if is(&layer::BLOCKS) => layers::blocks::blocks(analysis, projector)?,
        FileKind::Table if is(&table::CELLS) => tables::cells(analysis)?,
        FileKind::Table if is(&table::FORCE_OF_INFECTION) => tables::force_of_infection(analysis)?,
        FileKind::Table if is(&table::COVERAGE) => tables::coverage(analysis)?,
        FileKind::Table if is(&table::POSITIVES) => tables::positives(analysis)?,
        FileKind::Table if is(&table::ORIGINS) => tables::origins(analysis)?,
        FileKind::Table if is(&table::PRIORITIES) => tables::priorities::priorities(analysis)?,
        FileKind::Table if is(&table::FRONTIER) => tables::priorities::frontier(analysis)?,
        FileKind::Table if is(&table::BLOCK_SAMPLES) => tables::priorities::block_samples(analysis)?,
        FileKind::Table if is(&table::BLOCK_AREAS) => tables::priorities::block_areas(analysis)?,
        FileKind::Table if is(&table::MODEL_CHECKS) => tables::model_checks::model_checks(analysis)?,
        FileKind::Table if is(&table::RECORD_CHECKS) => tables::model_checks::record_checks(analysis)?,
        FileKind::Table if is(&table::SENSITIVITY) => tables::model_checks::sensitivity(analysis)?,
        FileKind::Table if is(&table::HELD_OUT) => tables::model_checks::held_out(analysis)?,
        FileKind::Csv if is(&FINDINGS) => findings::csv(&analysis.account.findings)?,
        FileKind::Csv if is(&RECORDS_READ) => records_read::csv(&analysis.account.rows)?,
        FileKind::Json if is(&SUMMARY) => summary::json(analysis)?,
        _ => return Err(ContractError::file(file.path, "is declared and not made").into()),
    };
    Ok(made)
}
