//! Sampling the posterior: starting points, chains in parallel, draws kept, convergence judged.

use super::field::Shape;
use super::model::{AtStart, Model};
use super::prior::Hyper;
use crate::grid::Grid;
use crate::num::diagnostics::{Convergence, convergence};
use crate::num::hmc::{ChainOutcome, Settings, Start, Target, run_chains};
use crate::num::newton_cg::{self, Info, Params};
use crate::num::real::Real;
use crate::study::Study;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};
use serde::Serialize;

/// Largest acceptable split R̂ (Vehtari et al. 2021 advise 1.01 for final results; the study's own contract asks 1.05).
pub const LARGEST_R_HAT: f64 = 1.05;
/// Smallest acceptable effective sample size of total and zone hazards.
pub const SMALLEST_ESS: f64 = 400.0;
/// Memory kept for draws of the field, bytes; beyond it fewer draws are kept and the run says so.
pub const DRAW_MEMORY_BYTES: usize = 1 << 30;

/// Posterior draws of the hazard field and what is needed to trust them.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// One field per draw, `[row][period][column]`, hazard per year. Chains one after another.
    pub hazard: Vec<Vec<f32>>,
    /// Hyperparameters of each draw.
    pub hyper: Vec<Hyper>,
    /// ln likelihood of each pig at each draw would be large; its total is kept.
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
    /// Name: `total_hazard`, `zone_hazard:<id>`, a hyperparameter, `log_likelihood` or `cell_hazard:<id>`.
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

impl Posterior {
    /// Quantities that miss their targets: (name, what is missed). Empty when all is well.
    pub fn shortfalls(&self, watches: &[Watch]) -> Vec<(String, String)> {
        let mut out = Vec::new();
        for w in &self.watched {
            let c = &w.convergence;
            match c.r_hat {
                Some(r) if r < LARGEST_R_HAT => {}
                Some(r) => {
                    out.push((w.name.clone(), format!("split R-hat is {r:.3}, should be below {LARGEST_R_HAT}")))
                }
                None => {}
            }
            let needs = watches.iter().any(|x| x.needs_ess && x.name == w.name);
            if let (true, Some(e)) = (needs, c.ess_bulk)
                && e < SMALLEST_ESS
            {
                out.push((w.name.clone(), format!("{e:.0} effective draws, should be at least {SMALLEST_ESS:.0}")));
            }
        }
        let divergent: usize = self.chains.iter().map(|c| c.divergences).sum();
        let all: usize = self.chains.iter().map(|c| c.trajectories).sum();
        if divergent > 0 {
            out.push(("trajectories".into(), format!("{divergent} of {all} diverged after warm-up, should be none")));
        }
        out
    }
    /// Number of draws kept.
    pub fn draws(&self) -> usize {
        self.hazard.len()
    }
}

/// The field's shape for a study on a grid.
pub fn shape_of(study: &Study, grid: &Grid) -> Shape {
    Shape {
        rows: grid.rows,
        periods: grid.periods(),
        cols: grid.cols,
        cell_m: grid.cell_m,
        period_months: f64::from(grid.period_months),
        dispersal_mean_m: study.dispersal.mean_m,
        link: study.field.link,
    }
}

/// Starting mode: 30 Newton steps reach 1e-3 of the first gradient on every district tried (7 to 13 needed).
fn mode_params() -> Params {
    Params { relative_gradient: 1e-3, max_steps: 30, max_cg: 60 }
}

/// Samples the posterior.
///
/// `at_start` is searched for the mode, in double precision; `build` makes the same model in single
/// precision, once a chain;
/// `progress` is called once a trajectory, from any thread.
///
/// # Numerics
/// Chains run side by side on the current rayon pool; each has its own random stream, so the
/// draws depend on the seed and not on the number of threads.
/// # Source
/// Method note §5: exact-rotation HMC over noise and hyperparameters together, started near the mode.
pub fn sample(
    study: &Study,
    at_start: Model,
    build: &(dyn Fn() -> Model<f32> + Sync),
    watches: &[Watch],
    progress: &(dyn Fn() + Sync),
) -> Posterior {
    let mut model = at_start;
    let n = model.noise_len();
    let mut mode = vec![0.0; n];
    let info = newton_cg::maximise(&mut AtStart { model: &mut model }, &mut mode, &mode_params());
    let mass_off_grid = model.likelihood.mean_mass_off_grid;
    let names = model.sampled_names();
    drop(model);

    let run = &study.run;
    let affordable = (DRAW_MEMORY_BYTES / (4 * n)).max(20);
    let per_chain = run.posterior_samples.min(affordable).div_ceil(run.chains).clamp(1, run.trajectories);
    let settings = Settings {
        warmup: run.warmup,
        trajectories: run.trajectories,
        // As in the literature for fixed-length trajectories. Tried on three districts: 0.75 takes a tenth fewer
        // gradients and now and then misses R̂; 0.85 takes up to a half more.
        accept: 0.8,
        length: std::f64::consts::FRAC_PI_2,
        max_steps: 64,
    };
    let mut draws: Vec<ChainDraws> = (0..run.chains).map(|_| ChainDraws::new(per_chain, run.trajectories)).collect();
    let chains = draws.iter_mut().enumerate().map(|(chain, draws)| {
        let model = build();
        let (noise, learnt) = dispersed_start(&model, &mode, study.study.seed, chain as u64);
        let keep = |m: &mut Model<f32>, trajectory: usize, moved: bool, z: &[f32], eta: &[f64]| {
            draws.keep(m, trajectory, moved, (z, eta), watches);
        };
        Start { target: model, noise, learnt, keep }
    });
    let outcomes = run_chains(chains.collect(), &settings, study.study.seed, progress);
    collect(draws, outcomes, names, watches, info, mass_off_grid)
}

