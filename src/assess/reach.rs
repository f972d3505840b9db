//! Where records say anything at all: cells that the range of some pig reaches.

use crate::geography::layout::Layout;

/// For each cell, whether some pig was killed within the study's local radius of its centre, or in it.
///
/// Elsewhere a figure is little more than the assumption the run began with. Such land is never called
/// active, counts for no active area, and no operation is chosen for it. Three kilometres, the default
/// radius, is about the 95 % radius of a boar's displacement between two days of its life
/// (2.4477 · √2 · 0.9 km).
pub(crate) fn reached(layout: &Layout) -> Vec<bool> {
    let grid = &layout.grid;
    let radius = layout.study.recent.local_radius_m;
    let mut near = vec![false; grid.cells()];
    let index = |v: f64, n: usize| (v.floor().max(0.0) as usize).min(n - 1);
    for pig in &layout.records.pigs {
        let (x, y) = (pig.easting_m - grid.west_m, pig.northing_m - grid.south_m);
        let rows =
            index((y - radius) / grid.cell_m, grid.rows)..=index((y + radius) / grid.cell_m, grid.rows);
        for r in rows {
            for c in
                index((x - radius) / grid.cell_m, grid.cols)..=index((x + radius) / grid.cell_m, grid.cols)
            {
                let cell = grid.cell(r, c);
                let centre = grid.centre(cell);
                near[cell] |= (centre.x - pig.easting_m).hypot(centre.y - pig.northing_m) <= radius;
            }
        }
        if let Some(cell) = grid.cell_of(pig.easting_m, pig.northing_m) {
            near[cell] = true;
        }
    }
    near
}
