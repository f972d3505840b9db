//! Hamiltonian Monte Carlo that integrates a Gaussian reference exactly.
//!
//! The target is given as a density relative to N(0, I). Between two kicks by the gradient of
//! that ratio the state rotates on the Gaussian's own ellipses, without error and at no cost in
//! dimension: acceptance does not fall as the field grows (Beskos et al. 2011). A few
//! coordinates (hyperparameters) have a posterior far from the reference; for them the mean
//! and scale of the reference are learnt during warm-up.

use super::real::{Real, dot, wide};
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

/// How a chain is run.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Trajectories spent on step size and scale, not kept.
    pub warmup: usize,
    /// Trajectories after that.
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
    /// Trajectories after warm-up whose energy error passed 1000: the gradient is too steep there.
    pub divergences: usize,
}

/// Energy error above which a trajectory counts as divergent (Stan's convention).
const DIVERGENCE: f64 = 1000.0;

/// Dual averaging of the log step size (Hoffman & Gelman 2014, §3.2: γ 0.05, t₀ 10).
///
/// The step in force afterwards is the plain mean of the later half of a window: their weighted
/// mean remembers the first refusals of a short window for too long.
struct StepSize {
    mu: f64,
    log_step: f64,
    bias: f64,
    tried: Vec<f64>,
}

impl StepSize {
    fn new(step: f64) -> StepSize {
        // Hoffman & Gelman aim at ten times the start, for a start that is a guess; here it is within
        // a factor of a few, and a high aim would waste the short windows on refused trajectories.
        StepSize { mu: (2.0 * step).ln(), log_step: step.ln(), bias: 0.0, tried: Vec::new() }
    }
    fn learn(&mut self, accept: f64, target: f64) {
        self.tried.push(self.log_step);
        let count = self.tried.len() as f64;
        let w = 1.0 / (count + 10.0);
        self.bias = (1.0 - w) * self.bias + w * (target - accept);
        // A step over one radian gains nothing: the trajectory itself is a quarter turn.
        self.log_step = (self.mu - count.sqrt() / 0.05 * self.bias).clamp(-7.0, 0.0);
    }
    /// The step this window has settled on.
    fn settled(&self) -> f64 {
        let later = &self.tried[self.tried.len() / 2..];
        if later.is_empty() {
            return self.log_step.exp();
        }
        (later.iter().sum::<f64>() / later.len() as f64).exp()
    }
}

/// A place or a direction: noise, then learnt coordinates in reference units.
#[derive(Clone)]
struct Point<R> {
    noise: Vec<R>,
    learnt: Vec<f64>,
}

impl<R: Real> Point<R> {
    fn zero(noise: usize, learnt: usize) -> Point<R> {
        Point { noise: vec![R::zero(); noise], learnt: vec![0.0; learnt] }
    }
    fn copy_from(&mut self, other: &Point<R>) {
        self.noise.copy_from_slice(&other.noise);
        self.learnt.copy_from_slice(&other.learnt);
    }
    fn square(&self) -> f64 {
        dot(&self.noise, &self.noise) + dot(&self.learnt, &self.learnt)
    }
    /// self += h · g.
    fn kick(&mut self, g: &Point<R>, h: f64) {
        let step = R::of(h);
        wide(
            #[inline(always)]
            || self.noise.iter_mut().zip(&g.noise).for_each(|(p, g)| *p += step * *g),
        );
        self.learnt.iter_mut().zip(&g.learnt).for_each(|(p, g)| *p += h * g);
    }
}

/// The state of one chain: position in reference units, and what the target said there.
struct State<R> {
    at: Point<R>,
    gradient: Point<R>,
    log_ratio: f64,
}

struct Reference {
    centre: Vec<f64>,
    scale: Vec<f64>,
}

