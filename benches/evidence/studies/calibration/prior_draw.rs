//! Hyperparameters drawn from the prior, by inversion of what the prior says of each.

use pignut::internals::kernel::prior::Hyper;
use pignut::internals::study::model_keys::FieldPrior;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// One draw, with this many types of operation.
///
/// # Formula
/// ```text
/// μ, β normal;  range l₁/E₁;  s.d. E₂/l₂;  ρ = 1 − u²,  u = −ln(1 − U (1 − e^(−θ)))/θ
/// ```
/// E standard exponential, U uniform, rates as in [`pignut::internals::kernel::prior::log_prior`]: written
/// from the densities a reader knows, not from the sampled scale.
pub fn hyper(p: &FieldPrior, operations: usize, rng: &mut impl Rng) -> Hyper {
    let rate = -(0.05f64.ln());
    let mut normal = |mean: f64, sd: f64| {
        let z: f64 = StandardNormal.sample(&mut *rng);
        mean + sd * z
    };
    let level = normal(p.level_mean, p.level_sd);
    let operation = (0..operations).map(|_| normal(p.operation_mean, p.operation_sd)).collect();
    // 1 − U lies in (0, 1]: its logarithm is finite, and the exponential is above 0 but once in 2⁵³ draws.
    let mut exponential = || -(1.0 - rng.random::<f64>()).ln();
    let range = rate * p.range_lower_m / exponential().max(f64::MIN_POSITIVE);
    let sd = exponential().max(f64::MIN_POSITIVE) * p.sd_upper / rate;
    let theta = rate / (1.0 - p.persistence_lower).sqrt();
    let u = -(1.0 - rng.random::<f64>() * (1.0 - (-theta).exp())).ln() / theta;
    let one_minus = (u * u).max(f64::MIN_POSITIVE);
    Hyper {
        level,
        log_range: range.ln(),
        log_sd: sd.ln(),
        persistence_logit: ((1.0 - one_minus) / one_minus).ln(),
        operation,
    }
}
