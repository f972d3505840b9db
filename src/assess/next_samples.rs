//! Where the next pigs should come from: greedy choice of cells by what each pig would add.

use crate::assess::focus_view::{DayWindow, FocusView, box_sum, half_patch};
use crate::geography::area_shares::cell_shares;
use crate::geography::grid::Grid;
use crate::geography::layout::Layout;
use crate::kernel::detection::protocol;
use crate::kernel::exposure::lives;
use crate::kernel::home_range::{axis_mass, displacement_sd_m};
use crate::records::{Age, CIRCLE_95, DateSpan, Inspection, NodePair, Pig, Reading, Sex, Source};
use geo::{ConvexHull, Coord, MultiPoint, MultiPolygon, Point};
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// A pig not yet shot, and what it would show of foci about it, by offset from the cell it is shot in.
///
/// It is shot on `as_of` at the study's present knowledge: sex unknown, age exact, gross inspection on all
/// three node pairs and no laboratory, a fix as good as the study's default.
///
/// # Assumes
/// The time before natal dispersal is left out: where it was spent is not a choice.
#[derive(Debug, Clone)]
pub struct NextPig {
    /// Age, months.
    pub age_months: f64,
    /// Rows and columns from the cell.
    offsets: Vec<(isize, isize)>,
    /// ln of the probability to miss the focus: `[window][offset]`.
    log_missed: Vec<Vec<f64>>,
}

impl NextPig {
    /// A pig of an age, against a focus present in each of some windows.
    pub fn new(layout: &Layout, age_months: f64, windows: &[DayWindow]) -> NextPig {
        let (study, grid) = (&layout.study, &layout.grid);
        let pig = NextPig::record(layout, age_months, Coord { x: 0.0, y: 0.0 });
        // The age is known: weights of age classes do not come into it.
        let lives = lives(&pig, study, grid, &[0.2; 5]);
        let sd = displacement_sd_m(&study.home_range, pig.sex, pig.position_sd_m);
        let half = half_patch(grid, study);
        let reach = (crate::kernel::home_range::CUT_SD * sd / grid.cell_m + 0.5 + half).ceil() as usize;
        let n = 2 * reach + 1;
        let axis = axis_mass(0.0, sd, -(n as f64) * 0.5 * grid.cell_m, grid.cell_m, n);
        let (mut line, mut strip) = (vec![0.0; n], vec![0.0; n]);
        line[axis.start..axis.start + axis.mass.len()].copy_from_slice(&axis.mass);
        box_sum(&line, half, &mut strip);
        let mut offsets = Vec::new();
        let mut near = Vec::new();
        for (r, a) in strip.iter().enumerate() {
            for (c, b) in strip.iter().enumerate().filter(|(_, b)| a * **b > 1e-4) {
                offsets.push((r as isize - reach as isize, c as isize - reach as isize));
                near.push(a * b);
            }
        }
        let se = protocol(&study.detection, &pig.inspection).sensitivity;
        let hazard = study.coverage.design_force_of_infection;
        let log_missed = windows
            .iter()
            .map(|w| {
                let seen = FocusView::new(*w, &lives);
                near.iter().map(|p| (-se * seen.infected_and_visible(hazard, *p, 0.0)).ln_1p()).collect()
            })
            .collect();
        NextPig { age_months, offsets, log_missed }
    }

    /// The record such a pig would make, shot at a place.
    pub fn record(layout: &Layout, age_months: f64, at: Coord<f64>) -> Pig {
        let inspection = Inspection {
            node_pairs: Some(vec![NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal]),
            gross_lesion: Some(false),
            ..Inspection::default()
        };
        Pig {
            id: "next".into(),
            source: Source { file: "next".into(), row: 0 },
            easting_m: at.x,
            northing_m: at.y,
            position_sd_m: layout.study.detection.position_radius_m / CIRCLE_95,
            sex: Sex::Unknown,
            killed: DateSpan::day(layout.as_of),
            age: Age::Interval { min_months: age_months, max_months: age_months },
            released_on: None,
            inspection,
            reading: Reading::Clear,
        }
    }

    /// Sensitivity of this pig for a focus about its own cell, in one of the windows.
    pub fn sensitivity(&self, window: usize) -> f64 {
        -self.log_missed[window].iter().copied().fold(0.0, f64::min).exp_m1()
    }

