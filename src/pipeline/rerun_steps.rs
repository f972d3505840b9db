//! A study as it is run again: lighter, and counted in steps.

use crate::inference::posterior::SMALLEST_ESS;
use crate::pipeline::progress::Progress;
use crate::study::study_file::Study;

/// Fewest trajectories of a re-run, the least a study file may ask for.
pub(crate) const LEAST_TRAJECTORIES: usize = 20;

/// Most posterior samples of a re-run that are kept.
pub(crate) const MOST_SAMPLES: usize = 500;

/// Effective sample size of area hazards below which a re-run misses its criterion: half of the run's own.
/// The run ended when it just had its own, so that a re-run has fewer for its length.
pub(crate) const RERUN_ESS: f64 = 0.5 * SMALLEST_ESS;

/// A study as it is run again: the same warm-up, three quarters of the trajectories the run took (20 at
/// least), 500 samples at most.
pub(crate) fn lightened(study: &Study, taken: usize) -> Study {
    let mut out = study.clone();
    out.run.trajectories = (3 * taken / 4).max(LEAST_TRAJECTORIES).min(taken);
    out.run.end_early = false;
    out.run.posterior_samples = study.run.posterior_samples.min(MOST_SAMPLES);
    out
}

/// RerunSteps of all re-runs together, for one progress bar.
pub(crate) struct RerunSteps<'a> {
    pub(crate) of: usize,
    pub(crate) assessment: usize,
    pub(crate) progress: &'a (dyn Fn(Progress) + Sync),
}

impl RerunSteps<'_> {
    /// One trajectory more; other signs of a run's progress are not steps.
    pub(crate) fn trajectory(&self, step: Progress) {
        if let Progress::Trajectory { .. } = step {
            (self.progress)(Progress::Rerun { steps: 1, of: self.of });
        }
    }
    /// One assessment more.
    pub(crate) fn assessed(&self) {
        (self.progress)(Progress::Rerun { steps: self.assessment, of: self.of });
    }
}
