//! What a cell was taken to be before the first pig: the assumptions, for comparison with what was learnt.

use crate::kernel::link::hazard;
use crate::study::study_file::Study;
use statrs::distribution::{ContinuousCDF, Normal};

/// The prior of a cell's force of infection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeforeRecords {
    /// Probability that it exceeds the threshold.
    pub p_active: f64,
    /// Its 5, 50 and 95 % points, per pig-year.
    pub force_of_infection: [f64; 3],
}

/// Steps of each axis of the quadrature.
const STEPS: usize = 64;

/// The prior of one cell.
///
/// # Formula
/// λ = link(μ + s z), z ~ N(0, 1), μ ~ N(level_mean, level_sd²), P(s > x) = 0.05^(x / sd_upper); with
/// `fixed` s is the study's and μ its mean. Midpoints of 64 equal shares of each.
/// # Assumes
/// The range of a resident pig is small beside that of the field: the mean over it is the cell's own value.
pub(crate) fn before_records(study: &Study) -> BeforeRecords {
    let prior = &study.field;
    let shares: Vec<f64> = (0..STEPS).map(|k| (k as f64 + 0.5) / STEPS as f64).collect();
    let normal = Normal::standard();
    let z: Vec<f64> = shares.iter().map(|p| normal.inverse_cdf(*p)).collect();
    let levels: Vec<f64> = if prior.fixed {
        vec![prior.level_mean]
    } else {
        z.iter().map(|z| prior.level_mean + prior.level_sd * z).collect()
    };
    let sds: Vec<f64> = if prior.fixed {
        vec![prior.sd]
    } else {
        shares.iter().map(|p| prior.sd_upper * (-p).ln_1p() / 0.05f64.ln()).collect()
    };
    let mut force: Vec<f64> = levels
        .iter()
        .flat_map(|level| sds.iter().map(move |sd| (level, sd)))
        .flat_map(|(level, sd)| z.iter().map(move |z| level + sd * z))
        .collect();
    let mut slope = vec![0.0; force.len()];
    hazard(prior.link, &mut force, &mut slope);
    force.sort_unstable_by(f64::total_cmp);
    let n = force.len();
    let below = force.partition_point(|v| *v <= study.recent.force_of_infection_threshold);
    let at = |p: f64| force[((n - 1) as f64 * p).round() as usize];
    BeforeRecords {
        p_active: 1.0 - below as f64 / n as f64,
        force_of_infection: [at(0.05), at(0.5), at(0.95)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With the s.d. fixed and no level to learn the quantiles of λ = eˣ are those of a log-normal.
    #[test]
    fn a_fixed_field_is_log_normal() {
        let mut study = Study::minimal("a", "EPSG:2193", "p.csv");
        study.field.link = crate::study::model_keys::Link::Exp;
        study.field.fixed = true;
        study.field.level_mean = -3.0;
        study.field.sd = 0.7;
        let before = before_records(&study);
        // 1.6449: the 95 % point of the standard normal, as in any table of it.
        let expected = [-3.0 - 1.6449 * 0.7, -3.0, -3.0 + 1.6449 * 0.7].map(f64::exp);
        for (got, want) in before.force_of_infection.iter().zip(expected) {
            assert!((got / want - 1.0).abs() < 0.05, "{got} {want}");
        }
        study.recent.force_of_infection_threshold = (-3.0f64).exp();
        assert!((before_records(&study).p_active - 0.5).abs() < 0.01);
    }
}
