//! How much of each area is active, possible, quiet or unseen.

use crate::report::page::palette;
use crate::report::page::svg::{Anchor, Scale, Svg};
use crate::report::sentences::{coverage, drawings, words};

/// One area's land by standing, hectares: active, possible, quiet, unseen.
pub(crate) struct StandingLand<'a> {
    /// Name.
    pub name: &'a str,
    /// Hectares in the order above.
    pub ha: [f64; 4],
}

/// Bars of land by standing, one an area.
pub(crate) fn standing(lands: &[StandingLand], id: &str, title: &str) -> String {
    let row = 26.0;
    let (left, width) = (150.0, 640.0);
    let height = 34.0 + row * lands.len() as f64 + 26.0;
    let told: Vec<(&str, [f64; 4])> = lands.iter().map(|l| (l.name, l.ha)).collect();
    let mut svg = Svg::new(id, "chart wide", width, height, title, &drawings::land(&told));
    let hatch = svg.hatch();
    let x = Scale { from: 0.0, to: 100.0, start: left, end: width - 24.0, log: false };
    // The key stands above its bars, in their order.
    for (k, word) in ["active", "possible", "quiet", "unseen"].iter().enumerate() {
        let at = left + 112.0 * k as f64;
        box_of(&mut svg, k, &hatch, at, 4.0, 16.0, 12.0);
        svg.label("tick", at + 22.0, 14.0, Anchor::Start, word);
    }
    for (i, land) in lands.iter().enumerate() {
        let top = 28.0 + row * i as f64;
        let total: f64 = land.ha.iter().sum();
        svg.label("id", left - 8.0, top + 14.0, Anchor::End, &short(land.name));
        if total <= 0.0 {
            svg.label(
                "absent",
                left + 4.0,
                top + 14.0,
                Anchor::Start,
                &words::not_estimated(coverage::NO_LAND),
            );
            continue;
        }
        let mut from = 0.0;
        for (k, ha) in land.ha.iter().enumerate() {
            let to = from + 100.0 * ha / total;
            box_of(&mut svg, k, &hatch, x.at(from), top, x.at(to) - x.at(from), row - 7.0);
            from = to;
        }
        svg.rect("edge", x.at(0.0), top, x.at(100.0) - x.at(0.0), row - 7.0);
    }
    let bottom = 28.0 + row * lands.len() as f64;
    for v in [0.0, 25.0, 50.0, 75.0, 100.0] {
        svg.label("tick", x.at(v), bottom + 12.0, Anchor::Middle, &format!("{v} %"));
    }
    svg.label("axis", left, bottom + 27.0, Anchor::Start, "share of the area's land");
    svg.finish()
}

fn box_of(svg: &mut Svg, standing: usize, hatch: &str, x: f64, y: f64, w: f64, h: f64) {
    if w > 0.0 {
        let fill = if standing == 3 { hatch } else { palette::STANDING[standing] };
        let points = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        svg.filled_path(fill, &crate::report::page::svg::path_through(&points, true));
    }
}

fn short(name: &str) -> String {
    if name.chars().count() <= 21 { name.into() } else { name.chars().take(20).chain(['…']).collect() }
}
