//! The hazard field: white noise → autoregression → Matérn field → hazard → dispersal filter, and back.

use crate::geography::grid::Grid;
use crate::kernel::link;
use crate::kernel::operations::Covariate;
use crate::kernel::prior::{Hyper, LEVEL, OPERATION, PERSISTENCE, RANGE, SD};
use crate::numerics::autoregression::Autoregression;
use crate::numerics::cosine_transform::CosineTransform;
use crate::numerics::real::{Real, wide};
use crate::study::model_keys::Link;
use crate::study::study_file::Study;

/// Size and step of the field.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Rows, south to north.
    pub rows: usize,
    /// Periods.
    pub periods: usize,
    /// Columns, west to east.
    pub cols: usize,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Length of a period, months.
    pub period_months: f64,
    /// Mean natal dispersal distance, metres.
    pub dispersal_mean_m: f64,
    /// Link from latent field to hazard.
    pub link: Link,
    /// Share of the variance with the range `focus_range_m`, 0 to 1.
    pub focus_share: f64,
    /// Range of that share, metres.
    pub focus_range_m: f64,
}

impl Shape {
    /// Number of unknowns of the field.
    pub fn len(&self) -> usize {
        self.rows * self.periods * self.cols
    }
    /// Whether the field has no unknown at all (never true of a checked grid).
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// The dispersal kernel as a filter on the modes of a transform, rows × cols.
///
/// # Formula
/// ```text
/// f = 1/√(1 + a² K),  K = Σ_axes (2 − 2 cos(πi/n))/cell²
/// ```
/// K is the eigenvalue of the grid's own five-point Laplacian, not k²: the filter is then
/// (I + a²L)^(−1/2) of an M-matrix, whose entries are all non-negative, so no hazard turns
/// negative by ringing. The two differ at the scale of a cell only.
/// # Source
/// Transform of e^(−r/a)/(2πar), whose distances are exponential with mean a; positivity from
/// A^(−1/2) = (1/π)∫ s^(−1/2) (A + s)^(−1) ds and inverse-positivity of M-matrices (Berman & Plemmons).
pub fn dispersal_filter<R: Real>(
    transform: &CosineTransform<R>,
    rows: usize,
    cols: usize,
    cell_m: f64,
    mean_m: f64,
) -> Vec<f64> {
    let eigenvalue = |k: usize, n: usize| {
        (2.0 - 2.0 * (std::f64::consts::PI * k as f64 / n as f64).cos()) / (cell_m * cell_m)
    };
    let mut filter = Vec::with_capacity(rows * cols);
    for r in 0..rows {
        for c in 0..cols {
            let (i, j) = transform.frequency(r, c);
            filter.push(1.0 / (1.0 + mean_m * mean_m * (eigenvalue(i, rows) + eigenvalue(j, cols))).sqrt());
        }
    }
    filter
}

/// The field at one set of unknowns, with all that its gradient needs.
///
/// # Formula
/// ```text
/// â = R^½ z, R_ij = ρ^|i−j|,  x = μ + Xβ + sd · C⁻¹(s ⊙ â),  λ = link(x),  Dλ = C⁻¹(f ⊙ C λ)
/// s_k² = (1 − φ) m_k²(range) + φ m_k²(focus range),  m_k = √N w_k/√Σw²,  w_k = 1/(κ² + k²),  κ = √8/range
/// f: see dispersal_filter;  φ the share of foci, 0 unless the study says otherwise
/// ```
/// C the orthonormal cosine transform of each period, k² = (πi/L_y)² + (πj/L_x)² its squared
/// wavenumbers, a the mean dispersal distance. z are white in cosine space, which is the same
/// prior as white in space, and saves a transform.
/// # Shapes and units
/// all fields `[row][period][column]`; λ per year; range and a in metres.
/// # Assumes
/// Reflecting (Neumann) edges: the variance rises towards them, the cell average is sd². Dispersal
/// is reflected at the edge rather than lost.
/// # Source
/// Lindgren, Rue & Lindström (2011), α = 2 (Matérn ν = 1), range = √(8ν)/κ.
pub struct HazardField<R = f64> {
    shape: Shape,
    transform: CosineTransform<R>,
    /// k² per mode, rows × cols, 1/m².
    wavenumber2: Vec<f64>,
    /// Dispersal filter per mode, rows × cols.
    filter: Vec<R>,
    covariates: Vec<Covariate>,
    /// The covariates in the field's precision, with the rows in which they are not all zero.
    shares: Vec<(Vec<R>, Vec<usize>)>,
    /// φ m_k² of the share of foci.
    focus: Vec<f64>,
    /// Spectral weights for the current range, and their log-derivative to ln range.
    weight: Vec<R>,
    weight_slope: Vec<R>,
    weights_for: f64,
    process: Autoregression<R>,
    /// AR(1) image of z.
    ar: Vec<R>,
    /// Unit-variance field u, x = μ + Xβ + sd·u.
    unit: Vec<R>,
    /// λ(c, t), per year.
    pub hazard: Vec<R>,
    /// dλ/dx.
    slope: Vec<R>,
    /// (Dλ)(c, t), per year.
    pub dispersed: Vec<R>,
}

impl<R: Real> HazardField<R> {
    /// A field of a shape, with its past operations.
    pub fn new(shape: Shape, covariates: Vec<Covariate>) -> HazardField<R> {
        let transform = CosineTransform::new(shape.rows, shape.periods, shape.cols);
        let mut wavenumber2 = Vec::with_capacity(shape.rows * shape.cols);
        for r in 0..shape.rows {
            for c in 0..shape.cols {
                let (i, j) = transform.frequency(r, c);
                let wave = |k: usize, n: usize| std::f64::consts::PI * k as f64 / (n as f64 * shape.cell_m);
                wavenumber2.push(wave(i, shape.rows).powi(2) + wave(j, shape.cols).powi(2));
            }
        }
        let filter =
            dispersal_filter(&transform, shape.rows, shape.cols, shape.cell_m, shape.dispersal_mean_m);
        let (n, g, line) = (shape.len(), shape.rows * shape.cols, shape.periods * shape.cols);
        let shares = covariates.iter().map(|c| {
            let rows = (0..shape.rows).filter(|r| c.x[r * line..(r + 1) * line].iter().any(|v| *v != 0.0));
            (c.x.iter().map(|v| R::of(*v)).collect(), rows.collect())
        });
        let field = || vec![R::zero(); n];
        let focus = matern(&wavenumber2, shape.focus_range_m.ln());
        let focus = focus.into_iter().map(|(m, _)| shape.focus_share * m * m).collect();
        HazardField {
            focus,
            transform,
            wavenumber2,
            filter: filter.into_iter().map(R::of).collect(),
            shares: shares.collect(),
            covariates,
            weight: vec![R::zero(); g],
            weight_slope: vec![R::zero(); g],
            weights_for: f64::NAN,
            process: Autoregression::new(shape.periods, shape.cols),
            ar: field(),
            unit: field(),
            hazard: field(),
            slope: field(),
            dispersed: field(),
            shape,
        }
    }

