//! One pig's life, event by event: the model forwards, with nothing of the likelihood's recursion.

use crate::studies::calibration::study_area;
use pignut::internals::geography::grid::Grid;
use pignut::internals::geography::layout::Layout;
use pignut::internals::kernel::detection::{lab_sensitivity, pair_share};
use pignut::internals::kernel::exposure::{age_class_weights, lives};
use pignut::internals::kernel::home_range::{kernel_on_grid, pig_sd_m};
use pignut::internals::records::Pig;
use pignut::internals::study::model_keys::Detection;
use rand::{Rng, RngExt};
use std::f64::consts::PI;

/// When and where a pig was infected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Infection {
    /// Day number.
    pub day: f64,
    /// Cell of the grid.
    pub cell: usize,
}

/// What is done to a head, whatever is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plan {
    /// gross inspection alone.
    Knife,
    /// The laboratory alone.
    Laboratory,
    /// gross inspection; a lesion goes to the laboratory.
    LesionSent,
    /// gross inspection; every head goes to the laboratory.
    AllSent,
}

/// How a pig ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Fate {
    /// Whether gross inspection saw a lesion; `None` where it was not used.
    pub lesion: Option<bool>,
    /// What the laboratory said; `None` where it was not asked.
    pub laboratory: Option<bool>,
    /// The infection that was found; `None` for clear readings and lesions from another cause.
    pub infection: Option<Infection>,
}

impl Fate {
    /// Whether it reads positive: the laboratory over gross inspection.
    pub fn positive(&self) -> bool {
        self.laboratory.or(self.lesion) == Some(true)
    }
}

/// What is found in a head with a visible lesion of the disease, or without: whether gross inspection and
/// laboratory saw something, and whether that was the disease. Event by event, with nothing of the
/// likelihood's terms.
///
/// # Assumes
/// A lesion from another cause is a lesion in any pig with probability `false_lesion`; the laboratory calls
/// `false_lab / false_lesion` of lesions from another cause positive, and `false_lab` of samples without a
/// lesion.
fn found(
    d: &Detection,
    pig: &Pig,
    plan: Plan,
    visible: bool,
    rng: &mut impl Rng,
) -> (Option<bool>, Option<bool>, bool) {
    let share = pair_share(d, pig.inspection.node_pairs.as_deref(), &pig.inspection.one_sided);
    let lab = lab_sensitivity(d, pig.inspection.lab_method);
    let mut chance = |p: f64| rng.random::<f64>() < p;
    if plan == Plan::Laboratory {
        let by_mistake = chance(d.false_lab);
        let seen = visible && chance(lab * share);
        return (None, Some(by_mistake || seen), seen && !by_mistake);
    }
    let disease = visible && chance(d.gross_sensitivity * share);
    let other_cause = chance(d.false_lesion);
    let lesion = disease || other_cause;
    match (plan, lesion) {
        (Plan::LesionSent | Plan::AllSent, true) => {
            let positive = chance(if disease { lab } else { d.false_lab / d.false_lesion });
            (Some(true), Some(positive), positive && disease)
        }
        (Plan::AllSent, false) => {
            let positive = chance(if visible { lab * share } else { d.false_lab });
            (Some(false), Some(positive), positive && visible)
        }
        _ => (Some(lesion), None, disease && !other_cause),
    }
}

