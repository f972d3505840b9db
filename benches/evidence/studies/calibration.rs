//! Simulation-based calibration: truth drawn from the prior, records from the truth, and where the truth
//! lies among the posterior samples.
//!
//! A replicate draws hyperparameters and noise from the prior (`prior_draw`), lets every pig live, be
//! infected, be shot and be read (`life`), samples the posterior as a run does, and ranks the truth among
//! the samples kept. If sampler, likelihood, gradient and prior are one model, every rank is uniform.
//!
//! | quantity | what it is |
//! | --- | --- |
//! | `total_force_of_infection` | mean hazard over cells and periods |
//! | `zone_force_of_infection` | mean of the recent months over an area |
//! | `resident_force_of_infection` | of a cell chosen at random, recent months |
//! | each hyperparameter | on the scale it is sampled on |
//! | `log_likelihood` | of all records: depends on data and unknowns together |
//! | `expected_positives` | Σ p_i over the records: what the likelihood itself expects of them |
//! | `infection_day` | of a positive chosen at random, if a lesion was truly seen |
//! | `origin_easting`, `origin_northing` | where that pig was infected |
//!
//! Events `active` (resident hazard of that cell over the threshold) and `truly_infected` (that positive is
//! no lesion from another cause) are held against their stated probabilities.
//!
//! # Source
//! Talts et al. (2018), Validating Bayesian inference algorithms with simulation-based calibration; Modrák et
//! al. (2023), Bayesian Analysis, on quantities that depend on data.

pub mod life;
pub mod picture;
pub mod prior_draw;
pub mod study_area;
pub mod table;

use crate::studies::calibration::study_area::Design;
use crate::studies::uniformity::{Rank, rank};
use pignut::internals::assess::attribution::attribute_one;
use pignut::internals::assess::cells::{Smoother, recent_mean, resident_samples};
use pignut::internals::assess::watches;
use pignut::internals::geography::layout::Layout;
use pignut::internals::inference::posterior::{Posterior, Watch, sample};
use pignut::internals::kernel::model::Model;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::pipeline::progress::AnalysisError;
use pignut::internals::records::Pig;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};

/// Where one quantity's truth lies.
#[derive(Debug, Clone, PartialEq)]
pub struct RankOf {
    /// Name of the quantity.
    pub quantity: String,
    /// True value.
    pub truth: f64,
    /// Its rank among the samples.
    pub rank: Rank,
}

/// An event with its stated probability.
#[derive(Debug, Clone, PartialEq)]
pub struct EventOf {
    /// Name of the event.
    pub event: String,
    /// Draws in which it held.
    pub above: usize,
    /// Draws.
    pub of: usize,
    /// Whether it was so in truth.
    pub happened: bool,
}

/// One replicate: what was simulated, how the sampler went, where the truth lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Replicate {
    /// Its number, from 0.
    pub number: u64,
    /// Pigs with a positive reading.
    pub positives: usize,
    /// Trajectories of each chain in the end.
    pub trajectories: usize,
    /// Smallest effective sample size of the ranked hazards, hyperparameters and log likelihood.
    pub least_ess: f64,
    /// Largest R̂ of the same.
    pub largest_r_hat: f64,
    /// Divergent trajectories.
    pub divergences: usize,
    /// Ranks.
    pub ranks: Vec<RankOf>,
    /// Events.
    pub events: Vec<EventOf>,
}

