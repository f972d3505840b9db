//! The likelihood of all pigs given the hazard, with its exact gradient and Fisher product.

use crate::geography::grid::Grid;
use crate::kernel::detection::reading_terms;
use crate::kernel::exposure::{Life, age_class_weights, lives};
use crate::kernel::home_range::{AxisMass, axis_mass, pig_sd_m};
use crate::kernel::kernel_window::{KernelWindow, Windows, padded};
use crate::kernel::recursion::{Lives, LooseLife};
use crate::numerics::real::Real;
use crate::records::Pig;
use crate::study::study_file::Study;

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
    pigs: Vec<KernelWindow>,
    /// Position of each window in the caller's list of pigs.
    order: Vec<usize>,
    axis: Vec<R>,
    lives: Lives<R>,
    /// Hazards gathered over each pig's window, and the gradient by them.
    gathered: Vec<R>,
    by_gathered: Vec<R>,
    /// Q of each window, then what its slope is multiplied with.
    of_pig: Vec<f64>,
    /// L of each window at the last evaluation.
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
        let place = |p: &PigTerms| {
            (p.rows.start, p.lives.iter().flat_map(|l| &l.bins).map(|b| b.period).min(), p.cols.start)
        };
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
        let mut l = PackedPigs {
            pigs: Vec::with_capacity(parts.len()),
            axis: Vec::new(),
            lives: Vec::new(),
            gathered: 0,
        };
        for &i in &order {
            l.add(&parts[i], rows, cols);
        }
        let off_grid = parts.iter().map(PigTerms::off_grid).sum::<f64>();
        Likelihood {
            pigs: l.pigs,
            order,
            axis: l.axis,
            lives: Lives::new(l.lives),
            gathered: vec![R::zero(); l.gathered],
            by_gathered: vec![R::zero(); l.gathered],
            of_pig: vec![0.0; parts.len()],
            value: vec![0.0; parts.len()],
            periods,
            cols,
            mean_mass_off_grid: off_grid / parts.len().max(1) as f64,
        }
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
        self.of_pig.fill(0.0);
        self.lives.q(&self.gathered, &mut self.of_pig);
        let mut total = 0.0;
        for ((pig, of_pig), value) in self.pigs.iter().zip(&mut self.of_pig).zip(&mut self.value) {
            *value = (pig.a + pig.b * *of_pig).max(f64::MIN_POSITIVE);
            total += value.ln();
            *of_pig = pig.b / *value;
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
        self.of_pig.fill(0.0);
        self.lives.change(&self.gathered, &mut self.of_pig);
        for ((pig, of_pig), value) in self.pigs.iter().zip(&mut self.of_pig).zip(&self.value) {
            // L is p or 1 − p: p(1 − p) is the same for both.
            let p = value.clamp(1e-12, 1.0 - 1e-12);
            *of_pig *= pig.b * pig.b / (p * (1.0 - p));
        }
        self.scatter(by_hazard, by_dispersed);
    }

    fn windows(&self) -> Windows<'_, R> {
        Windows { pigs: &self.pigs, axis: &self.axis, periods: self.periods, cols: self.cols }
    }

    fn gather(&mut self, hazard: &[R], dispersed: &[R]) {
        let mut gathered = std::mem::take(&mut self.gathered);
        self.windows().gather(hazard, dispersed, &mut gathered);
        self.gathered = gathered;
    }

    /// From a factor a pig to the gradient by the fields.
    fn scatter(&mut self, by_hazard: &mut [R], by_dispersed: &mut [R]) {
        let mut by_gathered = std::mem::take(&mut self.by_gathered);
        self.lives.spread(&self.of_pig, &mut by_gathered);
        self.windows().scatter(&mut by_gathered, by_hazard, by_dispersed);
        self.by_gathered = by_gathered;
    }
}

/// What has been laid out so far.
struct PackedPigs<R> {
    pigs: Vec<KernelWindow>,
    axis: Vec<R>,
    lives: Vec<LooseLife>,
    gathered: usize,
}

impl<R: Real> PackedPigs<R> {
    fn add(&mut self, p: &PigTerms, grid_rows: usize, grid_cols: usize) {
        debug_assert!(p.rows.start + p.rows.mass.len() <= grid_rows);
        let bins = || p.lives.iter().flat_map(|l| &l.bins);
        let first = bins().map(|b| b.period).min().unwrap_or(0);
        let last = bins().map(|b| b.period).max().unwrap_or(0);
        let (col, cols) = padded(p.cols.start, p.cols.mass.len(), grid_cols);
        let row_mass = self.axis.len();
        self.axis.extend(p.rows.mass.iter().map(|m| R::of(*m)));
        let col_mass = self.axis.len();
        self.axis.resize(col_mass + cols, R::zero());
        let inner = col_mass + p.cols.start - col;
        self.axis[inner..].iter_mut().zip(&p.cols.mass).for_each(|(a, m)| *a = R::of(*m));
        let moved =
            bins().filter(|b| b.moved_years > 0.0).map(|b| b.period - first).fold(0..0, |range, p| {
                if range.is_empty() { p..p + 1 } else { range.start.min(p)..range.end.max(p + 1) }
            });
        let periods = last - first + 1;
        let resident = |period: usize| self.gathered + period - first;
        let before = |period: usize| self.gathered + periods + (period - first) - moved.start;
        let lives = p.lives.iter().map(|life| LooseLife::new(self.pigs.len(), life, resident, before));
        self.lives.extend(lives);
        self.gathered += periods + moved.len();
        self.pigs.push(KernelWindow {
            row: p.rows.start,
            rows: p.rows.mass.len(),
            col,
            cols,
            row_mass,
            col_mass,
            period: first,
            periods,
            moved,
            a: p.reading.0,
            b: p.reading.1,
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
