//! Sampling the posterior: starting points, chains in parallel, samples kept, convergence judged.

use crate::inference::warm_start::WarmStart;
use crate::kernel::mean_parametrisation::MeanParametrisation;
use crate::kernel::model::{AtStart, Model};
use crate::kernel::prior::Hyper;
use crate::sampler::chains::run_chains;
use crate::sampler::diagnostics::{Convergence, convergence};
use crate::sampler::hmc::{ChainOutcome, Settings, Target};
use crate::sampler::low_rank_metric::LowRankMetric;
use crate::sampler::mode;
use crate::sampler::mode::{Info, Params};
use crate::study::study_file::Study;
use serde::Serialize;
use std::sync::Mutex;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;

/// Largest acceptable split R̂ (Vehtari et al. 2021 advise 1.01 for final results; the study's own contract
/// asks 1.05).
pub(crate) const LARGEST_R_HAT: f64 = 1.05;
/// Smallest acceptable effective sample size of total and zone hazards.
pub(crate) const SMALLEST_ESS: f64 = 400.0;
/// Acceptance that warm-up aims at. 0.8 in the literature for fixed-length trajectories; at that, warm-ups as
/// short as ours now and then end with 0.7, where some study areas need twice the trajectories.
pub(crate) const ACCEPT: f64 = 0.88;
/// Memory kept for samples of the field, bytes; beyond it fewer samples are kept and the run says so.
pub(crate) const SAMPLE_MEMORY_BYTES: usize = 1 << 30;

/// Posterior samples of the field and what is needed to trust them.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// One field per sample, `[row][period][column]`, hazard per year. Chains one after another.
    pub hazard: Vec<Vec<f32>>,
    /// Hyperparameters of each sample.
    pub hyper: Vec<Hyper>,
    /// ln likelihood of each pig at each sample would be large; its total is kept.
    pub log_likelihood: Vec<f64>,
    /// Watched quantities with their convergence, in a fixed order.
    pub watched: Vec<Watched>,
    /// How each chain went.
    pub chains: Vec<ChainOutcome>,
    /// How the search for the mode ended.
    pub mode: Info,
    /// Mean mass of the displacement kernels that falls off the grid.
    pub mass_off_grid: f64,
}

/// One watched quantity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Watched {
    /// Name: `total_force_of_infection`, `zone_force_of_infection:<id>`, `cell_force_of_infection:<id>`,
    /// a hyperparameter or `log_likelihood`.
    pub name: String,
    /// Posterior mean over all trajectories after warm-up.
    pub mean: f64,
    /// Posterior standard deviation.
    pub sd: f64,
    /// R̂ and effective sample sizes.
    pub convergence: Convergence,
}

/// A weighted mean of the hazard that is watched for convergence.
#[derive(Debug, Clone)]
pub struct Watch {
    /// Name in the report.
    pub name: String,
    /// Weight of each field value as (index, weight); `None` watches the mean over the whole field.
    pub weights: Option<Vec<(usize, f64)>>,
    /// Whether the effective-size target applies (total and zone hazards), besides R̂.
    pub needs_ess: bool,
}

impl Watched {
    /// Whether its split R̂ misses the criterion.
    fn lacks_mixing(&self) -> bool {
        self.convergence.r_hat.is_some_and(|r| !(r < LARGEST_R_HAT))
    }
    /// Whether a criterion of effective samples applies to it and is missed.
    fn lacks_samples(&self, watches: &[Watch], least: f64) -> bool {
        let needs = watches.iter().any(|x| x.needs_ess && x.name == self.name);
        needs && self.convergence.ess_bulk.is_some_and(|e| e < least)
    }
}

impl Posterior {
    /// Quantities that miss their targets: (name, what is missed). Empty when all is well.
    pub fn shortfalls(&self, watches: &[Watch]) -> Vec<(String, String)> {
        self.shortfalls_from(watches, SMALLEST_ESS)
    }
    /// As [`Posterior::shortfalls`], with other least effective samples: a shorter run has fewer.
    pub fn shortfalls_from(&self, watches: &[Watch], least_ess: f64) -> Vec<(String, String)> {
        let mut out = Vec::new();
        for w in &self.watched {
            let c = &w.convergence;
            if let (true, Some(r)) = (w.lacks_mixing(), c.r_hat) {
                out.push((w.name.clone(), format!("split R-hat is {r:.3}; should be below {LARGEST_R_HAT}")));
            }
            if let (true, Some(e)) = (w.lacks_samples(watches, least_ess), c.ess_bulk) {
                out.push((
                    w.name.clone(),
                    format!("effective sample size is {e:.0}; should be at least {least_ess:.0}"),
                ));
            }
        }
        let divergent: usize = self.chains.iter().map(|c| c.divergences).sum();
        let all: usize = self.chains.iter().map(|c| c.trajectories).sum();
        if divergent > 0 {
            let what =
                format!("{divergent} of {all} diverged after warm-up, even with short steps; should be none");
            out.push(("trajectories".into(), what));
        }
        out
    }
    /// Trajectories each chain made after its warm-up.
    pub fn trajectories(&self) -> usize {
        self.chains.first().map_or(0, |c| c.trajectories)
    }
    /// Number of samples kept.
    pub fn samples(&self) -> usize {
        self.hazard.len()
    }
}

