//! Pigs by year, and how much of each area is active, possible, quiet or unseen.

use super::super::svg::{Anchor, Scale, Svg, ticks};
use super::super::words;
use crate::assess::zones::ZoneFigures;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 170.0;
const LEFT: f64 = 40.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 132.0;

/// Pigs examined by year of death, one panel an area, all on one scale.
pub(in super::super) fn pigs_by_year(areas: &[&ZoneFigures]) -> Vec<String> {
    let years: Vec<i16> = areas.iter().flat_map(|a| a.by_year.iter().map(|y| y.0)).collect();
    let (Some(first), Some(last)) = (years.iter().min().copied(), years.iter().max().copied()) else {
        return Vec::new();
    };
    // The district would dwarf its areas: it has its own scale, and comes first.
    let most = |some: &[&ZoneFigures]| some.iter().flat_map(|a| a.by_year.iter().map(|y| y.1)).max().unwrap_or(1);
    areas
        .iter()
        .enumerate()
        .map(|(i, a)| {
            let scale = if i == 0 { most(&areas[..1]) } else { most(&areas[1..]) };
            year_panel(a, i, first, last, scale)
        })
        .collect()
}

fn year_panel(area: &ZoneFigures, index: usize, first: i16, last: i16, most: usize) -> String {
    let told: Vec<String> = area.by_year.iter().map(|(y, n, p)| format!("{y}: {n}, {p} positive")).collect();
    let name = if index == 0 { format!("All records of {}", area.name) } else { area.name.clone() };
    let description =
        format!("Pigs examined by year of death, and how many of them are positive or suspect. {}.", told.join("; "));
    let mut svg = Svg::new(
        &format!("years{index}"),
        "chart panel",
        WIDTH,
        HEIGHT,
        &format!("Pigs examined by year: {name}"),
        &description,
    );
    svg.label("head", LEFT, 14.0, Anchor::Start, &name);
    let y = Scale { from: 0.0, to: most.max(1) as f64, start: BOTTOM, end: TOP, log: false };
    for v in ticks(0.0, most.max(1) as f64, 4).into_iter().filter(|v| v.fract() == 0.0) {
        svg.line("grid", LEFT, y.at(v), WIDTH - 6.0, y.at(v));
        svg.label("tick", LEFT - 5.0, y.at(v) + 4.0, Anchor::End, &words::grouped(v));
    }
    let years = (last - first + 1).max(1) as usize;
    let slot = (WIDTH - 8.0 - LEFT) / years as f64;
    let every = years.div_ceil(9).max(1);
    for k in 0..years {
        let year = first + k as i16;
        let x = LEFT + k as f64 * slot;
        if k.is_multiple_of(every) {
            svg.label("tick", x + slot / 2.0, BOTTOM + 14.0, Anchor::Middle, &year.to_string());
        }
        let Some((_, pigs, positives)) = area.by_year.iter().find(|v| v.0 == year) else {
            continue;
        };
        let (all, bad) = (y.at(*pigs as f64), y.at(*positives as f64));
        svg.rect("pigs", x + slot * 0.12, all, slot * 0.76, BOTTOM - all);
        svg.rect("positives", x + slot * 0.12, bad, slot * 0.76, BOTTOM - bad);
    }
    svg.line("mark", LEFT, BOTTOM, WIDTH - 6.0, BOTTOM);
    svg.label("axis", LEFT, HEIGHT - 6.0, Anchor::Start, "pigs a year; dark: positive or suspect");
    svg.finish()
}

/// One area's land by standing, hectares: active, possible, quiet, unseen.
pub(in super::super) struct Land<'a> {
    /// Name.
    pub name: &'a str,
    /// Hectares in the order above.
    pub ha: [f64; 4],
}

/// Bars of land by standing, one an area.
pub(in super::super) fn standing(lands: &[Land], id: &str, title: &str) -> String {
    let row = 26.0;
    let (left, width) = (150.0, 640.0);
    let height = 34.0 + row * lands.len() as f64 + 26.0;
    let told: Vec<String> = lands
        .iter()
        .map(|l| {
            format!(
                "{}: active {}, possible {}, quiet {}, unseen {} ha",
                l.name,
                words::hectares(l.ha[0]),
                words::hectares(l.ha[1]),
                words::hectares(l.ha[2]),
                words::hectares(l.ha[3])
            )
        })
        .collect();
    let mut svg = Svg::new(
        id,
        "chart wide",
        width,
        height,
        title,
        &format!("Share of the land by standing. {}.", told.join("; ")),
    );
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
            svg.label("absent", left + 4.0, top + 14.0, Anchor::Start, "not estimated: no land on the grid");
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
        let fill = if standing == 3 { hatch } else { super::super::palette::STANDING[standing] };
        let points = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        svg.filled_path(fill, &super::super::svg::path_through(&points, true));
    }
}

fn short(name: &str) -> String {
    if name.chars().count() <= 21 { name.into() } else { name.chars().take(20).chain(['…']).collect() }
}
