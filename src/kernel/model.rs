//! Field, pigs and priors as one density: what the samplers see.

use crate::geography::layout::Layout;
use crate::kernel::field::{HazardField, Shape, shape_of};
use crate::kernel::likelihood::Likelihood;
use crate::kernel::operations::{Covariate, covariates};
use crate::kernel::persistence::PersistenceScore;
use crate::kernel::prior::{Hyper, LEVEL, OPERATION, PERSISTENCE, RANGE, SD, log_prior_but_persistence};
use crate::numerics::real::Real;
use crate::sampler::hmc::Target;
use crate::sampler::mode::Problem;
use crate::study::model_keys::FieldPrior;

/// The joint density of white noise z and hyperparameters, relative to N(0, I).
///
/// # Formula
/// ```text
/// ln ratio(z, η) = ℓ(z, θ) + ln π(η) + ½|η|²,   θ_j = start_j + unit_j η_j
/// ```
/// but for the persistence, whose logit has the normal score x(start) + η.
/// # Shapes and units
/// q = (z, η): `rows · periods · cols` values of noise, then the sampled hyperparameters
/// (level and operation effects always; range, s.d. and persistence unless fixed).
pub struct Model<R = f64> {
    /// The hazard field.
    pub field: HazardField<R>,
    /// The pigs.
    pub likelihood: Likelihood<R>,
    prior: FieldPrior,
    start: Vec<f64>,
    /// What one unit of each hyperparameter's coordinate is; not used for the persistence, which has its
    /// score.
    pub(crate) unit: Vec<f64>,
    score: PersistenceScore,
    /// The score of the persistence in `start`.
    start_score: f64,
    /// Which hyperparameters are sampled, as indices of [`Hyper::to_vec`].
    pub(crate) sampled: Vec<usize>,
    by_hazard: Vec<R>,
    by_dispersed: Vec<R>,
    d_hazard: Vec<R>,
    d_dispersed: Vec<R>,
    /// ln likelihood at the last evaluation.
    pub log_likelihood: f64,
    /// Hyperparameters at the last evaluation.
    pub hyper: Hyper,
}

impl<R: Real> Model<R> {
    /// The model of one study: field, operations, pigs.
    pub fn of(layout: &Layout) -> Model<R> {
        let (study, grid, records) = (&layout.study, &layout.grid, &layout.records);
        let ops = covariates(&study.field, grid, &records.operations, &layout.block_shares);
        let likelihood = Likelihood::new(&records.pigs, study, grid);
        Model::new(&study.field, shape_of(study, grid), ops, likelihood)
    }

    /// A model of a shape with its operations and pigs.
    pub fn new(
        prior: &FieldPrior,
        shape: Shape,
        covariates: Vec<Covariate>,
        likelihood: Likelihood<R>,
    ) -> Model<R> {
        let n = shape.len();
        let types = covariates.len();
        let hyper = Hyper::start(prior, types);
        let mut sampled = vec![LEVEL];
        if !prior.fixed {
            sampled.extend([RANGE, SD, PERSISTENCE]);
        }
        sampled.extend((0..types).map(|j| OPERATION + j));
        let mut unit = vec![prior.level_sd, 0.5, 0.5, 1.0];
        unit.extend((0..types).map(|_| prior.operation_sd));
        let score = PersistenceScore::new(prior);
        Model {
            field: HazardField::new(shape, covariates),
            likelihood,
            prior: prior.clone(),
            start_score: score.score(hyper.persistence_logit),
            score,
            start: hyper.to_vec(),
            unit,
            sampled,
            by_hazard: vec![R::zero(); n],
            by_dispersed: vec![R::zero(); n],
            d_hazard: vec![R::zero(); n],
            d_dispersed: vec![R::zero(); n],
            log_likelihood: f64::NEG_INFINITY,
            hyper,
        }
    }

