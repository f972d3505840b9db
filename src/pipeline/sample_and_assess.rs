//! One laid-out study to posterior samples and figures, on as many threads as it asks for.

use crate::assess::{Assessment, assess, watches};
use crate::geography::layout::Layout;
use crate::inference::posterior::{Posterior, Watch};
use crate::kernel::model::Model;
use crate::pipeline::progress::{AnalysisError, Progress};
use crate::study::study_file::Study;

/// Samples of one study and what they say.
pub(crate) struct Assessed {
    /// Posterior samples of the force of infection.
    pub posterior: Posterior,
    /// What was watched for convergence.
    pub watches: Vec<Watch>,
    /// The figures.
    pub assessment: Assessment,
    /// Wall-clock seconds: sampling, assessing.
    pub seconds: [f64; 2],
}

/// Worker threads as the study asks.
///
/// # Errors
/// [`AnalysisError::Threads`].
pub(crate) fn pool(study: &Study) -> Result<rayon::ThreadPool, AnalysisError> {
    let builder = rayon::ThreadPoolBuilder::new().num_threads(study.run.threads);
    builder.build().map_err(|e| AnalysisError::Threads(e.to_string()))
}

/// Samples, without assessing.
///
/// # Errors
/// [`AnalysisError::Threads`].
pub fn sample(
    layout: &Layout,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<(Posterior, Vec<Watch>), AnalysisError> {
    let watches = watches(layout);
    let run = &layout.study.run;
    let posterior = pool(&layout.study)?.install(|| {
        let model = || Model::of(layout);
        crate::inference::posterior::sample(&layout.study, Model::of(layout), &model, &watches, &|planned| {
            progress(Progress::Trajectory { of: run.chains * (run.warmup + planned) })
        })
    });
    Ok((posterior, watches))
}

/// Samples and assesses.
///
/// # Errors
/// [`AnalysisError::Threads`].
pub(crate) fn sample_and_assess(
    layout: &Layout,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<Assessed, AnalysisError> {
    let start = std::time::Instant::now();
    let (posterior, watches) = sample(layout, progress)?;
    let sampled = start.elapsed().as_secs_f64();
    let assessment = pool(&layout.study)?
        .install(|| assess(layout, &posterior, &|share| progress(Progress::Assessing(share))));
    let seconds = [sampled, start.elapsed().as_secs_f64() - sampled];
    Ok(Assessed { posterior, watches, assessment, seconds })
}
