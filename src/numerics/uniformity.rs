//! Whether numbers are uniform: ranks among draws, and the band their empirical distribution must keep to.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;

/// Where a value lies among draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rank {
    /// Draws below it; draws equal to it are counted or not at random.
    pub below: usize,
    /// Number of draws.
    pub of: usize,
    /// `(below + V) / (of + 1)`, V uniform on [0, 1): uniform on [0, 1) for a value that could be one of the draws.
    pub place: f64,
}

/// The randomised rank of a value among draws.
///
/// # Formula
/// ```text
/// r = #{d < x} + U{0, …, #{d = x}},   place = (r + V)/(L + 1)
/// ```
/// # Assumes
/// Draws are independent of one another, or nearly so; then r is uniform on 0 … L.
/// # Source
/// Talts et al. (2018), algorithm 1; ties at random, Modrák et al. (2023) §2.
/// # Example
/// ```
/// use rand::SeedableRng;
/// let mut rng = rand_chacha::ChaCha12Rng::seed_from_u64(1);
/// let r = pignut::internals::numerics::uniformity::rank(2.5, &[1.0, 2.0, 3.0], &mut rng);
/// assert_eq!((r.below, r.of), (2, 3));
/// assert!(r.place >= 0.5 && r.place < 0.75);
/// ```
pub fn rank(x: f64, draws: &[f64], rng: &mut impl Rng) -> Rank {
    let below = draws.iter().filter(|d| **d < x).count();
    let equal = draws.iter().filter(|d| **d == x).count();
    let below = below + rng.random_range(0..=equal);
    let place = (below as f64 + rng.random::<f64>()) / (draws.len() as f64 + 1.0);
    Rank { below, of: draws.len(), place }
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
fn binomial_cdf(n: usize, z: f64) -> Vec<f64> {
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

    /// Standard errors by which the number that happened passes the expected one; `None` when nothing was open.
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

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{Binomial, DiscreteCDF};

    #[test]
    fn the_binomial_distribution_is_that_of_a_library() {
        for (n, z) in [(7, 0.3), (40, 0.025), (250, 0.5), (400, 0.99)] {
            let b = Binomial::new(z, n as u64).unwrap();
            for (c, p) in binomial_cdf(n, z).into_iter().enumerate() {
                assert!((p - b.cdf(c as u64)).abs() < 1e-10, "{n} {z} {c}: {p} {}", b.cdf(c as u64));
            }
        }
    }

    #[test]
    fn the_band_holds_uniform_samples_as_often_as_it_says_and_others_seldom() {
        let test = Uniformity::new(100, 100, 4000, 1);
        let band = test.band(0.05);
        let mut rng = ChaCha12Rng::seed_from_u64(2);
        let inside = |u: &[f64]| {
            test.empirical(u).iter().zip(&band).all(|(e, b)| *e >= b.lower - 1e-9 && *e <= b.upper + 1e-9)
        };
        let held = (0..2000).filter(|_| inside(&(0..100).map(|_| rng.random()).collect::<Vec<_>>())).count();
        // 0.95 less what the steps of γ leave; four standard errors of 2000 samples are 0.02.
        assert!((1880..=1960).contains(&held), "{held} of 2000");
        // Squares and a narrowed distribution are seen.
        let squares: Vec<f64> = (0..100).map(|_| rng.random::<f64>().powi(2)).collect();
        let narrow: Vec<f64> = (0..100).map(|_| 0.25 + 0.5 * rng.random::<f64>()).collect();
        for u in [squares, narrow] {
            assert!(!inside(&u) && test.p_value(&u) < 0.001, "{}", test.p_value(&u));
        }
        // Inside the band is a p-value above its level.
        for _ in 0..200 {
            let u: Vec<f64> = (0..100).map(|_| rng.random::<f64>().powf(1.15)).collect();
            assert_eq!(inside(&u), test.p_value(&u) > 0.0502, "{}", test.p_value(&u));
        }
    }

    #[test]
    fn ties_are_broken_evenly_and_events_counted_exactly() {
        let mut rng = ChaCha12Rng::seed_from_u64(3);
        let mut seen = [0; 4];
        for _ in 0..4000 {
            seen[rank(1.0, &[1.0, 1.0, 1.0], &mut rng).below] += 1;
        }
        // 1000 each; s.e. 27.
        assert!(seen.iter().all(|c| (880..1120).contains(c)), "{seen:?}");
        let mut t = EventTally::default();
        assert_eq!(t.errors(), None);
        t.add(3, 4, true);
        // T = 4 of 5: expected 0.8, variance 0.16.
        assert!((t.errors().unwrap() - 0.2 / 0.4).abs() < 1e-12 && t.stated == 0.75);
        t.add(0, 4, false);
        assert!((t.errors().unwrap() - 0.2 / 0.4).abs() < 1e-12 && t.cases == 2 && t.happened == 1);
    }
}
