//! Gaps: land where a design focus could have been missed, and the pigs that would close each.

use crate::assess::coverage::{CellCoverage, study_window};
use crate::assess::next_samples::{NextPig, judged_land, pigs_to_target};
use crate::geography::layout::Layout;
use rayon::prelude::*;

/// Land of one gap under which it is not listed, cells: slivers along an boundary are nobody's gap.
const LEAST_CELLS: f64 = 0.5;

/// One piece of land below the coverage target.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Index among the zones; `None` where the study has none.
    pub zone: Option<usize>,
    /// Sensitivity all of its cells lie below: the study's target, or half of it, where hardly anybody
    /// looked.
    pub below: f64,
    /// Cells that touch one another along a side.
    pub cells: Vec<usize>,
    /// Land in it, hectares.
    pub area_ha: f64,
    /// Mean sensitivity over its land.
    pub sensitivity: f64,
    /// Lowest sensitivity among its cells.
    pub sensitivity_lowest: f64,
    /// Pigs with no visible lesion of [`Gap::age_months`] that would bring all of it to the target; `None`:
    /// more than the study's most.
    pub pigs_needed: Option<usize>,
    /// Age of those pigs, months.
    pub age_months: f64,
    /// Pig-years lived there by examined pigs.
    pub exposure_pig_years: f64,
}

/// Gaps of every area (of the judged land where there are no areas): first those below the target, then
/// within them those below half of it, each the largest first.
///
/// Pigs needed are placed greedily within the gap, each shot on `as_of`; cells that lie at least half
/// in the area must all reach the target.
pub fn gaps(layout: &Layout, coverage: &CellCoverage) -> Vec<Gap> {
    let target = layout.study.coverage.target;
    let next = NextPig::new(layout, layout.study.sampling.age_months, &[study_window(layout)]);
    let whole;
    let lands: Vec<(Option<usize>, &[f64])> = if layout.records.zones.is_empty() {
        whole = judged_land(layout).0;
        vec![(None, &whole)]
    } else {
        layout.zone_shares.iter().enumerate().map(|(z, s)| (Some(z), s.as_slice())).collect()
    };
    let mut pieces = Vec::new();
    for below in [target, 0.5 * target] {
        for (zone, land) in &lands {
            let low = |c: usize| land[c] > 0.0 && coverage.sensitivity[c] < below;
            for cells in connected(layout.grid.rows, layout.grid.cols, &low) {
                if cells.iter().map(|c| land[*c]).sum::<f64>() >= LEAST_CELLS {
                    pieces.push((*zone, *land, below, cells));
                }
            }
        }
    }
    let mut out: Vec<Gap> = pieces
        .into_par_iter()
        .map(|(zone, land, below, cells)| {
            let area: f64 = cells.iter().map(|c| land[*c]).sum();
            let over = |v: &[f64]| cells.iter().map(|c| land[*c] * v[*c]).sum::<f64>();
            let mut must: Vec<usize> = cells.iter().copied().filter(|c| land[*c] >= 0.5).collect();
            if must.is_empty() {
                must.clone_from(&cells);
            }
            let most = layout.study.sampling.most_pigs;
            Gap {
                zone,
                below,
                area_ha: area * layout.grid.cell_area_ha(),
                sensitivity: over(&coverage.sensitivity) / area,
                sensitivity_lowest: cells.iter().map(|c| coverage.sensitivity[*c]).fold(1.0, f64::min),
                pigs_needed: pigs_to_target(&layout.grid, &next, &must, &coverage.sensitivity, target, most),
                age_months: next.age_months,
                exposure_pig_years: over(&coverage.exposure_pig_years),
                cells,
            }
        })
        .collect();
    out.sort_by(|a, b| {
        b.below.total_cmp(&a.below).then(b.area_ha.total_cmp(&a.area_ha)).then(a.cells.cmp(&b.cells))
    });
    out
}

/// Sets of cells for which `holds`, connected along sides; each sorted, in order of their first cells.
fn connected(rows: usize, cols: usize, holds: &dyn Fn(usize) -> bool) -> Vec<Vec<usize>> {
    let mut seen = vec![false; rows * cols];
    let mut out = Vec::new();
    for start in 0..rows * cols {
        if seen[start] || !holds(start) {
            continue;
        }
        seen[start] = true;
        let (mut stack, mut set) = (vec![start], Vec::new());
        while let Some(cell) = stack.pop() {
            set.push(cell);
            let (r, c) = (cell / cols, cell % cols);
            let mut visit = |next: usize| {
                if !seen[next] && holds(next) {
                    seen[next] = true;
                    stack.push(next);
                }
            };
            if r > 0 {
                visit(cell - cols);
            }
            if r + 1 < rows {
                visit(cell + cols);
            }
            if c > 0 {
                visit(cell - 1);
            }
            if c + 1 < cols {
                visit(cell + 1);
            }
        }
        set.sort_unstable();
        out.push(set);
    }
    out
}

#[cfg(test)]
mod tests {
    use crate::assess::gaps::connected;

    #[test]
    fn corners_do_not_connect() {
        // #.#
        // #.#
        // .#.
        let grid = [true, false, true, true, false, true, false, true, false];
        let sets = connected(3, 3, &|c| grid[c]);
        assert_eq!(sets, vec![vec![0, 3], vec![2, 5], vec![7]]);
    }
}
