//! What was learnt of each hyperparameter over what was assumed of it, as densities on one scale.
//!
//! The prior from its formula, the posterior from its samples. What an operation's fall was assumed to be has
//! no formula: its three points stand alone.

use crate::assess::operations::OperationEffect;
use crate::inference::posterior::Posterior;
use crate::kernel::prior::Hyper;
use crate::kernel::prior_shape as shape;
use crate::numerics::density::kernel_density;
use crate::study::model_keys::FieldPrior;

/// Points at which a density is given.
const POINTS: usize = 121;

/// Densities of one quantity, in its own unit.
#[derive(Debug, Clone, PartialEq)]
pub struct LearntCurves {
    /// Values, rising.
    pub at: Vec<f64>,
    /// Prior density there; `None` for a quantity that the study fixes, or without a formula.
    pub before: Option<Vec<f64>>,
    /// Posterior density there; `None` where all samples are alike.
    pub after: Option<Vec<f64>>,
}

/// Curves of the quantity `name`, with its posterior quantiles `q` and the 5, 50 and 95 % points of its
/// prior.
pub(crate) fn curves(
    field: &FieldPrior,
    posterior: &Posterior,
    effects: &[OperationEffect],
    name: &str,
    q: [f64; 7],
    points: Option<[f64; 3]>,
) -> LearntCurves {
    let prior = Prior::of(name, points, field);
    let (low, high) = stretch(q, &prior);
    let at: Vec<f64> = (0..POINTS).map(|i| low + (high - low) * i as f64 / (POINTS - 1) as f64).collect();
    let before = prior.density.as_ref().and_then(|f| f(&at));
    let after = kernel_density(&samples(posterior, effects, name), &at, prior.lower, prior.upper);
    LearntCurves { at, before, after }
}

/// A quantity as shown, sample by sample.
fn samples(posterior: &Posterior, effects: &[OperationEffect], name: &str) -> Vec<f64> {
    let hyper = |f: fn(&Hyper) -> f64| posterior.hyper.iter().map(f).collect();
    match name {
        "level" => hyper(|d| d.level),
        "range_km" => hyper(|d| d.log_range.exp() / 1000.0),
        "sd" => hyper(|d| d.log_sd.exp()),
        "persistence_half_year" => hyper(Hyper::persistence),
        _ => effects
            .iter()
            .filter(|e| name == format!("{}_operation_fall_percent", e.host.word()))
            .flat_map(|e| e.falls.iter().map(|f| 100.0 * f64::from(*f)))
            .collect(),
    }
}

/// Densities at points; `None` where there are none.
type Density<'a> = Box<dyn Fn(&[f64]) -> Option<Vec<f64>> + 'a>;

/// What was assumed: 5, 50 and 95 % points, a density, and where it ends.
struct Prior<'a> {
    points: Option<[f64; 3]>,
    density: Option<Density<'a>>,
    lower: Option<f64>,
    upper: Option<f64>,
}

impl<'a> Prior<'a> {
    fn of(name: &str, points: Option<[f64; 3]>, field: &'a FieldPrior) -> Prior<'a> {
        let formula = |f: fn(&FieldPrior, f64) -> f64| -> Option<Density<'a>> {
            // A quantity that the study fixes has no prior.
            points.map(|_| -> Density<'a> {
                Box::new(move |at: &[f64]| Some(at.iter().map(|x| f(field, *x)).collect()))
            })
        };
        let (density, lower, upper) = match name {
            "level" => (formula(shape::level_density), None, None),
            "range_km" => (formula(shape::range_density_per_km), Some(0.0), None),
            "sd" => (formula(shape::sd_density), Some(0.0), None),
            "persistence_half_year" => (formula(shape::persistence_density), Some(0.0), Some(1.0)),
            // A fall of more than the whole hazard is impossible.
            _ => (None, None, Some(100.0)),
        };
        Prior { points, density, lower, upper }
    }
}

/// What the axis spans: the middle 95 % of what was learnt and some air, and of the middle 90 % of the prior
/// as much as is not wider than that again.
fn stretch(q: [f64; 7], prior: &Prior) -> (f64, f64) {
    let width = q[6] - q[0];
    let air = (0.25 * width).max(1e-6);
    let (mut low, mut high) = (q[0] - air, q[6] + air);
    if let Some(p) = prior.points {
        low = low.min(p[0].max(low - width));
        high = high.max(p[2].min(high + width));
    }
    (prior.lower.map_or(low, |b| b.max(low)), prior.upper.map_or(high, |b| b.min(high)))
}
