//! Normal scores of hyperparameters under their priors: the scale they are sampled on.
//!
//! Priors of range and persistence have a tail far heavier than the normal's on their logarithm and logit, and a chain
//! crosses such a tail slowly. On the scale of its score x = Φ⁻¹(F(θ)), F its prior's distribution, each has the prior
//! N(0, 1). The s.d. keeps its logarithm: its far tail is a field without any variation, which chains on the scale of
//! the score visit more rarely, not more often.

use super::prior::{PERSISTENCE, RANGE, persistence_rate, range_rate};
use crate::num::normal::{quantile, upper};
use crate::study::FieldPrior;

/// Scores beyond this are read as this: the normal has 1e-197 there.
const FURTHEST: f64 = 30.0;

/// Whether a hyperparameter is sampled by its score.
pub fn is_scored(index: usize) -> bool {
    matches!(index, RANGE | PERSISTENCE)
}

/// The hyperparameter with a score, on the scale of [`super::prior::Hyper`], and its slope by the score.
///
/// # Formula
/// ```text
/// ln range = ln l₁ − ln(−ln Φ(x))
/// u = −ln(1 − c Φ(−x))/θ,  c = 1 − e^(−θ);   logit ρ = ln((1 − u²)/u²)
/// ```
/// with l₁, θ of [`super::prior::log_prior`].
pub fn at_score(p: &FieldPrior, index: usize, x: f64) -> (f64, f64) {
    let x = x.clamp(-FURTHEST, FURTHEST);
    match index {
        RANGE => {
            let (l, slope) = log_minus_log(x);
            (range_rate(p).ln() - l, -slope)
        }
        _ => {
            let theta = persistence_rate(p);
            let c = -(-theta).exp_m1();
            let (above, below) = (upper(x), upper(-x));
            let u = -(-c * above).ln_1p() / theta;
            // 1 − u without cancellation: e^(−θu) = e^(−θ) + c Φ(x).
            let rest = (below * c * theta.exp()).ln_1p() / theta;
            let by_x = -density(x) * c / (theta * (1.0 - c * above));
            let value = (rest * (1.0 + u) / (u * u)).ln();
            (value, by_x * (1.0 / (1.0 + u) - 1.0 / rest - 2.0 / u))
        }
    }
}

/// The score of a hyperparameter.
pub fn score_of(p: &FieldPrior, index: usize, value: f64) -> f64 {
    // Each as the tail that does not cancel: (F, 1 − F).
    let (below, above) = match index {
        RANGE => {
            let l = range_rate(p) * (-value).exp();
            ((-l).exp(), -(-l).exp_m1())
        }
        _ => {
            let theta = persistence_rate(p);
            let c = -(-theta).exp_m1();
            let u = (1.0 / (1.0 + value.exp())).sqrt();
            let above = -(-theta * u).exp_m1() / c;
            (((-theta * u).exp() - (-theta).exp()) / c, above)
        }
    };
    if below < above { quantile(below) } else { -quantile(above) }
}

/// ln(−ln Φ(x)) and its slope.
fn log_minus_log(x: f64) -> (f64, f64) {
    let log = if x > 0.0 { (-upper(x)).ln_1p() } else { upper(-x).ln() };
    ((-log).ln(), density(x) / (upper(-x) * log))
}

fn density(x: f64) -> f64 {
    (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kernel::prior::{Hyper, log_prior};

    #[test]
    fn score_and_value_are_inverse_and_the_slope_is_the_derivative() {
        let p = FieldPrior::default();
        for index in [RANGE, PERSISTENCE] {
            for x in [-6.0, -2.5, -0.7, 0.0, 0.3, 1.9, 5.0] {
                let (value, slope) = at_score(&p, index, x);
                assert!((score_of(&p, index, value) - x).abs() < 1e-7, "{index} {x}");
                let h = 1e-5;
                let fd = (at_score(&p, index, x + h).0 - at_score(&p, index, x - h).0) / (2.0 * h);
                assert!((fd - slope).abs() < 1e-6 * slope.abs(), "{index} {x}: {fd} {slope}");
            }
        }
    }

    /// The prior of [`log_prior`] with the slope as Jacobian is the standard normal, up to one constant.
    #[test]
    fn the_prior_of_a_score_is_standard_normal() {
        let p = FieldPrior::default();
        for index in [RANGE, PERSISTENCE] {
            let excess = |x: f64| {
                let mut h = Hyper::start(&p, 0).to_vec();
                let (value, slope) = at_score(&p, index, x);
                h[index] = value;
                log_prior(&p, &Hyper::from_slice(&h), &mut [0.0; 4]) + slope.abs().ln() + 0.5 * x * x
            };
            for x in [-4.0, -1.0, 0.5, 2.0, 4.0] {
                assert!((excess(x) - excess(0.0)).abs() < 1e-6, "{index} {x}: {} {}", excess(x), excess(0.0));
            }
        }
    }
}
