//! Priors of the hyperparameters, on an unconstrained scale, with their derivatives.

use crate::study::model_keys::FieldPrior;
use serde::Serialize;

/// Hyperparameters, each on a scale without bounds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hyper {
    /// μ, level of the latent field.
    pub level: f64,
    /// ln of the Matérn range in metres.
    pub log_range: f64,
    /// ln of the latent standard deviation.
    pub log_sd: f64,
    /// Logit of the half-year correlation.
    pub persistence_logit: f64,
    /// β, one for each type of operation.
    pub operation: Vec<f64>,
}

/// Index of the level among hyperparameters; the order is level, range, s.d., persistence, operations.
pub const LEVEL: usize = 0;
/// Index of the log range.
pub const RANGE: usize = 1;
/// Index of the log s.d.
pub const SD: usize = 2;
/// Index of the persistence logit.
pub const PERSISTENCE: usize = 3;
/// Index of the first operation effect.
pub const OPERATION: usize = 4;

impl Hyper {
    /// Starting values of a study with this many types of operation.
    pub fn start(prior: &FieldPrior, operation_types: usize) -> Hyper {
        let r = prior.persistence_half_year;
        Hyper {
            level: prior.level_mean,
            log_range: prior.range_m.ln(),
            log_sd: prior.sd.ln(),
            persistence_logit: (r / (1.0 - r)).ln(),
            operation: vec![prior.operation_mean; operation_types],
        }
    }
    /// As one vector in the order of the index constants.
    pub fn to_vec(&self) -> Vec<f64> {
        let mut v = vec![self.level, self.log_range, self.log_sd, self.persistence_logit];
        v.extend(&self.operation);
        v
    }
    /// From the vector of [`Hyper::to_vec`].
    pub fn from_slice(v: &[f64]) -> Hyper {
        Hyper {
            level: v[LEVEL],
            log_range: v[RANGE],
            log_sd: v[SD],
            persistence_logit: v[PERSISTENCE],
            operation: v[OPERATION..].to_vec(),
        }
    }
    /// Half-year correlation.
    pub fn persistence(&self) -> f64 {
        1.0 / (1.0 + (-self.persistence_logit).exp())
    }
}

/// Rate of the penalised-complexity prior of the range, metres: −ln(0.05)·r₀.
fn range_rate(p: &FieldPrior) -> f64 {
    -(0.05f64.ln()) * p.range_lower_m
}

/// Rate of the exponential prior of √(1 − ρ).
pub(crate) fn persistence_rate(p: &FieldPrior) -> f64 {
    -(0.05f64.ln()) / (1.0 - p.persistence_lower).sqrt()
}

/// ln prior density of the hyperparameters and its gradient.
///
/// # Formula
/// ```text
/// μ ~ N(level_mean, level_sd²)
/// range r:  l₁ r⁻² e^(−l₁/r),  l₁ = −ln(0.05)·r₀          (two dimensions)
/// s.d. s:   l₂ e^(−l₂ s),      l₂ = −ln(0.05)/s₀
/// half-year correlation ρ:  u = √(1 − ρ) ~ Exp(θ) below 1,  θ = −ln(0.05)/√(1 − ρ₀)
/// β ~ N(operation_mean, operation_sd²)
/// ```
/// Densities are of the scale of [`Hyper`] (ln r, ln s, logit ρ): Jacobians included; constants kept.
/// The truncation of u at 1 changes the stated 5 % of ρ₀ by less than 0.3 % of it.
/// # Source
/// Fuglstad et al. (2019) for range and s.d.; Sørbye & Rue (2017) for the autoregression with base
/// model "no change in time".
/// # Example
/// ```
/// // Fuglstad form at range 10, s.d. 0.5 with P(r<5)=0.05, P(s>1)=0.01: ln density −4.171815 (facts §9).
/// let l1 = -(0.05f64.ln()) * 5.0;
/// let l2 = -(0.01f64.ln());
/// let d: f64 = (l1 * 10f64.powi(-2) * (-l1 / 10.0f64).exp() * l2 * (-l2 * 0.5f64).exp()).ln();
/// assert!((d - -4.171815).abs() < 1e-5);
/// ```
pub fn log_prior(p: &FieldPrior, h: &Hyper, gradient: &mut [f64]) -> f64 {
    let theta = persistence_rate(p);
    // 1 − ρ as a logistic of the negated logit: no cancellation near ρ = 1.
    let one_minus = 1.0 / (1.0 + h.persistence_logit.exp());
    let rho = 1.0 - one_minus;
    let u = one_minus.sqrt();
    let value = log_prior_but_persistence(p, h, gradient);
    gradient[PERSISTENCE] = 0.5 * theta * rho * u + one_minus - 0.5 * rho;
    value + (theta / (1.0 - (-theta).exp())).ln() - theta * u + (0.5 * rho * u).ln()
}

