//! The posterior with the mean of the latent field in the place of its level.

use crate::kernel::model::Model;
use crate::kernel::prior::{LEVEL, PERSISTENCE, RANGE, SD};
use crate::numerics::real::Real;
use crate::sampler::hmc::Target;

/// A model whose first coordinate says the mean of the latent field over cells and periods, in the place of
/// its level.
///
/// # Formula
/// ```text
/// M = level + A u,  u = Σ_t z_t/√T ~ N(0, 1),  A² = Var(mean of sd · unit field | range, s.d., persistence)
/// ```
/// z_t the noise of the mode without any waves in period t of T: A u is the mean, but that the first and last
/// periods weigh a little less there. Whatever it is, the change of coordinates is a shear: no Jacobian.
///
/// Records tell the mean well, and hardly what is level in it and what is noise. With the level as a
/// coordinate a change of range, s.d. or persistence moves the mean by a part of A u, and where A is high
/// steps would have to be short.
/// # Shapes and units
/// As [`Model`], whose coordinates these are but for the first; that one is in units of the level's.
/// # Source
/// Centring, of one direction: Papaspiliopoulos, Roberts & Sköld (2007).
pub struct MeanParametrisation<R = f64> {
    /// The model itself.
    pub model: Model<R>,
}

/// What the noise adds to the mean of the latent field, in units of the level's coordinate.
struct OfNoise {
    /// A u.
    value: f64,
    /// Its derivative by each coordinate.
    by_eta: Vec<f64>,
    /// A.
    sd: f64,
}

/// The noise of the mode without any waves: one value a period.
fn constant_mode<R: Real>(model: &Model<R>) -> impl Iterator<Item = usize> {
    let shape = model.field.shape();
    (0..shape.periods * shape.cols).step_by(shape.cols)
}

/// Length of (1, …, 1), one a period.
fn length<R: Real>(model: &Model<R>) -> f64 {
    (model.field.shape().periods as f64).sqrt()
}

/// u.
fn along<R: Real>(model: &Model<R>, noise: &[R]) -> f64 {
    constant_mode(model).map(|i| noise[i].f64()).sum::<f64>() / length(model)
}

/// u += by.
fn add<R: Real>(model: &Model<R>, noise: &mut [R], by: f64) {
    let each = R::of(by / length(model));
    constant_mode(model).for_each(|i| noise[i] += each);
}

fn of_noise<R: Real>(model: &mut Model<R>, z: &[R], eta: &[f64]) -> OfNoise {
    let hyper = model.hyper_at(eta);
    let (sd, by_range, by_persistence) = model.field.sd_of_mean(&hyper);
    let sd = sd / model.unit[LEVEL];
    let value = sd * along(model, z);
    let relative = |i: usize| match i {
        RANGE => by_range,
        SD => 1.0,
        PERSISTENCE => by_persistence,
        _ => 0.0,
    };
    let by = |(&i, eta): (&usize, &f64)| value * relative(i) * model.value_at(i, *eta).1;
    let by_eta = model.sampled.iter().zip(eta).map(by).collect();
    OfNoise { value, by_eta, sd }
}

impl<R: Real> MeanParametrisation<R> {
    /// These coordinates of the place that has the noise z and the model's own coordinates η.
    pub fn coordinates(model: &mut Model<R>, z: &[R], eta: &[f64]) -> Vec<f64> {
        let mut out = eta.to_vec();
        out[0] += of_noise(model, z, eta).value;
        out
    }

    /// Product with the information on the noise where [`Model::at`] was last asked, the mean of the field
    /// held: what is left along u is what the level's prior says of it.
    pub fn fisher(model: &mut Model<R>, v: &[R], out: &mut [R]) {
        let mut held = v.to_vec();
        let by = along(model, v);
        add(model, &mut held, -by);
        model.fisher(&held, out);
        let hyper = model.hyper.clone();
        let sd = model.field.sd_of_mean(&hyper).0 / model.unit[LEVEL];
        let drop = along(model, out);
        add(model, out, sd * sd * by - drop);
    }
}

impl<R: Real> Target for MeanParametrisation<R> {
    type Noise = R;

    fn noise_len(&self) -> usize {
        self.model.noise_len()
    }
    fn learnt_len(&self) -> usize {
        self.model.sampled_len()
    }

    fn log_ratio(&mut self, z: &[R], eta: &[f64], by_z: &mut [R], by_eta: &mut [f64]) -> f64 {
        let noise = of_noise(&mut self.model, z, eta);
        let mut own = eta.to_vec();
        own[0] -= noise.value;
        let value = self.model.log_ratio(z, &own, by_z, by_eta);
        // The model's slope is relative to N(0, 1) at its own coordinate.
        let by_level = by_eta[0] - own[0];
        by_eta[0] = by_level + eta[0];
        by_eta[1..].iter_mut().zip(&noise.by_eta[1..]).for_each(|(g, by)| *g -= by_level * by);
        add(&self.model, by_z, -by_level * noise.sd);
        value + 0.5 * (eta[0] * eta[0] - own[0] * own[0])
    }
}
