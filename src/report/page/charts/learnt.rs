//! What was learnt of the model's own quantities, drawn over what was assumed of them.
//!
//! Both as densities on one scale: the prior from its formula, the posterior from its samples. What an
//! operation's fall was assumed to be has no formula: its three points stand alone.

use crate::assess::hyperparameters::{HyperFigures, posterior_density};
use crate::kernel::prior_shape as shape;
use crate::pipeline::analysis::Analysis;
use crate::report::page::svg::{Anchor, Scale, Svg, path_through, ticks};
use crate::report::sentences::drawings;
use crate::study::model_keys::FieldPrior;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 188.0;
const LEFT: f64 = 14.0;
const TOP: f64 = 44.0;
/// Foot of the densities.
const FOOT: f64 = 122.0;
/// Points at which a density is drawn.
const POINTS: usize = 121;

/// One panel a quantity, each on its own scale.
pub(crate) fn draw(analysis: &Analysis) -> Vec<String> {
    let field = &analysis.layout.study.field;
    let figures = &analysis.assessment.hyper;
    figures
        .iter()
        .enumerate()
        .map(|(i, h)| {
            let after = |at: &[f64], lower, upper| {
                let a = &analysis.assessment;
                posterior_density(&analysis.posterior, &a.operations, h.name, at, lower, upper)
            };
            panel(h, &after, &Prior::of(h, field), i)
        })
        .collect()
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
    fn of(h: &HyperFigures, field: &'a FieldPrior) -> Prior<'a> {
        let formula = |f: fn(&FieldPrior, f64) -> f64| -> Option<Density<'a>> {
            // A quantity that the study fixes has no prior.
            h.prior.map(|_| -> Density<'a> {
                Box::new(move |at: &[f64]| Some(at.iter().map(|x| f(field, *x)).collect()))
            })
        };
        let (density, lower, upper) = match h.name {
            "level" => (formula(shape::level_density), None, None),
            "range_km" => (formula(shape::range_density_per_km), Some(0.0), None),
            "sd" => (formula(shape::sd_density), Some(0.0), None),
            "persistence_half_year" => (formula(shape::persistence_density), Some(0.0), Some(1.0)),
            // A fall of more than the whole force of infection is impossible.
            _ => (None, None, Some(100.0)),
        };
        Prior { points: h.prior, density, lower, upper }
    }
}

/// A density after the records: at points, between bounds.
type After<'a> = dyn Fn(&[f64], Option<f64>, Option<f64>) -> Option<Vec<f64>> + 'a;

fn panel(h: &HyperFigures, after: &After, prior: &Prior, index: usize) -> String {
    let q = h.posterior.q;
    let (low, high) = stretch(q, prior);
    let description = drawings::learnt([q[1], q[3], q[5]], prior.points);
    let title = format!("Learnt: {}", h.label);
    let mut svg = Svg::new(&format!("learnt{index}"), "chart panel", WIDTH, HEIGHT, &title, &description);
    for (i, line) in wrapped(h.label, 52).iter().enumerate() {
        svg.label("head small", 4.0, 13.0 + 14.0 * i as f64, Anchor::Start, line);
    }
    let x = Scale { from: low, to: high, start: LEFT, end: WIDTH - 12.0, log: false };
    for v in ticks(low, high, 5) {
        svg.line("grid", x.at(v), TOP, x.at(v), FOOT);
        svg.label("tick", x.at(v), FOOT + 14.0, Anchor::Middle, &format!("{}", (v * 1e4).round() / 1e4));
    }
    let at: Vec<f64> = (0..POINTS).map(|i| low + (high - low) * i as f64 / (POINTS - 1) as f64).collect();
    let before = prior.density.as_ref().and_then(|f| f(&at));
    let after = after(&at, prior.lower, prior.upper);
    // A density without bound at the edge of its range must not flatten the other.
    let most =
        |d: &Option<Vec<f64>>| d.iter().flatten().copied().filter(|v| v.is_finite()).fold(0.0, f64::max);
    let tall = most(&after).max(most(&before).min(1.5 * most(&after)));
    let y = Scale { from: 0.0, to: if tall > 0.0 { tall } else { 1.0 }, start: FOOT, end: TOP, log: false };
    let curve =
        |d: &[f64]| -> Vec<(f64, f64)> { at.iter().zip(d).map(|(a, f)| (x.at(*a), y.at(*f))).collect() };
    if let Some(d) = &after {
        let mut line = curve(d);
        line.push((x.at(high), FOOT));
        line.push((x.at(low), FOOT));
        svg.path("after", &path_through(&line, true));
    }
    match &before {
        Some(d) => svg.through("before", &curve(d), false),
        None => svg.label("absent", LEFT, TOP + 10.0, Anchor::Start, drawings::FIXED),
    }
    svg.line("grid", x.at(low), FOOT, x.at(high), FOOT);
    let row = FOOT + 30.0;
    svg.rect("post90", x.at(q[1]), row - 2.0, x.at(q[5]) - x.at(q[1]), 4.0);
    svg.rect("post50", x.at(q[2]), row - 5.0, x.at(q[4]) - x.at(q[2]), 10.0);
    svg.line("postmid", x.at(q[3]), row - 8.0, x.at(q[3]), row + 8.0);
    svg.rect("after", LEFT, HEIGHT - 14.0, 14.0, 9.0);
    svg.label("tick", LEFT + 18.0, HEIGHT - 5.0, Anchor::Start, "after the records; bars: 50 and 90 % CrI");
    svg.line("before", 252.0, HEIGHT - 9.0, 270.0, HEIGHT - 9.0);
    svg.label("tick", 274.0, HEIGHT - 5.0, Anchor::Start, "before");
    svg.finish()
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

/// Words broken into lines of at most `most` characters, two lines at the most.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines.len() == 2;
        let last = lines.last_mut().expect("there is always a line");
        if full || last.is_empty() || last.chars().count() + word.chars().count() < most {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(word);
        } else {
            lines.push(word.into());
        }
    }
    lines
}
