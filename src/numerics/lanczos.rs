//! Leading eigenpairs of a large symmetric operator, by Lanczos's method.

use crate::numerics::real::{Real, dot};
use faer::{Mat, Side};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};

/// An eigenvalue with its vector of length one.
#[derive(Debug, Clone)]
pub(crate) struct Pair<R> {
    /// The eigenvalue.
    pub value: f64,
    /// The eigenvector.
    pub vector: Vec<R>,
}

/// The largest eigenvalues, down to `least`, that so many products find, largest first.
///
/// # Formula
/// ```text
/// β_{j+1} q_{j+1} = A q_j − α_j q_j − β_j q_{j−1},  each new vector orthogonalised twice against all before;
/// eigenpairs (θ, y) of the tridiagonal matrix of α and β give (θ, Σ y_j q_j)
/// ```
/// # Shapes and units
/// `apply(v, out)` writes the product with a vector of length `n`; the operator is symmetric and positive
/// semidefinite.
/// # Numerics
/// The start is drawn from a fixed stream: the same operator gives the same pairs. Values are lower bounds;
/// the first ones converge first.
/// # Source
/// Golub & Van Loan, Matrix Computations, §10.1 (full reorthogonalisation, §10.3).
pub(crate) fn leading<R: Real>(
    n: usize,
    products: usize,
    least: f64,
    mut apply: impl FnMut(&[R], &mut [R]),
) -> Vec<Pair<R>> {
    let mut rng = ChaCha12Rng::seed_from_u64(1);
    let mut v: Vec<R> = (0..n).map(|_| R::of(StandardNormal.sample(&mut rng))).collect();
    let (mut basis, mut diagonal, mut beside): (Vec<Vec<R>>, Vec<f64>, Vec<f64>) =
        (Vec::new(), Vec::new(), Vec::new());
    let mut length = dot(&v, &v).sqrt();
    // A Krylov space of fewer dimensions than asked for ends in a vector of rounding errors.
    while basis.len() < products.min(n)
        && length > 1e-6 * diagonal.first().copied().unwrap_or(0.0)
        && length > 0.0
    {
        v.iter_mut().for_each(|x| *x = R::of(x.f64() / length));
        let mut w = vec![R::zero(); n];
        apply(&v, &mut w);
        diagonal.push(dot(&v, &w));
        basis.push(std::mem::take(&mut v));
        for _ in 0..2 {
            for q in &basis {
                let along = R::of(dot(&w, q));
                w.iter_mut().zip(q).for_each(|(w, q)| *w -= along * *q);
            }
        }
        length = dot(&w, &w).sqrt();
        beside.push(length);
        v = w;
    }
    let k = basis.len();
    let small = Mat::from_fn(k, k, |i, j| match i.abs_diff(j) {
        0 => diagonal[i],
        1 => beside[i.min(j)],
        _ => 0.0,
    });
    let Ok(eigen) = small.self_adjoint_eigen(Side::Lower) else {
        return Vec::new();
    };
    let pair = |j: usize| {
        let mut vector = vec![R::zero(); n];
        for (i, q) in basis.iter().enumerate() {
            let share = R::of(eigen.U()[(i, j)]);
            vector.iter_mut().zip(q).for_each(|(x, q)| *x += share * *q);
        }
        Pair { value: eigen.S()[j], vector }
    };
    (0..k).rev().map(pair).take_while(|p| p.value >= least).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_graph_has_its_textbook_eigenpairs() {
        // Second differences on n points, ends fixed: 2 − 2 cos(jπ/(n+1)), vectors sin(jπi/(n+1)) (Strang,
        // Linear Algebra and Its Applications, from memory).
        let n = 40;
        let apply = |v: &[f64], out: &mut [f64]| {
            for i in 0..n {
                let at = |k: usize| v.get(k).copied().unwrap_or(0.0);
                out[i] = 2.0 * v[i] - at(i + 1) - if i > 0 { v[i - 1] } else { 0.0 };
            }
        };
        let found = leading(n, n, 3.9, apply);
        let value = |j: usize| 2.0 - 2.0 * (std::f64::consts::PI * j as f64 / (n as f64 + 1.0)).cos();
        let wanted: Vec<f64> = (1..=n).rev().map(value).take_while(|v| *v >= 3.9).collect();
        assert_eq!(found.len(), wanted.len());
        for (k, (pair, value)) in found.iter().zip(&wanted).enumerate() {
            assert!((pair.value - value).abs() < 1e-9);
            let mode: Vec<f64> = (1..=n)
                .map(|i| ((n - k) as f64 * std::f64::consts::PI * i as f64 / (n as f64 + 1.0)).sin())
                .collect();
            let along = dot(&mode, &pair.vector).abs() / dot(&mode, &mode).sqrt();
            assert!((along - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn an_operator_of_low_rank_has_no_more_pairs_than_its_rank() {
        let apply = |v: &[f32], out: &mut [f32]| {
            out.fill(0.0);
            (out[2], out[5]) = (9.0 * v[2], 4.0 * v[5]);
        };
        let found = leading(30, 12, 1.0, apply);
        assert_eq!(found.len(), 2);
        assert!((found[0].value - 9.0).abs() < 1e-4 && (found[1].value - 4.0).abs() < 1e-4);
        assert!(found[0].vector[2].abs() > 0.9999 && found[1].vector[5].abs() > 0.9999);
    }
}
