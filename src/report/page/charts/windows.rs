//! When each positive was infected: one line a pig, ordered by the day it was killed.

use crate::assess::attribution::PositiveFigures;
use crate::assess::spread::steps;
use crate::pipeline::analysis::Analysis;
use crate::records::day_number;
use crate::report::page::svg::{Anchor, Scale, Svg, new_years};
use crate::report::sentences::{drawings, pigs as pig_words};

/// Pigs in one drawing: more would not fit a printed sheet.
const PER_DRAWING: usize = 44;
const ROW: f64 = 15.0;
const LEFT: f64 = 118.0;
const WIDTH: f64 = 720.0;
const TOP: f64 = 26.0;

/// Drawings of all positives, oldest first; `order` holds indices among the positives.
pub(crate) fn draw(analysis: &Analysis, order: &[usize]) -> Vec<String> {
    let positives = &analysis.assessment.positives;
    let pigs = &analysis.layout.records.pigs;
    let spans = order.iter().filter_map(|i| quantiles(&positives[*i])).map(|q| q[0]);
    let kills = || order.iter().map(|i| pigs[positives[*i].pig].killed.mid_day());
    let end = day_number(analysis.layout.as_of) + 1.0;
    let from = spans.chain(kills()).fold(end, f64::min) - 30.0;
    let to = kills().fold(end, f64::max) + 20.0;
    let parts = order.len().div_ceil(PER_DRAWING);
    order
        .chunks(PER_DRAWING)
        .enumerate()
        .map(|(part, chunk)| one(analysis, chunk, (from, to), part, parts))
        .collect()
}

fn quantiles(p: &PositiveFigures) -> Option<[f64; 7]> {
    p.infection_days
}

fn one(analysis: &Analysis, order: &[usize], (from, to): (f64, f64), part: usize, parts: usize) -> String {
    let positives = &analysis.assessment.positives;
    let pigs = &analysis.layout.records.pigs;
    let height = TOP + order.len() as f64 * ROW + 30.0;
    let nth = if parts > 1 { format!(" (part {} of {parts})", part + 1) } else { String::new() };
    let id = format!("windows{part}");
    let mut svg = Svg::new(
        &id,
        "chart wide windows",
        WIDTH,
        height,
        &format!("When each positive was infected{nth}"),
        &drawings::windows(analysis, order),
    );
    let x = Scale { from, to, start: LEFT, end: WIDTH - 12.0, log: false };
    let bottom = TOP + order.len() as f64 * ROW;
    for (day, year) in new_years(from, to, 14) {
        svg.line("grid", x.at(day), TOP - 6.0, x.at(day), bottom);
        svg.label("tick", x.at(day), TOP - 10.0, Anchor::Middle, &year.to_string());
        svg.label("tick", x.at(day), bottom + 14.0, Anchor::Middle, &year.to_string());
    }
    let end = day_number(analysis.layout.as_of) + 1.0;
    let recent = end - analysis.layout.study.recent.months * crate::records::DAYS_PER_MONTH;
    svg.rect("recent", x.at(recent), TOP - 6.0, x.at(end) - x.at(recent), bottom - TOP + 6.0);
    for (row, i) in order.iter().enumerate() {
        let p = &positives[*i];
        let pig = &pigs[p.pig];
        let base = TOP + (row as f64 + 1.0) * ROW - 3.0;
        svg.open_pig(*i);
        svg.rect("hit", 0.0, base - ROW + 3.0, WIDTH, ROW);
        svg.label("id", LEFT - 8.0, base, Anchor::End, &shortened(&pig.id));
        svg.line("rule", LEFT, base, WIDTH - 12.0, base);
        match p.infection_days {
            Some(q) => {
                let shape = density(&p.pieces, q[0], q[6], &x, base, ROW * 0.92);
                svg.through(likely(p.p_true), &shape, true);
                svg.line("median", x.at(q[3]), base - ROW * 0.8, x.at(q[3]), base + 1.5);
            }
            None => svg.label("absent", LEFT + 6.0, base - 1.0, Anchor::Start, &drawings::no_window()),
        }
        let class = pig_words::result_word(pig);
        svg.diamond(class, x.at(pig.killed.mid_day()), base - 3.5, 4.0);
        svg.close();
    }
    svg.label(
        "axis",
        0.5 * (LEFT + WIDTH),
        bottom + 27.0,
        Anchor::Middle,
        "day of infection (years start at the lines; shaded: the recent months)",
    );
    svg.finish()
}

/// Class of a shape: paler where the pig may not have been infected at all.
fn likely(p_true: f64) -> &'static str {
    match p_true {
        p if p >= 0.8 => "shape sure",
        p if p >= 0.4 => "shape",
        _ => "shape doubtful",
    }
}

/// The boundary of a piecewise-uniform density between two days, its highest step `height` tall.
pub(crate) fn density(
    pieces: &[(f64, f64, f64)],
    from: f64,
    to: f64,
    x: &Scale,
    base: f64,
    height: f64,
) -> Vec<(f64, f64)> {
    let steps = steps(pieces);
    let most = steps.iter().map(|s| s.2).fold(0.0, f64::max);
    if most <= 0.0 {
        return Vec::new();
    }
    let mut points = Vec::new();
    for (a, b, v) in steps.into_iter().map(|(a, b, v)| (a.max(from), b.min(to), v)).filter(|(a, b, _)| b > a)
    {
        let y = base - height * v / most;
        points.extend([(x.at(a), y), (x.at(b), y)]);
    }
    if let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) {
        points.insert(0, (first.0, base));
        points.push((last.0, base));
    }
    points
}

/// An id that fits the margin.
fn shortened(id: &str) -> String {
    if id.chars().count() <= 15 { id.into() } else { id.chars().take(14).chain(['…']).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlapping_pieces_become_steps_of_the_same_mass() {
        let pieces = [(0.0, 10.0, 0.5), (5.0, 15.0, 0.5)];
        let s = steps(&pieces);
        assert_eq!(s.len(), 3);
        assert!((s[1].2 - 0.1).abs() < 1e-12 && (s[0].2 - 0.05).abs() < 1e-12);
        let mass: f64 = s.iter().map(|(a, b, v)| (b - a) * v).sum();
        assert!((mass - 1.0).abs() < 1e-12);
        assert!(steps(&[]).is_empty());
    }
}