    /// The field's size and step.
    pub fn shape(&self) -> &Shape {
        &self.shape
    }
    /// Past operations, one covariate a vector.
    pub fn covariates(&self) -> &[Covariate] {
        &self.covariates
    }

    /// Correlation from one period to the next.
    fn period_rho(&self, h: &Hyper) -> f64 {
        // A correlation of exactly 1 would leave the noise of later periods without effect or gradient.
        h.persistence().powf(self.shape.period_months / 6.0).min(1.0 - 1e-9)
    }

    fn set_weights(&mut self, log_range: f64) {
        if self.weights_for == log_range {
            return;
        }
        self.weights_for = log_range;
        let left = 1.0 - self.shape.focus_share;
        let weights = self.weight.iter_mut().zip(&mut self.weight_slope).zip(&self.focus);
        for (((weight, slope), focus), (m, drift)) in weights.zip(matern(&self.wavenumber2, log_range)) {
            let square = left * m * m + focus;
            *weight = R::of(square.sqrt());
            *slope = R::of(drift * (left * m * m / square));
        }
    }

    /// Prior s.d. A of the latent field's mean over cells and periods, and the derivatives of ln A by ln
    /// range and by the persistence's logit.
    ///
    /// # Formula
    /// ```text
    /// A² = Var(mean of sd · u) = (sd s_0)² Σ_ij ρ^|i−j| / (N T²)
    /// ```
    /// u the unit field, s_0 the weight of the mode without waves, N cells, T periods; the level and
    /// operations are known.
    pub fn sd_of_mean(&mut self, h: &Hyper) -> (f64, f64, f64) {
        self.set_weights(h.log_range);
        let (rho, n) = (self.period_rho(h), self.shape.periods);
        let (mut sum, mut slope, mut power) = (n as f64, 0.0, 1.0);
        for lag in 1..n {
            let pairs = 2.0 * (n - lag) as f64;
            slope += pairs * lag as f64 * power;
            power *= rho;
            sum += pairs * power;
        }
        let cells = (self.shape.rows * self.shape.cols) as f64;
        let sd = h.log_sd.exp() * self.weight[0].f64() * (sum / cells).sqrt() / n as f64;
        let by_logit = 0.5 * slope / sum * self.shape.period_months / 6.0 * rho * (1.0 - h.persistence());
        (sd, self.weight_slope[0].f64(), by_logit)
    }

