//! The normal score of the persistence under its prior: the scale it is sampled on.
//!
//! Where records tell little of change, the posterior of the half-year correlation piles up at 1, and its
//! logit has a tail far heavier than the normal's, which a chain crosses slowly. On the scale of its score x
//! = Φ⁻¹(F(ρ)), F its prior's distribution, the prior is N(0, 1). The range and the s.d. keep their
//! logarithms: their scores mixed no better.

use crate::kernel::prior::persistence_rate;
use crate::numerics::normal::{density, quantile, upper};
use crate::study::model_keys::FieldPrior;

/// Scores beyond this are read as this: the normal has 1e-197 there.
const FURTHEST: f64 = 30.0;

/// Between logit and score of the half-year correlation.
///
/// # Formula
/// ```text
/// u = √(1 − ρ) = −ln(1 − c Φ(−x))/θ,  c = 1 − e^(−θ),  θ the rate of log_prior;   logit ρ = ln((1 − u²)/u²)
/// ```
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PersistenceScore {
    theta: f64,
}

impl PersistenceScore {
    /// Under a study's prior.
    pub(crate) fn new(p: &FieldPrior) -> PersistenceScore {
        PersistenceScore { theta: persistence_rate(p) }
    }
    /// The logit at a score, and its slope.
    pub(crate) fn logit(&self, score: f64) -> (f64, f64) {
        let x = score.clamp(-FURTHEST, FURTHEST);
        let c = -(-self.theta).exp_m1();
        let (above, below) = (upper(x), upper(-x));
        let u = -(-c * above).ln_1p() / self.theta;
        // 1 − u without cancellation: e^(−θu) = e^(−θ) + c Φ(x).
        let rest = (below * c * self.theta.exp()).ln_1p() / self.theta;
        let by_x = -density(x) * c / (self.theta * (1.0 - c * above));
        (rest.ln() + u.ln_1p() - 2.0 * u.ln(), by_x * (1.0 / (1.0 + u) - 1.0 / rest - 2.0 / u))
    }
    /// The score of a logit.
    pub(crate) fn score(&self, logit: f64) -> f64 {
        let u = (1.0 / (1.0 + logit.exp())).sqrt();
        let c = -(-self.theta).exp_m1();
        // Whichever tail does not cancel.
        let above = -(-self.theta * u).exp_m1() / c;
        let below = ((-self.theta * u).exp() - (-self.theta).exp()) / c;
        if below < above { quantile(below) } else { -quantile(above) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kernel::prior::{Hyper, PERSISTENCE, log_prior};

    #[test]
    fn score_and_logit_are_inverse_and_the_slope_is_the_derivative() {
        let s = PersistenceScore::new(&FieldPrior::default());
        for x in [-6.0, -2.5, -0.7, 0.0, 0.3, 1.9, 5.0] {
            let (logit, slope) = s.logit(x);
            assert!((s.score(logit) - x).abs() < 1e-7, "{x}: {}", s.score(logit));
            let h = 1e-5;
            let difference = (s.logit(x + h).0 - s.logit(x - h).0) / (2.0 * h);
            assert!((difference - slope).abs() < 1e-6 * slope.abs(), "{x}: {difference} {slope}");
        }
        assert!([-1e9, 1e9].iter().all(|x| s.logit(*x).0.is_finite()));
    }

    /// The prior of [`log_prior`] with the slope as Jacobian is the standard normal, up to one constant.
    #[test]
    fn the_prior_of_the_score_is_standard_normal() {
        let p = FieldPrior::default();
        let s = PersistenceScore::new(&p);
        let excess = |x: f64| {
            let mut h = Hyper::start(&p, 0).to_vec();
            let (logit, slope) = s.logit(x);
            h[PERSISTENCE] = logit;
            log_prior(&p, &Hyper::from_slice(&h), &mut [0.0; 4]) + slope.abs().ln() + 0.5 * x * x
        };
        for x in [-4.0, -1.0, 0.5, 2.0, 4.0] {
            assert!((excess(x) - excess(0.0)).abs() < 1e-6, "{x}: {} {}", excess(x), excess(0.0));
        }
    }
}
