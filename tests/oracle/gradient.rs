//! Gradients and Fisher products against finite differences and explicit Jacobians.

use crate::common::random::{normals, stream};
use crate::common::small::{grid, hazard, pigs, study};
use pignut::internals::geography::grid::Grid;
use pignut::internals::kernel::field::shape_of;
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::kernel::mean_parametrisation::MeanParametrisation;
use pignut::internals::kernel::model::{AtStart, Model};
use pignut::internals::kernel::operations::Covariate;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::numerics::real::{Real, dot};
use pignut::internals::records::WildlifeHost;
use pignut::internals::sampler::hmc::Target;
use pignut::internals::sampler::mode::Problem;
use pignut::internals::study::study_file::Study;

/// A central difference of step 1e-5 errs by about 1e-10 of the third derivative and 1e-16/1e-5 of
/// the value (some hundreds): 1e-6 on a gradient of order one.
const DIFFERENCE_ABS: f64 = 2e-6;

fn model<R: Real>(study: &Study, grid: &Grid, count: usize, seed: u64) -> Model<R> {
    let list = pigs(&mut stream(seed), grid, count);
    let covariates = [WildlifeHost::Possum, WildlifeHost::Ferret]
        .into_iter()
        .enumerate()
        .map(|(k, host)| {
            let x = (0..grid.field_len()).map(|i| ((i * (k + 2)) as f64 * 0.31).sin().powi(2)).collect();
            Covariate { host, x }
        })
        .collect();
    Model::new(&study.field, shape_of(study, grid), covariates, Likelihood::new(&list, study, grid))
}

/// Holds the gradient by all unknowns to central differences of the value.
fn check_gradient(mut target: impl Target<Noise = f64>, seed: u64) {
    let n = target.noise_len();
    let all = n + target.learnt_len();
    assert_eq!(all, n + 6, "level, range, s.d., persistence and two operations");
    let mut q = normals(&mut stream(seed + 10), all);
    q[n..].iter_mut().for_each(|v| *v *= 0.6);
    let mut value_gradient = |q: &[f64]| {
        let (mut by_z, mut by_eta) = (vec![f64::NAN; n], vec![f64::NAN; all - n]);
        let value = target.log_ratio(&q[..n], &q[n..], &mut by_z, &mut by_eta);
        (value, [by_z, by_eta].concat())
    };
    let gradient = value_gradient(&q).1;
    let mut moved = 0.0f64;
    for (i, gradient) in gradient.iter().enumerate() {
        let step = 1e-5;
        let mut at = |d: f64| {
            let mut p = q.clone();
            p[i] += d;
            value_gradient(&p).0
        };
        let slope = (at(step) - at(-step)) / (2.0 * step);
        moved = moved.max(slope.abs());
        assert!(
            (slope - gradient).abs() < DIFFERENCE_ABS * (1.0 + slope.abs()),
            "unknown {i}: {slope} {gradient}"
        );
    }
    assert!(moved > 0.1, "a gradient of nothing proves nothing: {moved}");
}

#[test]
fn the_gradient_is_the_derivative_by_every_unknown() {
    let study = study();
    for (rows, cols, periods, seed) in [(5, 4, 3, 1), (3, 9, 4, 2)] {
        let g = grid(rows, cols, periods);
        check_gradient(model(&study, &g, 55, seed), seed);
        check_gradient(MeanParametrisation { model: model(&study, &g, 55, seed) }, seed);
    }
}

/// Noise is the same in both coordinates, so the density is, of a shear: ln ratios differ by what the
/// references do.
#[test]
fn the_centred_coordinates_name_the_same_places() {
    let study = study();
    let g = grid(4, 5, 3);
    let mut m = model::<f64>(&study, &g, 30, 6);
    let mut q = normals(&mut stream(7), m.dim());
    (0..3).for_each(|t| q[t * 5] += 2.0);
    let (z, eta) = q.split_at(m.noise_len());
    let (mut by_z, mut by_eta) = (vec![0.0; z.len()], vec![0.0; eta.len()]);
    let value = m.log_ratio(z, eta, &mut by_z, &mut by_eta);
    let hyper = m.hyper.clone();
    let centred = MeanParametrisation::coordinates(&mut m, z, eta);
    assert!((centred[0] - eta[0]).abs() > 0.1 && centred[1..] == eta[1..]);
    let mut c = MeanParametrisation { model: m };
    let other = c.log_ratio(z, &centred, &mut by_z, &mut by_eta);
    assert!(((other - value) - 0.5 * (centred[0].powi(2) - eta[0].powi(2))).abs() < 1e-9, "{value} {other}");
    assert!((c.model.hyper.level - hyper.level).abs() < 1e-12 && c.model.hyper.log_range == hyper.log_range);
}