    /// Computes the unit field, the latent field, the hazard and its dispersed image.
    ///
    /// # Shapes and units
    /// `z`: white noise, `[row mode][period][column mode]`.
    pub fn forward(&mut self, z: &[R], h: &Hyper) {
        self.set_weights(h.log_range);
        let (t, c) = (self.shape.periods, self.shape.cols);
        self.process.set(self.period_rho(h));
        let lines =
            self.unit.chunks_exact_mut(t * c).zip(self.ar.chunks_exact_mut(t * c)).zip(z.chunks_exact(t * c));
        wide(
            #[inline(always)]
            || {
                for (((unit, ar), z), w) in lines.zip(self.weight.chunks_exact(c)) {
                    self.process.forward(z, ar);
                    for (unit, ar) in unit.chunks_exact_mut(c).zip(ar.chunks_exact(c)) {
                        unit.iter_mut().zip(ar).zip(w).for_each(|((u, a), w)| *u = *a * *w);
                    }
                }
            },
        );
        self.transform.inverse(&mut self.unit);
        let (level, sd) = (R::of(h.level), R::of(h.log_sd.exp()));
        let line = t * c;
        // Row by row, while a row is in the nearest memory: x, then the hazard in its place.
        let rows = self.hazard.chunks_exact_mut(line).zip(self.slope.chunks_exact_mut(line));
        let rows =
            rows.zip(self.dispersed.chunks_exact_mut(line)).zip(self.unit.chunks_exact(line)).enumerate();
        for (row, (((hazard, slope), dispersed), unit)) in rows {
            wide(
                #[inline(always)]
                || hazard.iter_mut().zip(unit).for_each(|(x, u)| *x = level + sd * *u),
            );
            for ((share, rows), beta) in self.shares.iter().zip(&h.operation) {
                if rows.contains(&row) {
                    let beta = R::of(*beta);
                    let share = &share[row * line..(row + 1) * line];
                    hazard.iter_mut().zip(share).for_each(|(x, s)| *x += beta * *s);
                }
            }
            link::hazard(self.shape.link, hazard, slope);
            dispersed.copy_from_slice(hazard);
        }
        apply_filter(&mut self.transform, &mut self.dispersed, &self.filter, &self.shape);
    }

    /// From the gradient by hazard and dispersed hazard to that by noise and hyperparameters.
    ///
    /// # Shapes and units
    /// `by_hazard`, `by_dispersed`: fields, the second overwritten; `z` that of the last forward
    /// pass; `by_z`: field; `by_hyper`: in the order of [`Hyper::to_vec`], added to.
    /// # Numerics
    /// One row's sum in the field's precision, the sum of rows in double.
    pub fn backward(
        &mut self,
        by_hazard: &[R],
        by_dispersed: &mut [R],
        z: &[R],
        h: &Hyper,
        by_z: &mut [R],
        by_hyper: &mut [f64],
    ) {
        apply_filter(&mut self.transform, by_dispersed, &self.filter, &self.shape);
        let (t, c) = (self.shape.periods, self.shape.cols);
        let line = t * c;
        let sd = h.log_sd.exp();
        wide(
            #[inline(always)]
            || {
                for row in 0..self.shape.rows {
                    let at = row * line..(row + 1) * line;
                    let out = &mut by_z[at.clone()];
                    let (g, d, s) =
                        (&by_hazard[at.clone()], &by_dispersed[at.clone()], &self.slope[at.clone()]);
                    out.iter_mut().zip(g).zip(d).zip(s).for_each(|(((o, g), d), s)| *o = (*g + *d) * *s);
                    by_hyper[LEVEL] += sum(out);
                    by_hyper[SD] += sd * product(out, &self.unit[at]);
                }
            },
        );
        for (j, (share, rows)) in self.shares.iter().enumerate() {
            for row in rows {
                let at = row * line..(row + 1) * line;
                by_hyper[OPERATION + j] += product(&by_z[at.clone()], &share[at]);
            }
        }
        self.transform.forward(by_z);
        // By the weights: Σ_t ĝ a, mode by mode; then by the autoregression.
        let (mut by_range, mut by_rho) = (0.0, 0.0);
        let scale = R::of(sd);
        wide(
            #[inline(always)]
            || {
                for row in 0..self.shape.rows {
                    let at = row * line..(row + 1) * line;
                    let (g, a) = (&mut by_z[at.clone()], &self.ar[at.clone()]);
                    let weight = &self.weight[row * c..(row + 1) * c];
                    let slope = &self.weight_slope[row * c..(row + 1) * c];
                    for (g, a) in g.chunks_exact_mut(c).zip(a.chunks_exact(c)) {
                        g.iter_mut().zip(weight).for_each(|(g, w)| *g *= scale * *w);
                        by_range += triple(g, a, slope);
                    }
                    by_rho += self.process.backward(g, &z[at]);
                }
            },
        );
        by_hyper[RANGE] += by_range;
        let power = self.shape.period_months / 6.0;
        by_hyper[PERSISTENCE] += by_rho * power * self.process.rho() * (1.0 - h.persistence());
    }

