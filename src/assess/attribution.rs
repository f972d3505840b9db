//! When and where each positive pig was infected: its infection window and likely origin.

use crate::assess::coverage::years_of;
use crate::assess::spread::{QUANTILES, day_quantile};
use crate::geography::area_shares::{area_of, shares_within};
use crate::geography::grid::Grid;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::detection::reading_terms;
use crate::kernel::exposure::{Life, age_class_weights, lives};
use crate::kernel::field::dispersal_filter;
use crate::kernel::home_range::{kernel_on_grid, pig_sd_m};
use crate::numerics::cosine_transform::CosineTransform;
use crate::records::Pig;
use geo::Coord;
use rayon::prelude::*;

/// Figures of one positive or suspect pig. Probabilities are posterior means.
#[derive(Debug, Clone, PartialEq)]
pub struct PositiveFigures {
    /// Index among the study's pigs.
    pub pig: usize,
    /// Probability that it was infected at all.
    pub p_true: f64,
    /// Quantiles of the day of infection, given infection, day numbers.
    pub infection_days: Option<[f64; 7]>,
    /// Probability of infection within the recent months.
    pub p_recent: f64,
    /// Probability of infection within the local radius and the recent months.
    pub p_local: f64,
    /// Zone that holds the kill place.
    pub zone: Option<usize>,
    /// Probability of infection inside that zone, at any time.
    pub p_zone: Option<f64>,
    /// Median distance from the kill place to the origin, given infection on the grid, metres.
    pub origin_distance_m_median: Option<f64>,
    /// Share of the origin mass within 3 km of the kill place (the study's local radius), given infection.
    pub share_within_local_radius: Option<f64>,
    /// Probability of infection in each cell with mass; sums to `p_true` less the mass off the grid.
    pub origin: Vec<(usize, f64)>,
    /// Cells of the smallest area that holds half of the origin mass on the grid.
    pub area50: Vec<usize>,
    /// Cells of the smallest area that holds nine tenths of it.
    pub area90: Vec<usize>,
    /// Pieces of the infection-time density: (from day, to day, probability).
    pub pieces: Vec<(f64, f64, f64)>,
}

/// Figures, and the mass by period and cell from which cells' and zones' windows are made.
pub struct Attributed {
    /// The figures.
    pub figures: PositiveFigures,
    /// First period with exposure.
    pub first_period: usize,
    /// Probability by period (from `first_period`) and cell: `[period][cell]`.
    pub by_period: Vec<Vec<f64>>,
    /// Areas in which it may have been infected, sample by sample.
    pub inside: Vec<InsideZone>,
}

/// Probability that one pig was infected in one area, by draw and year.
#[derive(Debug, Clone, PartialEq)]
pub struct InsideZone {
    /// Index among the zones.
    pub zone: usize,
    /// `[draw][year]`, years as in [`years_of`].
    pub by_sample: Vec<f32>,
}

/// Probability of infection inside an area under which a pig is not counted against it.
const LEAST_INSIDE: f32 = 1e-6;

/// Cells of each area with the share of the cell that lies in it.
fn zone_cells(layout: &Layout) -> Vec<Vec<(usize, f64)>> {
    let cells = |shares: &Vec<f64>| shares.iter().copied().enumerate().filter(|(_, s)| *s > 0.0).collect();
    layout.zone_shares.iter().map(cells).collect()
}

/// Attributes every positive or suspect pig of the records.
///
/// # Formula
/// ```text
/// weight(k, c) ∝ Se R̄_k e^(−older) (1 − e^(−h_k)) · share_c
/// share_c = E_k[(1−m) w_c + m (Dw)_c] λ(c,t)/h_k
/// p_true = Se Q/(f + (1 − f) Se Q), averaged over samples
/// ```
/// # Source
/// Bayes' rule on the likelihood of method note §3.
pub fn attribute(layout: &Layout, posterior: &Posterior) -> Vec<Attributed> {
    let classes = age_class_weights(&layout.records.pigs);
    let mut context = Context::new(layout);
    let cases: Vec<Case> = layout
        .records
        .pigs
        .iter()
        .enumerate()
        .filter(|(_, p)| p.is_positive())
        .map(|(i, p)| context.case(i, p, &classes))
        .collect();
    let zones = zone_cells(layout);
    cases.into_par_iter().map(|c| c.attribute(layout, posterior, &zones)).collect()
}

