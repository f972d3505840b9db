//! Where we have looked: exposure and sensitivity against a design focus, cell by cell, year by year.
//!
//! One pass over the pigs serves every window asked for: a pig's ranges are laid out once.

use crate::assess::focus_view::{DayWindow, FocusView, box_sum, half_patch, log_missed, patch_mass};
use crate::assess::odds::times_odds;
use crate::geography::grid::Grid;
use crate::geography::layout::Layout;
use crate::kernel::detection::protocol;
use crate::kernel::exposure::{age_class_weights, lives};
use crate::kernel::field::dispersal_filter;
use crate::kernel::home_range::{AxisMass, axis_mass, kernel_on_grid, pig_sd_m};
use crate::numerics::cosine_transform::CosineTransform;
use crate::records::{DAYS_PER_MONTH, Pig, date_of_day, day_number};
use crate::study::study_file::Study;
use jiff::civil::date;
use rayon::prelude::*;

/// Coverage of every cell in one window of time.
#[derive(Debug, Clone, PartialEq)]
pub struct CellCoverage {
    /// Pig-years lived in each cell within the window.
    pub exposure_pig_years: Vec<f64>,
    /// Probability that a design focus about each cell would have made some pig positive.
    pub sensitivity: Vec<f64>,
}

/// Coverage of one calendar year.
#[derive(Debug, Clone, PartialEq)]
pub struct YearCoverage {
    /// The year.
    pub year: i16,
    /// Its days; the last year ends with `as_of`.
    pub window: DayWindow,
    /// By all examined pigs.
    pub cells: CellCoverage,
    /// By pigs with no visible lesion alone, at each of five inputs (as stated; design hazard low, high;
    /// sensitivity of each pig low, high): ln of the probability that all of them missed the focus.
    pub clear_log_missed: [Vec<f64>; 5],
}

/// Coverage of the study's window and of every year.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverages {
    /// The window before `as_of`.
    pub recent: CellCoverage,
    /// Calendar years, the first with a kill to that of `as_of`.
    pub years: Vec<YearCoverage>,
}

/// Pigs are summed in blocks of this many, in order, so that the result does not depend on threads.
const BLOCK: usize = 64;
/// Blocks worked on at a time: bounds the memory for their sums.
const BLOCKS_AT_ONCE: usize = 8;

/// Mass in the patch below which a pig is not counted: thousands of them change nothing.
const LEAST_MASS: f64 = 1e-6;

/// The study's window before `as_of`.
pub fn study_window(layout: &Layout) -> DayWindow {
    let end = day_number(layout.as_of) + 1.0;
    DayWindow { from: end - layout.study.coverage.window_months * DAYS_PER_MONTH, to: end }
}

/// Calendar years from the first kill to `as_of`, the last one cut there.
pub(crate) fn years_of(layout: &Layout) -> Vec<(i16, DayWindow)> {
    let end = day_number(layout.as_of) + 1.0;
    let first = layout.records.pigs.iter().map(|p| date_of_day(p.killed.mid_day()).year()).min();
    let last = layout.as_of.year();
    let new_year = |y: i16| day_number(date(y, 1, 1));
    (first.unwrap_or(last).min(last)..=last)
        .map(|y| (y, DayWindow { from: new_year(y), to: new_year(y + 1).min(end) }))
        .collect()
}

/// Coverage of the study's window and of every year, in one pass.
pub fn coverages(layout: &Layout) -> Coverages {
    let years = years_of(layout);
    let mut windows = vec![study_window(layout)];
    windows.extend(years.iter().map(|y| y.1));
    let mut sums = sums(layout, &windows).into_iter();
    let recent = sums.next().map(|s| s.coverage()).expect("one sum a window");
    let years = years
        .into_iter()
        .zip(sums)
        .map(|((year, window), s)| YearCoverage {
            year,
            window,
            cells: s.coverage(),
            clear_log_missed: s.clear_log_missed,
        })
        .collect();
    Coverages { recent, years }
}