/// Runs one replicate.
///
/// `inference` may change what the sampler is given (study, records): the identity calibrates the program,
/// anything else shows whether the ranks would tell.
///
/// # Numerics
/// Chains are lengthened twofold, up to the design's limit, until every ranked quantity has as many effective
/// draws as are kept; those kept are evenly spaced, and so nearly independent.
/// # Errors
/// [`AnalysisError`]: the design's study area cannot be laid out.
pub fn replicate(
    design: &Design,
    number: u64,
    inference: &dyn Fn(&mut Layout),
) -> Result<Replicate, AnalysisError> {
    let mut layout = design.layout(number)?;
    let mut rng = ChaCha12Rng::seed_from_u64(design.seed);
    rng.set_stream(number);
    // The truth, and what was seen of it.
    let mut truth: Model<f64> = Model::of(&layout);
    let hyper = crate::studies::calibration::prior_draw::hyper(
        &layout.study.field,
        truth.field.covariates().len(),
        &mut rng,
    );
    let eta = truth.coordinates(&hyper);
    let z: Vec<f64> = (0..truth.noise_len()).map(|_| StandardNormal.sample(&mut rng)).collect();
    truth.set(&z, &eta);
    let hazard = truth.field.hazard.clone();
    let fates = crate::studies::calibration::life::fates(&layout, &hazard, &mut rng);
    for (pig, fate) in layout.records.pigs.iter_mut().zip(&fates) {
        crate::studies::calibration::study_area::read(pig, fate);
    }
    let positives: Vec<usize> = (0..fates.len()).filter(|i| fates[*i].positive()).collect();
    let pigs: Vec<Pig> = layout.records.pigs.clone();
    // What is made of it.
    inference(&mut layout);
    layout.study.study.seed = number + 1;
    let watches = watches(&layout);
    let (posterior, trajectories) = long_enough(&mut layout, &watches, design);
    let mut believed: Model<f64> = Model::of(&layout);
    let eta = believed.coordinates(&hyper);
    let matrix =
        crate::studies::calibration::life::dispersal_matrix(&layout.grid, layout.study.dispersal.mean_m);
    let read_positive: Vec<bool> = layout.records.pigs.iter().map(Pig::is_positive).collect();
    let (mut by, mut by_dispersed) = (vec![0.0; hazard.len()], vec![0.0; hazard.len()]);
    // ln likelihood and expected positives of a field.
    let mut told = |field: &[f64]| {
        let dispersed = crate::studies::calibration::life::dispersed(&layout.grid, &matrix, field);
        let value = believed.likelihood.value_gradient(field, &dispersed, &mut by, &mut by_dispersed);
        let p = |(log, positive): (f64, &bool)| if *positive { log.exp() } else { 1.0 - log.exp() };
        (value, believed.likelihood.pointwise().into_iter().zip(&read_positive).map(p).sum::<f64>())
    };
    let (log_likelihood, expected) = told(&hazard);
    let expected_draws: Vec<f64> = posterior
        .hazard
        .iter()
        .map(|field| told(&field.iter().map(|v| f64::from(*v)).collect::<Vec<_>>()).1)
        .collect();
    let mut out = Replicate {
        number,
        positives: positives.len(),
        trajectories,
        least_ess: least_ess(&posterior),
        largest_r_hat: posterior.watched.iter().filter_map(|w| w.convergence.r_hat).fold(1.0, f64::max),
        divergences: posterior.chains.iter().map(|c| c.divergences).sum(),
        ranks: Vec::new(),
        events: Vec::new(),
    };
    let mut place = |quantity: &str, truth: f64, samples: &[f64], rng: &mut ChaCha12Rng| {
        out.ranks.push(RankOf { quantity: quantity.into(), truth, rank: rank(truth, samples, rng) });
    };
    for watch in watches.iter().filter(|w| w.needs_ess) {
        let name = watch.name.split(':').next().unwrap_or_default();
        let samples: Vec<f64> =
            posterior.hazard.iter().map(|f| weighted(watch, |i| f64::from(f[i]), f.len())).collect();
        place(name, weighted(watch, |i| hazard[i], hazard.len()), &samples, &mut rng);
    }
    let hypers: Vec<Vec<f64>> = posterior.hyper.iter().map(|h: &Hyper| believed.coordinates(h)).collect();
    for (j, name) in believed.sampled_names().iter().enumerate() {
        let samples: Vec<f64> = hypers.iter().map(|h| h[j]).collect();
        place(name, eta[j], &samples, &mut rng);
    }
    place("log_likelihood", log_likelihood, &posterior.log_likelihood, &mut rng);
    place("expected_positives", expected, &expected_draws, &mut rng);

    let layout = layout;
    let cell = rng.random_range(0..layout.grid.cells());
    let field: Vec<f32> = hazard.iter().map(|v| *v as f32).collect();
    let recent = recent_mean(&layout.grid, &field, &layout.recent_weights());
    let resident = f64::from(Smoother::new(&layout.grid, &layout.study).apply(&recent)[cell]);
    let samples: Vec<f64> =
        resident_samples(&layout, &posterior).iter().map(|d| f64::from(d[cell])).collect();
    place("resident_force_of_infection", resident, &samples, &mut rng);
    let threshold = layout.study.recent.force_of_infection_threshold;
    let above = samples.iter().filter(|v| **v > threshold).count();
    let mut events =
        vec![EventOf { event: "active".into(), above, of: samples.len(), happened: resident > threshold }];

    if !positives.is_empty() {
        let pig = positives[rng.random_range(0..positives.len())];
        let infections = infections(&layout, &posterior, &pigs[pig], &mut rng);
        events.push(EventOf {
            event: "truly_infected".into(),
            above: infections.len(),
            of: posterior.samples(),
            happened: fates[pig].infection.is_some(),
        });
        if let (Some(fate), false) = (&fates[pig].infection, infections.is_empty()) {
            let in_cell = |cell: usize, rng: &mut ChaCha12Rng| {
                let [south_west, _, north_east, _] = layout.grid.corners(cell);
                (rng.random_range(south_west.x..north_east.x), rng.random_range(south_west.y..north_east.y))
            };
            let (x, y) = in_cell(fate.cell, &mut rng);
            let days: Vec<f64> = infections.iter().map(|i| i.day).collect();
            let places: Vec<(f64, f64)> = infections.iter().map(|i| in_cell(i.cell, &mut rng)).collect();
            let (xs, ys): (Vec<f64>, Vec<f64>) = places.into_iter().unzip();
            place("infection_day", fate.day, &days, &mut rng);
            place("origin_easting", x, &xs, &mut rng);
            place("origin_northing", y, &ys, &mut rng);
        }
    }
    out.events = events;
    Ok(out)
}

