//! Where chains begin, and which directions of the noise they learn.

use crate::kernel::mean_parametrisation::MeanParametrisation;
use crate::kernel::model::Model;
use crate::kernel::prior::Hyper;
use crate::numerics::lanczos::{Pair, leading};
use crate::numerics::real::{Real, dot};
use crate::sampler::chains::run_chains;
use crate::sampler::hmc::Settings;
use crate::sampler::hmc::Start;
use crate::sampler::low_rank_metric::{Directions, LowRankMetric};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Products with Fisher's information spent on finding directions: at the mode, near it, and where the survey
/// ends.
const PRODUCTS: [usize; 3] = [12, 24, 32];
/// Information along a direction, in units of the prior's, from which it is learnt.
const INFORMED: f64 = 2.0;
/// Most directions learnt: their covariance is found from some hundred samples.
const MOST_DIRECTIONS: usize = 24;

/// Where each chain begins: a place, the informed directions, and what is guessed of the learnt coordinates.
pub(crate) struct WarmStart {
    directions: Directions<f32>,
    guess: Vec<(f64, f64)>,
    /// Noise and learnt coordinates of each chain; of the hyperparameters the model's own, once surveyed the
    /// centred ones.
    places: Vec<(Vec<f32>, Vec<f64>)>,
    /// The place near the mode, with its hyperparameters, at which information was taken.
    near: (Vec<f32>, Hyper),
}

/// A chain's part in a survey: centred coordinates at each trajectory, noise and coordinates at its end.
#[derive(Default)]
struct InformedModel {
    own: Vec<Vec<f64>>,
    end: Vec<f32>,
    eta: Vec<f64>,
}

impl WarmStart {
    /// Points near the mode, hyperparameters about their starting values.
    ///
    /// # Formula
    /// ```text
    /// F v = λ v;  z = mode + white noise, along each v less: s.d. 1/√(1 + λ)
    /// ```
    /// # Numerics
    /// F is Fisher's information on the noise at the starting hyperparameters. At the mode it is too low, for
    /// half of a draw of the field lies above: it is taken again at one such point.
    pub(crate) fn near_the_mode(model: &mut Model<f32>, mode: &[f64], chains: usize, seed: u64) -> WarmStart {
        let start = model.hyper_at(&vec![0.0; model.sampled_len()]);
        let mode: Vec<f32> = mode.iter().map(|m| f32::of(*m)).collect();
        let mut rng = ChaCha12Rng::seed_from_u64(seed ^ 0x5eed_0f57_a272);
        let mut white = || -> f64 { StandardNormal.sample(&mut rng) };
        let at_mode = informed(
            std::slice::from_mut(model),
            &[(mode.clone(), start.clone())],
            PRODUCTS[0],
            Model::fisher,
        );
        let mut near: Vec<f32> = mode.iter().map(|_| f32::of(white())).collect();
        for pair in &at_mode {
            let less = f32::of(dot(&near, &pair.vector) * (sd(pair) - 1.0));
            near.iter_mut().zip(&pair.vector).for_each(|(z, v)| *z += less * *v);
        }
        near.iter_mut().zip(&mode).for_each(|(z, m)| *z += *m);
        let near = (near, start);
        let pairs =
            informed(std::slice::from_mut(model), std::slice::from_ref(&near), PRODUCTS[1], Model::fisher);
        let (directions, sds) = directions(pairs);
        let mut rest = mode;
        let centre = directions.take(&mut rest);
        let own = (0..model.sampled_len()).map(|_| (0.0, OWN_SD));
        let guess: Vec<(f64, f64)> = own.chain(centre.into_iter().zip(sds)).collect();
        let places = (0..chains)
            .map(|_| {
                let noise = rest.iter().map(|z| z + f32::of(white())).collect();
                (noise, guess.iter().map(|(mean, sd)| mean + sd * white()).collect())
            })
            .collect();
        WarmStart { directions, guess, places, near }
    }

