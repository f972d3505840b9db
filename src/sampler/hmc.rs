//! Hamiltonian Monte Carlo that integrates a Gaussian reference exactly.
//!
//! The target is given as a density relative to N(0, I). Between two kicks by the gradient of
//! that ratio the state rotates on the Gaussian's own ellipses, without error and at no cost in
//! dimension: acceptance does not fall as the field grows (Beskos et al. 2011). A few
//! coordinates (hyperparameters) have a posterior far from the reference; for them the mean
//! and scale of the reference are learnt during warm-up.

use crate::numerics::real::Real;
use crate::sampler::adaptation::{Moments, Reference, StepSize};
use crate::sampler::phase_point::{Point, kick_rotate};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};
use serde::Serialize;

/// A density relative to the standard normal of the same dimension.
///
/// Its coordinates are of two kinds: many of `noise`, for which N(0, I) is the reference as it
/// stands, and a few that are `learnt`, whose reference mean and scale are found in warm-up.
pub trait Target {
    /// Precision of the noise.
    type Noise: Real;
    /// Number of noise coordinates.
    fn noise_len(&self) -> usize;
    /// Number of learnt coordinates.
    fn learnt_len(&self) -> usize;
    /// ln of density / N(0, I) up to a constant, and its gradient into `by_noise` and `by_learnt`.
    ///
    /// A point outside the support returns −∞.
    fn log_ratio(
        &mut self,
        noise: &[Self::Noise],
        learnt: &[f64],
        by_noise: &mut [Self::Noise],
        by_learnt: &mut [f64],
    ) -> f64;
}

impl<T: Target> Target for &mut T {
    type Noise = T::Noise;

    fn noise_len(&self) -> usize {
        T::noise_len(self)
    }
    fn learnt_len(&self) -> usize {
        T::learnt_len(self)
    }
    fn log_ratio(
        &mut self,
        noise: &[T::Noise],
        learnt: &[f64],
        by_noise: &mut [T::Noise],
        by_learnt: &mut [f64],
    ) -> f64 {
        T::log_ratio(self, noise, learnt, by_noise, by_learnt)
    }
}

/// How a chain is run.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Trajectories spent on step size and scale, not kept.
    pub warmup: usize,
    /// Most trajectories after that.
    pub trajectories: usize,
    /// Acceptance the step size is tuned to. 0.8 in the literature for fixed-length trajectories.
    pub accept: f64,
    /// Length of a trajectory in radians of rotation; jittered by ±25 %.
    pub length: f64,
    /// Most steps in a trajectory.
    pub max_steps: usize,
}

/// How a chain went.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChainOutcome {
    /// Mean acceptance probability after warm-up.
    pub accept: f64,
    /// Step size after warm-up, radians.
    pub step: f64,
    /// Gradients computed, warm-up included.
    pub gradients: usize,
    /// Trajectories after warm-up.
    pub trajectories: usize,
    /// Those of them tried again with shorter steps.
    pub retried: usize,
    /// Those whose energy error passed 1000 even so: the gradient is too steep there.
    pub divergences: usize,
}

/// Energy error from which a refused trajectory is tried again with steps of [`SHORT_STEP`] times the length.
/// In the bulk of a posterior sampled at an acceptance of 0.8 the error's s.d. is 0.5: nothing is retried
/// there.
const RETRY: f64 = 10.0;
/// See [`RETRY`].
const SHORT_STEP: f64 = 0.25;

/// Energy error above which a trajectory counts as divergent (Stan's convention).
const DIVERGENCE: f64 = 1000.0;

/// The state of one chain: position in reference units, and what the target said there.
pub(crate) struct ChainState<R> {
    at: Point<R>,
    gradient: Point<R>,
    log_ratio: f64,
}

/// Log ratio and gradient relative to the learnt reference.
fn evaluate<T: Target>(
    reference: &Reference,
    target: &mut T,
    at: &Point<T::Noise>,
    gradient: &mut Point<T::Noise>,
) -> f64 {
    let place = reference.place(&at.learnt);
    let value = target.log_ratio(&at.noise, &place, &mut gradient.noise, &mut gradient.learnt);
    reference.relative(value, &mut gradient.learnt, &at.learnt)
}

fn energy<R: Real>(u: &Point<R>, p: &Point<R>, log_ratio: f64) -> f64 {
    0.5 * (u.square() + p.square()) - log_ratio
}

