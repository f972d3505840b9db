//! Seeded streams of random numbers.

use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};

/// A seeded stream of random numbers.
pub fn stream(seed: u64) -> ChaCha12Rng {
    ChaCha12Rng::seed_from_u64(seed)
}

/// Standard normal values.
pub fn normals(rng: &mut ChaCha12Rng, n: usize) -> Vec<f64> {
    (0..n).map(|_| StandardNormal.sample(rng)).collect()
}
