//! Prior densities of the hyperparameters in the units a reader knows.
//!
//! `prior` holds the densities on the scales that are sampled; here they stand on the scales that are
//! shown, so that what was learnt can be drawn over what was assumed.

use crate::numerics::normal::density;
use crate::study::model_keys::FieldPrior;

/// P(beyond the study's bound) in each penalised-complexity prior, −ln 0.05.
fn rate() -> f64 {
    -(0.05f64.ln())
}

/// Prior density of the level μ of the latent field: N(level_mean, level_sd²).
pub(crate) fn level_density(p: &FieldPrior, level: f64) -> f64 {
    density((level - p.level_mean) / p.level_sd) / p.level_sd
}

/// Prior density of the Matérn range, per km, at a range in km.
///
/// # Formula
/// `l r⁻² e^(−l/r)`, l = −ln(0.05)·r₀ (Fuglstad et al. 2019, two dimensions).
/// # Example
/// ```
/// use pignut::internals::kernel::prior_shape::range_density_per_km;
/// use pignut::internals::study::model_keys::FieldPrior;
/// let p = FieldPrior::default(); // P(range < 2 km) = 0.05
/// let below: f64 = (0..2000).map(|i| range_density_per_km(&p, 0.001 * (i as f64 + 0.5)) * 0.001).sum();
/// assert!((below - 0.05).abs() < 1e-4);
/// ```
pub fn range_density_per_km(p: &FieldPrior, range_km: f64) -> f64 {
    let l = rate() * p.range_lower_m / 1000.0;
    if range_km > 0.0 { l / (range_km * range_km) * (-l / range_km).exp() } else { 0.0 }
}

/// Prior density of the latent standard deviation.
///
/// # Formula
/// `l e^(−l s)`, l = −ln(0.05)/s₀.
pub(crate) fn sd_density(p: &FieldPrior, sd: f64) -> f64 {
    let l = rate() / p.sd_upper;
    if sd >= 0.0 { l * (-l * sd).exp() } else { 0.0 }
}

/// Prior density of the half-year correlation ρ in (0, 1).
///
/// # Formula
/// u = √(1 − ρ) is exponential with rate θ = −ln(0.05)/√(1 − ρ₀), cut at 1: `θ e^(−θu) / (2u (1 − e^(−θ)))`.
pub(crate) fn persistence_density(p: &FieldPrior, rho: f64) -> f64 {
    let theta = rate() / (1.0 - p.persistence_lower).sqrt();
    if !(0.0..1.0).contains(&rho) {
        return 0.0;
    }
    let u = (1.0 - rho).sqrt();
    theta * (-theta * u).exp() / (2.0 * u * (1.0 - (-theta).exp()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each shown density is the sampled one under its change of variable.
    #[test]
    fn shown_and_sampled_densities_agree() {
        use crate::kernel::prior::{Hyper, log_prior};
        let p = FieldPrior::default();
        let mut scratch = [0.0; 4];
        let mut joint = |h: &Hyper| log_prior(&p, h, &mut scratch).exp();
        let h = Hyper {
            level: -0.8,
            log_range: 9000f64.ln(),
            log_sd: 0.9f64.ln(),
            persistence_logit: 2.0,
            operation: vec![],
        };
        let rho = h.persistence();
        // dr = r d ln r (in km: r/1000), ds = s d ln s, dρ = ρ(1 − ρ) d logit ρ.
        let shown = level_density(&p, h.level)
            * range_density_per_km(&p, 9.0)
            * 9.0
            * sd_density(&p, 0.9)
            * 0.9
            * persistence_density(&p, rho)
            * rho
            * (1.0 - rho);
        assert!((shown / joint(&h) - 1.0).abs() < 1e-10, "{shown} {}", joint(&h));
    }
}
