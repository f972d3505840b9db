//! A posterior of one unknown, exact by quadrature: monotone in the evidence, and what the sampler finds.

use crate::common::small::{confirmed, grid, pig, study};
use jiff::civil::date;
use pignut::internals::kernel::field::shape_of;
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::kernel::model::Model;
use pignut::internals::records::{Age, Pig};
use pignut::internals::sampler::chains::run_chain;
use pignut::internals::sampler::diagnostics::convergence;
use pignut::internals::sampler::hmc::Settings;
use pignut::internals::study::model_keys::Link;
use pignut::internals::study::study_file::Study;

/// A study area of one hazard, and pigs of it.
fn study_area() -> (Study, Vec<Pig>) {
    let mut study = study();
    study.field.fixed = true;
    // No variation over space and time is left: the level is the one unknown.
    study.field.sd = 1e-9;
    study.field.link = Link::Exp;
    let g = grid(6, 6, 4);
    let mut list: Vec<Pig> = (0..12)
        .map(|i| {
            let mut p = pig(g.west_m + 1500.0 + 250.0 * f64::from(i), g.south_m + 3100.0, date(2019, 11, 2));
            p.age = Age::Interval { min_months: 8.0 + f64::from(i), max_months: 12.0 + f64::from(i) };
            p
        })
        .collect();
    list[3] = confirmed(list[3].clone());
    list[7] = confirmed(list[7].clone());
    (study, list)
}

/// Posterior mean and s.d. of the hazard by the trapezium rule over ±8 prior s.d. of the log hazard.
fn quadrature(study: &Study, list: &[Pig]) -> (f64, f64) {
    let g = grid(6, 6, 4);
    let mut likelihood = Likelihood::new(list, study, &g);
    let (mut by, mut by_dispersed) = (vec![0.0; g.field_len()], vec![0.0; g.field_len()]);
    let n = 1600;
    let (mut total, mut first, mut second) = (0.0, 0.0, 0.0);
    for i in 0..=n {
        let eta = -8.0 + 16.0 * f64::from(i) / f64::from(n);
        let lambda = (study.field.level_mean + study.field.level_sd * eta).exp();
        let field = vec![lambda; g.field_len()];
        let value = likelihood.value_gradient(&field, &field, &mut by, &mut by_dispersed);
        let weight = (value - 0.5 * eta * eta).exp();
        total += weight;
        first += weight * lambda;
        second += weight * lambda * lambda;
    }
    let mean = first / total;
    (mean, (second / total - mean * mean).sqrt())
}

/// Pigs with no visible lesion have a likelihood that falls in λ, positives one that rises: with one unknown,
/// the posterior mean must follow (monotone likelihood ratio).
#[test]
fn a_clear_pig_never_raises_the_hazard_and_a_positive_never_lowers_it() {
    let (study, list) = study_area();
    let (before, _) = quadrature(&study, &list);
    let g = grid(6, 6, 4);
    for months in [3.5, 7.0, 12.0, 26.0, 90.0] {
        for (x, y) in [(3000.0, 3000.0), (200.0, 5800.0)] {
            let mut p = pig(g.west_m + x, g.south_m + y, date(2019, 10, 5));
            p.age = Age::Interval { min_months: months, max_months: months + 2.0 };
            let with = |extra: Pig| {
                let mut all = list.clone();
                all.push(extra);
                quadrature(&study, &all).0
            };
            let clear = with(p.clone());
            assert!(clear < before, "{months} months: {clear} {before}");
            let positive = with(confirmed(p));
            assert!(positive > before, "{months} months: {positive} {before}");
        }
    }
    // A pig that was never exposed changes nothing.
    let mut suckling = pig(g.west_m + 3000.0, g.south_m + 3000.0, date(2019, 10, 5));
    suckling.age = Age::Interval { min_months: 0.5, max_months: 1.5 };
    let mut all = list.clone();
    all.push(suckling);
    assert!((quadrature(&study, &all).0 - before).abs() < 1e-12);
}

#[test]
fn the_sampler_finds_the_posterior_of_quadrature() {
    let (study, list) = study_area();
    let (mean, sd) = quadrature(&study, &list);
    let g = grid(6, 6, 4);
    let chains: Vec<Vec<f64>> = (0..2)
        .map(|chain| {
            let mut m: Model<f32> =
                Model::new(&study.field, shape_of(&study, &g), vec![], Likelihood::new(&list, &study, &g));
            let settings = Settings {
                warmup: 200,
                trajectories: 3000,
                accept: 0.8,
                length: std::f64::consts::FRAC_PI_2,
                max_steps: 64,
            };
            let (z, eta) = (vec![0.3; m.dim() - m.sampled_len()], vec![0.3; m.sampled_len()]);
            let mut other =
                Model::new(&study.field, shape_of(&study, &g), vec![], Likelihood::new(&list, &study, &g));
            let mut kept = Vec::new();
            let keep = |_: &mut Model<f32>, _: usize, _: bool, z: &[f32], eta: &[f64]| {
                other.set(z, eta);
                kept.push(f64::from(other.field.hazard[0]));
            };
            run_chain(&mut m, &z, &eta, &settings, 3, chain, keep, || ());
            kept
        })
        .collect();
    let all: Vec<f64> = chains.iter().flatten().copied().collect();
    let ess = convergence(&chains).ess_bulk.expect("the hazard varies");
    assert!(ess > 1000.0, "{ess}");
    let found = all.iter().sum::<f64>() / all.len() as f64;
    let error = sd / ess.sqrt();
    assert!((found - mean).abs() < 4.5 * error, "{found} ± {error}, by quadrature {mean}");
    let found_sd = (all.iter().map(|v| (v - found).powi(2)).sum::<f64>() / all.len() as f64).sqrt();
    // The s.d. of a skewed posterior: its own error is within a few times sd/√(2 ess).
    assert!((found_sd / sd - 1.0).abs() < 10.0 / (2.0 * ess).sqrt(), "{found_sd} {sd}");
}
