//! Where chains begin, and which directions of the noise they learn.

use super::model::Model;
use super::prior::Hyper;
use crate::num::hmc::{Settings, Start, run_chains};
use crate::num::informed::{Directions, Informed};
use crate::num::lanczos::{Pair, leading};
use crate::num::real::{Real, dot};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Products with Fisher's information spent on finding directions: at the mode, near it, and where the survey ends.
const PRODUCTS: [usize; 3] = [12, 24, 32];
/// Information along a direction, in units of the prior's, from which it is learnt.
const INFORMED: f64 = 2.0;
/// Most directions learnt: their covariance is found from some hundred draws.
const MOST_DIRECTIONS: usize = 24;

/// Where each chain begins: a place, the informed directions, and what is guessed of the learnt coordinates.
pub struct Beginning {
    directions: Directions<f32>,
    guess: Vec<(f64, f64)>,
    /// Noise and learnt coordinates of each chain.
    places: Vec<(Vec<f32>, Vec<f64>)>,
    /// The place near the mode, with its hyperparameters, at which information was taken.
    near: (Vec<f32>, Hyper),
}

/// A chain's part in a survey: coordinates of the hyperparameters at each trajectory, and the noise at its end.
#[derive(Default)]
struct Seen {
    own: Vec<Vec<f64>>,
    end: Vec<f32>,
}

impl Beginning {
    /// Points near the mode, hyperparameters about their starting values.
    ///
    /// # Formula
    /// ```text
    /// F v = λ v;  z = mode + white noise, along each v less: s.d. 1/√(1 + λ)
    /// ```
    /// # Numerics
    /// F is Fisher's information on the noise at the starting hyperparameters. At the mode it is too low, for half of
    /// a draw of the field lies above: it is taken again at one such point.
    pub fn near_the_mode(model: &mut Model<f32>, mode: &[f64], chains: usize, seed: u64) -> Beginning {
        let start = model.hyper_at(&vec![0.0; model.sampled_len()]);
        let mode: Vec<f32> = mode.iter().map(|m| f32::of(*m)).collect();
        let mut rng = ChaCha12Rng::seed_from_u64(seed ^ 0x5eed_0f57_a272);
        let mut white = || -> f64 { StandardNormal.sample(&mut rng) };
        let at_mode = informed(std::slice::from_mut(model), &[(mode.clone(), start.clone())], PRODUCTS[0]);
        let mut near: Vec<f32> = mode.iter().map(|_| f32::of(white())).collect();
        for pair in &at_mode {
            let less = f32::of(dot(&near, &pair.vector) * (sd(pair) - 1.0));
            near.iter_mut().zip(&pair.vector).for_each(|(z, v)| *z += less * *v);
        }
        near.iter_mut().zip(&mode).for_each(|(z, m)| *z += *m);
        let near = (near, start);
        let pairs = informed(std::slice::from_mut(model), std::slice::from_ref(&near), PRODUCTS[1]);
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
        Beginning { directions, guess, places, near }
    }

    /// Short chains from here; then the directions are found anew, from the mean of the information where the chains end
    /// and near the mode.
    ///
    /// Also returns the gradients each chain took.
    pub fn survey(
        self,
        build: &(dyn Fn() -> Model<f32> + Sync),
        settings: &Settings,
        seed: u64,
        progress: &(dyn Fn() + Sync),
    ) -> (Beginning, Vec<usize>) {
        let chains = self.places.len();
        let mut seen: Vec<Seen> = (0..chains).map(|_| Seen::default()).collect();
        let starts: Vec<_> = seen
            .iter_mut()
            .enumerate()
            .map(|(chain, seen)| {
                let keep = |m: &mut Informed<Model<f32>>, trajectory: usize, _: bool, z: &[f32], learnt: &[f64]| {
                    seen.own.push(learnt[..m.target.sampled_len()].to_vec());
                    if trajectory + 1 == settings.trajectories {
                        seen.end = m.place(z, learnt);
                    }
                };
                self.start(chain, build(), keep)
            })
            .collect();
        let of_its_own = seed ^ 0x5e1f_5eed;
        let outcomes = run_chains(starts, settings, of_its_own, |_| settings.trajectories, progress);
        let mut models: Vec<Model<f32>> = (0..=chains).into_par_iter().map(|_| build()).collect();
        let end = |s: &Seen| (s.end.clone(), models[0].hyper_at(s.own.last().expect("one for each trajectory")));
        let at: Vec<_> = std::iter::once(self.near.clone()).chain(seen.iter().map(end)).collect();
        let (directions, sds) = directions(informed(&mut models, &at, PRODUCTS[2]));
        let mut guess: Vec<(f64, f64)> = (0..models[0].sampled_len())
            .map(|i| {
                let mut values: Vec<f64> = seen.iter().flat_map(|s| s.own.iter().map(|own| own[i])).collect();
                values.sort_by(f64::total_cmp);
                (values[values.len() / 2], OWN_SD)
            })
            .collect();
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
        (Beginning { directions, guess, places, near: self.near }, outcomes.iter().map(|o| o.gradients).collect())
    }

    /// What a chain starts with.
    pub fn start<K>(&self, chain: usize, model: Model<f32>, keep: K) -> Start<Informed<Model<f32>>, K> {
        let (noise, learnt) = self.places[chain].clone();
        let target = Informed::new(model, self.directions.clone());
        Start { target, noise, learnt, guess: self.guess.clone(), keep }
    }
}

/// Posterior s.d. guessed of a hyperparameter, in units of its own, of the order of the prior's.
const OWN_SD: f64 = 0.5;

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
fn informed(models: &mut [Model<f32>], at: &[(Vec<f32>, Hyper)], products: usize) -> Vec<Pair<f32>> {
    let n = models[0].noise_len();
    models.par_iter_mut().zip(at).for_each(|(m, (z, hyper))| {
        m.at(z, hyper, &mut vec![0.0; n]);
    });
    let mut each = vec![vec![0.0f32; n]; models.len()];
    let share = 1.0 / models.len() as f32;
    let mut pairs = leading(n, products, INFORMED, |v, out| {
        models.par_iter_mut().zip(&mut each).for_each(|(m, product)| m.fisher(v, product));
        out.fill(0.0);
        for product in &each {
            out.iter_mut().zip(product).for_each(|(o, p)| *o += share * p);
        }
    });
    pairs.truncate(MOST_DIRECTIONS);
    pairs
}
