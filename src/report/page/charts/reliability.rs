//! Stated probability of activity against the share truly active, where the truth is known.

use crate::report::page::svg::{Anchor, Scale, Svg};
use crate::report::sentences::drawings;
use crate::score::Score;
use crate::score::tally::ReliabilityBin;

/// The drawing; one disc a bin, larger for more cells.
pub(crate) fn draw(score: &Score) -> String {
    let (size, left) = (340.0, 52.0);
    let mut svg = Svg::new(
        "reliability",
        "chart panel",
        size,
        size,
        "Were the stated probabilities right?",
        &drawings::reliability(score),
    );
    let x = Scale { from: 0.0, to: 1.0, start: left, end: size - 14.0, log: false };
    let y = Scale { from: 0.0, to: 1.0, start: size - 48.0, end: 14.0, log: false };
    for v in [0.0, 0.25, 0.5, 0.75, 1.0] {
        svg.line("grid", x.at(v), y.at(0.0), x.at(v), y.at(1.0));
        svg.line("grid", x.at(0.0), y.at(v), x.at(1.0), y.at(v));
        svg.label("tick", x.at(v), y.at(0.0) + 16.0, Anchor::Middle, &v.to_string());
        svg.label("tick", left - 6.0, y.at(v) + 4.0, Anchor::End, &v.to_string());
    }
    svg.line("threshold", x.at(0.0), y.at(0.0), x.at(1.0), y.at(1.0));
    let points: Vec<(f64, f64)> = score
        .reliability
        .iter()
        .filter_map(|b| Some((x.at(b.mean_prob()?), y.at(b.active_share()?))))
        .collect();
    svg.through("middle", &points, false);
    let most = score.reliability.iter().map(|b| b.cells).max().unwrap_or(1).max(1) as f64;
    for (bin, (px, py)) in score.reliability.iter().filter(|b| b.cells > 0).zip(&points) {
        svg.disc("bin", *px, *py, radius(bin, most));
    }
    svg.label(
        "axis",
        left,
        size - 10.0,
        Anchor::Start,
        "stated probability (across), share truly active (up)",
    );
    svg.finish()
}

/// Area in proportion to the cells, never too small to see.
fn radius(bin: &ReliabilityBin, most: f64) -> f64 {
    (12.0 * (bin.cells as f64 / most).sqrt()).max(3.0)
}