/// A point near the mode: the mode plus white noise, hyperparameters about their starting values.
fn dispersed_start(model: &Model<f32>, mode: &[f64], seed: u64, chain: u64) -> (Vec<f32>, Vec<f64>) {
    let mut rng = ChaCha12Rng::seed_from_u64(seed ^ 0x5eed_0f57_a272);
    rng.set_stream(chain + 1);
    let mut noise = || -> f64 { StandardNormal.sample(&mut rng) };
    let z = mode.iter().map(|m| f32::of(m + noise())).collect();
    (z, (0..model.sampled_len()).map(|_| noise()).collect())
}

struct ChainDraws {
    per_chain: usize,
    trajectories: usize,
    hazard: Vec<Vec<f32>>,
    hyper: Vec<Hyper>,
    log_likelihood: Vec<f64>,
    /// Watched values of every trajectory: watches, then hyperparameters, then log likelihood.
    series: Vec<Vec<f64>>,
    current: Option<(Vec<f32>, Vec<f64>, Hyper)>,
}

impl ChainDraws {
    fn new(per_chain: usize, trajectories: usize) -> ChainDraws {
        ChainDraws {
            per_chain,
            trajectories,
            hazard: Vec::with_capacity(per_chain),
            hyper: Vec::new(),
            log_likelihood: Vec::new(),
            series: Vec::new(),
            current: None,
        }
    }

    fn keep(
        &mut self,
        m: &mut Model<f32>,
        trajectory: usize,
        moved: bool,
        (z, eta): (&[f32], &[f64]),
        watches: &[Watch],
    ) {
        if moved || self.current.is_none() {
            if !moved {
                // The model stands at a refused proposal: bring it back to the state.
                m.log_ratio(z, eta, &mut vec![0.0; z.len()], &mut vec![0.0; eta.len()]);
            }
            let hazard = &m.field.hazard;
            let mut values: Vec<f64> = watches
                .iter()
                .map(|w| match &w.weights {
                    Some(weights) => weights.iter().map(|(i, x)| x * f64::from(hazard[*i])).sum(),
                    None => hazard.iter().map(|h| f64::from(*h)).sum::<f64>() / hazard.len() as f64,
                })
                .collect();
            values.extend(eta);
            values.push(m.log_likelihood);
            self.current = Some((hazard.clone(), values, m.hyper.clone()));
        }
        let (hazard, values, hyper) = self.current.as_ref().expect("set just above");
        if self.series.is_empty() {
            self.series = vec![Vec::with_capacity(self.trajectories); values.len()];
        }
        self.series.iter_mut().zip(values).for_each(|(s, v)| s.push(*v));
        // Draw k is kept at the trajectory where k/per_chain of the run has passed: evenly spaced.
        let due = |t: usize| (t * self.per_chain) / self.trajectories;
        if due(trajectory + 1) > due(trajectory) {
            self.hazard.push(hazard.clone());
            self.hyper.push(hyper.clone());
            self.log_likelihood.push(*values.last().expect("the log likelihood is always there"));
        }
    }
}

fn collect(
    chains: Vec<ChainDraws>,
    outcomes: Vec<ChainOutcome>,
    names: Vec<String>,
    watches: &[Watch],
    mode: Info,
    mass_off_grid: f64,
) -> Posterior {
    let names: Vec<String> =
        watches.iter().map(|w| w.name.clone()).chain(names).chain(["log_likelihood".into()]).collect();
    let watched = names
        .into_iter()
        .enumerate()
        .map(|(i, name)| {
            let series: Vec<Vec<f64>> = chains.iter().map(|c| c.series[i].clone()).collect();
            let all: Vec<f64> = series.iter().flatten().copied().collect();
            let mean = all.iter().sum::<f64>() / all.len() as f64;
            let var = all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (all.len() as f64 - 1.0);
            Watched { name, mean, sd: var.sqrt(), convergence: convergence(&series) }
        })
        .collect();
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Four chains of 300 trajectories, so many of them divergent in the first.
    fn with(divergences: usize) -> Posterior {
        let chain = |divergences| ChainOutcome { accept: 0.8, step: 0.1, gradients: 1, trajectories: 300, divergences };
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

    #[test]
    fn one_divergent_trajectory_is_a_reservation() {
        assert!(with(0).shortfalls(&[]).is_empty());
        let missed = with(1).shortfalls(&[]);
        assert_eq!(missed[0].1, "1 of 1200 diverged after warm-up, should be none");
    }
}
