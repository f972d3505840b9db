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
use rayon::prelude::*;
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
/// In the bulk of a posterior sampled at an acceptance of 0.8 the error's s.d. is 0.5: nothing is retried there.
const RETRY: f64 = 10.0;
/// See [`RETRY`].
const SHORT_STEP: f64 = 0.25;

/// Energy error above which a trajectory counts as divergent (Stan's convention).
const DIVERGENCE: f64 = 1000.0;

/// The state of one chain: position in reference units, and what the target said there.
struct ChainState<R> {
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
struct Chain<T: Target, K, P> {
    target: T,
    keep: K,
    progress: P,
    rng: ChaCha12Rng,
    reference: Reference,
    state: ChainState<T::Noise>,
    /// Place, direction and gradient along a trajectory.
    u: Point<T::Noise>,
    p: Point<T::Noise>,
    g: Point<T::Noise>,
    /// The direction a trajectory began with.
    thrown: Point<T::Noise>,
    step: StepSize,
    moments: Moments,
    /// Sum of acceptance probabilities after warm-up.
    accepted: f64,
    outcome: ChainOutcome,
}

/// How a trajectory ended.
struct End {
    /// Acceptance probability of the first attempt.
    accept: f64,
    moved: bool,
    retried: bool,
    divergent: bool,
}

impl<T, K, P> Chain<T, K, P>
where
    T: Target,
    K: FnMut(&mut T, usize, bool, &[T::Noise], &[f64]),
    P: FnMut(),
{
    fn new(start: Start<T, K>, seed: u64, chain: u64, progress: P) -> Self {
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
    fn depart(&mut self) {
        self.u.copy_from(&self.state.at);
        self.p.copy_from(&self.thrown);
        self.g.copy_from(&self.state.gradient);
    }

    /// So many steps on from place, direction and gradient; the energy at the end.
    fn travel(&mut self, epsilon: f64, steps: usize) -> (f64, f64) {
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
    fn arrive(&mut self, log_ratio: f64) {
        std::mem::swap(&mut self.state.at, &mut self.u);
        std::mem::swap(&mut self.state.gradient, &mut self.g);
        self.state.log_ratio = log_ratio;
    }

    fn trajectory(&mut self, step: f64, settings: &Settings) -> End {
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

    /// The second attempt, with shorter steps over the same length: whether it moved the state, and whether it diverged.
    fn second(&mut self, before: f64, first_accept: f64, epsilon: f64, steps: usize) -> (bool, bool) {
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
    fn warm(&mut self, trajectories: usize, settings: &Settings) {
        for _ in 0..trajectories {
            let end = self.trajectory(self.step.current(), settings);
            self.step.learn(end.accept, settings.accept);
            self.moments.add(&self.reference.place(&self.state.at.learnt));
            (self.progress)();
        }
    }

    /// Takes over a step, and a reference if there is a new one.
    fn adopt(&mut self, step: f64, reference: Option<&Reference>) {
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
    fn run(&mut self, trajectories: usize, settings: &Settings) {
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

/// Warm-up in stages, after each of which the chains share what they learnt; then so many trajectories, again and
/// again, as `more` asks for.
///
/// `each` does a piece of work on every chain, side by side or one after another.
fn run_all<T, K, P>(
    chains: &mut [Chain<T, K, P>],
    settings: &Settings,
    mut more: impl FnMut(usize) -> usize,
    each: impl Fn(&mut [Chain<T, K, P>], &(dyn Fn(&mut Chain<T, K, P>) + Sync)),
) where
    T: Target,
    K: FnMut(&mut T, usize, bool, &[T::Noise], &[f64]),
    P: FnMut(),
{
    // The way from the start into the bulk of the posterior says nothing of its spread; then the reference
    // is learnt twice; the last fifth settles the step for it.
    let ends = [1, 2, 4, 5].map(|fifths| settings.warmup * fifths / 5);
    let mut done = 0;
    for (stage, end) in ends.into_iter().enumerate() {
        each(chains, &|chain| chain.warm(end - done, settings));
        done = end;
        let step = StepSize::agreed(chains.iter().map(|c| &c.step), settings.accept);
        let moments = chains.iter().map(|c| &c.moments);
        let reference =
            (stage == 1 || stage == 2).then(|| Moments::reference(moments, &chains[0].reference, stage == 2));
        let reference = reference.flatten();
        each(chains, &|chain| chain.adopt(step, reference.as_ref()));
    }
    let mut done = 0;
    loop {
        let next = more(done).min(settings.trajectories - done);
        if next == 0 {
            return;
        }
        each(chains, &|chain| chain.run(next, settings));
        done += next;
    }
}

/// What a chain starts with.
pub(crate) struct Start<T: Target, K> {
    /// The density it samples.
    pub target: T,
    /// Where it begins, in the target's own coordinates.
    pub noise: Vec<T::Noise>,
    /// As much of the learnt coordinates.
    pub learnt: Vec<f64>,
    /// Mean and s.d. of each learnt coordinate in the reference that warm-up begins with; of all chains the same.
    pub guess: Vec<(f64, f64)>,
    /// Takes each state after warm-up: (target, trajectory, moved, noise, learnt).
    pub keep: K,
}

/// Runs chains side by side and hands each state after warm-up to its
/// `keep(target, trajectory, moved, noise, learnt)`.
///
/// When `moved`, the target's last evaluation was at that place; otherwise it was at a refused proposal.
///
/// # Formula
/// ```text
/// H = −ln ratio(u) + ½|u|² + ½|p|²
/// step: p += ½ε ∇ln ratio;  (u, p) ← rotation by ε;  p += ½ε ∇ln ratio
/// ```
/// # Shapes and units
/// `noise` and `learnt` of the target's two lengths. `more` is told how many trajectories each chain has made after
/// its warm-up and answers how many more each is to make; 0 ends the run, as does reaching the most. `progress` is called once a trajectory, from any thread.
/// # Numerics
/// Chains agree on a step after each of four stages of the warm-up, share after two of them the mean
/// and covariance of their learnt coordinates, and nothing afterwards. Random numbers come from ChaCha12 with the chain's number as
/// stream: the same seed gives the same samples, however many threads there are. Energies are summed in double
/// precision.
///
/// A trajectory refused with an energy error over 10 is tried again with a quarter of the step over the same length, and
/// accepted with min(1, e^(−error) (1 − a′)/(1 − a)), a the first acceptance, a′ that of the long steps on the way back; not at all
/// unless those too have an error over 10, for else the way back would never be tried. So a chain gets in and out of places too narrow for the step of all.
/// # Source
/// Beskos, Pinski, Sanz-Serna & Stuart (2011); acceptance of fixed-length trajectories as in Hoffman & Gelman (2014);
/// the second attempt is delayed rejection (Mira 2001; Modi, Barnett & Carpenter 2023).
pub(crate) fn run_chains<T, K>(
    chains: Vec<Start<T, K>>,
    settings: &Settings,
    seed: u64,
    more: impl FnMut(usize) -> usize,
    progress: &(dyn Fn() + Sync),
) -> Vec<ChainOutcome>
where
    T: Target + Send,
    T::Noise: Send + Sync,
    K: FnMut(&mut T, usize, bool, &[T::Noise], &[f64]) + Send,
{
    let mut chains: Vec<_> =
        chains.into_par_iter().enumerate().map(|(i, s)| Chain::new(s, seed, i as u64, progress)).collect();
    run_all(&mut chains, settings, more, |chains, work| chains.par_iter_mut().for_each(work));
    chains.into_iter().map(|c| c.outcome).collect()
}

/// One chain alone, of the most trajectories: see [`run_chains`].
#[expect(clippy::too_many_arguments, reason = "a chain's target, start, settings and stream, and two ears")]
pub fn run_chain<T: Target>(
    target: &mut T,
    noise: &[T::Noise],
    learnt: &[f64],
    settings: &Settings,
    seed: u64,
    chain: u64,
    mut keep: impl FnMut(&mut T, usize, bool, &[T::Noise], &[f64]),
    progress: impl FnMut(),
) -> ChainOutcome {
    let keep = |t: &mut &mut T, i: usize, moved: bool, z: &[T::Noise], q: &[f64]| keep(t, i, moved, z, q);
    let guess = vec![(0.0, 1.0); learnt.len()];
    let start = Start { target, noise: noise.to_vec(), learnt: learnt.to_vec(), guess, keep };
    let mut chains = [Chain::new(start, seed, chain, progress)];
    run_all(
        &mut chains,
        settings,
        |_| settings.trajectories,
        |chains, work| chains.iter_mut().for_each(work),
    );
    let [chain] = chains;
    chain.outcome
}

#[cfg(test)]
mod tests {
    use super::*;

    /// N((1, 0, …), diag(0.25, 1, …)) with the first coordinate's scale learnt.
    struct Narrow<R>(std::marker::PhantomData<R>);
    impl<R: Real> Target for Narrow<R> {
        type Noise = R;
        fn noise_len(&self) -> usize {
            5
        }
        fn learnt_len(&self) -> usize {
            1
        }
        fn log_ratio(&mut self, _: &[R], q: &[f64], g: &mut [R], by: &mut [f64]) -> f64 {
            g.fill(R::zero());
            by[0] = -(q[0] - 1.0) / 0.25 + q[0];
            -0.5 * (q[0] - 1.0).powi(2) / 0.25 + 0.5 * q[0] * q[0]
        }
    }

    /// Samples of the narrow coordinate and of one of the noise.
    fn draws<R: Real>(seed: u64) -> (Vec<f64>, Vec<f64>, ChainOutcome) {
        let settings = Settings {
            warmup: 200,
            trajectories: 4000,
            accept: 0.8,
            length: std::f64::consts::FRAC_PI_2,
            max_steps: 50,
        };
        let (mut kept, mut noise) = (Vec::new(), Vec::new());
        let start = [R::zero(); 5];
        let mut target = Narrow::<R>(std::marker::PhantomData);
        let keep = |_: &mut Narrow<R>, _: usize, _: bool, z: &[R], q: &[f64]| {
            kept.push(q[0]);
            noise.push(z[2].f64());
        };
        let outcome = run_chain(&mut target, &start, &[0.0], &settings, seed, 0, keep, || ());
        (kept, noise, outcome)
    }

    fn moments(x: &[f64]) -> (f64, f64) {
        let n = x.len() as f64;
        let mean = x.iter().sum::<f64>() / n;
        (mean, (x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt())
    }

    #[test]
    fn recovers_a_known_normal_and_repeats_itself() {
        for (x, z, outcome) in [draws::<f64>(7), draws::<f32>(7)] {
            // Nearly independent samples: standard errors 0.008 and 0.006 (twice that of the noise); five allowed.
            let (mean, sd) = moments(&x);
            assert!((mean - 1.0).abs() < 0.04 && (sd - 0.5).abs() < 0.03, "{mean} {sd}");
            let (mean, sd) = moments(&z);
            assert!(mean.abs() < 0.08 && (sd - 1.0).abs() < 0.06, "{mean} {sd}");
            assert!(outcome.accept > 0.7 && outcome.divergences == 0);
        }
        assert_eq!(draws::<f32>(7).0, draws::<f32>(7).0);
        assert_ne!(draws::<f32>(7).0, draws::<f32>(8).0);
    }
}