/// Coverage in the study's window before `as_of`.
pub(crate) fn coverage(layout: &Layout) -> CellCoverage {
    let w = study_window(layout);
    coverage_between(layout, w.from, w.to)
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
/// # Numerics
/// A cumulative hazard under 0.02 is not put through exponentials but taken to the second order: wrong by
/// under 2e-4 of itself.
/// # Source
/// Method note §6; product form as in scenario-tree surveillance (Martin, Cameron & Greiner 2007).
pub fn coverage_between(layout: &Layout, from: f64, to: f64) -> CellCoverage {
    let mut sums = sums(layout, &[DayWindow { from, to }]);
    sums.swap_remove(0).coverage()
}

/// Sums over pigs for one window.
#[derive(Clone)]
struct Sums {
    exposure: Vec<f64>,
    log_missed: Vec<f64>,
    clear_log_missed: [Vec<f64>; 5],
}

impl Sums {
    fn zero(cells: usize) -> Sums {
        let zero = || vec![0.0; cells];
        Sums { exposure: zero(), log_missed: zero(), clear_log_missed: std::array::from_fn(|_| zero()) }
    }
    fn add(&mut self, other: &Sums) {
        let add = |a: &mut [f64], b: &[f64]| a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
        add(&mut self.exposure, &other.exposure);
        add(&mut self.log_missed, &other.log_missed);
        self.clear_log_missed.iter_mut().zip(&other.clear_log_missed).for_each(|(a, b)| add(a, b));
    }
    fn coverage(&self) -> CellCoverage {
        let sensitivity = self.log_missed.iter().map(|l: &f64| -l.exp_m1()).collect();
        CellCoverage { exposure_pig_years: self.exposure.clone(), sensitivity }
    }
}

fn sums(layout: &Layout, windows: &[DayWindow]) -> Vec<Sums> {
    let (study, grid) = (&layout.study, &layout.grid);
    let pigs = &layout.records.pigs;
    let classes = age_class_weights(pigs);
    let zero = || vec![Sums::zero(grid.cells()); windows.len()];
    let mut total = zero();
    for some in pigs.chunks(BLOCK * BLOCKS_AT_ONCE) {
        let blocks: Vec<Vec<Sums>> = some
            .par_chunks(BLOCK)
            .map(|block| {
                let mut transform = CosineTransform::new(grid.rows, 1, grid.cols);
                let filter =
                    dispersal_filter(&transform, grid.rows, grid.cols, grid.cell_m, study.dispersal.mean_m);
                let mut sums = zero();
                for pig in block {
                    let lives = lives(pig, study, grid, &classes);
                    let seen: Vec<FocusView> = windows.iter().map(|w| FocusView::new(*w, &lives)).collect();
                    if seen.iter().all(|s| s.stay + s.moved <= 0.0) {
                        continue;
                    }
                    let moves = seen.iter().any(|s| s.moved > 0.0);
                    let ranges =
                        Ranges::new(grid, study, pig, moves.then_some((&mut transform, filter.as_slice())));
                    for (s, sum) in seen.iter().zip(&mut sums) {
                        ranges.add(study, pig, s, sum);
                    }
                }
                sums
            })
            .collect();
        for block in blocks {
            total.iter_mut().zip(&block).for_each(|(t, b)| t.add(b));
        }
    }
    total
}

/// One pig's present and natal range on the grid, by cell and by patch.
struct Ranges {
    cols: usize,
    half: f64,
    rows_mass: AxisMass,
    cols_mass: AxisMass,
    /// Mass of the row strip (column strip) of a patch about each row (column).
    row_patch: Vec<f64>,
    col_patch: Vec<f64>,
    /// Natal mass by cell and by patch.
    natal: Option<(Vec<f64>, Vec<f64>)>,
}

impl Ranges {
    fn new(
        grid: &Grid,
        study: &Study,
        pig: &Pig,
        dispersal: Option<(&mut CosineTransform, &[f64])>,
    ) -> Ranges {
        let sd = pig_sd_m(&study.home_range, pig);
        let half = half_patch(grid, study);
        let rows_mass = axis_mass(pig.northing_m, sd, grid.south_m, grid.cell_m, grid.rows);
        let cols_mass = axis_mass(pig.easting_m, sd, grid.west_m, grid.cell_m, grid.cols);
        let strip = |m: &AxisMass, n: usize| {
            let (mut line, mut out) = (vec![0.0; n], vec![0.0; n]);
            line[m.start..m.start + m.mass.len()].copy_from_slice(&m.mass);
            box_sum(&line, half, &mut out);
            out
        };
        let natal = dispersal.map(|(transform, filter)| {
            let mut natal = kernel_on_grid(grid, pig, sd);
            transform.forward(&mut natal);
            natal.iter_mut().zip(filter).for_each(|(n, f)| *n *= f);
            transform.inverse(&mut natal);
            natal.iter_mut().for_each(|v| *v = v.max(0.0));
            let patch = patch_mass(grid, &natal, half);
            (natal, patch)
        });
        Ranges {
            cols: grid.cols,
            half,
            row_patch: strip(&rows_mass, grid.rows),
            col_patch: strip(&cols_mass, grid.cols),
            rows_mass,
            cols_mass,
            natal,
        }
    }

    fn add(&self, study: &Study, pig: &Pig, seen: &FocusView, sum: &mut Sums) {
        if seen.stay + seen.moved <= 0.0 {
            return;
        }
        for (i, a) in self.rows_mass.mass.iter().enumerate() {
            let at = (self.rows_mass.start + i) * self.cols + self.cols_mass.start;
            for (e, b) in sum.exposure[at..].iter_mut().zip(&self.cols_mass.mass) {
                *e += seen.stay * a * b;
            }
        }
        let natal = self.natal.as_ref().filter(|_| seen.moved > 0.0);
        if let Some((by_cell, _)) = natal {
            sum.exposure.iter_mut().zip(by_cell).for_each(|(e, d)| *e += seen.moved * d);
        }
        let se = protocol(&study.detection, &pig.inspection).sensitivity;
        let f = &study.freedom;
        let hazard = study.coverage.design_force_of_infection;
        let hazards =
            [hazard, hazard / f.design_force_of_infection_range, hazard * f.design_force_of_infection_range];
        let (low, high) = (times_odds(se, 1.0 / f.sensitivity_range), times_odds(se, f.sensitivity_range));
        // Without a natal range only cells within reach of the present one can be touched.
        let reach = self.half.ceil() as usize;
        let span = |m: &AxisMass, n: usize| match natal {
            Some(_) => 0..n,
            None => m.start.saturating_sub(reach)..(m.start + m.mass.len() + reach).min(n),
        };
        let columns = span(&self.cols_mass, self.cols);
        for r in span(&self.rows_mass, self.row_patch.len()) {
            for c in columns.clone() {
                let cell = r * self.cols + c;
                let near = self.row_patch[r] * self.col_patch[c];
                let far = natal.map_or(0.0, |n| n.1[cell]);
                if near + far <= LEAST_MASS {
                    continue;
                }
                let q = hazards.map(|h| seen.infected_and_visible(h, near, far));
                let missed = log_missed(se * q[0]);
                sum.log_missed[cell] += missed;
                if !pig.is_positive() && !pig.inspection.is_unconfirmed() {
                    let each = [
                        missed,
                        log_missed(se * q[1]),
                        log_missed(se * q[2]),
                        log_missed(low * q[0]),
                        log_missed(high * q[0]),
                    ];
                    sum.clear_log_missed.iter_mut().zip(each).for_each(|(s, l)| s[cell] += l);
                }
            }
        }
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