/// Starting mode: 30 Newton steps reach 1e-3 of the first gradient on every study area tried (7 to 13
/// needed).
fn mode_params() -> Params {
    Params { relative_gradient: 1e-3, max_steps: 30, max_cg: 60 }
}

/// Samples the posterior.
///
/// `at_start` is searched for the mode, in double precision; `build` makes the same model in single
/// precision, once a chain;
/// `progress` is called once a trajectory with the number planned for a chain after warm-up, from any thread.
///
/// # Numerics
/// Unless the study has them run to the end, chains end once `posterior_samples` of them are there and every
/// quantity meets its criteria; till then they go on in pieces, each as long as the effective samples still
/// wanted are likely to take, and at most half as long as all before it: how many a short chain has is not
/// well known. A rule that looks at the samples favours moments that look converged: with the hundreds of
/// effective samples asked for, by little. Chains run side by side on the current rayon pool; each has its
/// own random stream, so the samples depend on the seed and not on the number of threads.
/// # Source
/// Method note §5: exact-rotation HMC over noise and hyperparameters together, started near the mode.
pub fn sample(
    study: &Study,
    at_start: Model,
    build: &(dyn Fn() -> Model<f32> + Sync),
    watches: &[Watch],
    progress: &(dyn Fn(usize) + Sync),
) -> Posterior {
    let mut model = at_start;
    let n = model.noise_len();
    let mut mode = vec![0.0; n];
    let info = mode::maximise(&mut AtStart { model: &mut model }, &mut mode, &mode_params());
    let mass_off_grid = model.likelihood.mean_mass_off_grid;
    let names = model.sampled_names();
    drop(model);

    let run = &study.run;
    let affordable = (SAMPLE_MEMORY_BYTES / (4 * n)).max(20);
    let per_chain = run.posterior_samples.min(affordable).div_ceil(run.chains).clamp(1, run.trajectories);
    let planned = AtomicUsize::new(if run.end_early { per_chain } else { run.trajectories });
    let told = || progress(planned.load(Relaxed));
    let settings = |warmup, trajectories| Settings {
        warmup,
        trajectories,
        accept: ACCEPT,
        length: std::f64::consts::FRAC_PI_2,
        max_steps: 64,
    };
    let seed = study.study.seed;
    // A quarter of the warm-up only settles the noise and looks for the directions that the rest of the run
    // learns.
    let (settling, eighth) = (settings(run.warmup / 30, 1), run.warmup / 8);
    let survey = settings(eighth.saturating_sub(settling.warmup + settling.trajectories), eighth.max(1));
    let mut spent = vec![0; run.chains];
    let begun = WarmStart::near_the_mode(&mut build(), &mode, run.chains, seed)
        .settle(build, &settling, seed, &told, &mut spent)
        .survey(build, &survey, seed, &told, &mut spent);
    let surveyed = [&settling, &survey].iter().map(|s| s.warmup + s.trajectories).sum();
    let settings = settings(run.warmup.saturating_sub(surveyed), run.trajectories);
    let samples: Vec<_> = (0..run.chains).map(|_| Mutex::new(ChainDraws::new(per_chain, watches))).collect();
    let chains = samples.iter().enumerate().map(|(chain, samples)| {
        let keep = |m: &mut LowRankMetric<MeanParametrisation<f32>>,
                    trajectory: usize,
                    moved: bool,
                    z: &[f32],
                    eta: &[f64]| {
            samples.lock().expect(UNHARMED).keep(m, trajectory, moved, (z, eta));
        };
        begun.start(chain, build(), keep)
    });
    let more = |done: usize| {
        let next = match done {
            0 => planned.load(Relaxed),
            _ if !run.end_early => 0,
            _ => still_wanted(&samples, &names, watches, done),
        };
        let end = (done + next).min(run.trajectories);
        planned.store(end, Relaxed);
        for chain in &samples {
            chain.lock().expect(UNHARMED).space_out(end);
        }
        next
    };
    let mut outcomes = run_chains(chains.collect(), &settings, seed, more, &told);
    outcomes.iter_mut().zip(spent).for_each(|(outcome, spent)| outcome.gradients += spent);
    let samples = samples.into_iter().map(|d| d.into_inner().expect(UNHARMED)).collect();
    collect(samples, outcomes, names, watches, info, mass_off_grid)
}

