//! Why an answer cannot be scored.

use crate::contract::read_table::TableError;
use crate::geography::coordinates::held::ProjectionError;

/// Why an answer cannot be scored.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ScoreError {
    /// A file of the run or the truth cannot be used.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The simulated study's `pigs.csv` cannot be used.
    #[error(
        "{path} row {row}, column \"{column}\": \"{value}\" is not {expected}; write the study area again"
    )]
    Pigs {
        /// File.
        path: String,
        /// Line, from 1.
        row: usize,
        /// Column.
        column: &'static str,
        /// What is there, cut to 40 characters.
        value: String,
        /// What is needed.
        expected: &'static str,
    },
    /// The truth's system is of no use.
    #[error("positions of the simulated pigs: {0}")]
    Projection(#[from] ProjectionError),
    /// The run answers another study area.
    #[error(
        "the run holds no cell on the land of {study_area}; \
         score it against the truth it was simulated from"
    )]
    NoCells {
        /// Study area of the truth.
        study_area: String,
    },
    /// A pig of the run is not in the truth.
    #[error(
        "the run holds pig \"{id}\", which the truth folder does not; \
         score it against the truth it was simulated from"
    )]
    UnknownPig {
        /// Its number.
        id: String,
    },
    /// The truth speaks of another coordinate system than the study.
    #[error(
        "{path} is the truth of {study_area} in {theirs}, and the study is in {ours}; \
         name the truth the study was simulated from"
    )]
    OtherSystem {
        /// Truth folder.
        path: String,
        /// Its study area.
        study_area: String,
        /// Its system.
        theirs: String,
        /// The study's system.
        ours: String,
    },
}