    /// Cells a pig shot in `cell` supports, with the offset's number.
    fn touched<'a>(&'a self, grid: &'a Grid, cell: usize) -> impl Iterator<Item = (usize, usize)> + 'a {
        let (row, col) = grid.row_col(cell);
        self.offsets.iter().enumerate().filter_map(move |(k, (dr, dc))| {
            let (r, c) = (row.checked_add_signed(*dr)?, col.checked_add_signed(*dc)?);
            (r < grid.rows && c < grid.cols).then(|| (grid.cell(r, c), k))
        })
    }
}

/// The land to be judged, as shares of cells, and what it is: the areas; without areas the land cover,
/// the blocks, or the hull of the kill places, whichever the study has first.
pub fn judged_land(layout: &Layout) -> (Vec<f64>, &'static str) {
    let (records, grid) = (&layout.records, &layout.grid);
    let union = |shares: &mut dyn Iterator<Item = Vec<f64>>| {
        let mut all = vec![0.0f64; grid.cells()];
        // Areas may overlap: no cell counts more than once.
        shares.for_each(|s| all.iter_mut().zip(&s).for_each(|(a, b)| *a = (*a + b).min(1.0)));
        all
    };
    if !records.zones.is_empty() {
        return (union(&mut layout.zone_shares.iter().cloned()), "the areas");
    }
    let boundaries =
        |list: Vec<&MultiPolygon<f64>>| union(&mut list.into_iter().map(|o| cell_shares(grid, o)));
    if !records.cover.is_empty() {
        return (boundaries(records.cover.iter().map(|c| &c.boundary).collect()), "the land cover");
    }
    if !records.blocks.is_empty() {
        return (boundaries(records.blocks.iter().map(|b| &b.boundary).collect()), "the blocks");
    }
    let places: MultiPoint<f64> =
        records.pigs.iter().map(|p| Point::new(p.easting_m, p.northing_m)).collect();
    (cell_shares(grid, &MultiPolygon(vec![places.convex_hull()])), "the land between the kill places")
}

/// What pigs are placed for.
#[derive(Debug, Clone, PartialEq)]
pub enum SampleAim {
    /// Detection sensitivity, averaged over the land.
    Coverage,
    /// Standing settled: the uncertainty of 'active or not' taken away, given p_active of each cell.
    Standing(Vec<f64>),
}

/// One place for one more pig.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct SampleSpot {
    /// Cell.
    pub cell: usize,
    /// What this pig adds, given those before it, in hectares: of land looked at (area × sensitivity), or of
    /// settled standing (fall of the expected variance of 'active or not', times area).
    pub gain_ha: f64,
    /// Mean sensitivity over the land with this pig and those before it.
    pub mean_sensitivity: f64,
    /// Land at the target with this pig and those before it, hectares.
    pub at_target_ha: f64,
}

/// Chooses places for more pigs one by one, each where it adds most.
///
/// # Formula
/// ```text
/// coverage: Σ_j a_j (1 − m_j)      standing: Σ_j a_j p_j (1 − p_j)² s_j / (1 − p_j s_j),  s_j = 1 − m_j/m⁰_j
/// ```
/// a land area of cell j, m the probability that all pigs missed a design focus about it (m⁰ by those
/// already examined), p its p_active; the second is the expected fall of the variance of 'active or
/// not', when an active cell is found with probability s.
/// # Shapes and units
/// `sensitivity`: of the study's window so far, a value a cell; `land`: share of each cell; `reachable`:
/// cells where a pig can be had; `next`: made with that window as its first.
/// # Source
/// Greedy choice is within 1 − 1/e of the best for coverage, which is submodular (Nemhauser, Wolsey &
/// Fisher 1978, Math Program 14:265-294); the second aim is very nearly so.
pub fn next_spots(
    layout: &Layout,
    sensitivity: &[f64],
    land: &[f64],
    reachable: &[bool],
    next: &NextPig,
    pigs: usize,
    aim: &SampleAim,
) -> Vec<SampleSpot> {
    let grid = &layout.grid;
    let ha: Vec<f64> = land.iter().map(|s| s * grid.cell_area_ha()).collect();
    let total: f64 = ha.iter().sum();
    let target = layout.study.coverage.target;
    let candidates: Vec<usize> = (0..grid.cells()).filter(|c| reachable[*c]).collect();
    let mut state = Looking {
        grid,
        next,
        ha,
        before: sensitivity.iter().map(|s| 1.0 - s).collect(),
        missed: vec![],
        aim,
    };
    state.missed.clone_from(&state.before);
    let mut spots: Vec<SampleSpot> = Vec::new();
    let mut take = |state: &mut Looking, cell: usize, gain: f64| {
        for (j, k) in next.touched(grid, cell) {
            state.missed[j] *= next.log_missed[0][k].exp();
        }
        let looked: f64 = state.ha.iter().zip(&state.missed).map(|(a, m)| a * (1.0 - m)).sum();
        let reached = state
            .ha
            .iter()
            .zip(&state.missed)
            .filter(|(_, m)| 1.0 - **m >= target)
            .map(|(a, _)| a)
            .sum::<f64>()
            + 0.0;
        let mean = if total > 0.0 { looked / total } else { 0.0 };
        spots.push(SampleSpot { cell, gain_ha: gain, mean_sensitivity: mean, at_target_ha: reached });
        spots.len() < pigs
    };
    if *aim == SampleAim::Coverage {
        lazy_greedy(&mut state, &candidates, &|s, c| s.gain(c), &mut take);
    } else {
        plain_greedy(&mut state, &candidates, &|s, c| s.gain(c), &mut take);
    }
    spots
}

