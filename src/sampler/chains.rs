//! Chains side by side: warmed up together, then each on its own stream.

use crate::sampler::adaptation::{Moments, StepSize};
use crate::sampler::hmc::{Chain, ChainOutcome, Settings, Start, Target};
use rayon::prelude::*;

/// Warm-up in stages, after each of which the chains share what they learnt; then so many trajectories, again
/// and again, as `more` asks for.
///
/// `each` does a piece of work on every chain, side by side or one after another.
pub(crate) fn run_all<T, K, P>(
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
/// `noise` and `learnt` of the target's two lengths. `more` is told how many trajectories each chain has made
/// after its warm-up and answers how many more each is to make; 0 ends the run, as does reaching the most.
/// `progress` is called once a trajectory, from any thread.
/// # Numerics
/// Chains agree on a step after each of four stages of the warm-up, share after two of them the mean and
/// covariance of their learnt coordinates, and nothing afterwards. Random numbers come from ChaCha12 with the
/// chain's number as stream: the same seed gives the same samples, however many threads there are. Energies
/// are summed in double precision.
///
/// A trajectory refused with an energy error over 10 is tried again with a quarter of the step over the same
/// length, and accepted with min(1, e^(−error) (1 − a′)/(1 − a)), a the first acceptance, a′ that of the long
/// steps on the way back; not at all unless those too have an error over 10, for else the way back would
/// never be tried. So a chain gets in and out of places too narrow for the step of all.
/// # Source
/// Beskos, Pinski, Sanz-Serna & Stuart (2011); acceptance of fixed-length trajectories as in Hoffman & Gelman
/// (2014); the second attempt is delayed rejection (Mira 2001; Modi, Barnett & Carpenter 2023).
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
    use crate::numerics::real::Real;

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
    fn samples<R: Real>(seed: u64) -> (Vec<f64>, Vec<f64>, ChainOutcome) {
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
        for (x, z, outcome) in [samples::<f64>(7), samples::<f32>(7)] {
            // Nearly independent samples: standard errors 0.008 and 0.006 (twice that of the noise); five
            // allowed.
            let (mean, sd) = moments(&x);
            assert!((mean - 1.0).abs() < 0.04 && (sd - 0.5).abs() < 0.03, "{mean} {sd}");
            let (mean, sd) = moments(&z);
            assert!(mean.abs() < 0.08 && (sd - 1.0).abs() < 0.06, "{mean} {sd}");
            assert!(outcome.accept > 0.7 && outcome.divergences == 0);
        }
        assert_eq!(samples::<f32>(7).0, samples::<f32>(7).0);
        assert_ne!(samples::<f32>(7).0, samples::<f32>(8).0);
    }
}
