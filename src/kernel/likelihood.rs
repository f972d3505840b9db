//! The likelihood of all pigs given the hazard, with its exact gradient and Fisher product.

use super::detection::reading_terms;
use super::exposure::{Bin, Life, age_class_weights, lives};
use super::footprint::{Footprint, Gather, Scatter, padded};
use super::home_range::{AxisMass, axis_mass, pig_sd_m};
use crate::grid::Grid;
use crate::num::link;
use crate::num::real::Real;
use crate::record::Pig;
use crate::study::Study;

/// Bins of consecutive periods with one and the same visibility: to the recursion they are one bin.
///
/// Within it Σ_k R̄ e^(−older)(1 − e^(−h_k)) telescopes to R̄ e^(−older)(1 − e^(−Σh)). With the default ramp a
/// life is then some five bins, however long.
#[derive(Debug, Clone, Copy)]
struct Run {
    ramp: f64,
    /// Its bins among all.
    from: u32,
    to: u32,
}

/// One bin of a run.
#[derive(Debug, Clone, Copy)]
struct Term {
    /// Place among the gathered hazards.
    at: u32,
    /// Years of exposure as a resident.
    stay: f64,
    /// Years before dispersal.
    moved: f64,
}

/// Bins whose mean ramps differ by less than this are one run: rounding of the ramp's integral.
const SAME_RAMP: f64 = 1e-12;

/// Every pig's window, lives and reading, laid out for speed.
///
/// # Formula
/// ```text
/// H_t = Σ_c w_c λ(c, t),  M_t = Σ_c w_c (Dλ)(c, t),  h_k = E_k[(1 − m_k) H + m_k M]
/// Q = Σ_lives π Σ_k R̄_k exp(−Σ_{older} h)(1 − e^(−h_k)),   L = a + b Q
/// ∂Q/∂h_j = R̄_j e^(−Σ_{older} h − h_j) − Σ_{newer k} R̄_k e^(−Σ_{older} h)(1 − e^(−h_k))
/// ```
/// # Assumes
/// Pigs independent given the hazard.
/// # Source
/// Current-status likelihood with a competing visibility ramp, method note §3; with R̄ = 1, Se = 1,
/// f = 0 and constant λ the catalytic model 1 − e^(−λa) (Muench 1934).
pub struct Likelihood<R = f64> {
    pigs: Vec<Footprint>,
    /// Position of each footprint in the caller's list of pigs.
    order: Vec<usize>,
    axis: Vec<R>,
    lives: Vec<(f64, std::ops::Range<usize>)>,
    runs: Vec<Run>,
    terms: Vec<Term>,
    /// Gathered hazards H and M, and the gradients by them.
    stay: Vec<f64>,
    moved: Vec<f64>,
    by_stay: Vec<f64>,
    by_moved: Vec<f64>,
    /// 1 − e^(−h) per run, of the last evaluation.
    infected: Vec<f64>,
    /// ∂Q/∂h per run (weighted by its life), of the last evaluation.
    q_slope: Vec<f64>,
    /// L of each footprint at the last evaluation.
    value: Vec<f64>,
    periods: usize,
    cols: usize,
    /// Mean mass of the displacement kernel that falls off the grid.
    pub mean_mass_off_grid: f64,
}

impl<R: Real> Likelihood<R> {
    /// Lays out all pigs of a study on its grid.
    pub fn new(pigs: &[Pig], study: &Study, grid: &Grid) -> Likelihood<R> {
        let classes = age_class_weights(pigs);
        let parts = pigs.iter().map(|pig| {
            let sd = pig_sd_m(&study.home_range, pig);
            PigTerms {
                rows: axis_mass(pig.northing_m, sd, grid.south_m, grid.cell_m, grid.rows),
                cols: axis_mass(pig.easting_m, sd, grid.west_m, grid.cell_m, grid.cols),
                lives: lives(pig, study, grid, &classes),
                reading: reading_terms(&study.detection, pig),
            }
        });
        Likelihood::from_terms(parts.collect(), grid.rows, grid.periods(), grid.cols)
    }

