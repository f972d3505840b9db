//! Where we have looked: exposure and sensitivity against a design focus, cell by cell.

use super::Situation;
use super::attribution::kernel_on_grid;
use crate::grid::Grid;
use crate::kernel::detection::protocol;
use crate::kernel::exposure::{Life, age_class_weights, lives};
use crate::kernel::field::dispersal_filter;
use crate::kernel::home_range::pig_sd_m;
use crate::num::cosine::CosineTransform;
use crate::record::{DAYS_PER_MONTH, day_number};
use rayon::prelude::*;

/// Coverage of every cell in one window of time.
#[derive(Debug, Clone, PartialEq)]
pub struct CellCoverage {
    /// Pig-years lived in each cell within the window.
    pub exposure_pig_years: Vec<f64>,
    /// Probability that a design focus about each cell would have made some pig positive.
    pub sensitivity: Vec<f64>,
}

/// Pigs are summed in blocks of this many, in order, so that the result does not depend on threads.
const BLOCK: usize = 64;

/// Coverage in the study's window before `as_of`.
pub fn coverage(situation: &Situation) -> CellCoverage {
    let end = day_number(situation.as_of) + 1.0;
    coverage_between(situation, end - situation.study.coverage.window_months * DAYS_PER_MONTH, end)
}

/// Coverage of a focus present between two days.
///
/// # Formula
/// ```text
/// Se_ij = Se_i Σ_k R̄_k e^(−older)(1 − e^(−h_k)),  h_k = λ* · overlap_k · E_k [(1 − m) P_ij + m (DP)_ij]
/// Se_j = 1 − Π_i (1 − Se_ij)
/// ```
/// P_ij the mass of pig i's kernel in the square patch about cell j; λ* the design hazard; overlap_k
/// the share of bin k within the window. Exposure: Σ_i Σ_k overlap_k E_k [(1 − m) w + m Dw].
/// # Shapes and units
/// `from`, `to`: day numbers. Exposure in pig-years, sensitivity in [0, 1], one value a cell.
/// # Source
/// Method note §6; product form as in scenario-tree surveillance (Martin, Cameron & Greiner 2007).
pub fn coverage_between(situation: &Situation, from: f64, to: f64) -> CellCoverage {
    let (study, grid) = (situation.study, situation.grid);
    let pigs = &situation.records.pigs;
    let classes = age_class_weights(pigs);
    let half = (((study.coverage.patch_m / grid.cell_m) - 1.0) / 2.0).max(0.0);
    let blocks: Vec<(Vec<f64>, Vec<f64>)> = pigs
        .par_chunks(BLOCK)
        .map(|block| {
            let mut transform = CosineTransform::new(grid.rows, 1, grid.cols);
            let filter = dispersal_filter(&transform, grid.rows, grid.cols, grid.cell_m, study.dispersal.mean_m);
            let mut exposure = vec![0.0; grid.cells()];
            let mut log_missed = vec![0.0; grid.cells()];
            for pig in block {
                let lives = lives(pig, study, grid, &classes);
                let share = Window { from, to };
                let (stay, moved) = share.years(&lives);
                if stay + moved <= 0.0 {
                    continue;
                }
                let resident = kernel_on_grid(grid, pig, pig_sd_m(&study.home_range, pig));
                let mut natal = vec![0.0; grid.cells()];
                if moved > 0.0 {
                    natal.copy_from_slice(&resident);
                    transform.forward(&mut natal);
                    natal.iter_mut().zip(&filter).for_each(|(n, f)| *n *= f);
                    transform.inverse(&mut natal);
                    natal.iter_mut().for_each(|v| *v = v.max(0.0));
                }
                for ((e, w), d) in exposure.iter_mut().zip(&resident).zip(&natal) {
                    *e += stay * w + moved * d;
                }
                let se = protocol(&study.detection, &pig.inspection).sensitivity;
                let (near, far) = (patch_mass(grid, &resident, half), patch_mass(grid, &natal, half));
                for ((l, p), d) in log_missed.iter_mut().zip(&near).zip(&far) {
                    // Below this a pig's own sensitivity is under 2e-7: thousands of them change nothing.
                    if p + d > 1e-6 {
                        let found = se * share.infected_and_visible(&lives, study.coverage.design_hazard, *p, *d);
                        *l += (-found).ln_1p();
                    }
                }
            }
            (exposure, log_missed)
        })
        .collect();
    let mut exposure = vec![0.0; grid.cells()];
    let mut log_missed = vec![0.0; grid.cells()];
    for (e, l) in blocks {
        exposure.iter_mut().zip(&e).for_each(|(a, b)| *a += b);
        log_missed.iter_mut().zip(&l).for_each(|(a, b)| *a += b);
    }
    CellCoverage { exposure_pig_years: exposure, sensitivity: log_missed.iter().map(|l: &f64| -l.exp_m1()).collect() }
}

/// A span of days in which the focus is present.
#[derive(Debug, Clone, Copy)]
pub struct Window {
    /// First day number.
    pub from: f64,
    /// Day number after the last.
    pub to: f64,
}

impl Window {
    fn overlap(&self, death: f64, lag_start: f64, lag_end: f64) -> f64 {
        let (a, b) = (death - lag_end, death - lag_start);
        ((b.min(self.to) - a.max(self.from)) / (b - a)).clamp(0.0, 1.0)
    }

    /// Expected exposure within the window: (within the present range, before dispersal), years.
    pub fn years(&self, lives: &[Life]) -> (f64, f64) {
        let mut sum = (0.0, 0.0);
        for life in lives {
            for b in &life.bins {
                let o = life.weight * self.overlap(life.death, b.lag_start, b.lag_end);
                sum.0 += o * b.stay_years;
                sum.1 += o * b.moved_years;
            }
        }
        sum
    }

    /// Q for a focus of a given hazard that holds `near` of the range and `far` of the natal range.
    pub fn infected_and_visible(&self, lives: &[Life], hazard: f64, near: f64, far: f64) -> f64 {
        let mut q = 0.0;
        for life in lives {
            let mut survive = 1.0;
            for b in life.bins.iter().rev() {
                let o = self.overlap(life.death, b.lag_start, b.lag_end);
                if o > 0.0 {
                    let h = hazard * o * (b.stay_years * near + b.moved_years * far);
                    let infected = -(-h).exp_m1();
                    q += life.weight * b.ramp * survive * infected;
                    survive *= 1.0 - infected;
                }
            }
        }
        q
    }
}

/// Mass in the square patch about each cell: `half` cells (possibly a fraction) beyond it on each side.
fn patch_mass(grid: &Grid, mass: &[f64], half: f64) -> Vec<f64> {
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
fn box_sum(line: &[f64], half: f64, out: &mut [f64]) {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn box_sums_with_fractions() {
        let line = [1.0, 2.0, 4.0, 8.0, 16.0];
        let mut out = [0.0; 5];
        box_sum(&line, 1.0, &mut out);
        assert_eq!(out, [3.0, 7.0, 14.0, 28.0, 24.0]);
        box_sum(&line, 0.5, &mut out);
        assert_eq!(out[2], 1.0 + 4.0 + 4.0);
        box_sum(&line, 0.0, &mut out);
        assert_eq!(out, line);
    }
}
