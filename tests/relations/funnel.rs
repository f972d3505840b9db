//! The sampler in a place too narrow for its step: a funnel whose mouth is known.

use pignut::internals::sampler::chains::run_chain;
use pignut::internals::sampler::diagnostics::convergence;
use pignut::internals::sampler::hmc::{Settings, Target};
use statrs::distribution::{ContinuousCDF, Normal};

/// x ~ N(0, 1); y given x ~ N(0, e^(2·1.2·x)): the funnel of Neal (2003), Slice sampling, §8, in two
/// dimensions.
struct Funnel;

const SLOPE: f64 = 1.2;

impl Target for Funnel {
    type Noise = f64;
    fn noise_len(&self) -> usize {
        2
    }
    fn learnt_len(&self) -> usize {
        0
    }
    fn log_ratio(&mut self, z: &[f64], _: &[f64], by: &mut [f64], _: &mut [f64]) -> f64 {
        let (x, y) = (z[0], z[1]);
        let precision = (-2.0 * SLOPE * x).exp();
        by[0] = SLOPE * (y * y * precision - 1.0);
        by[1] = y - y * precision;
        -SLOPE * x - 0.5 * y * y * precision + 0.5 * y * y
    }
}

/// Shares of x below −1.5, −1 and 0 are those of the normal it is, within 4.5 standard errors of their own,
/// however narrow the funnel is there.
#[test]
fn a_chain_gets_into_and_out_of_the_neck() {
    let settings = Settings {
        warmup: 400,
        trajectories: 20_000,
        accept: 0.8,
        length: std::f64::consts::FRAC_PI_2,
        max_steps: 64,
    };
    let mut retried = 0;
    let chains: Vec<Vec<f64>> = (0..4)
        .map(|chain| {
            let mut kept = Vec::new();
            let keep = |_: &mut Funnel, _: usize, _: bool, z: &[f64], _: &[f64]| kept.push(z[0]);
            let outcome = run_chain(&mut Funnel, &[0.0, 0.0], &[], &settings, 5, chain, keep, || ());
            retried += outcome.retried;
            kept
        })
        .collect();
    assert!(retried > 100, "only {retried} trajectories were tried again: the funnel is no test");
    let normal = Normal::new(0.0, 1.0).expect("the standard normal");
    for bound in [-1.5, -1.0, 0.0] {
        let below: Vec<Vec<f64>> =
            chains.iter().map(|c| c.iter().map(|x| f64::from(u8::from(*x < bound))).collect()).collect();
        let all = below.iter().flatten();
        let share = all.clone().sum::<f64>() / all.count() as f64;
        let wanted = normal.cdf(bound);
        let ess = convergence(&below).ess_bulk.expect("both sides are visited");
        let error = (wanted * (1.0 - wanted) / ess).sqrt();
        println!("x below {bound}: {share:.4}, should be {wanted:.4} ± {error:.4}; {retried} tried again");
        assert!((share - wanted).abs() < 4.5 * error, "{bound}: {share} ± {error}, should be {wanted}");
    }
}