/// A lock is poisoned only where a chain panicked, and that panic ends the run first.
const UNHARMED: &str = "no chain panicked";

/// Trajectories likely to be wanted still by the quantity that lacks most; 0 when every criterion is met.
fn still_wanted(chains: &[Mutex<ChainDraws>], names: &[String], watches: &[Watch], done: usize) -> usize {
    let chains: Vec<_> = chains.iter().map(|c| c.lock().expect(UNHARMED)).collect();
    let watched = watched(&chains.iter().map(|c| &c.series[..]).collect::<Vec<_>>(), names, watches);
    let want = |w: &Watched| {
        let samples = match w.convergence.ess_bulk {
            Some(ess) if w.lacks_samples(watches, SMALLEST_ESS) => {
                (done as f64 * (SMALLEST_ESS / ess - 1.0) * AND_MORE).ceil() as usize
            }
            _ => 0,
        };
        samples.max(if w.lacks_mixing() { done / 4 } else { 0 })
    };
    match watched.iter().map(want).max().unwrap_or(0) {
        0 => 0,
        n => n.clamp(LEAST_MORE, (done / 2).max(LEAST_MORE)),
    }
}

/// Share by which a piece is longer than the effective samples so far make likely to be enough.
const AND_MORE: f64 = 1.1;
/// Fewest trajectories of a further piece: fewer would hardly change what is known of convergence.
const LEAST_MORE: usize = 20;

struct ChainDraws<'a> {
    per_chain: usize,
    watches: &'a [Watch],
    /// Trajectories over which the kept samples are spread, at least as many as are kept.
    over: usize,
    /// Trajectory of each kept sample.
    kept_at: Vec<usize>,
    hazard: Vec<Vec<f32>>,
    hyper: Vec<Hyper>,
    log_likelihood: Vec<f64>,
    /// Watched values of every trajectory: watches, then hyperparameters, then log likelihood.
    series: Vec<Vec<f64>>,
    current: Option<(Vec<f32>, Vec<f64>, Hyper)>,
}

