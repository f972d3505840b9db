//! Figures of each cell: resident hazard, activity, infection window, standing.

use crate::assess::attribution::Attributed;
use crate::assess::coverage::CellCoverage;
use crate::assess::spread::{Spread, day_quantile};
use crate::geography::grid::Grid;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::home_range::axis_mass;
use crate::study::study_file::Study;
use rayon::prelude::*;
use serde::Serialize;

/// What can be said of a cell, in this order of precedence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// p_active at least 0.5.
    Active,
    /// p_active 0.1 to 0.5, and somebody has looked.
    Possible,
    /// p_active below 0.1, and looked at hard enough.
    Quiet,
    /// Below 0.5 and not looked at: p_active there is the prior's, not the data's.
    Unseen,
}

impl Standing {
    /// Standing from the probability of activity and the sensitivity reached.
    ///
    /// # Example
    /// ```
    /// use pignut::internals::assess::cells::Standing;
    /// assert_eq!(Standing::of(0.02, 0.96, 0.95), Standing::Quiet);
    /// assert_eq!(Standing::of(0.02, 0.40, 0.95), Standing::Unseen);
    /// assert_eq!(Standing::of(0.5, 0.99, 0.95), Standing::Active);
    /// assert_eq!(Standing::of(0.2, 0.30, 0.95), Standing::Possible);
    /// assert_eq!(Standing::of(0.2, 0.01, 0.95), Standing::Unseen);
    /// ```
    pub fn of(p_active: f64, sensitivity: f64, target: f64) -> Standing {
        match p_active {
            p if p >= 0.5 => Standing::Active,
            p if p >= 0.1 && sensitivity >= LEAST_LOOKED => Standing::Possible,
            _ if sensitivity >= target => Standing::Quiet,
            _ => Standing::Unseen,
        }
    }
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Active => "active",
            Standing::Possible => "possible",
            Standing::Quiet => "quiet",
            Standing::Unseen => "unseen",
        }
    }
}

/// Sensitivity under which a cell counts as not looked at: with the default prior, p_active is about
/// 0.14 where there are no pigs at all, and `possible` would be said of the open sea.
pub(crate) const LEAST_LOOKED: f64 = 0.1;

/// Figures of one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct CellFigures {
    /// Resident hazard, mean over the recent months, per pig-year.
    pub hazard: Spread,
    /// Probability that it exceeds the threshold.
    pub p_active: f64,
    /// Pig-years lived in the cell within the coverage window by examined pigs.
    pub exposure_pig_years: f64,
    /// Probability that a design focus about the cell would have been seen.
    pub surveillance_sensitivity: f64,
    /// Expected number of positives infected in the cell.
    pub expected_infections: f64,
    /// Day numbers of the 5, 50 and 95 % points of those infections' times; absent where
    /// fewer than [`LEAST_EXPECTED`] infections are expected.
    pub window: Option<[f64; 3]>,
    /// Standing.
    pub standing: Standing,
}

/// Expected infections under which a cell's infection window is not stated: it would be a statement
/// about nobody in particular.
pub(crate) const LEAST_EXPECTED: f64 = 0.05;

/// Resident hazard of every cell, mean of the recent months, sample by sample.
///
/// # Formula
/// ```text
/// r(c) = Σ_c' k(c, c') Σ_t a_t λ(c', t) / Σ_c' k(c, c')
/// ```
/// k the normal of `resident_sigma_m` about the cell's centre, a_t the recent months' weights; at the
/// grid's edge the mean is over what lies on the grid.
/// # Shapes and units
/// samples × cells, per pig-year.
pub fn resident_samples(layout: &Layout, posterior: &Posterior) -> Vec<Vec<f32>> {
    let grid = &layout.grid;
    let smooth = Smoother::new(grid, &layout.study);
    let weights = layout.recent_weights();
    posterior.hazard.par_iter().map(|field| smooth.apply(&recent_mean(grid, field, &weights))).collect()
}

/// Weighted mean over periods of a field.
pub fn recent_mean(grid: &Grid, field: &[f32], weights: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; grid.cells()];
    for row in 0..grid.rows {
        for (t, w) in weights.iter().enumerate().filter(|(_, w)| **w != 0.0) {
            let at = grid.at(row, t, 0);
            let line = &field[at..at + grid.cols];
            for (o, v) in out[row * grid.cols..].iter_mut().zip(line) {
                *o += w * f64::from(*v);
            }
        }
    }
    out
}

/// The resident's range as a smoother of fields over cells.
pub struct Smoother {
    rows: Vec<(usize, Vec<f64>)>,
    cols: Vec<(usize, Vec<f64>)>,
}

impl Smoother {
    /// For a grid and the study's `resident_sigma_m`.
    pub fn new(grid: &Grid, study: &Study) -> Smoother {
        let axis = |n: usize| {
            (0..n)
                .map(|i| {
                    let m = axis_mass(
                        (i as f64 + 0.5) * grid.cell_m,
                        study.home_range.resident_sigma_m,
                        0.0,
                        grid.cell_m,
                        n,
                    );
                    let on_grid = 1.0 - m.off_grid;
                    (m.start, m.mass.iter().map(|v| v / on_grid).collect())
                })
                .collect()
        };
        Smoother { rows: axis(grid.rows), cols: axis(grid.cols) }
    }
    /// Smooths one field over cells.
    pub fn apply(&self, field: &[f64]) -> Vec<f32> {
        let (rows, cols) = (self.rows.len(), self.cols.len());
        let turned = transposed(&mixed(&self.rows, field, cols), rows, cols);
        let out = transposed(&mixed(&self.cols, &turned, rows), cols, rows);
        out.into_iter().map(|v| v as f32).collect()
    }
}