impl Reference {
    /// centre + scale · u.
    fn place(&self, u: &[f64]) -> Vec<f64> {
        u.iter().zip(&self.centre).zip(&self.scale).map(|((u, c), s)| c + s * u).collect()
    }
    /// Log ratio and gradient relative to the learnt reference.
    fn evaluate<T: Target>(&self, target: &mut T, at: &Point<T::Noise>, gradient: &mut Point<T::Noise>) -> f64 {
        let place = self.place(&at.learnt);
        let mut value = target.log_ratio(&at.noise, &place, &mut gradient.noise, &mut gradient.learnt);
        for (((g, s), q), u) in gradient.learnt.iter_mut().zip(&self.scale).zip(&place).zip(&at.learnt) {
            value += 0.5 * (u * u - q * q);
            *g = s * (*g - q) + u;
        }
        value
    }
}

/// Runs one chain and hands each state after warm-up to `keep(target, trajectory, moved, noise, learnt)`.
///
/// When `moved`, the target's last evaluation was at that place; otherwise it was at a refused proposal.
///
/// # Formula
/// ```text
/// H = −ln ratio(u) + ½|u|² + ½|p|²
/// step: p += ½ε ∇ln ratio;  (u, p) ← rotation by ε;  p += ½ε ∇ln ratio
/// ```
/// # Shapes and units
/// `noise` and `learnt` of the target's two lengths, in the target's own coordinates. `progress`
/// is called once a trajectory.
/// # Numerics
/// Random numbers come from ChaCha12 with the chain's number as stream: the same seed gives
/// the same draws, whatever runs beside it. Energies are summed in double precision.
/// # Source
/// Beskos, Pinski, Sanz-Serna & Stuart (2011); step size as in Hoffman & Gelman (2014).
pub fn run_chain<T: Target>(
    target: &mut T,
    noise: &[T::Noise],
    learnt: &[f64],
    settings: &Settings,
    seed: u64,
    chain: u64,
    mut keep: impl FnMut(&mut T, usize, bool, &[T::Noise], &[f64]),
    mut progress: impl FnMut(),
) -> ChainOutcome {
    let (n, k) = (target.noise_len(), target.learnt_len());
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    rng.set_stream(chain + 1);
    let mut reference = Reference { centre: vec![0.0; k], scale: vec![1.0; k] };
    let at = Point { noise: noise.to_vec(), learnt: learnt.to_vec() };
    let mut state = State { at, gradient: Point::zero(n, k), log_ratio: 0.0 };
    let (mut u, mut p, mut g) = (Point::zero(n, k), Point::zero(n, k), Point::zero(n, k));
    state.log_ratio = reference.evaluate(target, &state.at, &mut state.gradient);
    let mut step = StepSize::new(0.1);
    let mut outcome = ChainOutcome { accept: 0.0, step: 0.0, gradients: 1, divergences: 0 };
    // Scale is learnt twice; the last four tenths settle the step size for it.
    let relearn = [settings.warmup * 2 / 5, settings.warmup * 3 / 5];
    let mut moments = Moments::new(k);

    for trajectory in 0..settings.warmup + settings.trajectories {
        let warming = trajectory < settings.warmup;
        let epsilon = if warming { step.log_step.exp() } else { step.settled() };
        let epsilon = epsilon * rng.random_range(0.9..1.1);
        let length = settings.length * rng.random_range(0.75..1.25);
        let steps = ((length / epsilon).ceil() as usize).clamp(1, settings.max_steps);
        for v in &mut p.noise {
            *v = T::Noise::of(StandardNormal.sample(&mut rng));
        }
        for v in &mut p.learnt {
            *v = StandardNormal.sample(&mut rng);
        }
        let energy =
            |u: &Point<T::Noise>, p: &Point<T::Noise>, log_ratio: f64| 0.5 * (u.square() + p.square()) - log_ratio;
        let before = energy(&state.at, &p, state.log_ratio);
        u.copy_from(&state.at);
        g.copy_from(&state.gradient);
        let turn = epsilon.sin_cos();
        let mut log_ratio = state.log_ratio;
        for i in 0..steps {
            // The half kick that ends a step and the one that begins the next are one.
            kick_rotate(&mut u, &mut p, &g, if i == 0 { 0.5 * epsilon } else { epsilon }, turn);
            log_ratio = reference.evaluate(target, &u, &mut g);
            outcome.gradients += 1;
            if !log_ratio.is_finite() {
                break;
            }
        }
        p.kick(&g, 0.5 * epsilon);
        let error = energy(&u, &p, log_ratio) - before;
        let accept = if error.is_finite() { (-error).exp().min(1.0) } else { 0.0 };
        if !warming && !(error < DIVERGENCE) {
            outcome.divergences += 1;
        }
        let moved = rng.random::<f64>() < accept;
        if moved {
            std::mem::swap(&mut state.at, &mut u);
            std::mem::swap(&mut state.gradient, &mut g);
            state.log_ratio = log_ratio;
        }
        let place = reference.place(&state.at.learnt);
        if warming {
            step.learn(accept, settings.accept);
            if trajectory + 1 == settings.warmup / 5 {
                // The way from the start into the bulk of the posterior says nothing of the step there.
                step = StepSize::new(step.settled());
            }
            if trajectory >= settings.warmup / 5 {
                moments.add(&place);
            }
            if relearn.contains(&(trajectory + 1)) && moments.count >= 20.0 {
                (reference.centre, reference.scale) = moments.centre_scale();
                for (i, u) in state.at.learnt.iter_mut().enumerate() {
                    *u = (place[i] - reference.centre[i]) / reference.scale[i];
                }
                state.log_ratio = reference.evaluate(target, &state.at, &mut state.gradient);
                outcome.gradients += 1;
                moments = Moments::new(k);
                step = StepSize::new(step.settled());
            }
        } else {
            outcome.accept += accept / settings.trajectories as f64;
            keep(target, trajectory - settings.warmup, moved, &state.at.noise, &place);
        }
        progress();
    }
    outcome.step = step.settled();
    outcome
}