/// Along the noise of the mean only the level's prior informs: A² in units of its variance. Across it, as the
/// model.
#[test]
fn information_with_the_mean_held_is_that_across_it_and_the_prior_along_it() {
    let study = study();
    let g = grid(4, 5, 3);
    let mut m = model::<f64>(&study, &g, 30, 6);
    let n = m.noise_len();
    let z = normals(&mut stream(8), n);
    let hyper = m.hyper_at(&normals(&mut stream(9), 6));
    m.at(&z, &hyper, &mut vec![0.0; n]);
    let mut mean = vec![0.0; n];
    (0..3).for_each(|t| mean[t * 5] = 1.0 / 3f64.sqrt());
    let mut of = |v: &[f64]| {
        let mut out = vec![f64::NAN; n];
        MeanParametrisation::fisher(&mut m, v, &mut out);
        out
    };
    let along = of(&mean);
    let across: Vec<f64> = normals(&mut stream(10), n);
    let by = dot(&across, &mean);
    let across: Vec<f64> = across.iter().zip(&mean).map(|(v, e)| v - by * e).collect();
    let image = of(&across);
    let sd = m.field.sd_of_mean(&hyper).0 / study.field.level_sd;
    assert!(sd > 0.05);
    for (a, e) in along.iter().zip(&mean) {
        assert!((a - sd * sd * e).abs() < 1e-9, "{a} {e}");
    }
    let mut whole = vec![f64::NAN; n];
    m.fisher(&across, &mut whole);
    let by = dot(&whole, &mean);
    assert!(by.abs() > 1e-6 && dot(&image, &mean).abs() < 1e-9);
    for ((a, b), e) in image.iter().zip(&whole).zip(&mean) {
        assert!((a - (b - by * e)).abs() < 1e-9 * (1.0 + b.abs()), "{a} {b}");
    }
}

/// The chains run in single precision: some hundred roundings of 6e-8 each on sums of order one.
const SINGLE_REL: f64 = 2e-5;

#[test]
fn single_precision_gives_the_same_value_and_gradient() {
    let study = study();
    for (rows, cols, periods, seed) in [(5, 4, 3, 1), (9, 17, 6, 2), (3, 170, 2, 3)] {
        let g = grid(rows, cols, periods);
        let (mut double, mut single) =
            (model::<f64>(&study, &g, 80, seed), model::<f32>(&study, &g, 80, seed));
        let q = normals(&mut stream(seed + 30), double.dim());
        let (z, eta) = q.split_at(double.noise_len());
        let narrow: Vec<f32> = z.iter().map(|v| *v as f32).collect();
        let (mut by_z, mut by_eta) = (vec![f64::NAN; z.len()], vec![f64::NAN; eta.len()]);
        let (mut by_narrow, mut by_eta_single) = (vec![f32::NAN; z.len()], vec![f64::NAN; eta.len()]);
        let a = double.log_ratio(z, eta, &mut by_z, &mut by_eta);
        let b = single.log_ratio(&narrow, eta, &mut by_narrow, &mut by_eta_single);
        assert!((a - b).abs() < SINGLE_REL * a.abs(), "{a} {b}");
        let largest = by_z.iter().fold(0.0f64, |m, v| m.max(v.abs()));
        assert!(largest > 0.1);
        for (a, b) in by_z.iter().zip(&by_narrow) {
            assert!((a - f64::from(*b)).abs() < SINGLE_REL * largest, "{a} {b}");
        }
        let largest = by_eta.iter().fold(0.0f64, |m, v| m.max(v.abs()));
        for (a, b) in by_eta.iter().zip(&by_eta_single) {
            assert!((a - b).abs() < SINGLE_REL * largest, "{a} {b}");
        }
    }
}

#[test]
fn fixed_hyperparameters_are_held() {
    let mut study = study();
    study.field.fixed = true;
    let g = grid(3, 4, 2);
    let mut m = model(&study, &g, 20, 3);
    assert_eq!(m.sampled_names(), ["level", "operation_possum", "operation_ferret"]);
    let q = normals(&mut stream(4), m.dim());
    let (z, eta) = q.split_at(m.noise_len());
    m.set(z, eta);
    assert_eq!(m.hyper.log_range, study.field.range_m.ln());
    assert_eq!(m.hyper.log_sd, study.field.sd.ln());
    let back = m.coordinates(&m.hyper_at(eta));
    assert!(back.iter().zip(eta).all(|(a, b)| (a - b).abs() < 1e-12));
}

/// ln likelihood is all that the noise moves: values at two places differ by as much, and slopes are the
/// same.
#[test]
fn a_model_held_at_a_point_has_its_likelihood_and_no_hyperparameters() {
    let study = study();
    let g = grid(3, 4, 2);
    let (mut whole, q) = (model::<f64>(&study, &g, 20, 3), normals(&mut stream(5), 24 + 24 + 6));
    let (z, other, eta) = (&q[..24], &q[24..48], &q[48..]);
    let mut held = model::<f64>(&study, &g, 20, 3).held_at(eta);
    assert_eq!((held.noise_len(), held.learnt_len(), held.sampled_names().len()), (24, 0, 0));
    let (mut by_z, mut by_eta, mut by_held) = (vec![f64::NAN; 24], vec![f64::NAN; 6], vec![f64::NAN; 24]);
    let mut at = |z: &[f64]| {
        let pair =
            (whole.log_ratio(z, eta, &mut by_z, &mut by_eta), held.log_ratio(z, &[], &mut by_held, &mut []));
        assert_eq!(by_z, by_held);
        assert_eq!((whole.log_likelihood, &whole.hyper), (held.log_likelihood, &held.hyper));
        pair
    };
    let ((a, b), (c, d)) = (at(z), at(other));
    assert!(((a - c) - (b - d)).abs() < 1e-9 && (a - c).abs() > 1e-3, "{a} {b} {c} {d}");
}

