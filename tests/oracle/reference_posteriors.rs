//! Long runs of a general-purpose sampler, kept under `fixtures/reference/posteriors`, and a run as users
//! have it.
//!
//! Each folder there is a study with its records, and `reference.json` what a No-U-Turn sampler says of it.

use super::nuts::nuts_chain;
use pignut::internals::geography::layout::Layout;
use pignut::internals::inference::posterior::{Watch, sample};
use pignut::internals::kernel::model::Model;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::sampler::diagnostics::{convergence, ess_mean, quantile_sorted};
use pignut::internals::study::study_file::Study;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

const PROBLEMS: [&str; 2] = ["cluster", "sparse"];
/// Chains, tuning draws and draws of the reference runs, and the seed of the first chain.
const CHAINS: u64 = 4;
const TUNE: usize = 1500;
const DRAWS: usize = 10_000;
const SEED: u64 = 500;
/// Trajectories of each of our chains.
const TRAJECTORIES: usize = 24_000;
/// Standard errors allowed over about 160 comparisons: passed by chance once in a thousand runs.
const ERRORS: f64 = 4.5;
/// Cells, by row and column, whose hazard over all periods is compared: corners, edges, middle.
const CELLS: [(usize, usize); 6] = [(0, 0), (1, 1), (0, 5), (3, 3), (5, 0), (5, 5)];

/// `reference.json`.
#[derive(Serialize, Deserialize)]
struct Reference {
    /// What was run, in words.
    made_by: String,
    /// Command that makes the file anew.
    command: String,
    unknowns: usize,
    chains: u64,
    tuning_draws_per_chain: usize,
    draws_per_chain: usize,
    seeds: Vec<u64>,
    divergent_transitions: usize,
    quantities: Vec<Quantity>,
}

/// One quantity: moments and quantiles with their Monte Carlo standard errors.
#[derive(Serialize, Deserialize)]
struct Quantity {
    name: String,
    mean: f64,
    mean_error: f64,
    sd: f64,
    sd_error: f64,
    /// 5, 50 and 95 % points.
    quantiles: [f64; 3],
    /// Standard errors of the share of samples up to each of them.
    quantile_share_errors: [f64; 3],
    /// Share of samples over 0.05 a year, for hazards of cells.
    #[serde(skip_serializing_if = "Option::is_none")]
    above: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    above_error: Option<f64>,
    r_hat: f64,
    ess_bulk: f64,
    ess_tail: f64,
}

const SHARES: [f64; 3] = [0.05, 0.5, 0.95];
const THRESHOLD: f64 = 0.05;

fn folder(problem: &str) -> PathBuf {
    PathBuf::from(format!("{}/fixtures/reference/posteriors/{problem}", env!("CARGO_MANIFEST_DIR")))
}

fn layout(problem: &str) -> Layout {
    let study = Study::read(&folder(problem).join("study.toml")).expect("the study is sound");
    let layout = Prepared::read(study).expect("its records are sound").layout;
    let g = &layout.grid;
    assert_eq!((g.rows, g.cols, g.periods(), layout.records.pigs.len()), (6, 6, 4, 80), "{problem}");
    layout
}

/// Names of what is compared, in the order of [`values`].
fn names(layout: &Layout) -> Vec<String> {
    let mut out = vec!["total_force_of_infection".to_string()];
    out.extend(CELLS.iter().map(|(r, c)| format!("cell_force_of_infection:r{r}c{c}")));
    out.extend(Model::<f64>::of(layout).sampled_names());
    out.push("log_likelihood".into());
    out
}

/// Mean hazard of the land, of some cells, coordinates of hyperparameters, log likelihood.
///
/// Hyperparameters as distances from their starting values, in units of ½ (ln range, ln s.d.), 1 (logit of
/// persistence) and the prior's s.d. (the others).
fn values(layout: &Layout, hazard: impl Fn(usize) -> f64, hyper: &Hyper, log_likelihood: f64) -> Vec<f64> {
    let (g, n) = (&layout.grid, layout.grid.field_len());
    let mut out = vec![(0..n).map(&hazard).sum::<f64>() / n as f64];
    let over_periods = |&(r, c): &(usize, usize)| {
        (0..g.periods()).map(|t| hazard(g.at(r, t, c))).sum::<f64>() / g.periods() as f64
    };
    out.extend(CELLS.iter().map(over_periods));
    let prior = &layout.study.field;
    let start = Hyper::start(prior, hyper.operation.len()).to_vec();
    let unit = [prior.level_sd, 0.5, 0.5, 1.0].into_iter().chain(std::iter::repeat(prior.operation_sd));
    out.extend(hyper.to_vec().iter().zip(start).zip(unit).map(|((v, s), u)| (v - s) / u));
    out.push(log_likelihood);
    out
}

