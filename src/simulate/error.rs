//! Why a simulated study area cannot be written.

use crate::geography::coordinates::held::ProjectionError;
use std::path::Path;

/// Why a study area could not be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// A file could not be written.
    #[error("{path}: cannot be written: {reason}; check the folder and its permissions")]
    File {
        /// File or folder.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// A position has no longitude and latitude.
    #[error("simulated positions cannot be turned into degrees: {0}")]
    Projection(#[from] ProjectionError),
}

impl WriteError {
    pub(crate) fn at(path: &Path, reason: &dyn std::fmt::Display) -> WriteError {
        WriteError::File { path: path.display().to_string(), reason: reason.to_string() }
    }
}
