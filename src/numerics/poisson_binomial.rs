//! The number of successes among independent trials of unequal chances: the Poisson binomial distribution.

use crate::numerics::normal;

/// Trials times places beyond which the normal approximation is used: about a hundredth of a second.
pub(crate) const LARGEST_PRODUCT: usize = 10_000_000;

/// P(T = k) for k = 0 … `most`, T the number of successes.
///
/// # Formula
/// ```text
/// P_i(k) = (1 − p_i) P_{i−1}(k) + p_i P_{i−1}(k − 1)
/// ```
/// # Shapes and units
/// One chance in [0, 1] a trial; `most + 1` probabilities, whose sum is P(T ≤ most).
/// # Numerics
/// Exact by the recursion up to [`LARGEST_PRODUCT`] trials times places. Beyond it the normal mass of
/// [k − ½, k + ½], at the mean and variance of T, with all below 0 at 0.
/// # Source
/// The recursion is direct convolution, reviewed in Hong (2013), *Computational Statistics & Data Analysis*
/// 59 (from memory).
/// # Example
/// ```
/// // A fair coin twice.
/// use pignut::internals::numerics::poisson_binomial::probabilities;
/// assert_eq!(probabilities(&[0.5, 0.5], 2), vec![0.25, 0.5, 0.25]);
/// ```
pub fn probabilities(chances: &[f64], most: usize) -> Vec<f64> {
    if chances.len().saturating_mul(most) > LARGEST_PRODUCT {
        return by_normal(chances, most);
    }
    let mut out = vec![0.0; most + 1];
    out[0] = 1.0;
    for (i, p) in chances.iter().enumerate() {
        for k in (1..=(i + 1).min(most)).rev() {
            out[k] = (1.0 - p) * out[k] + p * out[k - 1];
        }
        out[0] *= 1.0 - p;
    }
    out
}

fn by_normal(chances: &[f64], most: usize) -> Vec<f64> {
    let (mean, variance) = moments(chances);
    let sd = variance.sqrt().max(f64::MIN_POSITIVE);
    let place = |edge: f64| (edge - mean) / sd;
    let lower = |k: usize| if k == 0 { f64::NEG_INFINITY } else { place(k as f64 - 0.5) };
    (0..=most).map(|k| normal::mass(lower(k), place(k as f64 + 0.5))).collect()
}

/// Mean Σp and variance Σp(1 − p) of the number of successes.
pub(crate) fn moments(chances: &[f64]) -> (f64, f64) {
    chances.iter().fold((0.0, 0.0), |(m, v), p| (m + p, v + p * (1.0 - p)))
}

/// Number of successes so large that more than it has no chance worth counting: ten standard deviations and
/// ten.
pub(crate) fn largest_likely(chances: &[f64]) -> usize {
    let (mean, variance) = moments(chances);
    ((mean + 10.0 * variance.sqrt() + 10.0).ceil() as usize).min(chances.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{Binomial, Discrete};

    /// Rounding of some hundred products.
    const ROUNDING: f64 = 1e-12;

    /// Equal chances give the binomial distribution, here that of another library.
    #[test]
    fn equal_chances_give_the_binomial() {
        let other = Binomial::new(0.13, 40).unwrap();
        for (k, p) in probabilities(&[0.13; 40], 40).into_iter().enumerate() {
            assert!((p - other.pmf(k as u64)).abs() < ROUNDING, "{k}");
        }
    }

    /// Unequal ones by listing all outcomes.
    #[test]
    fn unequal_chances_give_what_counting_gives() {
        let chances = [0.9, 0.02, 0.5, 0.33, 0.0, 1.0, 0.71, 0.08];
        let mut counted = vec![0.0; chances.len() + 1];
        for set in 0..1u32 << chances.len() {
            let one = |(i, p): (usize, &f64)| if set >> i & 1 == 1 { *p } else { 1.0 - p };
            counted[set.count_ones() as usize] += chances.iter().enumerate().map(one).product::<f64>();
        }
        let found = probabilities(&chances, chances.len());
        assert!(found.iter().zip(&counted).all(|(a, b)| (a - b).abs() < ROUNDING), "{found:?} {counted:?}");
        // Cut off, the places kept are the same.
        assert_eq!(probabilities(&chances, 3), found[..4]);
        assert_eq!(probabilities(&[], 2), vec![1.0, 0.0, 0.0]);
    }

    /// Where both are computed, the normal approximation's distribution function is within a hundredth.
    #[test]
    fn the_approximation_is_near() {
        let chances: Vec<f64> = (0..4000).map(|i| 0.02 + 0.06 * f64::from(i) / 4000.0).collect();
        let most = largest_likely(&chances);
        let (exact, near) = (probabilities(&chances, most), by_normal(&chances, most));
        let (mut a, mut b, mut worst) = (0.0, 0.0, 0.0f64);
        for (x, y) in exact.iter().zip(&near) {
            (a, b) = (a + x, b + y);
            worst = worst.max((a - b).abs());
        }
        assert!((a - 1.0).abs() < 1e-9 && worst < 0.01, "{a} {worst}");
    }
}
