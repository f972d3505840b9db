//! Writing an analysis down: layers, tables, findings, summary, manifest and page.
//!
//! One file a format; no format knows where it is written. Everything goes into a folder beside
//! the one asked for, which takes its name only when all is complete: a killed run leaves the
//! last complete result as it was.

pub mod antimeridian;
pub mod blocks_layer;
pub mod findings;
pub mod folder;
pub mod gaps;
pub mod generalise;
pub mod geojson_layer;
pub mod layers;
pub mod manifest;
pub mod page;
mod priority_tables;
pub mod rasters;
pub mod reread;
pub mod said;
pub mod samples;
pub mod summary;
pub mod tables;
pub mod trust;
mod trust_tables;

use crate::analysis::Analysis;
use crate::projection::ProjectionError;
use std::path::{Path, PathBuf};

/// Why a result cannot be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// A file or folder cannot be written.
    #[error("{path}: cannot be written: {reason}")]
    Write {
        /// File or folder.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// The folder asked for holds something that is not a result of this program.
    #[error(
        "{path} holds {file}, which this program did not write and which would be lost; move it, or name an empty or new folder"
    )]
    Foreign {
        /// Folder asked for.
        path: String,
        /// The first file of somebody else's in it.
        file: String,
    },
    /// Another run is writing to the same folder.
    #[error("{path}: another run is writing its result there; wait until it has ended, or name another folder")]
    Busy {
        /// Folder asked for.
        path: String,
    },
    /// A complete result could not take its name.
    #[error("{path}: the result cannot be put there: {reason}; the new result is complete in {aside}: rename it")]
    Kept {
        /// Folder asked for.
        path: String,
        /// What the system said.
        reason: String,
        /// Where the result lies.
        aside: String,
    },
    /// A position has no longitude and latitude.
    #[error(transparent)]
    Projection(#[from] ProjectionError),
    /// A table cannot be written.
    #[error("{table}: cannot be written: {reason}")]
    Table {
        /// File name.
        table: String,
        /// What the library said.
        reason: String,
    },
    /// The page cannot be made.
    #[error(transparent)]
    Page(#[from] page::PageError),
    /// The truth the result is to be compared with cannot be used.
    #[error("the result cannot be compared with the truth: {0}")]
    Truth(#[from] crate::simulate::ScoreError),
    /// What was to be published would give a record's own place away.
    #[error(transparent)]
    Public(#[from] generalise::PublicError),
}

/// What a run writes beside its own results, where it was asked for.
#[derive(Debug, Clone, Default)]
pub struct Extras {
    /// Truth folder of a simulated district: the page then shows how the stated chances fared.
    pub truth: Option<PathBuf>,
    /// Side of the squares to which the publishable layers are generalised, metres.
    pub generalise_m: Option<f64>,
}

impl ReportError {
    /// A [`ReportError::Write`] from a system error.
    pub fn write(path: &Path, error: std::io::Error) -> ReportError {
        ReportError::Write { path: path.display().to_string(), reason: error.to_string() }
    }
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Every file of the result.
    pub files: Vec<PathBuf>,
    /// Folder in which an earlier result is left, where it could not be removed.
    pub earlier: Option<PathBuf>,
}

/// Writes every output of an analysis into the folder opened for it, complete or not at all.
///
/// # Errors
/// [`ReportError`]: the folder is foreign or cannot be written, or a position has no place on Earth.
pub fn write(analysis: &Analysis, staging: folder::Staging, times: &manifest::Times) -> Result<Written, ReportError> {
    write_with(analysis, staging, times, &Extras::default())
}

/// As [`write()`], and what was asked for beside it.
///
/// # Errors
/// As [`write()`], and [`ReportError::Truth`] or [`ReportError::Public`] where an extra cannot be made.
pub fn write_with(
    analysis: &Analysis,
    staging: folder::Staging,
    times: &manifest::Times,
    extras: &Extras,
) -> Result<Written, ReportError> {
    let folder = staging.named().to_path_buf();
    let projector = crate::projection::Projector::new(&analysis.layout.study.study.crs)?;
    let mut names: Vec<(&str, Vec<u8>)> = vec![
        ("cells.geojson", layers::cells(analysis, &projector)?),
        ("positives.geojson", layers::positives(analysis, &projector)?),
        ("origins.geojson", layers::origins(analysis, &projector)?),
        ("zones.geojson", layers::zones(analysis, &projector)?),
        ("gaps.geojson", gaps::gaps(analysis, &projector)?),
        ("blocks.geojson", blocks_layer::blocks(analysis, &projector)?),
        ("findings.csv", findings::csv(&analysis.layout.ingested.findings)),
        ("summary.json", summary::json(analysis)),
    ];
    names.extend(tables::all(analysis)?);
    names.extend(rasters::all(analysis, projector.facts())?);
    if let Some(side_m) = extras.generalise_m {
        names.extend(generalise::files(analysis, &projector, side_m)?);
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
            staging.write("manifest.json", &manifest::json(analysis, times, &listed))?;
            Some(crate::simulate::score(staging.aside(), truth)?)
        }
    };
    let page = page::render(analysis, score.as_ref())?.into_bytes();
    staging.write("report.html", &page)?;
    listed.push(manifest::Output::of("report.html", &page));
    names.push(("report.html", page));
    staging.write("manifest.json", &manifest::json(analysis, times, &listed))?;
    let earlier = staging.finish()?;
    let files = names.iter().map(|(n, _)| folder.join(n)).chain([folder.join("manifest.json")]).collect();
    Ok(Written { files, earlier })
}
