//! Whether numbers are uniform: ranks among samples, and the band their empirical distribution must keep to.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;

/// Where a value lies among samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rank {
    /// Draws below it; draws equal to it are counted or not at random.
    pub below: usize,
    /// Number of samples.
    pub of: usize,
    /// `(below + V) / (of + 1)`, V uniform on [0, 1): uniform on [0, 1) for a value that could be one of the
    /// samples.
    pub place: f64,
}

/// The randomised rank of a value among samples.
///
/// # Formula
/// ```text
/// r = #{d < x} + U{0, …, #{d = x}},   place = (r + V)/(L + 1)
/// ```
/// # Assumes
/// Draws are independent of one another, or nearly so; then r is uniform on 0 … L.
/// # Source
/// Talts et al. (2018), algorithm 1; ties at random, Modrák et al. (2023) §2.
pub fn rank(x: f64, samples: &[f64], rng: &mut impl Rng) -> Rank {
    let below = samples.iter().filter(|d| **d < x).count();
    let equal = samples.iter().filter(|d| **d == x).count();
    let below = below + rng.random_range(0..=equal);
    let place = (below as f64 + rng.random::<f64>()) / (samples.len() as f64 + 1.0);
    Rank { below, of: samples.len(), place }
}

/// The test of n values against the uniform distribution on [0, 1], by their empirical distribution.
///
/// # Formula
/// ```text
/// γ = 2 min_i min(B_i(c_i), 1 − B_i(c_i − 1)),   z_i = i/K,  c_i = #{u ≤ z_i}
/// ```
/// B_i the distribution function of Binomial(n, z_i). Small γ is strange; how small, is found from uniform
/// samples of the same size. The band at level α holds the whole empirical distribution of a uniform sample
/// with probability at least 1 − α.
/// # Numerics
/// The distribution of γ is simulated: its quantiles have Monte Carlo error, p-values the resolution
/// 1/(rounds + 1).
/// # Source
/// Säilynoja, Bürkner & Vehtari (2022), Statistics and Computing 32:32, §2.
pub struct Uniformity {
    n: usize,
    points: usize,
    /// `[point − 1][count]`: P(Binomial(n, z) ≤ count), at the inner points.
    cdf: Vec<Vec<f64>>,
    /// γ of uniform samples, rising.
    null: Vec<f64>,
}

/// A point of the band: z, and the least and largest empirical distribution there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandPoint {
    /// Where.
    pub z: f64,
    /// Least share of values up to z.
    pub lower: f64,
    /// Largest share of values up to z.
    pub upper: f64,
}

impl Uniformity {
    /// For samples of n values, looked at in `points` equal steps, from `rounds` uniform samples.
    pub fn new(n: usize, points: usize, rounds: usize, seed: u64) -> Uniformity {
        let cdf = (1..points).map(|i| binomial_cdf(n, i as f64 / points as f64)).collect();
        let mut out = Uniformity { n, points, cdf, null: Vec::new() };
        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        let mut null: Vec<f64> = (0..rounds)
            .map(|_| {
                let u: Vec<f64> = (0..n).map(|_| rng.random::<f64>()).collect();
                out.statistic(&u)
            })
            .collect();
        null.sort_by(f64::total_cmp);
        out.null = null;
        out
    }

    /// Share of values up to each inner point i/K.
    pub fn empirical(&self, values: &[f64]) -> Vec<f64> {
        self.counts(values).into_iter().map(|c| c as f64 / values.len() as f64).collect()
    }

    fn counts(&self, values: &[f64]) -> Vec<usize> {
        let mut within = vec![0; self.points];
        for u in values {
            within[((u * self.points as f64) as usize).min(self.points - 1)] += 1;
        }
        let mut sum = 0;
        within[..self.points - 1]
            .iter()
            .map(|c| {
                sum += c;
                sum
            })
            .collect()
    }

    /// γ of a sample.
    pub fn statistic(&self, values: &[f64]) -> f64 {
        assert_eq!(values.len(), self.n, "the test was made for samples of another size");
        let strange = |(c, cdf): (usize, &Vec<f64>)| {
            let above = if c == 0 { 1.0 } else { 1.0 - cdf[c - 1] };
            cdf[c].min(above)
        };
        2.0 * self.counts(values).into_iter().zip(&self.cdf).map(strange).fold(0.5, f64::min)
    }

    /// P(a uniform sample is at least as strange).
    ///
    /// # Formula
    /// `(1 + #{γ of uniform samples ≤ γ}) / (rounds + 1)`: never 0, and never below the true one on average.
    pub fn p_value(&self, values: &[f64]) -> f64 {
        let gamma = self.statistic(values);
        let stranger = self.null.partition_point(|g| *g <= gamma);
        (1 + stranger) as f64 / (self.null.len() + 1) as f64
    }

    /// The band that leaves out a share `alpha` of uniform samples, at the inner points.
    pub fn band(&self, alpha: f64) -> Vec<BandPoint> {
        let gamma = self.null[((alpha * self.null.len() as f64) as usize).min(self.null.len() - 1)];
        let share = |count: usize| count as f64 / self.n as f64;
        let at = |(i, cdf): (usize, &Vec<f64>)| {
            let lower = cdf.partition_point(|p| 2.0 * p < gamma);
            // The largest count c with 2 (1 − B(c − 1)) ≥ γ.
            let upper = cdf.partition_point(|p| 2.0 * (1.0 - p) >= gamma).min(self.n);
            BandPoint { z: (i + 1) as f64 / self.points as f64, lower: share(lower), upper: share(upper) }
        };
        self.cdf.iter().enumerate().map(at).collect()
    }
}

/// P(Binomial(n, z) ≤ c) for c = 0 … n, 0 < z < 1.
pub fn binomial_cdf(n: usize, z: f64) -> Vec<f64> {
    let (log_z, log_rest) = (z.ln(), (-z).ln_1p());
    let mut log_choose = 0.0;
    let mut sum = 0.0;
    (0..=n)
        .map(|c| {
            if c > 0 {
                log_choose += ((n + 1 - c) as f64 / c as f64).ln();
            }
            sum += (log_choose + c as f64 * log_z + (n - c) as f64 * log_rest).exp();
            sum.min(1.0)
        })
        .collect()
}

/// How often an event happened that draws gave a probability.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EventTally {
    /// Cases.
    pub cases: usize,
    /// Sum of the stated probabilities.
    pub stated: f64,
    /// Number that happened.
    pub happened: usize,
    expected: f64,
    variance: f64,
}

impl EventTally {
    /// Adds a case: the event held in `above` of `of` draws, and did or did not happen.
    pub fn add(&mut self, above: usize, of: usize, happened: bool) {
        self.cases += 1;
        self.stated += above as f64 / of as f64;
        self.happened += usize::from(happened);
        // Given in how many of the of + 1 equals it holds, the truth is any of them.
        let share = (above + usize::from(happened)) as f64 / (of as f64 + 1.0);
        self.expected += share;
        self.variance += share * (1.0 - share);
    }

    /// Standard errors by which the number that happened passes the expected one; `None` when nothing was
    /// open.
    ///
    /// # Formula
    /// ```text
    /// (Σ o − Σ T/(L + 1)) / √Σ T(L + 1 − T)/(L + 1)²,   T = draws above + o
    /// ```
    /// If truth and L draws are exchangeable, o given T is Bernoulli(T/(L + 1)): exact for any L.
    pub fn errors(&self) -> Option<f64> {
        (self.variance > 0.0).then(|| (self.happened as f64 - self.expected) / self.variance.sqrt())
    }
}
