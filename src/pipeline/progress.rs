//! Where a run stands, and why one cannot go on.

use crate::assess::priorities::choice_error::ChoiceError;
use crate::geography::layout::LayoutError;
use crate::ingest::errors::IngestError;

/// Why a study cannot be analysed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AnalysisError {
    /// The records cannot be read.
    #[error(transparent)]
    Ingest(#[from] IngestError),
    /// The grid would be too large.
    #[error(transparent)]
    Layout(#[from] LayoutError),
    /// The priorities cannot be met.
    #[error(transparent)]
    Priorities(#[from] ChoiceError),
    /// The worker threads cannot be started.
    #[error("the worker threads cannot be started: {0}; try run.threads = 1")]
    Threads(String),
}

/// Where a run stands, for a progress bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Progress {
    /// Records read.
    Read,
    /// One more trajectory of `of`.
    Trajectory {
        /// Trajectories of all chains, as planned so far.
        of: usize,
    },
    /// Share of the assessment done.
    Assessing(f64),
    /// So many more steps of the `of` that all re-runs together take.
    Rerun {
        /// Steps done.
        steps: usize,
        /// Steps of all re-runs.
        of: usize,
    },
}
