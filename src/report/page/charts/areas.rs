//! Pigs by year, and how much of each area is active, possible, quiet or unseen.

use crate::assess::areas::ZoneFigures;
use crate::report::page::svg::{Anchor, Scale, Svg, ticks};
use crate::report::sentences::{drawings, words};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 170.0;
const LEFT: f64 = 40.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 132.0;

/// Pigs examined by year of death, one panel an area, all on one scale.
pub(crate) fn pigs_by_year(areas: &[&ZoneFigures]) -> Vec<String> {
    let years: Vec<i16> = areas.iter().flat_map(|a| a.by_year.iter().map(|y| y.0)).collect();
    let (Some(first), Some(last)) = (years.iter().min().copied(), years.iter().max().copied()) else {
        return Vec::new();
    };
    // The whole grid would dwarf its areas: it has its own scale, and comes first.
    let most =
        |some: &[&ZoneFigures]| some.iter().flat_map(|a| a.by_year.iter().map(|y| y.1)).max().unwrap_or(1);
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
    let name = if index == 0 { format!("All records of {}", area.name) } else { area.name.clone() };
    let mut svg = Svg::new(
        &format!("years{index}"),
        "chart panel",
        WIDTH,
        HEIGHT,
        &format!("Pigs examined by year: {name}"),
        &drawings::pigs_by_year(area),
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
