//! Progress bars: on a terminal only, with an estimate of what is left.

use crate::pipeline::progress::Progress;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::OnceLock;

/// A bar over all trajectories of all chains, then one over the assessment, then one over all re-runs
/// together.
#[derive(Default)]
pub(crate) struct Bars {
    sampling: OnceLock<ProgressBar>,
    assessing: OnceLock<ProgressBar>,
    again: OnceLock<ProgressBar>,
}

/// Parts of the assessment bar.
const PARTS: u64 = 100;

impl Bars {
    /// Shows one step. Silent when standard error is not a terminal.
    pub(crate) fn show(&self, step: Progress) {
        match step {
            Progress::Read => {}
            Progress::Trajectory { of } => {
                // What is planned may grow: the bar ends when the assessment begins.
                let bar = self.sampling.get_or_init(|| bar(of as u64, "sampling "));
                bar.set_length(of as u64);
                bar.inc(1);
            }
            Progress::Rerun { steps, of } => {
                let bar = self.again.get_or_init(|| bar(of as u64, "running again"));
                bar.inc(steps as u64);
                if bar.position() >= of as u64 {
                    bar.finish_and_clear();
                }
            }
            Progress::Assessing(share) => {
                if let Some(sampling) = self.sampling.get() {
                    sampling.finish_and_clear();
                }
                let bar = self.assessing.get_or_init(|| bar(PARTS, "assessing"));
                bar.set_position((share * PARTS as f64) as u64);
                if share >= 1.0 {
                    bar.finish_and_clear();
                }
            }
        }
    }
}

/// A bar of so many steps; silent when standard error is not a terminal.
pub(crate) fn bar(length: u64, message: &'static str) -> ProgressBar {
    let bar = ProgressBar::new(length);
    // Only known placeholders stand in the template: it always parses.
    let style = ProgressStyle::with_template("{msg} {wide_bar} {percent:>3} %, about {eta} left")
        .unwrap_or_else(|_| ProgressStyle::default_bar());
    bar.set_style(style);
    bar.set_message(message);
    bar
}