/// One chain on its way.
pub(crate) struct Chain<T: Target, K, P> {
    pub(crate) target: T,
    pub(crate) keep: K,
    pub(crate) progress: P,
    pub(crate) rng: ChaCha12Rng,
    pub(crate) reference: Reference,
    pub(crate) state: ChainState<T::Noise>,
    /// Place, direction and gradient along a trajectory.
    pub(crate) u: Point<T::Noise>,
    pub(crate) p: Point<T::Noise>,
    pub(crate) g: Point<T::Noise>,
    /// The direction a trajectory began with.
    pub(crate) thrown: Point<T::Noise>,
    pub(crate) step: StepSize,
    pub(crate) moments: Moments,
    /// Sum of acceptance probabilities after warm-up.
    pub(crate) accepted: f64,
    pub(crate) outcome: ChainOutcome,
}

/// How a trajectory ended.
pub(crate) struct End {
    /// Acceptance probability of the first attempt.
    accept: f64,
    moved: bool,
    retried: bool,
    divergent: bool,
}

/// What a chain starts with.
pub(crate) struct Start<T: Target, K> {
    /// The density it samples.
    pub target: T,
    /// Where it begins, in the target's own coordinates.
    pub noise: Vec<T::Noise>,
    /// As much of the learnt coordinates.
    pub learnt: Vec<f64>,
    /// Mean and s.d. of each learnt coordinate in the reference that warm-up begins with; of all chains the
    /// same.
    pub guess: Vec<(f64, f64)>,
    /// Takes each state after warm-up: (target, trajectory, moved, noise, learnt).
    pub keep: K,
}