/// Lines of a field mixed with their neighbours: line i becomes the sum of the lines from its start on, by
/// mass.
fn mixed(by_line: &[(usize, Vec<f64>)], field: &[f64], width: usize) -> Vec<f64> {
    let mut out = vec![0.0; field.len()];
    for ((start, mass), out) in by_line.iter().zip(out.chunks_exact_mut(width)) {
        for (m, line) in mass.iter().zip(field[start * width..].chunks_exact(width)) {
            out.iter_mut().zip(line).for_each(|(o, v)| *o += m * v);
        }
    }
    out
}

/// A field of `rows` lines with lines and columns exchanged.
fn transposed(field: &[f64], rows: usize, cols: usize) -> Vec<f64> {
    (0..cols).flat_map(|c| (0..rows).map(move |r| field[r * cols + c])).collect()
}

/// Figures of every cell, in the grid's order.
pub(crate) fn figures(
    layout: &Layout,
    resident: &[Vec<f32>],
    positives: &[Attributed],
    coverage: &CellCoverage,
    reached: &[bool],
) -> Vec<CellFigures> {
    let threshold = layout.study.recent.force_of_infection_threshold;
    let target = layout.study.coverage.target;
    let windows = infection_windows(&layout.grid, positives);
    (0..layout.grid.cells())
        .into_par_iter()
        .map(|cell| {
            let mut samples: Vec<f32> = resident.iter().map(|d| d[cell]).collect();
            let above = samples.iter().filter(|v| f64::from(**v) > threshold).count();
            let p_active = above as f64 / samples.len() as f64;
            let sensitivity = coverage.sensitivity[cell];
            let (expected, window) = windows[cell];
            CellFigures {
                hazard: Spread::of(&mut samples),
                p_active,
                exposure_pig_years: coverage.exposure_pig_years[cell],
                surveillance_sensitivity: sensitivity,
                expected_infections: expected,
                window,
                // Land that no pig's range reaches is never called active: the prior alone would say so.
                standing: if reached[cell] {
                    Standing::of(p_active, sensitivity, target)
                } else {
                    Standing::Unseen
                },
            }
        })
        .collect()
}

/// Expected infections and the 5, 50, 95 % points of their times, per cell.
fn infection_windows(grid: &Grid, positives: &[Attributed]) -> Vec<(f64, Option<[f64; 3]>)> {
    let split: Vec<Vec<Vec<(f64, f64, f64)>>> = positives.iter().map(|p| within_periods(grid, p)).collect();
    (0..grid.cells())
        .into_par_iter()
        .map(|cell| {
            let mut pieces = Vec::new();
            for (p, split) in positives.iter().zip(&split) {
                for (k, by_cell) in p.by_period.iter().enumerate() {
                    // Mass too thin to move a quantile is left out of the list, not of the sum.
                    if by_cell[cell] > 1e-6 {
                        pieces.extend(split[k].iter().map(|(a, b, share)| (*a, *b, share * by_cell[cell])));
                    }
                }
            }
            let expected: f64 = positives.iter().flat_map(|p| &p.by_period).map(|c| c[cell]).sum();
            let window =
                (expected >= LEAST_EXPECTED).then(|| [0.05, 0.5, 0.95].map(|q| day_quantile(&pieces, q)));
            let window = window.and_then(|w| Some([w[0]?, w[1]?, w[2]?]));
            (expected, window)
        })
        .collect()
}

/// For each of a positive's periods, how its infections spread over days: (from, to, share).
pub(crate) fn within_periods(grid: &Grid, positive: &Attributed) -> Vec<Vec<(f64, f64, f64)>> {
    (0..positive.by_period.len())
        .map(|k| {
            let period = positive.first_period + k;
            let pieces: Vec<(f64, f64, f64)> = positive
                .figures
                .pieces
                .iter()
                .filter(|(a, b, m)| *m > 0.0 && grid.period_of(0.5 * (a + b)) == period)
                .copied()
                .collect();
            let total: f64 = pieces.iter().map(|p| p.2).sum();
            pieces.into_iter().map(|(a, b, m)| (a, b, m / total)).collect()
        })
        .collect()
}

/// Mean and quantiles of the hazard of every cell and period, `[row][period][column]`.
pub(crate) fn hazard_spreads(grid: &Grid, posterior: &Posterior) -> Vec<Spread> {
    // Neighbours together: a sample's values of one cache line are fetched once.
    const TOGETHER: usize = 16;
    let blocks = grid.field_len().div_ceil(TOGETHER);
    (0..blocks)
        .into_par_iter()
        .flat_map_iter(|block| {
            let span = block * TOGETHER..((block + 1) * TOGETHER).min(grid.field_len());
            let n = posterior.samples();
            let mut samples = vec![0.0f32; span.len() * n];
            for (k, field) in posterior.hazard.iter().enumerate() {
                field[span.clone()].iter().enumerate().for_each(|(j, v)| samples[j * n + k] = *v);
            }
            samples.chunks_exact_mut(n).map(Spread::of).collect::<Vec<_>>()
        })
        .collect()
}
