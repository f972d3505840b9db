//! What one pig sees of a focus about a cell, window by window.

use crate::geography::grid::Grid;
use crate::kernel::exposure::Life;
use crate::study::study_file::Study;

/// A span of days in which the focus is present.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayWindow {
    /// First day number.
    pub from: f64,
    /// Day number after the last.
    pub to: f64,
}

impl DayWindow {
    fn overlap(&self, death: f64, lag_start: f64, lag_end: f64) -> f64 {
        let (a, b) = (death - lag_end, death - lag_start);
        ((b.min(self.to) - a.max(self.from)) / (b - a)).clamp(0.0, 1.0)
    }
}

/// What a pig's lives can show of a focus present in a window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FocusView {
    /// Expected exposure within the window in the present range, years.
    pub stay: f64,
    /// Expected exposure within the window before dispersal, years.
    pub moved: f64,
    /// By life, oldest bin first: years in the present range, before dispersal, weight × ramp.
    lives: Vec<Vec<(f64, f64, f64)>>,
    longest: (f64, f64),
    linear: (f64, f64),
    /// Second order: by near², near · far, far².
    square: [f64; 3],
}

impl FocusView {
    /// Of a pig's lives.
    pub(crate) fn new(window: DayWindow, lives: &[Life]) -> FocusView {
        let mut seen = FocusView {
            stay: 0.0,
            moved: 0.0,
            lives: Vec::new(),
            longest: (0.0, 0.0),
            linear: (0.0, 0.0),
            square: [0.0; 3],
        };
        for life in lives {
            let mut bins: Vec<(f64, f64, f64)> = Vec::new();
            for b in life.bins.iter().rev() {
                let o = window.overlap(life.death, b.lag_start, b.lag_end);
                if o <= 0.0 {
                    continue;
                }
                let (stay, moved, visible) = (o * b.stay_years, o * b.moved_years, life.weight * b.ramp);
                seen.stay += life.weight * stay;
                seen.moved += life.weight * moved;
                match bins.last_mut() {
                    // Equally visible bins telescope: see the likelihood.
                    Some(last) if (last.2 - visible).abs() < SAME_WEIGHT => {
                        last.0 += stay;
                        last.1 += moved;
                    }
                    _ => bins.push((stay, moved, visible)),
                }
            }
            let mut older = (0.0, 0.0);
            for (stay, moved, visible) in &bins {
                seen.linear = (seen.linear.0 + visible * stay, seen.linear.1 + visible * moved);
                // w (1 − e^(−h)) e^(−older) = w (h − h²/2 − h · older) + …
                seen.square[0] -= visible * stay * (0.5 * stay + older.0);
                seen.square[1] -= visible * (stay * moved + stay * older.1 + moved * older.0);
                seen.square[2] -= visible * moved * (0.5 * moved + older.1);
                older = (older.0 + stay, older.1 + moved);
            }
            seen.longest = (seen.longest.0.max(older.0), seen.longest.1.max(older.1));
            seen.lives.push(bins);
        }
        seen
    }

    /// Probability of infection with a visible lesion by a focus that holds `near` of the present range
    /// and `far` of the natal one; `hazard` per pig-year.
    pub(crate) fn infected_and_visible(&self, hazard: f64, near: f64, far: f64) -> f64 {
        let (near, far) = (hazard * near, hazard * far);
        if self.longest.0 * near + self.longest.1 * far < SERIES {
            let [a, b, c] = self.square;
            return near * (self.linear.0 + a * near + b * far) + far * (self.linear.1 + c * far);
        }
        let mut q = 0.0;
        for bins in &self.lives {
            let mut survive = 1.0;
            for (stay, moved, visible) in bins {
                let infected = -(-(stay * near + moved * far)).exp_m1();
                q += visible * survive * infected;
                survive *= 1.0 - infected;
            }
        }
        q
    }
}

/// Mass in the square patch about each cell: `half` cells (possibly a fraction) beyond it on each side.
pub(crate) fn patch_mass(grid: &Grid, mass: &[f64], half: f64) -> Vec<f64> {
    let (rows, cols) = (grid.rows, grid.cols);
    let mut along = vec![0.0; mass.len()];
    for r in 0..rows {
        let line = &mass[r * cols..(r + 1) * cols];
        box_sum(line, half, &mut along[r * cols..(r + 1) * cols]);
    }
    let mut out = vec![0.0; mass.len()];
    let (mut column, mut sums) = (vec![0.0; rows], vec![0.0; rows]);
    for c in 0..cols {
        (0..rows).for_each(|r| column[r] = along[r * cols + c]);
        box_sum(&column, half, &mut sums);
        (0..rows).for_each(|r| out[r * cols + c] = sums[r]);
    }
    out
}

/// Sum over a window of `half` cells on each side; fractions of cells count in part.
pub(crate) fn box_sum(line: &[f64], half: f64, out: &mut [f64]) {
    let whole = half.floor() as usize;
    let part = half - half.floor();
    let n = line.len();
    let mut prefix = vec![0.0; n + 1];
    for (i, v) in line.iter().enumerate() {
        prefix[i + 1] = prefix[i] + v;
    }
    for (i, o) in out.iter_mut().enumerate() {
        let (a, b) = (i.saturating_sub(whole), (i + whole + 1).min(n));
        let mut sum = prefix[b] - prefix[a];
        if part > 0.0 {
            sum += part * if i > whole { line[i - whole - 1] } else { 0.0 };
            sum += part * line.get(i + whole + 1).copied().unwrap_or(0.0);
        }
        *o = sum.max(0.0);
    }
}

/// Cells beyond the middle one on each side of a patch, possibly a fraction.
pub(crate) fn half_patch(grid: &Grid, study: &Study) -> f64 {
    (((study.coverage.patch_m / grid.cell_m) - 1.0) / 2.0).max(0.0)
}

/// Bins whose weights differ by less than this are as visible as each other: rounding of the ramp's integral.
pub(crate) const SAME_WEIGHT: f64 = 1e-12;

/// Cumulative hazard below which products and exponentials are taken to their second order: what is left out
/// is under half its square, a share of 2e-4.
pub(crate) const SERIES: f64 = 0.02;

/// ln(1 − x); the series where its next term is below 4e-10 of x.
pub(crate) fn log_missed(x: f64) -> f64 {
    if x < 1e-3 { -x * (1.0 + x * (0.5 + x / 3.0)) } else { (-x).ln_1p() }
}
