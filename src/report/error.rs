//! Why a result cannot be written.

use crate::contract::error::ContractError;
use crate::geography::coordinates::held::ProjectionError;
use std::path::Path;

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
        "{path} holds {file}, which this program did not write and which would be lost; \
         move it, or name an empty or new folder"
    )]
    Foreign {
        /// Folder asked for.
        path: String,
        /// The first file of somebody else's in it.
        file: String,
    },
    /// Another run is writing to the same folder.
    #[error(
        "{path}: another run is writing its result there; wait until it has ended, or name another folder"
    )]
    Busy {
        /// Folder asked for.
        path: String,
    },
    /// A complete result could not take its name.
    #[error(
        "{path}: the result cannot be put there: {reason}; the new result is complete in {aside}: rename it"
    )]
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
    /// What is about to be written is not what is declared.
    #[error(transparent)]
    Contract(#[from] ContractError),
    /// A table or raster cannot be encoded.
    #[error("{table}: cannot be written: {reason}")]
    Table {
        /// File name.
        table: String,
        /// What the library said.
        reason: String,
    },
    /// The page cannot be made.
    #[error(transparent)]
    Page(#[from] crate::report::error::PageError),
    /// The truth the result is to be compared with cannot be used.
    #[error("the result cannot be compared with the truth: {0}")]
    Truth(#[from] crate::score::error::ScoreError),
    /// What was to be published would give a record's own place away.
    #[error(transparent)]
    Public(#[from] crate::report::error::PublicError),
}

impl ReportError {
    /// A [`ReportError::Write`] from a system error.
    pub fn write(path: &Path, error: std::io::Error) -> ReportError {
        ReportError::Write { path: path.display().to_string(), reason: error.to_string() }
    }
}

/// Why publishable layers cannot be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PublicError {
    /// The squares would be too small to hide a place, or too large to show one.
    #[error("--generalise {side_m}: squares of {side_m} m are not possible; write {least} to {most} metres")]
    Side {
        /// Side asked for, metres.
        side_m: f64,
        /// Smallest side here, metres.
        least: f64,
        /// Largest side, metres.
        most: f64,
    },
    /// A place about to be written is one that was recorded.
    #[error(
        "{file} would hold the recorded place of a pig; nothing was written; use another side with \
         --generalise"
    )]
    RawFix {
        /// Layer.
        file: &'static str,
    },
}

/// Why the page cannot be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PageError {
    /// A template is broken: a fault of the program, not of the study.
    #[error("the report page cannot be made from its template: {0}")]
    Template(#[from] minijinja::Error),
    /// The page's figures cannot be written as JSON.
    #[error("the report page's figures cannot be written: {0}")]
    Figures(#[from] serde_json::Error),
    /// The grid's edge has no longitude and latitude.
    #[error("the report page's meridians and parallels cannot be drawn: {0}")]
    Projection(#[from] ProjectionError),
}
