//! The hazard field against its definition, and its passes forward and back against one another.

use crate::common::random::{normals, stream};
use crate::common::small::distance;
use faer::Mat;
use faer::linalg::solvers::DenseSolveCore;
use pignut::internals::kernel::field::{HazardField, Shape};
use pignut::internals::kernel::operations::Covariate;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::numerics::cosine_transform::CosineTransform;
use pignut::internals::numerics::real::dot;
use pignut::internals::records::WildlifeHost;
use pignut::internals::study::model_keys::Link;

fn shape(rows: usize, periods: usize, cols: usize, link: Link) -> Shape {
    Shape {
        rows,
        periods,
        cols,
        cell_m: 1000.0,
        period_months: 3.0,
        dispersal_mean_m: 4000.0,
        link,
        // On grids with an odd number of rows a third of the variance has a range of its own.
        focus_share: if rows % 2 == 1 { 1.0 / 3.0 } else { 0.0 },
        focus_range_m: 1800.0,
    }
}

fn hyper(operations: usize) -> Hyper {
    Hyper {
        level: -0.7,
        log_range: 6500f64.ln(),
        log_sd: 0.6,
        persistence_logit: 2.2,
        operation: vec![-1.3; operations],
    }
}

fn operation(n: usize) -> Covariate {
    Covariate { host: WildlifeHost::Possum, x: (0..n).map(|i| ((i as f64) * 0.37).sin().abs()).collect() }
}

/// The symmetric root of the correlations ρ^|i−j|, by the iteration of Denman & Beavers (1976).
fn symmetric_root(periods: usize, rho: f64) -> Mat<f64> {
    let mut root = Mat::from_fn(periods, periods, |i, j| rho.powi(i.abs_diff(j) as i32));
    let mut inverse = Mat::<f64>::identity(periods, periods);
    for _ in 0..30 {
        let next = (&root + inverse.partial_piv_lu().inverse()) * faer::Scale(0.5);
        inverse = (&inverse + root.partial_piv_lu().inverse()) * faer::Scale(0.5);
        root = next;
    }
    root
}

/// The latent field by its formula, mode by mode and sum by sum.
fn naive(s: &Shape, z: &[f64], h: &Hyper, covariate: &[f64]) -> Vec<f64> {
    let rho = h.persistence().powf(s.period_months / 6.0);
    let pi = std::f64::consts::PI;
    let at = |r: usize, t: usize, c: usize| (r * s.periods + t) * s.cols + c;
    // Variance of a mode at a range: 1 on average over the modes.
    let variance = |range: f64, i: usize, j: usize| {
        let weight = |i: usize, j: usize| {
            let k = |k: usize, n: usize| (pi * k as f64 / (n as f64 * s.cell_m)).powi(2);
            1.0 / (8.0 / (range * range) + k(i, s.rows) + k(j, s.cols))
        };
        let modes = (0..s.rows).flat_map(|i| (0..s.cols).map(move |j| (i, j)));
        let all: f64 = modes.map(|(i, j)| weight(i, j).powi(2)).sum();
        (s.rows * s.cols) as f64 / all * weight(i, j).powi(2)
    };
    let range = h.log_range.exp();
    let sums = |i: usize, j: usize| {
        (1.0 - s.focus_share) * variance(range, i, j) + s.focus_share * variance(s.focus_range_m, i, j)
    };
    let cosine = |k: usize, place: usize, n: usize| {
        let norm = if k == 0 { 1.0 / n as f64 } else { 2.0 / n as f64 };
        norm.sqrt() * (pi * k as f64 * (place as f64 + 0.5) / n as f64).cos()
    };
    // Which mode is stored where is the transform's own business; what the mode is, is not.
    let order = CosineTransform::<f64>::new(s.rows, 1, s.cols);
    let root = symmetric_root(s.periods, rho);
    let mut x = vec![0.0; s.len()];
    for mode_row in 0..s.rows {
        for mode_col in 0..s.cols {
            let (i, j) = order.frequency(mode_row, mode_col);
            for t in 0..s.periods {
                let a: f64 = (0..s.periods).map(|u| root[(t, u)] * z[at(mode_row, u, mode_col)]).sum();
                for r in 0..s.rows {
                    for c in 0..s.cols {
                        x[at(r, t, c)] += h.log_sd.exp()
                            * sums(i, j).sqrt()
                            * a
                            * cosine(i, r, s.rows)
                            * cosine(j, c, s.cols);
                    }
                }
            }
        }
    }
    for (x, c) in x.iter_mut().zip(covariate) {
        *x += h.level + h.operation[0] * c;
    }
    x
}

#[test]
fn the_latent_field_is_its_formula() {
    for (rows, periods, cols, seed) in [(5, 3, 4, 1), (4, 1, 9, 2), (2, 4, 2, 3)] {
        let s = shape(rows, periods, cols, Link::SoftplusSquared);
        let covariate = operation(s.len());
        let z = normals(&mut stream(seed), s.len());
        let h = hyper(1);
        let slow = naive(&s, &z, &h, &covariate.x);
        // Under the exponential link the latent field is the logarithm of the hazard.
        let mut field = HazardField::new(shape(rows, periods, cols, Link::Exp), vec![covariate.clone()]);
        field.forward(&z, &h);
        let latent: Vec<f64> = field.hazard.iter().map(|l| l.ln()).collect();
        assert!(distance(&latent, &slow) < 1e-11, "{}", distance(&latent, &slow));
        let mut field = HazardField::new(s, vec![covariate]);
        field.forward(&z, &h);
        for (x, l) in slow.iter().zip(&field.hazard) {
            let soft = x.exp().ln_1p();
            assert!((0.2 * soft * soft - l).abs() < 1e-12 * (1.0 + l));
        }
    }
}