/// ∇L of each pig by hazard and by dispersed hazard, side by side: one pig at a time, no window, no sum.
fn jacobian(
    study: &Study,
    g: &Grid,
    list: &[pignut::internals::records::Pig],
    field: &[f64],
    dispersed: &[f64],
) -> Vec<(f64, Vec<f64>)> {
    let n = g.field_len();
    list.iter()
        .map(|p| {
            let mut alone = Likelihood::new(std::slice::from_ref(p), study, g);
            let mut by = vec![0.0; 2 * n];
            let (a, b) = by.split_at_mut(n);
            let value = alone.value_gradient(field, dispersed, a, b).exp();
            // ∇L = L ∇ln L.
            by.iter_mut().for_each(|v| *v *= value);
            (value, by)
        })
        .collect()
}

#[test]
fn the_fisher_product_is_that_of_the_explicit_jacobian() {
    let study = study();
    let g = grid(6, 9, 4);
    let n = g.field_len();
    let mut rng = stream(21);
    // Unknown ages take their class weights from all pigs together: left out here.
    let list: Vec<_> = pigs(&mut rng, &g, 60)
        .into_iter()
        .filter(|p| p.age != pignut::internals::records::Age::Unknown)
        .collect();
    let (field, dispersed) = (hazard(&mut rng, n), hazard(&mut rng, n));
    let change = normals(&mut rng, 2 * n);
    let mut all = Likelihood::new(&list, &study, &g);
    let (mut by, mut by_dispersed) = (vec![0.0; n], vec![0.0; n]);
    all.value_gradient(&field, &dispersed, &mut by, &mut by_dispersed);
    all.fisher(&change[..n], &change[n..], &mut by, &mut by_dispersed);
    let mut slow = vec![0.0; 2 * n];
    for (value, gradient) in jacobian(&study, &g, &list, &field, &dispersed) {
        // No exposure, no gradient; L is p or 1 − p, and p(1 − p) is the same for both.
        let along = dot(&gradient, &change) / (value * (1.0 - value));
        slow.iter_mut().zip(&gradient).for_each(|(s, g)| *s += along * g);
    }
    let largest = slow.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    assert!(largest > 0.1);
    for (i, (fast, slow)) in by.iter().chain(&by_dispersed).zip(&slow).enumerate() {
        assert!((fast - slow).abs() < 1e-10 * largest, "{i}: {fast} {slow}");
    }
}

#[test]
fn the_product_of_the_search_for_the_mode_is_jacobian_fisher_jacobian() {
    let study = study();
    let g = grid(4, 3, 3);
    let n = g.field_len();
    let mut m = model(&study, &g, 50, 5);
    let mut rng = stream(22);
    let z: Vec<f64> = normals(&mut rng, n).iter().map(|v| 0.5 * v).collect();
    let v = normals(&mut rng, n);
    let mut fast = vec![f64::NAN; n];
    let mut start = AtStart { model: &mut m };
    start.log_likelihood(&z, &mut fast);
    start.fisher(&v, &mut fast);
    // Columns of ∂(hazard, dispersed)/∂z by central differences, hyperparameters at their start.
    let hyper = Hyper::start(&study.field, 2);
    let step = 1e-5;
    let columns: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            let mut at = |d: f64| -> Vec<f64> {
                let mut p = z.clone();
                p[i] += d;
                m.field.forward(&p, &hyper);
                m.field.hazard.iter().chain(&m.field.dispersed).copied().collect()
            };
            let (up, down) = (at(step), at(-step));
            up.iter().zip(&down).map(|(a, b)| (a - b) / (2.0 * step)).collect()
        })
        .collect();
    let mut jv = vec![0.0; 2 * n];
    for (column, v) in columns.iter().zip(&v) {
        jv.iter_mut().zip(column).for_each(|(j, c)| *j += v * c);
    }
    let (mut by, mut by_dispersed) = (vec![0.0; n], vec![0.0; n]);
    m.field.forward(&z, &hyper);
    let (hazard, dispersed) = (m.field.hazard.clone(), m.field.dispersed.clone());
    m.likelihood.value_gradient(&hazard, &dispersed, &mut by, &mut by_dispersed);
    m.likelihood.fisher(&jv[..n], &jv[n..], &mut by, &mut by_dispersed);
    by.extend(&by_dispersed);
    let slow: Vec<f64> = columns.iter().map(|c| dot(c, &by)).collect();
    let largest = slow.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    assert!(largest > 1e-3, "a product of nothing proves nothing: {largest}");
    for (i, (a, b)) in fast.iter().zip(&slow).enumerate() {
        assert!((a - b).abs() < 1e-7 * largest, "noise {i}: {a} {b}");
    }
    assert!(dot(&fast, &v) > 0.0);
}