    /// From terms computed elsewhere: for tests against other software and for what-if pigs.
    ///
    /// Pigs are put in an order that depends on their terms only, so that the order of rows in a
    /// file changes nothing, not even rounding.
    pub fn from_terms(parts: Vec<PigTerms>, rows: usize, periods: usize, cols: usize) -> Likelihood<R> {
        let mut order: Vec<usize> = (0..parts.len()).collect();
        let place =
            |p: &PigTerms| (p.rows.start, p.lives.iter().flat_map(|l| &l.bins).map(|b| b.period).min(), p.cols.start);
        // Pigs of one place and period are told apart by every number they bring: a mob shot together
        // shares all but age or sex.
        let numbers = |p: &PigTerms| -> Vec<u64> {
            let bins = p.lives.iter().flat_map(|l| {
                let ends = [l.weight, l.death, l.bins.len() as f64];
                ends.into_iter()
                    .chain(l.bins.iter().flat_map(|b| [b.period as f64, b.stay_years, b.moved_years, b.ramp]))
            });
            let masses = p.rows.mass.iter().chain(&p.cols.mass).copied();
            [p.reading.0, p.reading.1].into_iter().chain(masses).chain(bins).map(f64::to_bits).collect()
        };
        order.sort_by(|a, b| {
            let (a, b) = (&parts[*a], &parts[*b]);
            place(a).cmp(&place(b)).then_with(|| numbers(a).cmp(&numbers(b)))
        });
        let mut l = Likelihood {
            pigs: Vec::with_capacity(parts.len()),
            axis: Vec::new(),
            lives: Vec::new(),
            runs: Vec::new(),
            terms: Vec::new(),
            stay: Vec::new(),
            moved: Vec::new(),
            by_stay: Vec::new(),
            by_moved: Vec::new(),
            infected: Vec::new(),
            q_slope: Vec::new(),
            value: vec![0.0; parts.len()],
            periods,
            cols,
            mean_mass_off_grid: 0.0,
            order: Vec::new(),
        };
        for &i in &order {
            l.add(&parts[i], rows);
        }
        if !parts.is_empty() {
            l.mean_mass_off_grid = parts.iter().map(PigTerms::off_grid).sum::<f64>() / parts.len() as f64;
        }
        let gathered = l.stay.len();
        l.moved = vec![0.0; gathered];
        l.by_stay = vec![0.0; gathered];
        l.by_moved = vec![0.0; gathered];
        l.infected = vec![0.0; l.runs.len()];
        l.q_slope = vec![0.0; l.runs.len()];
        l.order = order;
        l
    }

    fn add(&mut self, p: &PigTerms, rows: usize) {
        let bins = || p.lives.iter().flat_map(|l| &l.bins);
        let first = bins().map(|b| b.period).min().unwrap_or(0);
        let last = bins().map(|b| b.period).max().unwrap_or(0);
        let (col, cols) = padded(p.cols.start, p.cols.mass.len(), self.cols);
        let row_mass = self.axis.len();
        self.axis.extend(p.rows.mass.iter().map(|m| R::of(*m)));
        let col_mass = self.axis.len();
        self.axis.resize(col_mass + cols, R::zero());
        let inner = col_mass + p.cols.start - col;
        self.axis[inner..].iter_mut().zip(&p.cols.mass).for_each(|(a, m)| *a = R::of(*m));
        let gathered = self.stay.len();
        let first_life = self.lives.len();
        for life in &p.lives {
            let from = self.runs.len();
            // Oldest first: the recursion runs forward in time.
            let bins: Vec<&Bin> = life.bins.iter().rev().collect();
            let one_run = |a: &&Bin, b: &&Bin| b.period == a.period + 1 && (b.ramp - a.ramp).abs() < SAME_RAMP;
            for bins in bins.chunk_by(one_run) {
                let start = self.terms.len() as u32;
                self.terms.extend(bins.iter().map(|b| Term {
                    at: (gathered + b.period - first) as u32,
                    stay: b.stay_years,
                    moved: b.moved_years,
                }));
                self.runs.push(Run { ramp: bins[0].ramp, from: start, to: self.terms.len() as u32 });
            }
            self.lives.push((life.weight, from..self.runs.len()));
        }
        self.stay.resize(gathered + last - first + 1, 0.0);
        debug_assert!(p.rows.start + p.rows.mass.len() <= rows);
        self.pigs.push(Footprint {
            row: p.rows.start,
            rows: p.rows.mass.len(),
            col,
            cols,
            row_mass,
            col_mass,
            period: first,
            periods: last - first + 1,
            gathered,
            moved: bins().filter(|b| b.moved_years > 0.0).map(|b| b.period - first).fold(0..0, |range, p| {
                if range.is_empty() { p..p + 1 } else { range.start.min(p)..range.end.max(p + 1) }
            }),
            a: p.reading.0,
            b: p.reading.1,
            lives: first_life..self.lives.len(),
        });
    }