    /// Chains whose hyperparameters are held where they are, till the noise is what the data leave of it
    /// there.
    ///
    /// Noise thrown about the mode is far from that, for the hazard is a convex function of it. Were the
    /// hyperparameters let go at once, some chains would be thrown by that energy to fields of nearly no
    /// s.d., and come back only by chance: a draw of the noise with a higher s.d. agrees with the records
    /// less than a flat field does.
    ///
    /// The gradients each chain took are added to `spent`.
    pub(crate) fn settle(
        mut self,
        build: &(dyn Fn() -> Model<f32> + Sync),
        settings: &Settings,
        seed: u64,
        progress: &(dyn Fn() + Sync),
        spent: &mut [usize],
    ) -> WarmStart {
        let own = self.guess.len() - self.directions.len();
        let mut ends: Vec<(Vec<f32>, Vec<f64>)> = vec![Default::default(); self.places.len()];
        let starts: Vec<_> = ends
            .iter_mut()
            .zip(&self.places)
            .map(|(end, (noise, learnt))| {
                let (held, along) = learnt.split_at(own);
                let target = LowRankMetric::new(build().held_at(held), self.directions.clone());
                let keep =
                    move |_: &mut LowRankMetric<Model<f32>>, _: usize, _: bool, z: &[f32], along: &[f64]| {
                        *end = (z.to_vec(), [held, along].concat());
                    };
                let guess = self.guess[own..].to_vec();
                Start { target, noise: noise.clone(), learnt: along.to_vec(), guess, keep }
            })
            .collect();
        let of_its_own = seed ^ 0x5e77_1e00;
        let outcomes = run_chains(starts, settings, of_its_own, |_| settings.trajectories, progress);
        spent.iter_mut().zip(&outcomes).for_each(|(spent, o)| *spent += o.gradients);
        self.places = ends;
        self
    }

    /// Short chains from here; then the directions are found anew, from the mean of the information where the
    /// chains end and near the mode.
    ///
    /// The gradients each chain took are added to `spent`.
    pub(crate) fn survey(
        self,
        build: &(dyn Fn() -> Model<f32> + Sync),
        settings: &Settings,
        seed: u64,
        progress: &(dyn Fn() + Sync),
        spent: &mut [usize],
    ) -> WarmStart {
        let chains = self.places.len();
        let mut seen: Vec<InformedModel> = (0..chains).map(|_| InformedModel::default()).collect();
        let starts: Vec<_> = seen
            .iter_mut()
            .enumerate()
            .map(|(chain, seen)| {
                let keep = |m: &mut LowRankMetric<Model<f32>>,
                            trajectory: usize,
                            _: bool,
                            z: &[f32],
                            learnt: &[f64]| {
                    let (place, eta) = (m.place(z, learnt), &learnt[..m.target.sampled_len()]);
                    seen.own.push(MeanParametrisation::coordinates(&mut m.target, &place, eta));
                    if trajectory + 1 == settings.trajectories {
                        (seen.end, seen.eta) = (place, eta.to_vec());
                    }
                };
                let (noise, learnt) = self.places[chain].clone();
                let target = LowRankMetric::new(build(), self.directions.clone());
                Start { target, noise, learnt, guess: self.guess.clone(), keep }
            })
            .collect();
        let of_its_own = seed ^ 0x5e1f_5eed;
        let outcomes = run_chains(starts, settings, of_its_own, |_| settings.trajectories, progress);
        spent.iter_mut().zip(&outcomes).for_each(|(spent, o)| *spent += o.gradients);
        let mut models: Vec<Model<f32>> = (0..=chains).into_par_iter().map(|_| build()).collect();
        let end = |s: &InformedModel| (s.end.clone(), models[0].hyper_at(&s.eta));
        let at: Vec<_> = std::iter::once(self.near.clone()).chain(seen.iter().map(end)).collect();
        let (directions, sds) =
            directions(informed(&mut models, &at, PRODUCTS[2], MeanParametrisation::fisher));
        let mut guess: Vec<(f64, f64)> = (0..models[0].sampled_len())
            .map(|i| {
                let mut values: Vec<f64> = seen.iter().flat_map(|s| s.own.iter().map(|own| own[i])).collect();
                values.sort_by(f64::total_cmp);
                (values[values.len() / 2], OWN_SD)
            })
            .collect();
        guess[0].1 = spread(&seen).clamp(LEAST_SD, OWN_SD);
        let places: Vec<(Vec<f32>, Vec<f64>)> = seen
            .into_iter()
            .map(|mut s| {
                let along = directions.take(&mut s.end);
                let own = s.own.pop().expect("one for each trajectory");
                (s.end, own.into_iter().chain(along).collect())
            })
            .collect();
        let own = guess.len();
        guess.extend(sds.into_iter().enumerate().map(|(j, sd)| {
            let along = places.iter().map(|(_, learnt)| learnt[own + j]);
            (along.sum::<f64>() / chains as f64, sd)
        }));
        WarmStart { directions, guess, places, near: self.near }
    }

