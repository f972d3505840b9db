//! Small maps of the force of infection, every second year: how it came about.

use crate::pipeline::analysis::Analysis;
use crate::records::{date_of_day, day_number};
use crate::report::page::mesh::Mesh;
use crate::report::page::palette;
use crate::report::page::svg::{Anchor, Svg, at};
use geo::MapCoords;
use jiff::civil::date;
use std::fmt::Write;

/// Width and height of a map without its year, units.
const SIDE: f64 = 96.0;
/// Most squares of one map.
const SQUARES: usize = 2_500;
/// Most maps.
const MOST: usize = 6;

/// One map every second year, the last one that of the analysis date; none where there is one year only.
pub(crate) fn draw(analysis: &Analysis) -> Vec<String> {
    let grid = &analysis.layout.grid;
    let end = day_number(analysis.layout.as_of);
    let last = analysis.layout.as_of.year();
    let first = date_of_day(grid.period_edges[0]).year();
    let step = if last - first > 2 * MOST as i16 { (last - first) / MOST as i16 } else { 2 };
    let mut years: Vec<i16> =
        (0..MOST as i16).map(|k| last - k * step.max(1)).filter(|y| *y >= first).collect();
    years.reverse();
    if years.len() < 2 {
        return Vec::new();
    }
    let mesh = Mesh::new(analysis, SQUARES);
    years
        .into_iter()
        .map(|year| {
            let day = if year == last { end } else { day_number(date(year, 12, 31)) };
            one(analysis, &mesh, year, grid.period_of(day))
        })
        .collect()
}

fn one(analysis: &Analysis, mesh: &Mesh, year: i16, period: usize) -> String {
    let layout = &analysis.layout;
    let grid = &layout.grid;
    let (w_m, h_m) = (grid.cols as f64 * grid.cell_m, grid.rows as f64 * grid.cell_m);
    let scale = SIDE / w_m.max(h_m);
    let (w, h) = (w_m * scale, h_m * scale);
    let steps = palette::force_of_infection(&layout.study);
    let side = mesh.side_m(grid) * scale;
    let title = format!("Force of infection at the end of {year}");
    let about = "The darker, the more pigs would be infected; colours as on the map of the force of \
                 infection. Blank: no pig was killed near.";
    let mut svg = Svg::new(&format!("small{year}"), "small", w, h + 15.0, &title, about);
    let step_of = |square: usize| {
        let (r, c) = grid.row_col(mesh.shown[square]);
        let median = analysis.assessment.hazard[grid.at(r, period, c)].q[3];
        (!mesh.blank[square]).then(|| steps.step(median))
    };
    // Each step covers all that is as high or higher: fewer edges than square by square.
    for (k, colour) in steps.colours.iter().enumerate() {
        let mut d = String::new();
        for r in 0..mesh.rows {
            let mut c = 0;
            while c < mesh.cols {
                let wanted = |c: &usize| step_of(r * mesh.cols + c).is_some_and(|s| s >= k);
                let run = (c..mesh.cols).take_while(wanted).count();
                if run > 0 {
                    let (x0, x1) = (c as f64 * side, ((c + run) as f64 * side).min(w));
                    let (y0, y1) = ((h - (r + 1) as f64 * side).max(0.0), h - r as f64 * side);
                    let _ = write!(d, "M{} {}H{}V{}H{}Z", at(x0), at(y0), at(x1), at(y1), at(x0));
                }
                c += run.max(1);
            }
        }
        if !d.is_empty() {
            svg.filled_path(colour, &d);
        }
    }
    for zone in &layout.records.zones {
        let placed = zone.boundary.map_coords(|c| geo::Coord {
            x: (c.x - grid.west_m) * scale,
            y: h - (c.y - grid.south_m) * scale,
        });
        for polygon in &placed.0 {
            let ring = geo::Simplify::simplify(polygon.exterior(), 0.4);
            let points: Vec<(f64, f64)> = ring.0.iter().map(|c| (c.x, c.y)).collect();
            svg.through("edge", &points, true);
        }
    }
    svg.label("tick", w / 2.0, h + 12.0, Anchor::Middle, &year.to_string());
    svg.finish()
}