    /// The change of hazard and dispersed hazard along a direction of the noise: J v.
    pub fn push_forward(&mut self, v: &[R], h: &Hyper, hazard: &mut [R], dispersed: &mut [R]) {
        let line = self.shape.periods * self.shape.cols;
        for (v, out) in v.chunks_exact(line).zip(hazard.chunks_exact_mut(line)) {
            self.process.forward(v, out);
        }
        scale_modes(hazard, &self.weight, &self.shape);
        self.transform.inverse(hazard);
        let sd = R::of(h.log_sd.exp());
        for (d, s) in hazard.iter_mut().zip(&self.slope) {
            *d *= sd * *s;
        }
        dispersed.copy_from_slice(hazard);
        apply_filter(&mut self.transform, dispersed, &self.filter, &self.shape);
    }

    /// The dispersal filter applied to any field of this shape, in place.
    pub fn disperse(&mut self, field: &mut [R]) {
        apply_filter(&mut self.transform, field, &self.filter, &self.shape);
    }
}

/// Spectral weights m_k of a range, with mean square 1, and d ln m_k/d ln range.
fn matern(wavenumber2: &[f64], log_range: f64) -> Vec<(f64, f64)> {
    let kappa2 = 8.0 * (-2.0 * log_range).exp();
    let w = || wavenumber2.iter().map(|k2| 1.0 / (kappa2 + k2));
    let square: f64 = w().map(|w| w * w).sum();
    // d ln w/d ln range = 2κ²/(κ² + k²), less its mean under w².
    let drift = w().map(|w| w * w * 2.0 * kappa2 * w).sum::<f64>() / square;
    let scale = (wavenumber2.len() as f64 / square).sqrt();
    w().map(|w| (w * scale, 2.0 * kappa2 * w - drift)).collect()
}

fn scale_modes<R: Real>(field: &mut [R], weight: &[R], shape: &Shape) {
    let (t, c) = (shape.periods, shape.cols);
    wide(
        #[inline(always)]
        || {
            for (lines, w) in field.chunks_exact_mut(t * c).zip(weight.chunks_exact(c)) {
                for line in lines.chunks_exact_mut(c) {
                    line.iter_mut().zip(w).for_each(|(x, w)| *x *= *w);
                }
            }
        },
    );
}

fn apply_filter<R: Real>(transform: &mut CosineTransform<R>, field: &mut [R], filter: &[R], shape: &Shape) {
    transform.forward(field);
    scale_modes(field, filter, shape);
    transform.inverse(field);
}

/// Sum over one row, eight lanes at a time.
#[inline(always)]
fn sum<R: Real>(a: &[R]) -> f64 {
    lanes(a.len(), |i| a[i])
}

/// Inner product over one row.
#[inline(always)]
fn product<R: Real>(a: &[R], b: &[R]) -> f64 {
    let b = &b[..a.len()];
    lanes(a.len(), |i| a[i] * b[i])
}

/// Σ a b c over one line.
#[inline(always)]
fn triple<R: Real>(a: &[R], b: &[R], c: &[R]) -> f64 {
    let (b, c) = (&b[..a.len()], &c[..a.len()]);
    lanes(a.len(), |i| a[i] * b[i] * c[i])
}

#[inline(always)]
fn lanes<R: Real>(n: usize, term: impl Fn(usize) -> R) -> f64 {
    let mut lanes = [R::zero(); 8];
    let whole = n / 8 * 8;
    let mut i = 0;
    while i < whole {
        for (j, lane) in lanes.iter_mut().enumerate() {
            *lane += term(i + j);
        }
        i += 8;
    }
    let tail: f64 = (whole..n).map(|i| term(i).f64()).sum();
    lanes.iter().map(|l| l.f64()).sum::<f64>() + tail
}

/// The field's shape for a study on a grid.
pub fn shape_of(study: &Study, grid: &Grid) -> Shape {
    Shape {
        rows: grid.rows,
        periods: grid.periods(),
        cols: grid.cols,
        cell_m: grid.cell_m,
        period_months: f64::from(grid.period_months),
        dispersal_mean_m: study.dispersal.mean_m,
        link: study.field.link,
        focus_share: study.field.focus_share,
        focus_range_m: study.field.focus_range_m,
    }
}
