//! What was learnt of the model's own quantities, against what was assumed of them.

use super::super::svg::{Anchor, Scale, Svg, ticks};
use super::super::words;
use crate::assess::summary::HyperFigures;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 116.0;
const LEFT: f64 = 62.0;

/// One panel a quantity, each on its own scale.
pub(in super::super) fn draw(learnt: &[HyperFigures]) -> Vec<String> {
    learnt.iter().enumerate().map(|(i, h)| panel(h, i)).collect()
}

fn panel(h: &HyperFigures, index: usize) -> String {
    let q = h.posterior.q;
    let prior = h.prior;
    let values = || q[1..6].iter().copied().chain(prior.into_iter().flatten());
    let (low, high) = values().fold((f64::INFINITY, f64::NEG_INFINITY), |a, v| (a.0.min(v), a.1.max(v)));
    let pad = ((high - low) * 0.05).max(1e-6);
    let (low, high) = (low - pad, high + pad);
    let said = |lo: f64, mid: f64, hi: f64| {
        format!("median {}, 90 % from {} to {}", words::two_digits(mid), words::two_digits(lo), words::two_digits(hi))
    };
    let description = format!(
        "After the records: {}. Before them: {}.",
        said(q[1], q[3], q[5]),
        prior.map_or_else(|| "no closed form, or fixed by the study".into(), |p| said(p[0], p[1], p[2]))
    );
    let mut svg = Svg::new(
        &format!("learnt{index}"),
        "chart panel",
        WIDTH,
        HEIGHT,
        &format!("Learnt: {}", h.label),
        &description,
    );
    for (i, line) in wrapped(h.label, 52).iter().enumerate() {
        svg.label("head small", 4.0, 13.0 + 14.0 * i as f64, Anchor::Start, line);
    }
    let x = Scale { from: low, to: high, start: LEFT, end: WIDTH - 12.0, log: false };
    let axis = 88.0;
    for v in ticks(low, high, 5) {
        svg.line("grid", x.at(v), 36.0, x.at(v), axis);
        svg.label("tick", x.at(v), axis + 14.0, Anchor::Middle, &format!("{}", (v * 1e4).round() / 1e4));
    }
    svg.label("tick", LEFT - 6.0, 52.0, Anchor::End, "before");
    svg.label("tick", LEFT - 6.0, 76.0, Anchor::End, "after");
    match prior {
        Some(p) => {
            svg.rect("prior", x.at(p[0]), 44.0, x.at(p[2]) - x.at(p[0]), 8.0);
            svg.line("priormid", x.at(p[1]), 41.0, x.at(p[1]), 55.0);
        }
        None => svg.label("absent", LEFT + 4.0, 52.0, Anchor::Start, "no closed form, or fixed by the study"),
    }
    svg.rect("post90", x.at(q[1]), 70.0, x.at(q[5]) - x.at(q[1]), 4.0);
    svg.rect("post50", x.at(q[2]), 66.0, x.at(q[4]) - x.at(q[2]), 12.0);
    svg.line("postmid", x.at(q[3]), 62.0, x.at(q[3]), 82.0);
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
