//! Prior densities of the hyperparameters in the units a reader knows.
//!
//! `prior` holds the densities on the scales that are sampled; here they stand on the scales that are
//! shown, so that what was learnt can be drawn over what was assumed.

use crate::study::FieldPrior;

/// P(beyond the study's bound) in each penalised-complexity prior, −ln 0.05.
fn rate() -> f64 {
    -(0.05f64.ln())
}

/// Prior density of the level μ of the latent field: N(level_mean, level_sd²).
pub fn level_density(p: &FieldPrior, level: f64) -> f64 {
    let z = (level - p.level_mean) / p.level_sd;
    (-0.5 * z * z).exp() / (p.level_sd * (2.0 * std::f64::consts::PI).sqrt())
}

/// Prior density of the Matérn range, per km, at a range in km.
///
/// # Formula
/// `l r⁻² e^(−l/r)`, l = −ln(0.05)·r₀ (Fuglstad et al. 2019, two dimensions).
/// # Example
/// ```
/// use pignut::{kernel::prior_shape::range_density_per_km, study::FieldPrior};
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
pub fn sd_density(p: &FieldPrior, sd: f64) -> f64 {
    let l = rate() / p.sd_upper;
    if sd >= 0.0 { l * (-l * sd).exp() } else { 0.0 }
}

/// Prior density of the half-year correlation ρ in (0, 1).
///
/// # Formula
/// u = √(1 − ρ) is exponential with rate θ = −ln(0.05)/√(1 − ρ₀), cut at 1: `θ e^(−θu) / (2u (1 − e^(−θ)))`.
pub fn persistence_density(p: &FieldPrior, rho: f64) -> f64 {
    let theta = rate() / (1.0 - p.persistence_lower).sqrt();
    if !(0.0..1.0).contains(&rho) {
        return 0.0;
    }
    let u = (1.0 - rho).sqrt();
    theta * (-theta * u).exp() / (2.0 * u * (1.0 - (-theta).exp()))
}

/// Fall of the hazard by a step β, per cent, where the latent field stands one s.d. over its level:
/// a place with disease, for that is where operations are done.
///
/// # Formula
/// `100 (1 − λ(μ + sd + β) / λ(μ + sd))`
pub fn fall_percent(prior: &FieldPrior, level: f64, sd: f64, beta: f64) -> f64 {
    let (mut h, mut s) = ([0.0; 2], [0.0; 2]);
    let x = level + sd;
    crate::num::link::hazard(prior.link, &[x, x + beta], &mut h, &mut s);
    100.0 * (1.0 - h[1] / h[0])
}

/// Evenly weighted points of the prior of an operation's fall, per cent: midpoints of equal shares of the
/// priors of level, s.d. and β, each combined with each (12 × 12 × 48).
pub fn fall_points_percent(p: &FieldPrior) -> Vec<f64> {
    use statrs::distribution::{ContinuousCDF, Normal};
    let midpoints = |n: u32| (0..n).map(move |i| (f64::from(i) + 0.5) / f64::from(n));
    let normal = |mean: f64, sd: f64, n: u32| -> Vec<f64> {
        // Both standard deviations are above 0 in a study that was checked.
        Normal::new(mean, sd).map(|d| midpoints(n).map(|q| d.inverse_cdf(q)).collect()).unwrap_or_default()
    };
    let l = rate() / p.sd_upper;
    let sds: Vec<f64> = if p.fixed { vec![p.sd] } else { midpoints(12).map(|q| -(1.0 - q).ln() / l).collect() };
    let levels = normal(p.level_mean, p.level_sd, 12);
    let steps = normal(p.operation_mean, p.operation_sd, 48);
    let mut out = Vec::with_capacity(levels.len() * sds.len() * steps.len());
    for level in &levels {
        for sd in &sds {
            out.extend(steps.iter().map(|beta| fall_percent(p, *level, *sd, *beta)));
        }
    }
    out
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

    #[test]
    fn no_step_is_no_fall_and_the_points_never_pass_all() {
        let p = FieldPrior::default();
        assert!(fall_percent(&p, -1.0, 0.5, 0.0).abs() < 1e-12);
        let points = fall_points_percent(&p);
        assert_eq!(points.len(), 12 * 12 * 48);
        assert!(points.iter().all(|f| *f <= 100.0));
    }
}
