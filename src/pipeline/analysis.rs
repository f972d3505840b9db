//! One study from records to assessment: what `run`, the demo and the tests share.

use crate::assess::priorities::candidates::Candidates;
use crate::assess::{Assessment, priorities};
use crate::geography::layout::Layout;
use crate::inference::posterior::{Posterior, Watch};
use crate::ingest::{Account, Ingested, read_study};
use crate::pipeline::held_out::HeldOut;
use crate::pipeline::progress::{AnalysisError, Progress};
use crate::pipeline::sample_and_assess::sample_and_assess;
use crate::pipeline::sensitivity::Sensitivity;
use crate::study::study_file::Study;

/// A study read and laid out, before sampling.
#[derive(Clone)]
pub struct Prepared {
    /// The study on its grid.
    pub layout: Layout,
    /// What was read, and what was found on the way.
    pub account: Account,
}

/// A finished analysis.
pub struct Analysis {
    /// The study on its grid.
    pub layout: Layout,
    /// What was read, and what was found on the way.
    pub account: Account,
    /// Posterior samples of the force of infection.
    pub posterior: Posterior,
    /// What was watched for convergence.
    pub watches: Vec<Watch>,
    /// The figures.
    pub assessment: Assessment,
    /// Wall-clock seconds: reading, sampling, assessing.
    pub seconds: [f64; 3],
    /// What holds under other inputs, where that was asked for.
    pub sensitivity: Option<Sensitivity>,
    /// How areas are predicted from the others, where that was asked for.
    pub held_out: Option<HeldOut>,
}

impl Prepared {
    /// Lays out what was read.
    ///
    /// # Errors
    /// [`AnalysisError::Layout`]; [`AnalysisError::Priorities`] when the priorities name a block or area
    /// that is not there, exclude each other, or cost more than the budget: said before any sampling.
    pub fn new(study: Study, ingested: Ingested) -> Result<Prepared, AnalysisError> {
        let layout = Layout::new(study, ingested.records, ingested.as_of)?;
        priorities::check(&Candidates::of(&layout, &[]), &layout.study.priorities)?;
        Ok(Prepared { layout, account: ingested.account })
    }

    /// Reads a study's records and lays them out.
    ///
    /// # Errors
    /// As [`read_study`] and [`Prepared::new`].
    pub fn read(study: Study) -> Result<Prepared, AnalysisError> {
        let ingested = read_study(&study)?;
        Prepared::new(study, ingested)
    }

    /// Samples and assesses.
    ///
    /// # Errors
    /// [`AnalysisError::Threads`].
    pub fn analyse(self, progress: &(dyn Fn(Progress) + Sync)) -> Result<Analysis, AnalysisError> {
        let done = sample_and_assess(&self.layout, progress)?;
        Ok(Analysis {
            layout: self.layout,
            account: self.account,
            posterior: done.posterior,
            watches: done.watches,
            assessment: done.assessment,
            seconds: [0.0, done.seconds[0], done.seconds[1]],
            sensitivity: None,
            held_out: None,
        })
    }
}

/// Reads, samples and assesses a study.
///
/// # Errors
/// [`AnalysisError`]: records unreadable, grid too large, threads not to be had.
pub fn analyse(study: Study, progress: &(dyn Fn(Progress) + Sync)) -> Result<Analysis, AnalysisError> {
    let start = std::time::Instant::now();
    let prepared = Prepared::read(study)?;
    let read = start.elapsed().as_secs_f64();
    progress(Progress::Read);
    let mut analysis = prepared.analyse(progress)?;
    analysis.seconds[0] = read;
    Ok(analysis)
}