    /// Number of pigs.
    pub fn len(&self) -> usize {
        self.pigs.len()
    }
    /// Whether there is no pig.
    pub fn is_empty(&self) -> bool {
        self.pigs.is_empty()
    }

    /// ln likelihood of each pig at the last evaluation, in the caller's order.
    pub fn pointwise(&self) -> Vec<f64> {
        let mut out = vec![0.0; self.pigs.len()];
        for (k, i) in self.order.iter().enumerate() {
            out[*i] = self.value[k].ln();
        }
        out
    }

    /// ln likelihood, and its gradient by hazard and by dispersed hazard.
    ///
    /// # Shapes and units
    /// all fields `[row][period][column]`, hazards per year; the gradients are overwritten.
    pub fn value_gradient(
        &mut self,
        hazard: &[R],
        dispersed: &[R],
        by_hazard: &mut [R],
        by_dispersed: &mut [R],
    ) -> f64 {
        self.gather(hazard, dispersed);
        let (stay, moved, terms) = (&self.stay, &self.moved, &self.terms);
        for (h, run) in self.infected.iter_mut().zip(&self.runs) {
            *h = run.hazard(terms, stay, moved);
        }
        link::infected(&mut self.infected);
        let mut total = 0.0;
        self.by_stay.fill(0.0);
        self.by_moved.fill(0.0);
        for (k, pig) in self.pigs.iter().enumerate() {
            let mut q = 0.0;
            for (weight, range) in &self.lives[pig.lives.clone()] {
                let (runs, infected) = (&self.runs[range.clone()], &self.infected[range.clone()]);
                q += weight * life_q(runs, infected, *weight, &mut self.q_slope[range.clone()]);
            }
            let value = (pig.a + pig.b * q).max(f64::MIN_POSITIVE);
            self.value[k] = value;
            total += value.ln();
            for (_, range) in &self.lives[pig.lives.clone()] {
                for (run, slope) in self.runs[range.clone()].iter().zip(&self.q_slope[range.clone()]) {
                    run.spread(terms, pig.b / value * slope, &mut self.by_stay, &mut self.by_moved);
                }
            }
        }
        self.scatter(by_hazard, by_dispersed);
        total
    }

