//! What was learnt of the hyperparameters, in units a reader knows.

use crate::assess::learnt_curves::{LearntCurves, curves};
use crate::assess::operations::OperationEffect;
use crate::assess::spread::Spread;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::records::WildlifeHost;

/// One hyperparameter, or a figure derived from one.
#[derive(Debug, Clone, PartialEq)]
pub struct HyperFigures {
    /// Machine name with its unit.
    pub name: &'static str,
    /// Name for people, with the unit.
    pub label: &'static str,
    /// Posterior.
    pub posterior: Spread,
    /// Median of the prior and its 5 and 95 % points, where the prior has a closed form.
    pub prior: Option<[f64; 3]>,
    /// Its densities before and after the records.
    pub curves: LearntCurves,
}

/// Level, range, standard deviation, persistence, and the fall of the hazard by each type of operation.
///
/// # Formula
/// Priors: range quantile −l₁/ln p; s.d. quantile −ln(1 − p)/l₂; persistence through u = √(1 − ρ),
/// exponential. An operation's effect is that of [`crate::assess::operations::effects`], in per cent.
pub(crate) fn hyper_figures(
    layout: &Layout,
    posterior: &Posterior,
    operations: &[OperationEffect],
) -> Vec<HyperFigures> {
    let prior = &layout.study.field;
    let figures = |name, label, learnt: Spread, prior_points| HyperFigures {
        name,
        label,
        curves: curves(prior, posterior, operations, name, learnt.q, prior_points),
        posterior: learnt,
        prior: prior_points,
    };
    let spread = |f: &dyn Fn(&crate::kernel::prior::Hyper) -> f64| {
        let mut samples: Vec<f32> = posterior.hyper.iter().map(|h| f(h) as f32).collect();
        Spread::of(&mut samples)
    };
    let log_005 = -(0.05f64.ln());
    let range = |p: f64| -> f64 { log_005 * prior.range_lower_m / -(p.ln()) / 1000.0 };
    let sd = |p: f64| -> f64 { -((1.0 - p).ln()) / (log_005 / prior.sd_upper) };
    let theta = log_005 / (1.0 - prior.persistence_lower).sqrt();
    let rho = |p: f64| {
        let u = -(p.ln()) / theta;
        1.0 - (u * u).min(1.0)
    };
    let three = |f: &dyn Fn(f64) -> f64| Some([f(0.05), f(0.5), f(0.95)]);
    let z = 1.6448536269514722;
    let sampled = |points: Option<[f64; 3]>| if prior.fixed { None } else { points };
    let level =
        [prior.level_mean - z * prior.level_sd, prior.level_mean, prior.level_mean + z * prior.level_sd];
    let mut out = vec![
        figures("level", "level of the latent field", spread(&|h| h.level), Some(level)),
        figures(
            "range_km",
            "distance at which the correlation of the force of infection falls to 0.14, km",
            spread(&|h| h.log_range.exp() / 1000.0),
            sampled(three(&range)),
        ),
        figures(
            "sd",
            "standard deviation of the latent field",
            spread(&|h| h.log_sd.exp()),
            sampled(three(&sd)),
        ),
        figures(
            "persistence_half_year",
            "correlation of the latent field from one half-year to the next",
            spread(&|h| h.persistence()),
            sampled(three(&rho)),
        ),
    ];
    for effect in operations {
        let (name, label) = match effect.host {
            WildlifeHost::Possum => (
                "possum_operation_fall_percent",
                "fall of the force of infection in treated blocks, year after a possum operation, per cent",
            ),
            WildlifeHost::Ferret => (
                "ferret_operation_fall_percent",
                "fall of the force of infection in treated blocks, year after a ferret operation, per cent",
            ),
        };
        let f = &effect.fall;
        let learnt = Spread { mean: 100.0 * f.mean, q: f.q.map(|v| 100.0 * v) };
        out.push(figures(name, label, learnt, Some(effect.assumed.map(|v| 100.0 * v))));
    }
    out
}
