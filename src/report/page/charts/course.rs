//! The small drawings of an area's card: its force of infection over time, and its probability of freedom.

use crate::assess::areas::ZoneFigures;
use crate::assess::spread::Spread;
use crate::pipeline::analysis::Analysis;
use crate::records::day_number;
use crate::report::page::svg::{Anchor, Scale, Svg, new_years};
use crate::report::sentences::{drawings, words};

const WIDTH: f64 = 230.0;
const HEIGHT: f64 = 104.0;
const LEFT: f64 = 30.0;
const RIGHT: f64 = WIDTH - 6.0;
const TOP: f64 = 20.0;
const BOTTOM: f64 = 84.0;
/// Ends of the scale, infected of 100 pigs in a year.
const SPAN: [f64; 2] = [0.1, 100.0];

/// Of 100 pigs living a year under a force of infection, the number infected.
fn of_100(force: f64) -> f64 {
    -100.0 * (-force).exp_m1()
}

/// Past operations in the blocks of an area: (first day, host), the earliest first, at most `most`.
fn operations(analysis: &Analysis, zone: usize, most: usize) -> Vec<(f64, &'static str)> {
    let blocks = &analysis.assessment.slate.areas[zone].blocks;
    let records = &analysis.layout.records;
    let mut out: Vec<(f64, &'static str)> = records
        .operations
        .iter()
        .filter(|o| blocks.iter().any(|b| b.0 == o.block))
        .map(|o| (day_number(o.start), o.host.word()))
        .collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Blocks of one operation begin within a season of each other.
    out.dedup_by(|b, a| a.1 == b.1 && b.0 - a.0 < 183.0);
    if out.len() > most {
        out.drain(..out.len() - most);
    }
    out
}

/// Infected of 100 pigs in a year, over the years, with operations marked.
pub(crate) fn course(analysis: &Analysis, zone: usize, area: &ZoneFigures) -> String {
    let edges = &analysis.layout.grid.period_edges;
    let (from, to) = (edges[0], edges[edges.len() - 1]);
    let mut svg = Svg::new(
        &format!("course{zone}"),
        "chart course",
        WIDTH,
        HEIGHT,
        &format!("Of 100 pigs living in {} for a year, infected", area.name),
        &drawings::force_of_infection(analysis, &area.by_period),
    );
    let x = Scale { from, to, start: LEFT, end: RIGHT, log: false };
    let y = Scale { from: SPAN[0], to: SPAN[1], start: BOTTOM, end: TOP, log: true };
    for tick in [0.1, 1.0, 10.0, 100.0] {
        svg.line("grid", LEFT, y.at(tick), RIGHT, y.at(tick));
        svg.label("tick", LEFT - 4.0, y.at(tick) + 4.0, Anchor::End, &format!("{tick}"));
    }
    for (day, year) in new_years(from, to, 4) {
        svg.line("mark", x.at(day), BOTTOM, x.at(day), BOTTOM + 3.0);
        let anchor = if x.at(day) > RIGHT - 14.0 { Anchor::End } else { Anchor::Middle };
        svg.label("tick", x.at(day), BOTTOM + 16.0, anchor, &year.to_string());
    }
    let step = |f: &dyn Fn(&Spread) -> f64| -> Vec<(f64, f64)> {
        let periods = area.by_period.iter().enumerate();
        periods
            .flat_map(|(t, s)| {
                let v = y.at(of_100(f(s)));
                [(x.at(edges[t]), v), (x.at(edges[t + 1]), v)]
            })
            .collect()
    };
    let mut band = step(&Spread::q95);
    band.extend(step(&Spread::q05).into_iter().rev());
    svg.through("band90", &band, true);
    svg.through("middle", &step(&Spread::median), false);
    for (k, (day, host)) in operations(analysis, zone, 2).into_iter().enumerate() {
        let at = x.at(day);
        svg.line("operation", at, TOP - 4.0, at, BOTTOM);
        let anchor = if at > 0.5 * WIDTH { Anchor::End } else { Anchor::Start };
        let text = format!("{host}s, {}", words::year_month(day));
        svg.label("operation-name", at, 8.0 + 9.0 * k as f64, anchor, &text);
    }
    svg.finish()
}

/// Probability of freedom with its range against the target.
pub(crate) fn free(zone: usize, name: &str, p: f64, bounds: [f64; 2], target: f64) -> String {
    let (w, y) = (170.0, 12.0);
    let said = format!(
        "{} of 100 ({} to {}); the target is {}.",
        words::per_cent(p),
        words::per_cent(bounds[0]),
        words::per_cent(bounds[1]),
        words::given(target)
    );
    let title = format!("Chance that no focus is left in {name}");
    let mut svg = Svg::new(&format!("free{zone}"), "chart free", w, 34.0, &title, &said);
    let x = Scale { from: 0.0, to: 1.0, start: 6.0, end: w - 6.0, log: false };
    svg.rect("track", x.at(0.0), y - 3.0, x.at(1.0) - x.at(0.0), 6.0);
    svg.rect("range", x.at(bounds[0]), y - 3.0, x.at(bounds[1]) - x.at(bounds[0]), 6.0);
    svg.line("target", x.at(target), y - 9.0, x.at(target), y + 9.0);
    svg.disc("estimate", x.at(p), y, 5.0);
    svg.label("tick", x.at(0.0), 32.0, Anchor::Start, "0");
    svg.label("tick", x.at(1.0), 32.0, Anchor::End, &format!("{} asked", words::given(target)));
    svg.finish()
}