impl<'a> ChainDraws<'a> {
    fn new(per_chain: usize, watches: &'a [Watch]) -> ChainDraws<'a> {
        ChainDraws {
            per_chain,
            watches,
            over: per_chain,
            kept_at: Vec::new(),
            hazard: Vec::with_capacity(per_chain),
            hyper: Vec::new(),
            log_likelihood: Vec::new(),
            series: Vec::new(),
            current: None,
        }
    }

    /// Keeps so many of the samples, evenly spaced, that a chain of this length gives `per_chain` of them.
    fn space_out(&mut self, trajectories: usize) {
        self.over = trajectories.max(self.per_chain);
        let at = std::mem::take(&mut self.kept_at);
        let keep: Vec<bool> = at
            .into_iter()
            .map(|t| {
                let due = self.due(t);
                if due {
                    self.kept_at.push(t);
                }
                due
            })
            .collect();
        let mut which = keep.iter().cycle();
        self.hazard.retain(|_| *which.next().expect("one for each"));
        self.hyper.retain(|_| *which.next().expect("one for each"));
        self.log_likelihood.retain(|_| *which.next().expect("one for each"));
    }

    /// Whether the state of this trajectory is kept.
    fn due(&self, trajectory: usize) -> bool {
        // In whole numbers: a hundred times 110/100 is more than 110 by a rounding.
        (trajectory + 1) * self.per_chain >= (self.kept_at.len() + 1) * self.over
    }

    fn keep(
        &mut self,
        m: &mut LowRankMetric<MeanParametrisation<f32>>,
        trajectory: usize,
        moved: bool,
        (z, eta): (&[f32], &[f64]),
    ) {
        if moved || self.current.is_none() {
            if !moved {
                // The model stands at a refused proposal: bring it back to the state.
                m.log_ratio(z, eta, &mut vec![0.0; z.len()], &mut vec![0.0; eta.len()]);
            }
            let hazard = &m.target.model.field.hazard;
            let mut values: Vec<f64> = self
                .watches
                .iter()
                .map(|w| match &w.weights {
                    Some(weights) => weights.iter().map(|(i, x)| x * f64::from(hazard[*i])).sum(),
                    None => hazard.iter().map(|h| f64::from(*h)).sum::<f64>() / hazard.len() as f64,
                })
                .collect();
            values.extend(m.target.model.sampled_values());
            values.push(m.target.model.log_likelihood);
            self.current = Some((hazard.clone(), values, m.target.model.hyper.clone()));
        }
        let due = self.due(trajectory);
        let (hazard, values, hyper) = self.current.as_ref().expect("set just above");
        if self.series.is_empty() {
            self.series = vec![Vec::new(); values.len()];
        }
        self.series.iter_mut().zip(values).for_each(|(s, v)| s.push(*v));
        if due {
            self.kept_at.push(trajectory);
            self.hazard.push(hazard.clone());
            self.hyper.push(hyper.clone());
            self.log_likelihood.push(*values.last().expect("the log likelihood is always there"));
        }
    }
}

fn collect(
    chains: Vec<ChainDraws<'_>>,
    outcomes: Vec<ChainOutcome>,
    names: Vec<String>,
    watches: &[Watch],
    mode: Info,
    mass_off_grid: f64,
) -> Posterior {
    let watched = watched(&chains.iter().map(|c| &c.series[..]).collect::<Vec<_>>(), &names, watches);
    let mut out = Posterior {
        hazard: Vec::new(),
        hyper: Vec::new(),
        log_likelihood: Vec::new(),
        watched,
        chains: outcomes,
        mode,
        mass_off_grid,
    };
    for c in chains {
        out.hazard.extend(c.hazard);
        out.hyper.extend(c.hyper);
        out.log_likelihood.extend(c.log_likelihood);
    }
    out
}

/// What is watched, from the series of each chain.
fn watched(chains: &[&[Vec<f64>]], names: &[String], watches: &[Watch]) -> Vec<Watched> {
    let names = watches.iter().map(|w| w.name.as_str()).chain(names.iter().map(String::as_str));
    names
        .chain(["log_likelihood"])
        .enumerate()
        .map(|(i, name)| {
            let series: Vec<Vec<f64>> = chains.iter().map(|c| c[i].clone()).collect();
            let all: Vec<f64> = series.iter().flatten().copied().collect();
            let mean = all.iter().sum::<f64>() / all.len() as f64;
            let var = all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (all.len() as f64 - 1.0);
            Watched { name: name.to_string(), mean, sd: var.sqrt(), convergence: convergence(&series) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four chains of 300 trajectories, so many of them divergent in the first.
    fn with(divergences: usize) -> Posterior {
        let chain = |divergences| ChainOutcome {
            accept: 0.85,
            step: 0.1,
            gradients: 1,
            trajectories: 300,
            retried: 0,
            divergences,
        };
        Posterior {
            hazard: Vec::new(),
            hyper: Vec::new(),
            log_likelihood: Vec::new(),
            watched: Vec::new(),
            chains: vec![chain(divergences), chain(0), chain(0), chain(0)],
            mode: Info { converged: true, steps: 7, cg_iterations: 20, relative_gradient: 1e-4 },
            mass_off_grid: 0.0,
        }
    }

    /// A chain that goes on keeps as many samples as before, evenly spaced, each with what belongs to it.
    #[test]
    fn samples_stay_evenly_spaced_when_a_chain_goes_on() {
        let mut chain = ChainDraws::new(100, &[]);
        let mut done = 0;
        for end in [100, 110, 150, 260] {
            chain.space_out(end);
            for t in done..end {
                if chain.due(t) {
                    chain.kept_at.push(t);
                    chain.hazard.push(vec![t as f32]);
                    chain.log_likelihood.push(t as f64);
                }
            }
            done = end;
            assert_eq!(chain.kept_at.len(), 100, "{end}");
            assert!(chain.kept_at.iter().zip(&chain.log_likelihood).all(|(t, v)| *t as f64 == *v));
            assert!(chain.kept_at.iter().zip(&chain.hazard).all(|(t, v)| *t as f32 == v[0]));
            let gaps = chain.kept_at.windows(2).map(|w| w[1] - w[0]);
            let mean = end as f64 / 100.0;
            assert!(gaps.clone().all(|g| (g as f64 - mean).abs() < 2.0), "{end}");
        }
    }

    #[test]
    fn one_divergent_trajectory_is_a_warning() {
        assert!(with(0).shortfalls(&[]).is_empty());
        let missed = with(1).shortfalls(&[]);
        assert_eq!(missed[0].1, "1 of 1200 diverged after warm-up, even with short steps; should be none");
    }
}