struct Looking<'a> {
    grid: &'a Grid,
    next: &'a NextPig,
    ha: Vec<f64>,
    before: Vec<f64>,
    missed: Vec<f64>,
    aim: &'a SampleAim,
}

impl Looking<'_> {
    fn gain(&self, cell: usize) -> f64 {
        let touched = self.next.touched(self.grid, cell).filter(|(j, _)| self.ha[*j] > 0.0);
        touched
            .map(|(j, k)| {
                let after = self.missed[j] * self.next.log_missed[0][k].exp();
                match self.aim {
                    SampleAim::Coverage => self.ha[j] * (self.missed[j] - after),
                    SampleAim::Standing(p) => {
                        let before = self.before[j].max(f64::MIN_POSITIVE);
                        let settled = |missed: f64| settled(p[j], 1.0 - missed / before);
                        self.ha[j] * (settled(after) - settled(self.missed[j]))
                    }
                }
            })
            .sum()
    }
}

/// Expected fall of the variance of 'active or not' when an active cell would be found with probability s.
///
/// ```
/// use pignut::internals::assess::next_samples::settled;
/// assert_eq!(settled(0.5, 1.0), 0.25); // a perfect look takes all of the variance away
/// assert_eq!(settled(0.3, 0.0), 0.0);
/// ```
pub fn settled(p_active: f64, s: f64) -> f64 {
    let left = 1.0 - p_active * s;
    if left > 0.0 { p_active * (1.0 - p_active).powi(2) * s / left } else { 0.0 }
}

/// Pigs needed to bring every one of some cells to a sensitivity, placed greedily among them.
///
/// Each pig goes where it takes away most of what is missing, Σ_j min(missing_j, l_j) in units of
/// −ln(1 − Se). `None` when it would take more than `most`.
pub fn pigs_to_target(
    grid: &Grid,
    next: &NextPig,
    cells: &[usize],
    sensitivity: &[f64],
    target: f64,
    most: usize,
) -> Option<usize> {
    let goal = -(-target).ln_1p();
    let mut missing = vec![0.0; grid.cells()];
    for c in cells {
        missing[*c] = (goal + (-sensitivity[*c].min(1.0 - 1e-15)).ln_1p()).max(0.0);
    }
    let mut left: f64 = missing.iter().sum();
    if left <= 0.0 {
        return Some(0);
    }
    let mut pigs = 0;
    let gain = |missing: &Vec<f64>, cell: usize| -> f64 {
        next.touched(grid, cell).map(|(j, k)| missing[j].min(-next.log_missed[0][k])).sum()
    };
    lazy_greedy(&mut missing, cells, &gain, &mut |missing, cell, _| {
        for (j, k) in next.touched(grid, cell) {
            missing[j] = (missing[j] + next.log_missed[0][k]).max(0.0);
        }
        left = cells.iter().map(|c| missing[*c]).sum();
        pigs += 1;
        left > 1e-9 && pigs <= most
    });
    (left <= 1e-9 && pigs <= most).then_some(pigs)
}