/// Attributes one pig, which need not be among the records: the same posterior, another life.
pub fn attribute_one(layout: &Layout, posterior: &Posterior, pig: &Pig) -> PositiveFigures {
    let classes = age_class_weights(&layout.records.pigs);
    Context::new(layout).case(usize::MAX, pig, &classes).attribute(layout, posterior, &[]).figures
}

struct Context<'a> {
    layout: &'a Layout,
    transform: CosineTransform<f64>,
    filter: Vec<f64>,
}

impl<'a> Context<'a> {
    fn new(layout: &'a Layout) -> Context<'a> {
        let g = &layout.grid;
        let transform = CosineTransform::new(g.rows, 1, g.cols);
        let filter = dispersal_filter(&transform, g.rows, g.cols, g.cell_m, layout.study.dispersal.mean_m);
        Context { layout, transform, filter }
    }

    fn case(&mut self, index: usize, pig: &Pig, classes: &[f64; 5]) -> Case {
        let (study, grid) = (&self.layout.study, &self.layout.grid);
        let lives = lives(pig, study, grid, classes);
        let resident = kernel_on_grid(grid, pig, pig_sd_m(&study.home_range, pig));
        let mut natal = resident.clone();
        self.transform.forward(&mut natal);
        natal.iter_mut().zip(&self.filter).for_each(|(n, f)| *n *= f);
        self.transform.inverse(&mut natal);
        natal.iter_mut().for_each(|v| *v = v.max(0.0));
        let bins = || lives.iter().flat_map(|l| &l.bins);
        let first = bins().map(|b| b.period).min().unwrap_or(0);
        let last = bins().map(|b| b.period).max().unwrap_or(0);
        let place = Coord { x: pig.easting_m, y: pig.northing_m };
        let boundaries = self.layout.records.zones.iter().map(|z| &z.boundary);
        Case {
            index,
            reading: reading_terms(&study.detection, pig),
            resident,
            natal,
            first_period: first,
            periods: last - first + 1,
            local: shares_within(grid, place, study.recent.local_radius_m),
            zone: area_of(boundaries, pig.easting_m, pig.northing_m),
            place,
            lives,
        }
    }
}

/// Rows from the first to the last that hold any mass.
fn rows_with_mass(mass: &[f64], cols: usize) -> std::ops::Range<usize> {
    let held = |line: &&[f64]| line.iter().any(|m| *m > 0.0);
    let first = mass.chunks_exact(cols).take_while(|line| !held(line)).count();
    let after = mass.chunks_exact(cols).rev().take_while(|line| !held(line)).count();
    first..(mass.len() / cols - after).max(first)
}

/// Inner product of one row of samples with weights, in eight interleaved sums.
fn inner(line: &[f32], weights: &[f64]) -> f64 {
    let mut lanes = [0.0; 8];
    let (a, b) = (line.chunks_exact(8), weights.chunks_exact(8));
    let tail: f64 = a.remainder().iter().zip(b.remainder()).map(|(l, w)| f64::from(*l) * w).sum();
    for (a, b) in a.zip(b) {
        for j in 0..8 {
            lanes[j] += f64::from(a[j]) * b[j];
        }
    }
    lanes.iter().sum::<f64>() + tail
}

struct Case {
    index: usize,
    reading: (f64, f64),
    /// w over all cells.
    resident: Vec<f64>,
    /// D w over all cells.
    natal: Vec<f64>,
    first_period: usize,
    periods: usize,
    local: Vec<f64>,
    zone: Option<usize>,
    place: Coord<f64>,
    lives: Vec<Life>,
}

impl Case {
    fn attribute(self, layout: &Layout, posterior: &Posterior, zones: &[Vec<(usize, f64)>]) -> Attributed {
        let grid = &layout.grid;
        let (t_all, cols, cells) = (grid.periods(), grid.cols, grid.cells());
        let recent = layout.recent_days();
        let samples = posterior.samples() as f64;
        // Where sums over the whole grid can be spared: rows outside the range, periods after dispersal.
        let rows = rows_with_mass(&self.resident, cols);
        let mut disperses = vec![false; self.periods];
        for bin in self.lives.iter().flat_map(|l| &l.bins).filter(|b| b.moved_years > 0.0) {
            disperses[bin.period - self.first_period] = true;
        }
        // Of each area, the cells in reach of the present range.
        let in_reach: Vec<Vec<(usize, f64)>> = zones
            .iter()
            .map(|cells| cells.iter().filter(|(c, _)| self.resident[*c] > 0.0).copied().collect())
            .collect();
        let near: Vec<(usize, f64)> =
            self.local.iter().copied().enumerate().filter(|(_, s)| *s > 0.0).collect();
        let mut bin_mass: Vec<Vec<f64>> = self.lives.iter().map(|l| vec![0.0; l.bins.len()]).collect();
        let mut by_period = vec![vec![0.0; cells]; self.periods];
        let mut local_recent = 0.0;
        let mut p_true = 0.0;
        let (mut stay, mut moved) = (vec![0.0; self.periods], vec![0.0; self.periods]);
        let years = years_of(layout);
        // Periods divide years: each lies in one, or before the first.
        let year_of = |p: usize| {
            let year = grid.period_start(self.first_period + p).year();
            years.iter().position(|y| y.0 == year)
        };
        let year_of: Vec<Option<usize>> = (0..self.periods).map(year_of).collect();
        let mut inside = vec![vec![0.0f32; posterior.samples() * years.len()]; zones.len()];
        let mut infected_here = vec![0.0; cells];
        for (draw, field) in posterior.hazard.iter().enumerate() {
            for p in 0..self.periods {
                let (mut h, mut m) = (0.0, 0.0);
                for row in 0..grid.rows {
                    let at = (row * t_all + self.first_period + p) * cols;
                    let line = &field[at..at + cols];
                    if rows.contains(&row) {
                        h += inner(line, &self.resident[row * cols..(row + 1) * cols]);
                    }
                    if disperses[p] {
                        m += inner(line, &self.natal[row * cols..(row + 1) * cols]);
                    }
                }
                (stay[p], moved[p]) = (h, m);
            }
            // Per period: coefficient of w λ and of Dw λ, and the parts that are recent.
            let mut to_stay = vec![0.0; self.periods];
            let mut to_moved = vec![0.0; self.periods];
            let mut recent_stay = vec![0.0; self.periods];
            let mut recent_moved = vec![0.0; self.periods];
            let mut q = 0.0;
            let mut gains: Vec<(usize, usize, f64)> = Vec::new();
            for (l, life) in self.lives.iter().enumerate() {
                let mut survive = 1.0;
                for (k, bin) in life.bins.iter().enumerate().rev() {
                    let p = bin.period - self.first_period;
                    let h = bin.stay_years * stay[p] + bin.moved_years * moved[p];
                    let infected = -(-h).exp_m1();
                    let gain = life.weight * bin.ramp * survive * infected;
                    survive *= 1.0 - infected;
                    q += gain;
                    gains.push((l, k, gain));
                }
            }
            let (f, se) = self.reading;
            let scale = se / (f + se * q);
            p_true += scale * q / samples;
            for (l, k, gain) in gains {
                let bin = &self.lives[l].bins[k];
                let p = bin.period - self.first_period;
                let h = bin.stay_years * stay[p] + bin.moved_years * moved[p];
                let mass = scale * gain / samples;
                bin_mass[l][k] += mass;
                if h > 0.0 {
                    let death = self.lives[l].death;
                    let share = overlap(death - bin.lag_end, death - bin.lag_start, recent);
                    to_stay[p] += mass / h * bin.stay_years;
                    to_moved[p] += mass / h * bin.moved_years;
                    recent_stay[p] += share * mass / h * bin.stay_years;
                    recent_moved[p] += share * mass / h * bin.moved_years;
                }
            }
            for p in 0..self.periods {
                if to_stay[p] + to_moved[p] == 0.0 {
                    continue;
                }
                let reached = if disperses[p] { 0..grid.rows } else { rows.clone() };
                for row in reached {
                    let at = (row * t_all + self.first_period + p) * cols;
                    let line = &field[at..at + cols];
                    let span = row * cols..(row + 1) * cols;
                    let (w, d) = (&self.resident[span.clone()], &self.natal[span.clone()]);
                    let out = &mut by_period[p][span.clone()];
                    let here = &mut infected_here[span];
                    for ((((here, out), l), w), d) in here.iter_mut().zip(out).zip(line).zip(w).zip(d) {
                        *here = f64::from(*l) * (to_stay[p] * w + to_moved[p] * d);
                        *out += *here;
                    }
                }
                if recent_stay[p] + recent_moved[p] > 0.0 {
                    for (cell, share) in &near {
                        let (row, col) = grid.row_col(*cell);
                        let hazard = f64::from(field[(row * t_all + self.first_period + p) * cols + col]);
                        let mass =
                            recent_stay[p] * self.resident[*cell] + recent_moved[p] * self.natal[*cell];
                        local_recent += share * hazard * mass;
                    }
                }
                if let Some(year) = year_of[p] {
                    let areas = if disperses[p] { zones } else { &in_reach };
                    for (by_sample, cells) in inside.iter_mut().zip(areas) {
                        // The mass of one draw: what was divided by their number is multiplied back.
                        let mass: f64 = cells.iter().map(|(c, s)| s * infected_here[*c]).sum();
                        by_sample[draw * years.len() + year] += (mass * samples) as f32;
                    }
                }
            }
        }
        let pieces: Vec<(f64, f64, f64)> = self
            .lives
            .iter()
            .zip(&bin_mass)
            .flat_map(|(life, mass)| {
                life.bins
                    .iter()
                    .zip(mass)
                    .map(|(b, m)| (life.death - b.lag_end, life.death - b.lag_start, *m))
            })
            .collect();
        let origin: Vec<f64> = (0..cells).map(|c| by_period.iter().map(|p| p[c]).sum()).collect();
        let p_recent = pieces.iter().map(|(a, b, m)| m * overlap(*a, *b, recent)).sum();
        let days = |p: f64| day_quantile(&pieces, p);
        let infection_days = days(0.5).map(|_| QUANTILES.map(|p| days(p).unwrap_or(f64::NAN)));
        let on_grid: f64 = origin.iter().sum();
        let p_zone = self.zone.map(|z| layout.zone_shares[z].iter().zip(&origin).map(|(s, o)| s * o).sum());
        let within = self.local.iter().zip(&origin).map(|(s, o)| s * o).sum::<f64>();
        let figures = PositiveFigures {
            pig: self.index,
            p_true,
            infection_days,
            p_recent,
            p_local: local_recent,
            zone: self.zone,
            p_zone,
            origin_distance_m_median: distance_median(grid, self.place, &origin),
            share_within_local_radius: (on_grid > 0.0).then_some(within / on_grid),
            area50: smallest_area(&origin, 0.5),
            area90: smallest_area(&origin, 0.9),
            origin: origin.iter().copied().enumerate().filter(|(_, m)| *m > 1e-9).collect(),
            pieces,
        };
        let inside = inside
            .into_iter()
            .enumerate()
            .filter(|(_, by_sample)| by_sample.iter().any(|m| *m > LEAST_INSIDE))
            .map(|(zone, by_sample)| InsideZone { zone, by_sample })
            .collect();
        Attributed { figures, first_period: self.first_period, by_period, inside }
    }
}

/// Share of `[from, to)` that falls in a span.
fn overlap(from: f64, to: f64, span: (f64, f64)) -> f64 {
    let shared = to.min(span.1) - from.max(span.0);
    (shared / (to - from).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
}

/// Cells of the smallest set that holds a share of all mass, most likely first.
pub(crate) fn smallest_area(mass: &[f64], share: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..mass.len()).filter(|c| mass[*c] > 0.0).collect();
    order.sort_by(|a, b| mass[*b].total_cmp(&mass[*a]).then(a.cmp(b)));
    let total: f64 = order.iter().map(|c| mass[*c]).sum();
    let mut sum = 0.0;
    let mut taken = Vec::new();
    for c in order {
        if sum >= share * total {
            break;
        }
        sum += mass[c];
        taken.push(c);
    }
    taken
}

fn distance_median(grid: &Grid, place: Coord<f64>, mass: &[f64]) -> Option<f64> {
    let mut by_distance: Vec<(f64, f64)> = mass
        .iter()
        .enumerate()
        .filter(|(_, m)| **m > 0.0)
        .map(|(cell, m)| {
            let c = grid.centre(cell);
            ((c.x - place.x).hypot(c.y - place.y), *m)
        })
        .collect();
    by_distance.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = by_distance.iter().map(|d| d.1).sum();
    let mut sum = 0.0;
    by_distance.into_iter().find_map(|(d, m)| {
        sum += m;
        (sum >= 0.5 * total).then_some(d)
    })
}
