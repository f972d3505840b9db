//! The hazard field: white noise → autoregression → Matérn field → hazard → dispersal filter, and back.

use super::operations::Covariate;
use super::prior::{Hyper, LEVEL, OPERATION, PERSISTENCE, RANGE, SD};
use crate::num::autoregression::{self, Layout};
use crate::num::cosine::CosineTransform;
use crate::num::hmc::dot;
use crate::num::link;
use crate::study::Link;

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
pub fn dispersal_filter(transform: &CosineTransform, rows: usize, cols: usize, cell_m: f64, mean_m: f64) -> Vec<f64> {
    let eigenvalue =
        |k: usize, n: usize| (2.0 - 2.0 * (std::f64::consts::PI * k as f64 / n as f64).cos()) / (cell_m * cell_m);
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
/// â = AR(1)(z),  x = μ + Xβ + sd · C⁻¹(s ⊙ â),  λ = link(x),  Dλ = C⁻¹(f ⊙ C λ)
/// s_k = √N w_k/√Σw²,  w_k = 1/(κ² + k²),  κ = √8/range;   f: see dispersal_filter
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
pub struct HazardField {
    shape: Shape,
    transform: CosineTransform,
    /// k² per mode, rows × cols, 1/m².
    wavenumber2: Vec<f64>,
    /// Dispersal filter per mode, rows × cols.
    filter: Vec<f64>,
    covariates: Vec<Covariate>,
    /// Spectral weights for the current range, and their log-derivative to ln range.
    weight: Vec<f64>,
    weight_slope: Vec<f64>,
    weights_for: f64,
    rho: f64,
    /// AR(1) image of z.
    ar: Vec<f64>,
    /// Unit-variance field u, x = μ + Xβ + sd·u.
    unit: Vec<f64>,
    x: Vec<f64>,
    /// λ(c, t), per year.
    pub hazard: Vec<f64>,
    /// dλ/dx.
    slope: Vec<f64>,
    /// (Dλ)(c, t), per year.
    pub dispersed: Vec<f64>,
    work: Vec<f64>,
}

impl HazardField {
    /// A field of a shape, with its past operations.
    pub fn new(shape: Shape, covariates: Vec<Covariate>) -> HazardField {
        let transform = CosineTransform::new(shape.rows, shape.periods, shape.cols);
        let mut wavenumber2 = Vec::with_capacity(shape.rows * shape.cols);
        for r in 0..shape.rows {
            for c in 0..shape.cols {
                let (i, j) = transform.frequency(r, c);
                let wave = |k: usize, n: usize| std::f64::consts::PI * k as f64 / (n as f64 * shape.cell_m);
                wavenumber2.push(wave(i, shape.rows).powi(2) + wave(j, shape.cols).powi(2));
            }
        }
        let filter = dispersal_filter(&transform, shape.rows, shape.cols, shape.cell_m, shape.dispersal_mean_m);
        let (n, g) = (shape.len(), shape.rows * shape.cols);
        HazardField {
            transform,
            wavenumber2,
            filter,
            covariates,
            weight: vec![0.0; g],
            weight_slope: vec![0.0; g],
            weights_for: f64::NAN,
            rho: 0.0,
            ar: vec![0.0; n],
            unit: vec![0.0; n],
            x: vec![0.0; n],
            hazard: vec![0.0; n],
            slope: vec![0.0; n],
            dispersed: vec![0.0; n],
            work: vec![0.0; n],
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
    /// The latent field x of the last [`HazardField::forward`].
    pub fn latent(&self) -> &[f64] {
        &self.x
    }
    /// The unit-variance field of the last [`HazardField::forward`].
    pub fn unit(&self) -> &[f64] {
        &self.unit
    }

    fn layout(&self) -> Layout {
        Layout { lines: self.shape.rows, periods: self.shape.periods, cols: self.shape.cols }
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
        let kappa2 = 8.0 * (-2.0 * log_range).exp();
        let (mut square, mut drift) = (0.0, 0.0);
        for ((w, s), k2) in self.weight.iter_mut().zip(&mut self.weight_slope).zip(&self.wavenumber2) {
            *w = 1.0 / (kappa2 + k2);
            // d ln w / d ln range = 2κ²/(κ² + k²)
            *s = 2.0 * kappa2 * *w;
            square += *w * *w;
            drift += *w * *w * *s;
        }
        let scale = ((self.weight.len()) as f64 / square).sqrt();
        for (w, s) in self.weight.iter_mut().zip(&mut self.weight_slope) {
            *w *= scale;
            *s -= drift / square;
        }
    }

    /// Computes the unit field, the latent field, the hazard and its dispersed image.
    ///
    /// # Shapes and units
    /// `z`: white noise, `[row mode][period][column mode]`.
    pub fn forward(&mut self, z: &[f64], h: &Hyper) {
        self.set_weights(h.log_range);
        self.rho = self.period_rho(h);
        self.ar.copy_from_slice(z);
        let layout = self.layout();
        autoregression::forward(&mut self.ar, layout, self.rho);
        let (t, c) = (self.shape.periods, self.shape.cols);
        let lines = self.unit.chunks_exact_mut(t * c).zip(self.ar.chunks_exact(t * c));
        for ((unit, ar), w) in lines.zip(self.weight.chunks_exact(c)) {
            for (unit, ar) in unit.chunks_exact_mut(c).zip(ar.chunks_exact(c)) {
                unit.iter_mut().zip(ar).zip(w).for_each(|((u, a), w)| *u = a * w);
            }
        }
        self.transform.inverse(&mut self.unit);
        let sd = h.log_sd.exp();
        for (x, u) in self.x.iter_mut().zip(&self.unit) {
            *x = h.level + sd * u;
        }
        for (covariate, beta) in self.covariates.iter().zip(&h.operation) {
            for (x, c) in self.x.iter_mut().zip(&covariate.x) {
                *x += beta * c;
            }
        }
        link::hazard(self.shape.link, &self.x, &mut self.hazard, &mut self.slope);
        self.dispersed.copy_from_slice(&self.hazard);
        apply_filter(&mut self.transform, &mut self.dispersed, &self.filter, &self.shape);
    }

    /// From the gradient by hazard and dispersed hazard to that by noise and hyperparameters.
    ///
    /// # Shapes and units
    /// `by_hazard`, `by_dispersed`: fields, overwritten; `z` that of the last forward pass; `by_z`:
    /// field; `by_hyper`: in the order of [`Hyper::to_vec`], added to.
    pub fn backward(
        &mut self,
        by_hazard: &mut [f64],
        by_dispersed: &mut [f64],
        z: &[f64],
        h: &Hyper,
        by_z: &mut [f64],
        by_hyper: &mut [f64],
    ) {
        apply_filter(&mut self.transform, by_dispersed, &self.filter, &self.shape);
        for (((g, d), s), w) in by_hazard.iter().zip(&*by_dispersed).zip(&self.slope).zip(&mut self.work) {
            *w = (g + d) * s;
        }
        let sd = h.log_sd.exp();
        let mut lanes = [0.0; 8];
        for (i, w) in self.work.iter().enumerate() {
            lanes[i & 7] += w;
        }
        by_hyper[LEVEL] += lanes.iter().sum::<f64>();
        by_hyper[SD] += sd * dot(&self.work, &self.unit);
        for (j, covariate) in self.covariates.iter().enumerate() {
            by_hyper[OPERATION + j] += dot(&self.work, &covariate.x);
        }
        for (g, w) in by_z.iter_mut().zip(&self.work) {
            *g = sd * w;
        }
        self.transform.forward(by_z);
        // By the weights: Σ_t ĝ a, mode by mode; then by the autoregression.
        let (t, c) = (self.shape.periods, self.shape.cols);
        let mut by_range = 0.0;
        for (r, (g, a)) in by_z.chunks_exact_mut(t * c).zip(self.ar.chunks_exact(t * c)).enumerate() {
            let weight = &self.weight[r * c..(r + 1) * c];
            let slope = &self.weight_slope[r * c..(r + 1) * c];
            for (g, a) in g.chunks_exact_mut(c).zip(a.chunks_exact(c)) {
                for (((g, a), w), s) in g.iter_mut().zip(a).zip(weight).zip(slope) {
                    *g *= w;
                    by_range += *g * a * s;
                }
            }
        }
        by_hyper[RANGE] += by_range;
        let layout = self.layout();
        let by_rho = autoregression::backward(by_z, z, &self.ar, layout, self.rho);
        let power = self.shape.period_months / 6.0;
        by_hyper[PERSISTENCE] += by_rho * power * self.rho * (1.0 - h.persistence());
    }

    /// The change of hazard and dispersed hazard along a direction of the noise: J v.
    pub fn push_forward(&mut self, v: &[f64], h: &Hyper, hazard: &mut [f64], dispersed: &mut [f64]) {
        hazard.copy_from_slice(v);
        let layout = self.layout();
        autoregression::forward(hazard, layout, self.rho);
        scale_modes(hazard, &self.weight, &self.shape);
        self.transform.inverse(hazard);
        let sd = h.log_sd.exp();
        for (d, s) in hazard.iter_mut().zip(&self.slope) {
            *d *= sd * s;
        }
        dispersed.copy_from_slice(hazard);
        apply_filter(&mut self.transform, dispersed, &self.filter, &self.shape);
    }

    /// The dispersal filter applied to any field of this shape, in place.
    pub fn disperse(&mut self, field: &mut [f64]) {
        apply_filter(&mut self.transform, field, &self.filter, &self.shape);
    }
}

fn scale_modes(field: &mut [f64], weight: &[f64], shape: &Shape) {
    let (t, c) = (shape.periods, shape.cols);
    for (lines, w) in field.chunks_exact_mut(t * c).zip(weight.chunks_exact(c)) {
        for line in lines.chunks_exact_mut(c) {
            line.iter_mut().zip(w).for_each(|(x, w)| *x *= w);
        }
    }
}

fn apply_filter(transform: &mut CosineTransform, field: &mut [f64], filter: &[f64], shape: &Shape) {
    transform.forward(field);
    scale_modes(field, filter, shape);
    transform.inverse(field);
}
