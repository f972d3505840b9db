//! What was learnt of the hyperparameters, in units a reader knows.

use crate::assess::operations::OperationEffect;
use crate::assess::spread::Spread;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::prior::Hyper;
use crate::numerics::density::kernel_density;
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
    let spread = |f: &dyn Fn(&Hyper) -> f64| {
        let mut draws: Vec<f32> = posterior.hyper.iter().map(|h| f(h) as f32).collect();
        Spread::of(&mut draws)
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
    let mut out = vec![
        HyperFigures {
            name: "level",
            label: "level of the latent field",
            posterior: spread(&|h| h.level),
            prior: Some([
                prior.level_mean - z * prior.level_sd,
                prior.level_mean,
                prior.level_mean + z * prior.level_sd,
            ]),
        },
        HyperFigures {
            name: "range_km",
            label: "distance at which the correlation of the force of infection falls to 0.14, km",
            posterior: spread(&|h| h.log_range.exp() / 1000.0),
            prior: (!prior.fixed).then(|| three(&range)).flatten(),
        },
        HyperFigures {
            name: "sd",
            label: "standard deviation of the latent field",
            posterior: spread(&|h| h.log_sd.exp()),
            prior: (!prior.fixed).then(|| three(&sd)).flatten(),
        },
        HyperFigures {
            name: "persistence_half_year",
            label: "correlation of the latent field from one half-year to the next",
            posterior: spread(&|h| h.persistence()),
            prior: (!prior.fixed).then(|| three(&rho)).flatten(),
        },
    ];
    for effect in operations {
        let (name, label) = match effect.vector {
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
        out.push(HyperFigures {
            name,
            label,
            posterior: Spread { mean: 100.0 * f.mean, q: f.q.map(|v| 100.0 * v) },
            prior: Some(effect.assumed.map(|v| 100.0 * v)),
        });
    }
    out
}

/// Density of a quantity over the posterior samples, at points; `None` where they do not vary.
///
/// `name` is that of [`HyperFigures`], in its units; `lower` and `upper` are where the quantity ends.
pub(crate) fn posterior_density(
    posterior: &Posterior,
    operations: &[OperationEffect],
    name: &str,
    at: &[f64],
    lower: Option<f64>,
    upper: Option<f64>,
) -> Option<Vec<f64>> {
    let hyper = |f: fn(&Hyper) -> f64| posterior.hyper.iter().map(f).collect::<Vec<f64>>();
    let samples = match name {
        "level" => hyper(|d| d.level),
        "range_km" => hyper(|d| d.log_range.exp() / 1000.0),
        "sd" => hyper(|d| d.log_sd.exp()),
        "persistence_half_year" => hyper(Hyper::persistence),
        _ => operations
            .iter()
            .filter(|e| name == format!("{}_operation_fall_percent", e.vector.word()))
            .flat_map(|e| e.falls.iter().map(|f| 100.0 * f64::from(*f)))
            .collect(),
    };
    kernel_density(&samples, at, lower, upper)
}