    /// What a chain starts with.
    pub(crate) fn start<K>(
        &self,
        chain: usize,
        model: Model<f32>,
        keep: K,
    ) -> Start<LowRankMetric<MeanParametrisation<f32>>, K> {
        let (noise, learnt) = self.places[chain].clone();
        let target = LowRankMetric::new(MeanParametrisation { model }, self.directions.clone());
        Start { target, noise, learnt, guess: self.guess.clone(), keep }
    }
}

/// Posterior s.d. guessed of a hyperparameter, in units of its own, of the order of the prior's.
const OWN_SD: f64 = 0.5;

/// Least that is guessed of the mean's: no study has as many records.
const LEAST_SD: f64 = 0.02;

/// S.d. of the first coordinate within chains, over the later halves of a survey.
fn spread(seen: &[InformedModel]) -> f64 {
    let mut squares = Vec::new();
    for s in seen {
        let late = &s.own[s.own.len() / 2..];
        let mean = late.iter().map(|own| own[0]).sum::<f64>() / late.len() as f64;
        squares.extend(late.iter().map(|own| (own[0] - mean).powi(2)));
    }
    (squares.iter().sum::<f64>() / squares.len() as f64).sqrt()
}

/// Posterior s.d. along a direction of that information, where the posterior is normal.
fn sd(pair: &Pair<f32>) -> f64 {
    (1.0 + pair.value).sqrt().recip()
}

/// The directions of these pairs, and the s.d. along each.
fn directions(pairs: Vec<Pair<f32>>) -> (Directions<f32>, Vec<f64>) {
    let noise = pairs.first().map_or(0, |p| p.vector.len());
    let sds = pairs.iter().map(sd).collect();
    (Directions::of(noise, &pairs.into_iter().map(|p| p.vector).collect::<Vec<_>>()), sds)
}

/// Directions on which there is most of the information that the models have on average, each at its place.
fn informed(
    models: &mut [Model<f32>],
    at: &[(Vec<f32>, Hyper)],
    products: usize,
    fisher: impl Fn(&mut Model<f32>, &[f32], &mut [f32]) + Sync,
) -> Vec<Pair<f32>> {
    let n = models[0].noise_len();
    models.par_iter_mut().zip(at).for_each(|(m, (z, hyper))| {
        m.at(z, hyper, &mut vec![0.0; n]);
    });
    let mut each = vec![vec![0.0f32; n]; models.len()];
    let share = 1.0 / models.len() as f32;
    let mut pairs = leading(n, products, INFORMED, |v, out| {
        models.par_iter_mut().zip(&mut each).for_each(|(m, out)| fisher(m, v, out));
        out.fill(0.0);
        for product in &each {
            out.iter_mut().zip(product).for_each(|(o, p)| *o += share * p);
        }
    });
    pairs.truncate(MOST_DIRECTIONS);
    pairs
}