/// Lets every pig of the records live in a field of hazard, `[row][period][column]`, per year.
///
/// # Formula
/// A life is chosen by its weight and lived bin by bin, the oldest first: infected in bin k with probability
/// 1 − e^(−h_k), in the cell c with probability ∝ (stay w_c + moved (Dw)_c) λ(c, t), on a day uniform within
/// the bin; the lesion shows with the bin's mean ramp, and what is found of it depends on what is done to the
/// head.
pub fn fates(layout: &Layout, hazard: &[f64], rng: &mut impl Rng) -> Vec<Fate> {
    let (study, grid) = (&layout.study, &layout.grid);
    let pigs = &layout.records.pigs;
    let classes = age_class_weights(pigs);
    let dispersal = dispersal_matrix(grid, study.dispersal.mean_m);
    let at = |cell: usize, period: usize| {
        let (row, col) = grid.row_col(cell);
        hazard[grid.at(row, period, col)]
    };
    pigs.iter()
        .enumerate()
        .map(|(i, pig)| {
            let resident = kernel_on_grid(grid, pig, pig_sd_m(&study.home_range, pig));
            let natal: Vec<f64> =
                dispersal.iter().map(|line| line.iter().zip(&resident).map(|(d, w)| d * w).sum()).collect();
            let lives = lives(pig, study, grid, &classes);
            let life = choose(&lives, |l| l.weight, rng);
            let mut infection = None;
            let mut visible = false;
            for bin in life.bins.iter().rev() {
                let from: Vec<f64> = (0..grid.cells())
                    .map(|c| (bin.stay_years * resident[c] + bin.moved_years * natal[c]) * at(c, bin.period))
                    .collect();
                if rng.random::<f64>() >= (-from.iter().sum::<f64>()).exp() {
                    let cells: Vec<usize> = (0..grid.cells()).collect();
                    infection = Some(Infection {
                        day: life.death - rng.random_range(bin.lag_start..bin.lag_end),
                        cell: *choose(&cells, |c| from[*c].max(0.0), rng),
                    });
                    visible = rng.random::<f64>() < bin.ramp;
                    break;
                }
            }
            let (lesion, laboratory, seen) = found(&study.detection, pig, study_area::plan(i), visible, rng);
            Fate { lesion, laboratory, infection: infection.filter(|_| seen) }
        })
        .collect()
}

/// One of several, with probability proportional to its weight.
pub fn choose<'a, T>(list: &'a [T], weight: impl Fn(&T) -> f64, rng: &mut impl Rng) -> &'a T {
    let total: f64 = list.iter().map(&weight).sum();
    let mut left = rng.random::<f64>() * total;
    for item in list {
        left -= weight(item);
        if left < 0.0 {
            return item;
        }
    }
    // Rounding alone leads here: the last one with any weight.
    list.iter().rev().find(|item| weight(item) > 0.0).expect("something has weight")
}

/// The dispersal kernel as a dense matrix over cells, by the sum over cosines.
///
/// # Formula
/// `D(a, b) = Σ_ij f_ij φ_i(r_a) φ_i(r_b) φ_j(c_a) φ_j(c_b)`, φ the orthonormal cosines of each axis and
/// f = 1/√(1 + a² K_ij) as in [`pignut::internals::kernel::field::dispersal_filter`].
pub fn dispersal_matrix(grid: &Grid, mean_m: f64) -> Vec<Vec<f64>> {
    let cosine = |i: usize, x: usize, n: usize| {
        let norm = if i == 0 { 1.0 / n as f64 } else { 2.0 / n as f64 };
        norm.sqrt() * (PI * i as f64 * (x as f64 + 0.5) / n as f64).cos()
    };
    let eigenvalue =
        |i: usize, n: usize| (2.0 - 2.0 * (PI * i as f64 / n as f64).cos()) / (grid.cell_m * grid.cell_m);
    let (rows, cols, cells) = (grid.rows, grid.cols, grid.cells());
    let mut out = vec![vec![0.0; cells]; cells];
    for i in 0..rows {
        for j in 0..cols {
            let f = 1.0 / (1.0 + mean_m * mean_m * (eigenvalue(i, rows) + eigenvalue(j, cols))).sqrt();
            let mode: Vec<f64> = (0..cells)
                .map(|cell| {
                    let (r, c) = grid.row_col(cell);
                    cosine(i, r, rows) * cosine(j, c, cols)
                })
                .collect();
            for (line, a) in out.iter_mut().zip(&mode) {
                line.iter_mut().zip(&mode).for_each(|(o, b)| *o += f * a * b);
            }
        }
    }
    out
}

/// A field of hazard dispersed period by period with the dense matrix.
pub fn dispersed(grid: &Grid, matrix: &[Vec<f64>], hazard: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; hazard.len()];
    for t in 0..grid.periods() {
        let place = |cell: usize| {
            let (row, col) = grid.row_col(cell);
            grid.at(row, t, col)
        };
        let of_period: Vec<f64> = (0..grid.cells()).map(|c| hazard[place(c)]).collect();
        for (cell, line) in matrix.iter().enumerate() {
            out[place(cell)] = line.iter().zip(&of_period).map(|(d, h)| d * h).sum();
        }
    }
    out
}