    /// Number of noise values.
    pub fn noise_len(&self) -> usize {
        self.by_hazard.len()
    }
    /// Number of sampled hyperparameters.
    pub fn sampled_len(&self) -> usize {
        self.sampled.len()
    }
    /// Names of the sampled hyperparameters, in order.
    pub fn sampled_names(&self) -> Vec<String> {
        let name = |i: &usize| match *i {
            LEVEL => "level".to_string(),
            RANGE => "log_range".to_string(),
            SD => "log_sd".to_string(),
            PERSISTENCE => "persistence_logit".to_string(),
            j => format!("operation_{}", self.field.covariates()[j - OPERATION].host.word()),
        };
        self.sampled.iter().map(name).collect()
    }
    /// Values of the sampled hyperparameters at the last evaluation, in order.
    pub fn sampled_values(&self) -> Vec<f64> {
        let all = self.hyper.to_vec();
        self.sampled.iter().map(|&i| all[i]).collect()
    }
    /// Hyperparameters at coordinates η.
    pub fn hyper_at(&self, eta: &[f64]) -> Hyper {
        let mut v = self.start.clone();
        for (eta, &i) in eta.iter().zip(&self.sampled) {
            v[i] = self.value_at(i, *eta).0;
        }
        Hyper::from_slice(&v)
    }
    /// A hyperparameter at its coordinate, and its slope.
    pub(crate) fn value_at(&self, i: usize, eta: f64) -> (f64, f64) {
        match i {
            PERSISTENCE => self.score.logit(self.start_score + eta),
            _ => (self.start[i] + self.unit[i] * eta, self.unit[i]),
        }
    }
    /// Coordinates η of hyperparameters.
    pub fn coordinates(&self, hyper: &Hyper) -> Vec<f64> {
        let v = hyper.to_vec();
        let coordinate = |&i: &usize| match i {
            PERSISTENCE => self.score.score(v[i]) - self.start_score,
            _ => (v[i] - self.start[i]) / self.unit[i],
        };
        self.sampled.iter().map(coordinate).collect()
    }
    /// This model with every hyperparameter held where it is at coordinates η: none is sampled.
    pub fn held_at(mut self, eta: &[f64]) -> Model<R> {
        self.start = self.hyper_at(eta).to_vec();
        self.sampled.clear();
        self
    }
    /// Number of coordinates: noise and sampled hyperparameters.
    pub fn dim(&self) -> usize {
        self.noise_len() + self.sampled_len()
    }
    /// Computes the hazard field at a point (z, η), without gradient.
    pub fn set(&mut self, z: &[R], eta: &[f64]) {
        self.hyper = self.hyper_at(eta);
        self.field.forward(z, &self.hyper);
    }
}

impl<R: Real> Model<R> {
    /// ln likelihood at these hyperparameters, with its gradient by the noise.
    pub fn at(&mut self, z: &[R], hyper: &Hyper, gradient: &mut [R]) -> f64 {
        self.hyper = hyper.clone();
        self.field.forward(z, hyper);
        let (field, by) = (&self.field, (&mut self.by_hazard, &mut self.by_dispersed));
        let value = self.likelihood.value_gradient(&field.hazard, &field.dispersed, by.0, by.1);
        let mut unused = vec![0.0; self.start.len()];
        self.field.backward(&self.by_hazard, &mut self.by_dispersed, z, hyper, gradient, &mut unused);
        value
    }
    /// Product with Fisher's information on the noise where [`Model::at`] was last asked.
    pub fn fisher(&mut self, v: &[R], out: &mut [R]) {
        let hyper = self.hyper.clone();
        self.field.push_forward(v, &hyper, &mut self.d_hazard, &mut self.d_dispersed);
        let by = (&mut self.by_hazard, &mut self.by_dispersed);
        self.likelihood.fisher(&self.d_hazard, &self.d_dispersed, by.0, by.1);
        let mut unused = vec![0.0; self.start.len()];
        self.field.backward(&self.by_hazard, &mut self.by_dispersed, v, &hyper, out, &mut unused);
    }
}

impl Model<f64> {
    /// [`Target::log_ratio`] with noise and coordinates of hyperparameters in one vector, as other software
    /// has it.
    pub fn log_ratio_joint(&mut self, q: &[f64], gradient: &mut [f64]) -> f64 {
        let n = self.by_hazard.len();
        let (by_z, by_eta) = gradient.split_at_mut(n);
        self.log_ratio(&q[..n], &q[n..], by_z, by_eta)
    }
}

impl<R: Real> Target for Model<R> {
    type Noise = R;

    fn noise_len(&self) -> usize {
        self.by_hazard.len()
    }
    fn learnt_len(&self) -> usize {
        self.sampled.len()
    }

    fn log_ratio(&mut self, z: &[R], eta: &[f64], by_z: &mut [R], by_eta: &mut [f64]) -> f64 {
        let hyper = self.hyper_at(eta);
        let mut by_hyper = vec![0.0; self.start.len()];
        let mut value = log_prior_but_persistence(&self.prior, &hyper, &mut by_hyper);
        self.field.forward(z, &hyper);
        self.log_likelihood = self.likelihood.value_gradient(
            &self.field.hazard,
            &self.field.dispersed,
            &mut self.by_hazard,
            &mut self.by_dispersed,
        );
        self.field.backward(&self.by_hazard, &mut self.by_dispersed, z, &hyper, by_z, &mut by_hyper);
        value += self.log_likelihood;
        for ((g, eta), &i) in by_eta.iter_mut().zip(eta).zip(&self.sampled) {
            *g = by_hyper[i] * self.value_at(i, *eta).1 + eta;
            value += 0.5 * eta * eta;
            if i == PERSISTENCE {
                // A score's prior is N(0, 1).
                let score = self.start_score + eta;
                *g -= score;
                value -= 0.5 * score * score;
            }
        }
        self.hyper = hyper;
        value
    }
}

/// The noise alone at fixed hyperparameters, for the search of the mode.
pub struct AtStart<'a> {
    /// The model whose starting hyperparameters are held.
    pub model: &'a mut Model,
}

impl Problem for AtStart<'_> {
    fn log_likelihood(&mut self, z: &[f64], gradient: &mut [f64]) -> f64 {
        let start = Hyper::from_slice(&self.model.start);
        self.model.at(z, &start, gradient)
    }

    fn fisher(&mut self, v: &[f64], out: &mut [f64]) {
        self.model.fisher(v, out);
    }
}