/// The mean of the latent field is linear in the noise: its variance is the sum of squares of what each value
/// adds.
#[test]
fn the_sd_of_the_mean_is_that_of_the_field() {
    for (rows, periods, cols) in [(5, 3, 4), (4, 1, 9), (2, 6, 2)] {
        let n = rows * periods * cols;
        let mut field = HazardField::new(shape(rows, periods, cols, Link::Exp), vec![operation(n)]);
        let mut of = |h: &Hyper| {
            let mut mean = |z: &[f64]| {
                field.forward(z, h);
                field.hazard.iter().map(|l| l.ln()).sum::<f64>() / n as f64
            };
            let none = mean(&vec![0.0; n]);
            let added = |i: usize| {
                let mut z = vec![0.0; n];
                z[i] = 1.0;
                mean(&z) - none
            };
            let slow = (0..n).map(added).map(|a| a * a).sum::<f64>().sqrt();
            let (sd, ..) = field.sd_of_mean(h);
            assert!((sd - slow).abs() < 1e-10 && sd > 0.05, "{sd} {slow}");
            sd
        };
        let h = hyper(1);
        let slope = |change: fn(&mut Hyper, f64), of: &mut dyn FnMut(&Hyper) -> f64| {
            let mut at = |by: f64| {
                let mut moved = h.clone();
                change(&mut moved, by);
                of(&moved).ln()
            };
            (at(1e-4) - at(-1e-4)) / 2e-4
        };
        let by_range = slope(|h, by| h.log_range += by, &mut of);
        let by_persistence = slope(|h, by| h.persistence_logit += by, &mut of);
        let (_, range, persistence) = field.sd_of_mean(&h);
        assert!(
            (range - by_range).abs() < 1e-6 && (persistence - by_persistence).abs() < 1e-6,
            "{by_range} {by_persistence}"
        );
    }
}

/// ⟨J v, u⟩ = ⟨v, Jᵀ u⟩ over hazard and dispersed hazard together; both sums of some hundred products.
const ADJOINT_REL: f64 = 1e-11;

#[test]
fn the_pass_back_is_the_transpose_of_the_pass_forward() {
    // Odd, even, mixed, and an axis on the fast transform.
    for (rows, periods, cols, seed) in [(7, 4, 9, 1), (8, 3, 6, 2), (3, 2, 171, 3), (2, 5, 2, 4)] {
        for link in [Link::SoftplusSquared, Link::Exp] {
            let s = shape(rows, periods, cols, link);
            let n = s.len();
            let mut field = HazardField::new(s, vec![operation(n)]);
            let mut rng = stream(seed);
            let (z, v) = (normals(&mut rng, n), normals(&mut rng, n));
            let (u, w) = (normals(&mut rng, n), normals(&mut rng, n));
            let h = hyper(1);
            field.forward(&z, &h);
            let (mut jv, mut jv_dispersed) = (vec![f64::NAN; n], vec![f64::NAN; n]);
            field.push_forward(&v, &h, &mut jv, &mut jv_dispersed);
            let left = dot(&jv, &u) + dot(&jv_dispersed, &w);
            let (mut back, mut by_hyper) = (vec![f64::NAN; n], vec![0.0; 5]);
            field.backward(&u, &mut w.clone(), &z, &h, &mut back, &mut by_hyper);
            let right = dot(&v, &back);
            let size = dot(&jv, &jv).sqrt() * dot(&u, &u).sqrt();
            assert!((left - right).abs() < ADJOINT_REL * size, "{rows}×{periods}×{cols}: {left} {right}");
        }
    }
}

#[test]
fn the_push_forward_is_the_derivative_of_the_pass_forward() {
    let s = shape(6, 4, 5, Link::SoftplusSquared);
    let n = s.len();
    let mut field = HazardField::new(s, vec![operation(n)]);
    let mut rng = stream(9);
    let (z, v) = (normals(&mut rng, n), normals(&mut rng, n));
    let h = hyper(1);
    let step = 1e-5;
    let mut at = |e: f64| {
        let moved: Vec<f64> = z.iter().zip(&v).map(|(z, v)| z + e * v).collect();
        field.forward(&moved, &h);
        (field.hazard.clone(), field.dispersed.clone())
    };
    let (up, down) = (at(step), at(-step));
    at(0.0);
    let (mut jv, mut jv_dispersed) = (vec![0.0; n], vec![0.0; n]);
    field.push_forward(&v, &h, &mut jv, &mut jv_dispersed);
    let slope =
        |a: &[f64], b: &[f64]| -> Vec<f64> { a.iter().zip(b).map(|(a, b)| (a - b) / (2.0 * step)).collect() };
    assert!(distance(&slope(&up.0, &down.0), &jv) < 1e-7);
    assert!(distance(&slope(&up.1, &down.1), &jv_dispersed) < 1e-7);
}