/// Places pigs one by one until `enough` says so, each where it takes away most of Σ_j v_j; the cells
/// taken, in order.
///
/// # Shapes and units
/// `value` v: what is still unseen, by cell; a pig multiplies it by its chance to miss a focus there through
/// all windows. `enough` is given ln of the chance that the pigs placed missed, `[window][cell]`, and their
/// number.
pub(crate) fn place_until(
    grid: &Grid,
    next: &NextPig,
    value: Vec<f64>,
    enough: &mut dyn FnMut(&[Vec<f64>], usize) -> bool,
) -> Vec<usize> {
    let cells: Vec<usize> = (0..grid.cells()).filter(|c| value[*c] > 0.0).collect();
    let all: Vec<f64> = (0..next.offsets.len()).map(|k| next.log_missed.iter().map(|l| l[k]).sum()).collect();
    let found: Vec<f64> = all.iter().map(|l| -l.exp_m1()).collect();
    let mut added = vec![vec![0.0; grid.cells()]; next.log_missed.len()];
    let mut taken = Vec::new();
    let mut value = value;
    let gain = |value: &Vec<f64>, cell: usize| -> f64 {
        next.touched(grid, cell).map(|(j, k)| value[j] * found[k]).sum()
    };
    lazy_greedy(&mut value, &cells, &gain, &mut |value, cell, _| {
        for (j, k) in next.touched(grid, cell) {
            value[j] *= 1.0 - found[k];
            added.iter_mut().zip(&next.log_missed).for_each(|(a, l)| a[j] += l[k]);
        }
        taken.push(cell);
        !enough(&added, taken.len())
    });
    taken
}

#[derive(PartialEq)]
struct Bound(f64, Reverse<usize>);

impl Eq for Bound {}
impl Ord for Bound {
    fn cmp(&self, other: &Bound) -> Ordering {
        self.0.total_cmp(&other.0).then(self.1.cmp(&other.1))
    }
}
impl PartialOrd for Bound {
    fn partial_cmp(&self, other: &Bound) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Takes the candidate of most gain again and again, until `take` says no or nothing is gained.
///
/// Gains only fall as others are taken (submodularity): an old gain bounds the new one, and most need no
/// second look. Ties go to the first candidate.
fn lazy_greedy<S>(
    state: &mut S,
    candidates: &[usize],
    gain: &dyn Fn(&S, usize) -> f64,
    take: &mut dyn FnMut(&mut S, usize, f64) -> bool,
) {
    let mut heap: BinaryHeap<Bound> =
        candidates.iter().map(|c| Bound(gain(state, *c), Reverse(*c))).collect();
    while let Some(Bound(_, Reverse(cell))) = heap.pop() {
        let now = Bound(gain(state, cell), Reverse(cell));
        if heap.peek().is_some_and(|next| *next > now) {
            heap.push(now);
            continue;
        }
        if now.0 <= 0.0 || !take(state, cell, now.0) {
            return;
        }
        heap.push(now);
    }
}

/// As [`lazy_greedy`], looking at every candidate every time.
fn plain_greedy<S>(
    state: &mut S,
    candidates: &[usize],
    gain: &dyn Fn(&S, usize) -> f64,
    take: &mut dyn FnMut(&mut S, usize, f64) -> bool,
) {
    while let Some(Bound(best, Reverse(cell))) =
        candidates.iter().map(|c| Bound(gain(state, *c), Reverse(*c))).max()
    {
        if best <= 0.0 || !take(state, cell, best) {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Take<'a> = &'a mut dyn FnMut(&mut Vec<f64>, usize, f64) -> bool;

    /// Lazy and plain choice agree on a coverage of points by intervals.
    #[test]
    fn lazy_choice_is_the_plain_choice() {
        let weight = |j: usize| ((j * 37) % 11 + 1) as f64;
        let gain = |covered: &Vec<f64>, c: usize| -> f64 {
            (c..(c + 7).min(60)).map(|j| weight(j) * covered[j] * (0.3 + 0.02 * (c % 5) as f64)).sum()
        };
        let pick = |greedy: &dyn Fn(&mut Vec<f64>, Take)| {
            let mut taken = Vec::new();
            greedy(&mut vec![1.0; 60], &mut |covered, c, g| {
                (c..(c + 7).min(60)).for_each(|j| covered[j] *= 0.7 - 0.02 * (c % 5) as f64);
                taken.push((c, g.to_bits()));
                taken.len() < 25
            });
            taken
        };
        let candidates: Vec<usize> = (0..60).collect();
        let lazy = pick(&|s, take| lazy_greedy(s, &candidates, &gain, take));
        let plain = pick(&|s, take| plain_greedy(s, &candidates, &gain, take));
        assert_eq!(lazy, plain);
        assert_eq!(lazy.len(), 25);
    }
}