/// p += h g, then (u, p) turned by the angle whose sine and cosine are given.
fn kick_rotate<R: Real>(u: &mut Point<R>, p: &mut Point<R>, g: &Point<R>, h: f64, (sin, cos): (f64, f64)) {
    turn(&mut u.noise, &mut p.noise, &g.noise, R::of(h), R::of(sin), R::of(cos));
    turn(&mut u.learnt, &mut p.learnt, &g.learnt, h, sin, cos);
}

fn turn<R: Real>(u: &mut [R], p: &mut [R], g: &[R], h: R, sin: R, cos: R) {
    wide(
        #[inline(always)]
        || {
            for ((u, p), g) in u.iter_mut().zip(p.iter_mut()).zip(g) {
                let v = *p + h * *g;
                let x = *u;
                *u = cos * x + sin * v;
                *p = cos * v - sin * x;
            }
        },
    );
}

/// Running mean and variance (Welford) of the learnt coordinates.
struct Moments {
    count: f64,
    mean: Vec<f64>,
    square: Vec<f64>,
}

impl Moments {
    fn new(n: usize) -> Moments {
        Moments { count: 0.0, mean: vec![0.0; n], square: vec![0.0; n] }
    }
    fn add(&mut self, x: &[f64]) {
        self.count += 1.0;
        for ((m, s), x) in self.mean.iter_mut().zip(&mut self.square).zip(x) {
            let d = x - *m;
            *m += d / self.count;
            *s += d * (x - *m);
        }
    }
    /// Mean, and s.d. shrunk a little towards 1 as Stan does for few draws.
    fn centre_scale(&self) -> (Vec<f64>, Vec<f64>) {
        let n = self.count;
        let scale = self.square.iter().map(|s| {
            let var = s / (n - 1.0);
            ((n * var + 0.05) / (n + 5.0)).sqrt().clamp(0.01, 10.0)
        });
        (self.mean.clone(), scale.collect())
    }
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

    /// Draws of the narrow coordinate and of one of the noise.
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
            // Nearly independent draws: standard errors 0.008 and 0.006 (twice that of the noise); five allowed.
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