impl<T, K, P> Chain<T, K, P>
where
    T: Target,
    K: FnMut(&mut T, usize, bool, &[T::Noise], &[f64]),
    P: FnMut(),
{
    pub(crate) fn new(start: Start<T, K>, seed: u64, chain: u64, progress: P) -> Self {
        let Start { mut target, noise, learnt, guess, keep } = start;
        let (n, k) = (target.noise_len(), target.learnt_len());
        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        rng.set_stream(chain + 1);
        let reference = Reference::independent(&guess);
        let at = Point { noise, learnt: reference.unit(&learnt) };
        let mut state = ChainState { at, gradient: Point::zero(n, k), log_ratio: 0.0 };
        state.log_ratio = evaluate(&reference, &mut target, &state.at, &mut state.gradient);
        Chain {
            target,
            keep,
            progress,
            rng,
            reference,
            state,
            u: Point::zero(n, k),
            p: Point::zero(n, k),
            g: Point::zero(n, k),
            thrown: Point::zero(n, k),
            step: StepSize::new(0.1),
            moments: Moments::new(k),
            accepted: 0.0,
            outcome: ChainOutcome {
                accept: 0.0,
                step: 0.0,
                gradients: 1,
                trajectories: 0,
                retried: 0,
                divergences: 0,
            },
        }
    }

    /// Puts the traveller at the state, with the direction that was thrown.
    pub(crate) fn depart(&mut self) {
        self.u.copy_from(&self.state.at);
        self.p.copy_from(&self.thrown);
        self.g.copy_from(&self.state.gradient);
    }

    /// So many steps on from place, direction and gradient; the energy at the end.
    pub(crate) fn travel(&mut self, epsilon: f64, steps: usize) -> (f64, f64) {
        let turn = epsilon.sin_cos();
        let mut log_ratio = f64::NEG_INFINITY;
        for i in 0..steps {
            // The half kick that ends a step and the one that begins the next are one.
            let kick = if i == 0 { 0.5 * epsilon } else { epsilon };
            kick_rotate(&mut self.u, &mut self.p, &self.g, kick, turn);
            log_ratio = evaluate(&self.reference, &mut self.target, &self.u, &mut self.g);
            self.outcome.gradients += 1;
            if !log_ratio.is_finite() {
                return (log_ratio, f64::INFINITY);
            }
        }
        self.p.kick(&self.g, 0.5 * epsilon);
        let energy = energy(&self.u, &self.p, log_ratio);
        (log_ratio, if energy.is_nan() { f64::INFINITY } else { energy })
    }

    /// The traveller's place becomes the state, and the state the traveller's place.
    pub(crate) fn arrive(&mut self, log_ratio: f64) {
        std::mem::swap(&mut self.state.at, &mut self.u);
        std::mem::swap(&mut self.state.gradient, &mut self.g);
        self.state.log_ratio = log_ratio;
    }

    pub(crate) fn trajectory(&mut self, step: f64, settings: &Settings) -> End {
        let rng = &mut self.rng;
        let epsilon = step * rng.random_range(0.9..1.1);
        let length = settings.length * rng.random_range(0.75..1.25);
        let steps = ((length / epsilon).ceil() as usize).clamp(1, settings.max_steps);
        for v in &mut self.thrown.noise {
            *v = T::Noise::of(StandardNormal.sample(rng));
        }
        for v in &mut self.thrown.learnt {
            *v = StandardNormal.sample(rng);
        }
        let before = energy(&self.state.at, &self.thrown, self.state.log_ratio);
        self.depart();
        let (log_ratio, after) = self.travel(epsilon, steps);
        let error = after - before;
        let accept = (-error).exp().min(1.0);
        if self.rng.random::<f64>() < accept {
            self.arrive(log_ratio);
            return End { accept, moved: true, retried: false, divergent: false };
        }
        if error < RETRY {
            return End { accept, moved: false, retried: false, divergent: false };
        }
        let (moved, divergent) = self.second(before, accept, epsilon, steps);
        End { accept, moved, retried: true, divergent }
    }

    /// The second attempt, with shorter steps over the same length: whether it moved the state, and whether
    /// it diverged.
    pub(crate) fn second(
        &mut self,
        before: f64,
        first_accept: f64,
        epsilon: f64,
        steps: usize,
    ) -> (bool, bool) {
        self.depart();
        let (log_ratio, after) = self.travel(epsilon * SHORT_STEP, (steps as f64 / SHORT_STEP) as usize);
        let error = after - before;
        let divergent = !(error < DIVERGENCE);
        let bar = self.rng.random::<f64>() * (1.0 - first_accept);
        if bar >= (-error).exp() {
            return (false, divergent);
        }
        // The way back would be tried with long steps first, and with short ones only were that refused.
        let (place, gradient) = (self.u.clone(), self.g.clone());
        self.p.turn_round();
        let (_, back) = self.travel(epsilon, steps);
        let back_error = back - after;
        if back_error < RETRY || bar >= (-error).exp() * (1.0 - (-back_error).exp()) {
            return (false, divergent);
        }
        self.u = place;
        self.g = gradient;
        self.arrive(log_ratio);
        // The target is left at the state, as after any move.
        evaluate(&self.reference, &mut self.target, &self.state.at, &mut self.g);
        self.outcome.gradients += 1;
        (true, divergent)
    }

    /// So many trajectories that learn the step, and the spread of the learnt coordinates.
    pub(crate) fn warm(&mut self, trajectories: usize, settings: &Settings) {
        for _ in 0..trajectories {
            let end = self.trajectory(self.step.current(), settings);
            self.step.learn(end.accept, settings.accept);
            self.moments.add(&self.reference.place(&self.state.at.learnt));
            (self.progress)();
        }
    }

    /// Takes over a step, and a reference if there is a new one.
    pub(crate) fn adopt(&mut self, step: f64, reference: Option<&Reference>) {
        self.step = StepSize::new(step);
        if let Some(reference) = reference {
            let place = self.reference.place(&self.state.at.learnt);
            self.reference = reference.clone();
            self.state.at.learnt = self.reference.unit(&place);
            self.state.log_ratio =
                evaluate(&self.reference, &mut self.target, &self.state.at, &mut self.state.gradient);
            self.outcome.gradients += 1;
        }
        self.moments = Moments::new(self.state.at.learnt.len());
    }

    /// The trajectories that are kept.
    pub(crate) fn run(&mut self, trajectories: usize, settings: &Settings) {
        self.outcome.step = self.step.current();
        let done = self.outcome.trajectories;
        self.outcome.trajectories += trajectories;
        for trajectory in done..self.outcome.trajectories {
            let end = self.trajectory(self.outcome.step, settings);
            self.outcome.retried += usize::from(end.retried);
            self.outcome.divergences += usize::from(end.divergent);
            self.accepted += end.accept;
            let place = self.reference.place(&self.state.at.learnt);
            (self.keep)(&mut self.target, trajectory, end.moved, &self.state.at.noise, &place);
            (self.progress)();
        }
        self.outcome.accept = self.accepted / self.outcome.trajectories.max(1) as f64;
    }
}