/// Chain, draw, quantity.
type Run = Vec<Vec<Vec<f64>>>;

/// Mean of f over the samples and its standard error by the effective sample size of the values themselves:
/// that of their ranks does not see rare visits far away, on which a variance hangs.
fn mean_error(run: &Run, f: impl Fn(&[f64]) -> f64) -> (f64, f64) {
    let series: Vec<Vec<f64>> = run.iter().map(|c| c.iter().map(|d| f(d)).collect()).collect();
    let n = (run.len() * run[0].len()) as f64;
    let mean = series.iter().flatten().sum::<f64>() / n;
    let variance = series.iter().flatten().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let ess = ess_mean(&series).expect("every quantity here varies");
    (mean, (variance / ess).sqrt())
}

fn indicator(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

fn by_nuts(layout: &Layout) -> (Run, usize) {
    let chains: Vec<(Vec<Vec<f64>>, usize)> = (0..CHAINS)
        .into_par_iter()
        .map(|chain| {
            let mut kept = Vec::with_capacity(DRAWS);
            let model = || Model::<f64>::of(layout);
            let (mut by, mut by_dispersed) =
                (vec![0.0; layout.grid.field_len()], vec![0.0; layout.grid.field_len()]);
            let divergent =
                nuts_chain(&model, (chain, SEED + chain), (TUNE, DRAWS), |m: &mut Model, z, eta| {
                    m.set(z, eta);
                    let f = &m.field;
                    let value =
                        m.likelihood.value_gradient(&f.hazard, &f.dispersed, &mut by, &mut by_dispersed);
                    kept.push(values(layout, |i| m.field.hazard[i], &m.hyper, value));
                });
            (kept, divergent)
        })
        .collect();
    let divergent = chains.iter().map(|c| c.1).sum();
    (chains.into_iter().map(|c| c.0).collect(), divergent)
}

/// Makes `reference.json` of every problem anew: some minutes.
#[test]
#[ignore = "writes fixtures/reference/posteriors: run when the model changes, not to pass the tests"]
fn regenerate_reference_posteriors() {
    for problem in PROBLEMS {
        let layout = layout(problem);
        let (run, divergent_transitions) = by_nuts(&layout);
        let describe = |(v, name): (usize, String)| {
            let series: Vec<Vec<f64>> = run.iter().map(|c| c.iter().map(|d| d[v]).collect()).collect();
            let judged = convergence(&series);
            let mut sorted: Vec<f64> = series.concat();
            sorted.sort_by(f64::total_cmp);
            let (mean, error) = mean_error(&run, |d| d[v]);
            let (variance, variance_error) = mean_error(&run, |d| (d[v] - mean).powi(2));
            let quantiles = SHARES.map(|p| quantile_sorted(&sorted, p));
            let above = name
                .starts_with("cell_force_of_infection")
                .then(|| mean_error(&run, |d| indicator(d[v] > THRESHOLD)));
            Quantity {
                quantile_share_errors: quantiles.map(|q| mean_error(&run, |d| indicator(d[v] <= q)).1),
                name,
                mean,
                mean_error: error,
                sd: variance.sqrt(),
                sd_error: variance_error / (2.0 * variance.sqrt()),
                quantiles,
                above: above.map(|a| a.0),
                above_error: above.map(|a| a.1),
                r_hat: judged.r_hat.expect("every quantity here varies"),
                ess_bulk: judged.ess_bulk.expect("every quantity here varies"),
                ess_tail: judged.ess_tail.expect("every quantity here varies"),
            }
        };
        let reference = Reference {
            made_by: "nuts-rs 0.19.1, diagonal mass matrix, depth at most 8, target acceptance 0.98, \
                      on the density of pignut 0.1.0 in double precision: noise and hyperparameters \
                      in one vector"
                .into(),
            command: "cargo test --release --test main -- --ignored regenerate_reference_posteriors".into(),
            unknowns: Model::<f64>::of(&layout).dim(),
            chains: CHAINS,
            tuning_draws_per_chain: TUNE,
            draws_per_chain: DRAWS,
            seeds: (0..CHAINS).map(|c| SEED + c).collect(),
            divergent_transitions,
            quantities: names(&layout).into_iter().enumerate().map(describe).collect(),
        };
        let text = serde_json::to_string_pretty(&reference).expect("numbers and words") + "\n";
        std::fs::write(folder(problem).join("reference.json"), text).expect("the folder is there");
    }
}

#[test]
fn a_run_agrees_with_long_runs_of_a_general_sampler() {
    let mut worst = (0.0f64, String::new());
    for problem in PROBLEMS {
        let text =
            std::fs::read_to_string(folder(problem).join("reference.json")).expect("the reference is there");
        let reference: Reference = serde_json::from_str(&text).expect("as it was written");
        assert_eq!(reference.divergent_transitions, 0, "{problem}: the reference itself is poor");
        for q in &reference.quantities {
            assert!(
                q.r_hat < 1.01 && q.ess_bulk > 1000.0,
                "{problem}, {}: the reference itself is poor",
                q.name
            );
        }
        let mut layout = layout(problem);
        layout.study.run.warmup = 300;
        layout.study.run.trajectories = TRAJECTORIES;
        layout.study.run.posterior_samples = 4 * TRAJECTORIES;
        let model = Model::<f64>::of(&layout);
        assert_eq!(model.dim(), reference.unknowns);
        let posterior = sample(&layout.study, Model::of(&layout), &|| Model::of(&layout), &[], &|_| ());
        let samples: Vec<Vec<f64>> = (0..posterior.samples())
            .map(|d| {
                let field = &posterior.hazard[d];
                values(&layout, |i| f64::from(field[i]), &posterior.hyper[d], posterior.log_likelihood[d])
            })
            .collect();
        let run: Run = samples.chunks(TRAJECTORIES).map(<[Vec<f64>]>::to_vec).collect();
        assert_eq!(run.len(), layout.study.run.chains);
        let mut hold = |what: String, found: (f64, f64), wanted: (f64, f64)| {
            let z = (found.0 - wanted.0).abs() / found.1.hypot(wanted.1);
            if z > worst.0 {
                worst = (z, format!("{problem}, {what}: {found:?} here, {wanted:?} in the reference"));
            }
            assert!(
                z < ERRORS,
                "{problem}, {what}: {found:?} here, {wanted:?} in the reference, {z:.1} errors apart"
            );
        };
        for ((v, name), q) in names(&layout).into_iter().enumerate().zip(&reference.quantities) {
            assert_eq!(name, q.name);
            hold(format!("mean of {name}"), mean_error(&run, |d| d[v]), (q.mean, q.mean_error));
            let square = mean_error(&run, |d| (d[v] - q.mean).powi(2));
            // Errors of the s.d. and of the centre, as errors of the square.
            let error = (2.0 * q.sd * q.sd_error).hypot(q.mean_error * q.mean_error);
            hold(format!("variance of {name}"), square, (q.sd * q.sd, error));
            for ((share, at), error) in SHARES.iter().zip(q.quantiles).zip(q.quantile_share_errors) {
                let below = mean_error(&run, |d| indicator(d[v] <= at));
                hold(format!("share of {name} up to {at:.4}"), below, (*share, error));
            }
            if let (Some(above), Some(error)) = (q.above, q.above_error) {
                let found = mean_error(&run, |d| indicator(d[v] > THRESHOLD));
                hold(format!("P({name} > {THRESHOLD})"), found, (above, error));
            }
        }
    }
    println!("largest difference: {:.2} standard errors, {}", worst.0, worst.1);
}

/// Chains end early once the samples asked for are there and the criteria are met, and not otherwise.
#[test]
fn chains_end_when_there_is_enough() {
    let mut layout = layout(PROBLEMS[0]);
    layout.study.run.trajectories = 3000;
    layout.study.run.posterior_samples = 60;
    let watches = [Watch { name: "total_force_of_infection".into(), weights: None, needs_ess: true }];
    let mut run = |end_early: bool| {
        layout.study.run.end_early = end_early;
        sample(&layout.study, Model::of(&layout), &|| Model::of(&layout), &watches, &|_| ())
    };
    let early = run(true);
    let taken = early.trajectories();
    assert!((100..3000).contains(&taken), "{taken} trajectories");
    assert_eq!(early.samples(), 60);
    assert!(early.shortfalls(&watches).is_empty(), "{:?}", early.shortfalls(&watches));
    assert!(early.chains.iter().all(|c| c.trajectories == taken));
    assert_eq!(run(false).trajectories(), 3000);
}
