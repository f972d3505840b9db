//! Hyperparameters drawn from the prior, by inversion of what the prior says of each.

use pignut::kernel::prior::Hyper;
use pignut::study::model_keys::FieldPrior;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// One draw, with this many types of operation.
///
/// # Formula
/// ```text
/// μ, β normal;  range l₁/E₁;  s.d. E₂/l₂;  ρ = 1 − u²,  u = −ln(1 − U (1 − e^(−θ)))/θ
/// ```
/// E standard exponential, U uniform, rates as in [`pignut::kernel::prior::log_prior`]: written from the
/// densities a reader knows, not from the sampled scale.
pub(super) fn hyper(p: &FieldPrior, operations: usize, rng: &mut impl Rng) -> Hyper {
    let rate = -(0.05f64.ln());
    let mut normal = |mean: f64, sd: f64| {
        let z: f64 = StandardNormal.sample(&mut *rng);
        mean + sd * z
    };
    let level = normal(p.level_mean, p.level_sd);
    let operation = (0..operations).map(|_| normal(p.operation_mean, p.operation_sd)).collect();
    // 1 − U lies in (0, 1]: its logarithm is finite, and the exponential is above 0 but once in 2⁵³ draws.
    let mut exponential = || -(1.0 - rng.random::<f64>()).ln();
    let range = rate * p.range_lower_m / exponential().max(f64::MIN_POSITIVE);
    let sd = exponential().max(f64::MIN_POSITIVE) * p.sd_upper / rate;
    let theta = rate / (1.0 - p.persistence_lower).sqrt();
    let u = -(1.0 - rng.random::<f64>() * (1.0 - (-theta).exp())).ln() / theta;
    let one_minus = (u * u).max(f64::MIN_POSITIVE);
    Hyper {
        level,
        log_range: range.ln(),
        log_sd: sd.ln(),
        persistence_logit: ((1.0 - one_minus) / one_minus).ln(),
        operation,
    }
}

#[cfg(test)]
mod tests {

    /// The density that the sampler uses, summed to a distribution function, makes draws uniform.
    #[test]
    fn draws_are_of_the_density_that_is_sampled() {
        use pignut::kernel::prior::{LEVEL, OPERATION, PERSISTENCE, RANGE, SD, log_prior};
        let p = FieldPrior::default();
        let mut rng = ChaCha12Rng::seed_from_u64(11);
        let draws: Vec<Vec<f64>> = (0..500).map(|_| hyper(&p, 1, &mut rng).to_vec()).collect();
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
            let u: Vec<f64> = draws.iter().map(|d| place(d[i])).collect();
            assert!(test.p_value(&u) > 0.01, "hyperparameter {i}: {}", test.p_value(&u));
        }
    }
}
