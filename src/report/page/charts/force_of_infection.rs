//! Force of infection over time, one panel an area, with its 50 and 90 % bands.

use crate::assess::areas::ZoneFigures;
use crate::assess::spread::Spread;
use crate::pipeline::analysis::Analysis;
use crate::report::page::svg::{Anchor, Scale, Svg, new_years};
use crate::report::sentences::{areas, drawings};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 190.0;
const LEFT: f64 = 44.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 150.0;

/// Lowest force of infection told from the next, per pig-year; below it the line lies on the floor.
const FLOOR: f64 = 0.001;

/// One panel for each area, and before them one for the whole grid; all on one scale.
pub(crate) fn draw(analysis: &Analysis) -> Vec<String> {
    let areas: Vec<&ZoneFigures> =
        std::iter::once(&analysis.assessment.study_area).chain(&analysis.assessment.zones).collect();
    let threshold = analysis.layout.study.recent.force_of_infection_threshold;
    let highest = areas.iter().flat_map(|a| &a.by_period).map(Spread::q95).fold(threshold, f64::max);
    // The next decade holds the widest band.
    let top = 10f64.powf(highest.max(0.1).log10().ceil());
    areas.iter().enumerate().map(|(i, a)| panel(analysis, a, i, top)).collect()
}

fn panel(analysis: &Analysis, area: &ZoneFigures, index: usize, top: f64) -> String {
    let grid = &analysis.layout.grid;
    let edges = &grid.period_edges;
    let (from, to) = (edges[0], edges[edges.len() - 1]);
    let name = if index == 0 { areas::WHOLE_GRID.to_string() } else { area.name.clone() };
    let mut svg = Svg::new(
        &format!("force{index}"),
        "chart panel",
        WIDTH,
        HEIGHT,
        &format!("Force of infection over time: {name}"),
        &drawings::force_of_infection(analysis, &area.by_period),
    );
    let x = Scale { from, to, start: LEFT, end: WIDTH - 8.0, log: false };
    let y = Scale { from: FLOOR, to: top, start: BOTTOM, end: TOP, log: true };
    svg.label("head", LEFT, 14.0, Anchor::Start, &name);
    let mut decade = FLOOR;
    while decade <= top * 1.001 {
        svg.line("grid", LEFT, y.at(decade), WIDTH - 8.0, y.at(decade));
        let label = if decade == FLOOR {
            format!("≤{decade}")
        } else {
            format!("{}", (decade * 1e6).round() / 1e6)
        };
        svg.label("tick", LEFT - 5.0, y.at(decade) + 4.0, Anchor::End, &label);
        decade *= 10.0;
    }
    for (day, year) in new_years(from, to, 6) {
        svg.line("mark", x.at(day), BOTTOM, x.at(day), BOTTOM + 4.0);
        let (at, anchor) =
            if x.at(day) > WIDTH - 24.0 { (WIDTH - 4.0, Anchor::End) } else { (x.at(day), Anchor::Middle) };
        svg.label("tick", at, BOTTOM + 16.0, anchor, &year.to_string());
    }
    let step = |f: &dyn Fn(&Spread) -> f64| -> Vec<(f64, f64)> {
        area.by_period
            .iter()
            .enumerate()
            .flat_map(|(t, s)| [(x.at(edges[t]), y.at(f(s))), (x.at(edges[t + 1]), y.at(f(s)))])
            .collect()
    };
    let band = |low: usize, high: usize| {
        let mut points = step(&|s| s.q[high]);
        points.extend(step(&|s| s.q[low]).into_iter().rev());
        points
    };
    svg.through("band90", &band(1, 5), true);
    svg.through("band50", &band(2, 4), true);
    svg.through("middle", &step(&Spread::median), false);
    let t = y.at(analysis.layout.study.recent.force_of_infection_threshold);
    svg.line("threshold", LEFT, t, WIDTH - 8.0, t);
    svg.label(
        "axis",
        LEFT,
        HEIGHT - 6.0,
        Anchor::Start,
        "infections per pig-year; line: median; bands: 50 and 90 % CrI",
    );
    svg.finish()
}
