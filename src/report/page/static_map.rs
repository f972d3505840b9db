//! The map as a still drawing: for print, and for a reader without script.

use crate::assess::area_coverage::standing_number;
use crate::assess::cells::Standing;
use crate::pipeline::analysis::Analysis;
use crate::report::page::mesh::Mesh;
use crate::report::page::palette;
use crate::report::page::palette::ColourSteps;
use crate::report::page::svg::{Anchor, Svg, at};
use crate::report::sentences::{drawings, verdicts};
use geo::MultiPolygon;
use std::fmt::Write;

/// Which figure a still map shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Figure {
    /// Probability of being active.
    Chance,
    /// Standing.
    Standing,
    /// Surveillance sensitivity.
    Coverage,
    /// How often each block is in the best set.
    Blocks,
}

/// Width of the drawing, units.
const WIDTH: f64 = 640.0;

/// Draws one figure with areas, blocks and positives.
pub(crate) fn draw(analysis: &Analysis, mesh: &Mesh, figure: Figure, id: &str) -> String {
    let layout = &analysis.layout;
    let (grid, records) = (&layout.grid, &layout.records);
    let (w_m, h_m) = (grid.cols as f64 * grid.cell_m, grid.rows as f64 * grid.cell_m);
    // As wide as the page and no taller than three quarters of a sheet.
    let scale = (WIDTH / w_m).min(600.0 / h_m);
    let (w, h) = (w_m * scale, h_m * scale);
    let map = match figure {
        Figure::Chance => &drawings::ACTIVE,
        Figure::Standing => &drawings::STANDING,
        Figure::Coverage => &drawings::COVERAGE,
        Figure::Blocks => &drawings::BLOCKS,
    };
    let description = drawings::still_map(analysis, map);
    let mut svg = Svg::new(id, "still", w, h + 34.0, map.title, &description);
    let hatch = svg.hatch();
    let cells = &analysis.assessment.cells;
    let steps = match figure {
        Figure::Chance => palette::p_active(),
        Figure::Coverage => palette::coverage(&layout.study),
        Figure::Blocks => ColourSteps { colours: vec![], edges: vec![] },
        Figure::Standing => ColourSteps { colours: palette::STANDING.to_vec(), edges: vec![] },
    };
    // One step more than the figure has: blank, where no record lies near.
    let blank = steps.colours.len();
    let step_of = |square: usize| {
        if mesh.blank[square] && !matches!(figure, Figure::Coverage | Figure::Blocks) {
            return blank;
        }
        let c = &cells[mesh.shown[square]];
        match figure {
            Figure::Chance => steps.step(c.p_active),
            Figure::Coverage => steps.step(c.surveillance_sensitivity),
            Figure::Standing => standing_number(c.standing),
            Figure::Blocks => blank + 1,
        }
    };
    let side = mesh.side_m(grid) * scale;
    // The squares that answer yes, row by row in runs, as one path.
    let cover = |wanted: &dyn Fn(usize) -> bool| {
        let mut d = String::new();
        for r in 0..mesh.rows {
            let mut c = 0;
            while c < mesh.cols {
                let run = (c..mesh.cols).take_while(|c| wanted(r * mesh.cols + c)).count();
                if run > 0 {
                    let (x0, x1) = (c as f64 * side, ((c + run) as f64 * side).min(w));
                    let (y0, y1) = ((h - (r + 1) as f64 * side).max(0.0), h - r as f64 * side);
                    let _ = write!(d, "M{} {}H{}V{}H{}Z", at(x0), at(y0), at(x1), at(y1), at(x0));
                }
                c += run.max(1);
            }
        }
        d
    };
    let dotted = svg.dots();
    for (k, colour) in steps.colours.iter().copied().chain([dotted.as_str()]).enumerate() {
        let d = cover(&|square| step_of(square) == k);
        svg.filled_path(colour, &d);
    }
    if !matches!(figure, Figure::Coverage | Figure::Blocks) {
        let unseen =
            |square: usize| !mesh.blank[square] && cells[mesh.shown[square]].standing == Standing::Unseen;
        svg.filled_path(&hatch, &cover(&unseen));
    }
    let place = |x: f64, y: f64| ((x - grid.west_m) * scale, h - (y - grid.south_m) * scale);
    if figure == Figure::Blocks {
        let best = palette::in_best();
        for (block, p) in records.blocks.iter().zip(crate::report::page::chosen::by_block(analysis)) {
            let fill = p.best.map_or(hatch.as_str(), |p| best.colours[best.step(p)]);
            svg.filled_path(fill, &rings(&block.boundary, &place));
        }
    }
    let mut boundary = |class: &str, polygons: &MultiPolygon<f64>| {
        for polygon in &polygons.0 {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                let points: Vec<(f64, f64)> = ring.0.iter().map(|c| place(c.x, c.y)).collect();
                svg.through(class, &points, true);
            }
        }
    };
    records.blocks.iter().for_each(|b| boundary("block", &b.boundary));
    if figure == Figure::Blocks {
        let picked = records
            .blocks
            .iter()
            .zip(crate::report::page::chosen::by_block(analysis))
            .filter(|(_, p)| !p.chosen.is_empty());
        picked.for_each(|(b, _)| boundary("chosen", &b.boundary));
    }
    records.zones.iter().for_each(|z| boundary("zone", &z.boundary));
    for p in &analysis.assessment.positives {
        let pig = &records.pigs[p.pig];
        let (x, y) = place(pig.easting_m, pig.northing_m);
        // As on the map that moves: gold where it was infected here lately, larger where surer.
        let recent = p.p_local >= crate::report::page::status::LEAST_SUPPORT;
        let (class, r) = if recent { ("now", 3.4 + 3.6 * p.p_local.sqrt()) } else { ("earlier", 2.6) };
        svg.diamond(class, x, y, r);
    }
    for (i, zone) in records.zones.iter().enumerate() {
        if let Some((x, y)) = label_place(&zone.boundary).map(|c| place(c.0, c.1)) {
            svg.label("halo", x, y, Anchor::Middle, &zone.name);
            svg.label("name", x, y, Anchor::Middle, &zone.name);
            if figure == Figure::Chance {
                let said = verdicts::on_the_map(analysis, i);
                svg.label("halo", x, y + 14.0, Anchor::Middle, &said);
                svg.label("tick", x, y + 14.0, Anchor::Middle, &said);
            }
        }
    }
    svg.rect("edge", 0.5, 0.5, w - 1.0, h - 1.0);
    scale_bar(&mut svg, scale, h);
    svg.finish()
}

