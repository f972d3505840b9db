//! Running a study again: with other inputs, and without the pigs of each area in turn.

use crate::pipeline::analysis::Analysis;
use crate::pipeline::held_out::HeldOut;
use crate::pipeline::progress::{AnalysisError, Progress};
use crate::pipeline::rerun_steps::{RerunSteps, lightened};
use crate::pipeline::sensitivity::Sensitivity;
use crate::pipeline::{held_out, sensitivity};

/// What is run again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Reruns {
    /// The whole study under other inputs.
    pub inputs: bool,
    /// The study without the pigs of each area in turn.
    pub areas: bool,
}

/// What the re-runs take, said before they start.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Runs under other inputs that sample again.
    pub inputs: usize,
    /// Assessments under other inputs that need no sampling.
    pub assessed: usize,
    /// Runs without an area's pigs.
    pub areas: usize,
    /// Chains of each.
    pub chains: usize,
    /// Warm-up trajectories of each chain.
    pub warmup: usize,
    /// Trajectories of each chain after that.
    pub trajectories: usize,
}

impl Plan {
    /// Re-runs that sample.
    pub fn runs(&self) -> usize {
        self.inputs + self.areas
    }
}

impl Analysis {
    /// Trajectories each chain made after its warm-up.
    pub fn trajectories(&self) -> usize {
        self.posterior.trajectories()
    }
    /// What the re-runs would take.
    pub fn plan_reruns(&self, what: Reruns) -> Plan {
        let study = lightened(&self.layout.study, self.trajectories());
        let (changes, _) = sensitivity::changes(&self.layout.study, self.trajectories());
        let of_inputs =
            |again: bool| if what.inputs { changes.iter().filter(|c| c.again == again).count() } else { 0 };
        Plan {
            inputs: of_inputs(true),
            assessed: of_inputs(false),
            areas: if what.areas { held_out::areas(&self.layout).0.len() } else { 0 },
            chains: study.run.chains,
            warmup: study.run.warmup,
            trajectories: study.run.trajectories,
        }
    }

    /// Runs the study again as asked, and keeps what that says beside the figures.
    ///
    /// `progress` is called with [`Progress::Rerun`] once a step: a trajectory, or as much of an assessment
    /// as took the first run the time of one.
    ///
    /// # Errors
    /// [`AnalysisError::Threads`].
    pub fn run_again(
        &mut self,
        what: Reruns,
        progress: &(dyn Fn(Progress) + Sync),
    ) -> Result<(), AnalysisError> {
        let plan = self.plan_reruns(what);
        let run = &self.layout.study.run;
        let trajectories = plan.chains * (plan.warmup + plan.trajectories);
        let each = self.seconds[1] / (run.chains * (run.warmup + self.trajectories())) as f64;
        let assessment = (self.seconds[2] / each.max(1e-6)).round().clamp(1.0, 1e6) as usize;
        let of = plan.runs() * trajectories + (plan.inputs + plan.assessed) * assessment;
        let steps = RerunSteps { of, assessment, progress };
        let sensitivity = what
            .inputs
            .then(|| Sensitivity::of(&self.layout, &self.posterior, &self.assessment, &steps))
            .transpose()?;
        let held_out =
            what.areas.then(|| HeldOut::of(&self.layout, self.trajectories(), &steps)).transpose()?;
        self.sensitivity = sensitivity.or(self.sensitivity.take());
        self.held_out = held_out.or(self.held_out.take());
        Ok(())
    }
}