    /// Fisher product at the last evaluation: from a change of the hazards to the matching gradient.
    ///
    /// # Formula
    /// ```text
    /// F v = Σ_i ∇p_i (∇p_i · v) / (p_i (1 − p_i))
    /// ```
    pub fn fisher(&mut self, d_hazard: &[R], d_dispersed: &[R], by_hazard: &mut [R], by_dispersed: &mut [R]) {
        self.gather(d_hazard, d_dispersed);
        self.by_stay.fill(0.0);
        self.by_moved.fill(0.0);
        for (k, pig) in self.pigs.iter().enumerate() {
            let runs = || {
                let lives = self.lives[pig.lives.clone()].iter();
                lives.flat_map(|(_, range)| self.runs[range.clone()].iter().zip(&self.q_slope[range.clone()]))
            };
            let change: f64 = runs().map(|(run, s)| s * run.hazard(&self.terms, &self.stay, &self.moved)).sum();
            // L is p or 1 − p: p(1 − p) is the same for both.
            let p = self.value[k].clamp(1e-12, 1.0 - 1e-12);
            let scale = pig.b * pig.b * change / (p * (1.0 - p));
            for (run, slope) in runs() {
                run.spread(&self.terms, scale * slope, &mut self.by_stay, &mut self.by_moved);
            }
        }
        self.scatter(by_hazard, by_dispersed);
    }

    fn gather(&mut self, hazard: &[R], dispersed: &[R]) {
        pulp::Arch::new().dispatch(Gather {
            pigs: &self.pigs,
            axis: &self.axis,
            periods: self.periods,
            cols: self.cols,
            fields: [hazard, dispersed],
            out: [&mut self.stay, &mut self.moved],
        });
    }

    fn scatter(&mut self, by_hazard: &mut [R], by_dispersed: &mut [R]) {
        by_hazard.fill(R::zero());
        by_dispersed.fill(R::zero());
        pulp::Arch::new().dispatch(Scatter {
            pigs: &self.pigs,
            axis: &self.axis,
            periods: self.periods,
            cols: self.cols,
            by: [&self.by_stay, &self.by_moved],
            fields: [by_hazard, by_dispersed],
        });
    }
}

/// One pig's terms before they are laid out.
#[derive(Debug, Clone)]
pub struct PigTerms {
    /// Displacement mass over rows.
    pub rows: AxisMass,
    /// Displacement mass over columns.
    pub cols: AxisMass,
    /// Possible lives.
    pub lives: Vec<Life>,
    /// (a, b) of the reading: L = a + b Q.
    pub reading: (f64, f64),
}

impl PigTerms {
    /// Mass of the displacement kernel off the grid.
    pub fn off_grid(&self) -> f64 {
        1.0 - (1.0 - self.rows.off_grid) * (1.0 - self.cols.off_grid)
    }
}

impl Run {
    #[inline(always)]
    fn terms(self, terms: &[Term]) -> &[Term] {
        &terms[self.from as usize..self.to as usize]
    }
    /// h of the run: its years of exposure times the gathered hazards.
    #[inline(always)]
    fn hazard(self, terms: &[Term], stay: &[f64], moved: &[f64]) -> f64 {
        let (mut as_resident, mut before) = (0.0, 0.0);
        for term in self.terms(terms) {
            let at = term.at as usize;
            as_resident += term.stay * stay[at];
            before += term.moved * moved[at];
        }
        as_resident + before
    }
    /// The transpose: a slope by h to those by gathered hazards, added.
    #[inline(always)]
    fn spread(self, terms: &[Term], slope: f64, by_stay: &mut [f64], by_moved: &mut [f64]) {
        for term in self.terms(terms) {
            let at = term.at as usize;
            by_stay[at] += slope * term.stay;
            by_moved[at] += slope * term.moved;
        }
    }
}

/// Q of one life, and weight·∂Q/∂h of each of its runs (oldest first).
#[inline]
fn life_q(runs: &[Run], infected: &[f64], weight: f64, slope: &mut [f64]) -> f64 {
    let mut survive = 1.0;
    let mut q = 0.0;
    for ((run, infected), s) in runs.iter().zip(infected).zip(slope.iter_mut()) {
        q += run.ramp * survive * infected;
        survive *= 1.0 - infected;
        // First half of the derivative; the contribution of newer bins is taken away below.
        *s = run.ramp * survive + q;
    }
    for s in slope.iter_mut() {
        *s = weight * (*s - q);
    }
    q
}
