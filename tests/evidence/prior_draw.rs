//! Hyperparameters drawn from the prior.

use crate::common::random::stream;
use crate::studies::calibration::prior_draw::hyper;
use crate::studies::uniformity::Uniformity;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::study::model_keys::FieldPrior;

/// The density that the sampler uses, summed to a distribution function, makes draws uniform.
#[test]
fn draws_are_of_the_density_that_is_sampled() {
    use pignut::internals::kernel::prior::{LEVEL, OPERATION, PERSISTENCE, RANGE, SD, log_prior};
    let p = FieldPrior::default();
    let mut rng = stream(11);
    let samples: Vec<Vec<f64>> = (0..500).map(|_| hyper(&p, 1, &mut rng).to_vec()).collect();
    let test = Uniformity::new(500, 100, 2000, 12);
    let bounds = [
        (LEVEL, -8.0, 5.0),
        (RANGE, 6.0, 30.0),
        (SD, -20.0, 4.0),
        (PERSISTENCE, -14.0, 40.0),
        (OPERATION, -11.0, 7.0),
    ];
    for (i, from, to) in bounds {
        let n = 20_000;
        let step = (to - from) / n as f64;
        let mut at = Hyper::start(&p, 1).to_vec();
        let mut sum = 0.0;
        let cumulative: Vec<f64> = (0..n)
            .map(|k| {
                at[i] = from + (k as f64 + 0.5) * step;
                sum += log_prior(&p, &Hyper::from_slice(&at), &mut [0.0; 5]).exp();
                sum
            })
            .collect();
        let place = |x: f64| cumulative[(((x - from) / step) as usize).min(n - 1)] / sum;
        let u: Vec<f64> = samples.iter().map(|d| place(d[i])).collect();
        assert!(test.p_value(&u) > 0.01, "hyperparameter {i}: {}", test.p_value(&u));
    }
}
