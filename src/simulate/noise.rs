//! Smooth random surfaces and streams of random numbers, the same on every run of a seed.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::StandardNormal;
use std::f64::consts::TAU;

/// Streams of one seed: each part of the simulator draws from its own, so that a
/// change in one part leaves the samples of the others alone.
#[derive(Debug, Clone, Copy)]
#[repr(u64)]
pub(crate) enum Stream {
    Land = 1,
    Foci = 2,
    Herd = 3,
    Hunt = 4,
    Examination = 5,
    Litter = 6,
}

/// The generator of one stream of a seed.
pub(crate) fn stream(seed: u64, stream: Stream) -> ChaCha12Rng {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    rng.set_stream(stream as u64);
    rng
}

/// A standard normal draw.
pub(crate) fn normal(rng: &mut ChaCha12Rng) -> f64 {
    rng.sample(StandardNormal)
}

/// A stationary surface of mean 0 and variance 1: a sum of waves of random direction and phase.
///
/// Its correlation is close to exp(−d² / 2L²), L the length given.
#[derive(Debug, Clone)]
pub(crate) struct Surface {
    waves: Vec<(f64, f64, f64)>,
}

impl Surface {
    const WAVES: usize = 32;

    /// Draws a surface with correlation length `length_m`.
    pub(crate) fn draw(rng: &mut ChaCha12Rng, length_m: f64) -> Surface {
        let waves = (0..Self::WAVES)
            .map(|_| (normal(rng) / length_m, normal(rng) / length_m, TAU * rng.random::<f64>()))
            .collect();
        Surface { waves }
    }

    /// Height at a place.
    pub(crate) fn at(&self, x: f64, y: f64) -> f64 {
        let sum: f64 = self.waves.iter().map(|&(a, b, phase)| (a * x + b * y + phase).cos()).sum();
        sum * (2.0 / Self::WAVES as f64).sqrt()
    }
}

/// Index drawn in proportion to weights; `None` when none is above 0.
pub(crate) fn pick(rng: &mut ChaCha12Rng, weights: impl Iterator<Item = f64> + Clone) -> Option<usize> {
    let total: f64 = weights.clone().sum();
    if total.is_nan() || total <= 0.0 {
        return None;
    }
    let mut left = rng.random::<f64>() * total;
    let mut last = None;
    for (i, w) in weights.enumerate() {
        if w > 0.0 {
            last = Some(i);
            left -= w;
            if left < 0.0 {
                break;
            }
        }
    }
    last
}