/// Samples, and again with twice the trajectories while effective samples are fewer than those kept.
fn long_enough(layout: &mut Layout, watches: &[Watch], design: &Design) -> (Posterior, usize) {
    loop {
        let trajectories = layout.study.run.trajectories;
        let posterior = sample(&layout.study, Model::of(layout), &|| Model::of(layout), watches, &|_| ());
        if least_ess(&posterior) >= design.kept as f64 || 2 * trajectories > design.most_trajectories {
            return (posterior, trajectories);
        }
        layout.study.run.trajectories *= 2;
    }
}

/// Smallest effective sample size among watched quantities.
fn least_ess(posterior: &Posterior) -> f64 {
    posterior.watched.iter().filter_map(|w| w.convergence.ess_bulk).fold(f64::INFINITY, f64::min)
}

/// The watched mean of a field of n values.
fn weighted(watch: &Watch, field: impl Fn(usize) -> f64, n: usize) -> f64 {
    match &watch.weights {
        Some(weights) => weights.iter().map(|(i, w)| w * field(*i)).sum(),
        None => (0..n).map(field).sum::<f64>() / n as f64,
    }
}

/// One infection of a positive for each sample in which it is no lesion from another cause: day and cell, by
/// the weights that the assessment itself gives to that draw.
fn infections(
    layout: &Layout,
    posterior: &Posterior,
    pig: &Pig,
    rng: &mut ChaCha12Rng,
) -> Vec<crate::studies::calibration::life::Infection> {
    let mut one = posterior.clone();
    let mut out = Vec::new();
    for field in &posterior.hazard {
        one.hazard = vec![field.clone()];
        let figures = attribute_one(layout, &one, pig);
        if rng.random::<f64>() < figures.p_true {
            let (from, to, _) = *crate::studies::calibration::life::choose(&figures.pieces, |p| p.2, rng);
            let (cell, _) = *crate::studies::calibration::life::choose(&figures.origin, |o| o.1, rng);
            out.push(crate::studies::calibration::life::Infection { day: rng.random_range(from..to), cell });
        }
    }
    out
}