/// All rings of a boundary as one path.
fn rings(boundary: &MultiPolygon<f64>, place: &dyn Fn(f64, f64) -> (f64, f64)) -> String {
    let rings = boundary.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    rings
        .map(|ring| {
            let points: Vec<(f64, f64)> = ring.0.iter().map(|c| place(c.x, c.y)).collect();
            crate::report::page::svg::path_through(&points, true)
        })
        .collect()
}

/// Where an area's name stands: its largest part's centre.
pub(crate) fn label_place(boundary: &MultiPolygon<f64>) -> Option<(f64, f64)> {
    use geo::{Area, InteriorPoint};
    let largest = boundary.0.iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    largest.interior_point().map(|p| (p.x(), p.y()))
}

fn scale_bar(svg: &mut Svg, scale: f64, h: f64) {
    let longest_m = 160.0 / scale;
    let power = 10f64.powf(longest_m.log10().floor());
    let length_m = [5.0, 2.0, 1.0].into_iter().map(|m| m * power).find(|l| *l <= longest_m).unwrap_or(power);
    let label =
        if length_m >= 1000.0 { format!("{} km", length_m / 1000.0) } else { format!("{length_m} m") };
    svg.rect("bar", 2.0, h + 8.0, length_m * scale, 4.0);
    svg.label("tick", 2.0, h + 26.0, Anchor::Start, &label);
    svg.label("tick", length_m * scale + 16.0, h + 14.0, Anchor::Start, "grid north up");
}