/// [`log_prior`] without the persistence, whose element of the gradient is left alone.
pub(crate) fn log_prior_but_persistence(p: &FieldPrior, h: &Hyper, gradient: &mut [f64]) -> f64 {
    let normal = |x: f64, mean: f64, sd: f64| {
        let z = (x - mean) / sd;
        (-0.5 * z * z - sd.ln() - 0.5 * (2.0 * std::f64::consts::PI).ln(), -z / sd)
    };
    let (mut value, d) = normal(h.level, p.level_mean, p.level_sd);
    gradient[LEVEL] = d;

    let (v, d) = log_range_density(range_rate(p), h.log_range);
    value += v;
    gradient[RANGE] = d;

    let (v, d) = log_sd_density(-(0.05f64.ln()) / p.sd_upper, h.log_sd);
    value += v;
    gradient[SD] = d;

    for (j, beta) in h.operation.iter().enumerate() {
        let (v, d) = normal(*beta, p.operation_mean, p.operation_sd);
        value += v;
        gradient[OPERATION + j] = d;
    }
    value
}

/// ln density of ln r under the range prior, and its slope.
pub fn log_range_density(l1: f64, log_range: f64) -> (f64, f64) {
    let scaled = l1 * (-log_range).exp();
    (l1.ln() - log_range - scaled, scaled - 1.0)
}

/// ln density of ln s under the s.d. prior, and its slope.
pub fn log_sd_density(l2: f64, log_sd: f64) -> (f64, f64) {
    let scaled = l2 * log_sd.exp();
    (l2.ln() + log_sd - scaled, 1.0 - scaled)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gradient_is_the_derivative() {
        let p = FieldPrior::default();
        let at = [-1.2, 8.7, 0.4, 2.9, -1.0, -2.5];
        let mut g = [0.0; 6];
        log_prior(&p, &Hyper::from_slice(&at), &mut g);
        let mut scratch = [0.0; 6];
        for i in 0..6 {
            let h = 1e-6;
            let mut value = |d: f64| {
                let mut x = at;
                x[i] += d;
                log_prior(&p, &Hyper::from_slice(&x), &mut scratch)
            };
            let fd = (value(h) - value(-h)) / (2.0 * h);
            assert!((fd - g[i]).abs() < 1e-6, "{i}: {fd} {}", g[i]);
        }
    }

    /// Each one-dimensional density integrates to 1 and holds 5 % beyond its stated bound.
    #[test]
    fn the_stated_probabilities_hold() {
        let p = FieldPrior::default();
        let cdf = |index: usize, from: f64, bound: f64, to: f64| {
            let base = Hyper::start(&p, 0).to_vec();
            let mut g = [0.0; 4];
            let mut density = |x: f64| {
                let mut v = base.clone();
                v[index] = x;
                log_prior(&p, &Hyper::from_slice(&v), &mut g).exp()
            };
            let n = 40_000;
            let step = (to - from) / n as f64;
            let (mut below, mut total) = (0.0, 0.0);
            for i in 0..n {
                let x = from + (i as f64 + 0.5) * step;
                let d = density(x) * step;
                total += d;
                if x < bound {
                    below += d;
                }
            }
            below / total
        };
        let range = cdf(RANGE, 4.0, 2000f64.ln(), 25.0);
        assert!((range - 0.05).abs() < 1e-3, "{range}");
        let sd = 1.0 - cdf(SD, -20.0, 3f64.ln(), 4.0);
        assert!((sd - 0.05).abs() < 1e-3, "{sd}");
        let rho = cdf(PERSISTENCE, -12.0, 3f64.ln(), 40.0);
        assert!((rho - 0.05).abs() < 3e-3, "{rho}");
    }
}
