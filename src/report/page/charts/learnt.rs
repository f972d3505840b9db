//! What was learnt of the model's own quantities, drawn over what was assumed of them.
//!
//! Both as densities on one scale: the prior from its formula, the posterior from its samples. What an
//! operation's fall was assumed to be has no formula: its three points stand alone.

use crate::assess::hyperparameters::HyperFigures;
use crate::pipeline::analysis::Analysis;
use crate::report::page::svg::{Anchor, Scale, Svg, path_through, ticks};
use crate::report::sentences::drawings;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 188.0;
const LEFT: f64 = 14.0;
const TOP: f64 = 44.0;
/// Foot of the densities.
const FOOT: f64 = 122.0;
/// One panel a quantity, each on its own scale.
pub(crate) fn draw(analysis: &Analysis) -> Vec<String> {
    analysis.assessment.hyper.iter().enumerate().map(|(i, h)| panel(h, i)).collect()
}

fn panel(h: &HyperFigures, index: usize) -> String {
    let q = h.posterior.q;
    let c = &h.curves;
    let (low, high) = (c.at[0], c.at[c.at.len() - 1]);
    let description = drawings::learnt([q[1], q[3], q[5]], h.prior);
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
    // A density without bound at the edge of its range must not flatten the other.
    let most =
        |d: &Option<Vec<f64>>| d.iter().flatten().copied().filter(|v| v.is_finite()).fold(0.0, f64::max);
    let tall = most(&c.after).max(most(&c.before).min(1.5 * most(&c.after)));
    let y = Scale { from: 0.0, to: if tall > 0.0 { tall } else { 1.0 }, start: FOOT, end: TOP, log: false };
    let curve =
        |d: &[f64]| -> Vec<(f64, f64)> { c.at.iter().zip(d).map(|(a, f)| (x.at(*a), y.at(*f))).collect() };
    if let Some(d) = &c.after {
        let mut line = curve(d);
        line.push((x.at(high), FOOT));
        line.push((x.at(low), FOOT));
        svg.path("after", &path_through(&line, true));
    }
    match &c.before {
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
