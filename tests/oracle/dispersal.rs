//! The dispersal filter against a dense matrix function, and as a probability kernel.

use crate::common::random::stream;
use crate::common::small::{grid, hazard};
use faer::{Mat, Side};
use pignut::internals::geography::grid::Grid;
use pignut::internals::kernel::field::dispersal_filter;
use pignut::internals::numerics::cosine_transform::CosineTransform;

/// (I + a²L)^(−1/2) by a dense eigendecomposition, L the five-point Laplacian with reflecting edges.
pub fn dense_dispersal(grid: &Grid, mean_m: f64) -> Vec<Vec<f64>> {
    let n = grid.cells();
    let scale = (mean_m / grid.cell_m).powi(2);
    let neighbours = |a: usize, b: usize| {
        let ((r, c), (s, d)) = (grid.row_col(a), grid.row_col(b));
        r.abs_diff(s) + c.abs_diff(d) == 1
    };
    let matrix = Mat::from_fn(n, n, |a, b| {
        if a == b {
            1.0 + scale * (0..n).filter(|o| neighbours(a, *o)).count() as f64
        } else if neighbours(a, b) {
            -scale
        } else {
            0.0
        }
    });
    let eigen = matrix.self_adjoint_eigen(Side::Lower).expect("a symmetric matrix has its decomposition");
    let root: Vec<f64> = (0..n).map(|k| 1.0 / eigen.S()[k].sqrt()).collect();
    (0..n)
        .map(|a| {
            (0..n).map(|b| (0..n).map(|k| eigen.U()[(a, k)] * root[k] * eigen.U()[(b, k)]).sum()).collect()
        })
        .collect()
}

/// D applied to a field of one period.
fn disperse(field: &mut [f64], rows: usize, cols: usize, cell_m: f64, mean_m: f64) {
    let mut transform = CosineTransform::new(rows, 1, cols);
    let filter = dispersal_filter(&transform, rows, cols, cell_m, mean_m);
    transform.forward(field);
    field.iter_mut().zip(&filter).for_each(|(v, f)| *v *= f);
    transform.inverse(field);
}

#[test]
fn the_filter_is_the_dense_matrix() {
    for (rows, cols, mean_m, seed) in [(7, 6, 4000.0, 1), (8, 11, 700.0, 2), (2, 13, 20_000.0, 3)] {
        let g = grid(rows, cols, 1);
        let d = dense_dispersal(&g, mean_m);
        let field = hazard(&mut stream(seed), g.cells());
        let mut fast = field.clone();
        disperse(&mut fast, rows, cols, 1000.0, mean_m);
        for (a, line) in d.iter().enumerate() {
            let slow: f64 = line.iter().zip(&field).map(|(x, y)| x * y).sum();
            assert!((fast[a] - slow).abs() < 1e-12, "{rows}×{cols} cell {a}: {} {slow}", fast[a]);
        }
    }
}

#[test]
fn every_row_is_a_distribution_over_cells() {
    // One axis longer than the products allow, so that the fast transform is used too.
    for (rows, cols, mean_m) in [(9, 12, 4000.0), (15, 8, 300.0), (3, 170, 4000.0), (5, 5, 50_000.0)] {
        for from in [0, cols / 2, rows * cols / 2, rows * cols - 1] {
            let mut field = vec![0.0; rows * cols];
            field[from] = 1.0;
            disperse(&mut field, rows, cols, 1000.0, mean_m);
            let least = field.iter().copied().fold(f64::INFINITY, f64::min);
            assert!(least > -1e-15, "{rows}×{cols} from {from}: {least}");
            assert!((field.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }
}

/// Distances from the middle of a wide grid: mean and mean square, metres.
fn distances(cells: usize, cell_m: f64, mean_m: f64) -> (f64, f64) {
    let mut field = vec![0.0; cells * cells];
    let middle = cells / 2;
    field[middle * cells + middle] = 1.0;
    disperse(&mut field, cells, cells, cell_m, mean_m);
    let (mut mean, mut square) = (0.0, 0.0);
    for (i, p) in field.iter().enumerate() {
        let (dx, dy) = ((i % cells).abs_diff(middle) as f64, (i / cells).abs_diff(middle) as f64);
        let r = cell_m * dx.hypot(dy);
        mean += p * r;
        square += p * r * r;
    }
    (mean, square.sqrt())
}

#[test]
fn mean_distance_is_the_parameter() {
    let a = 4000.0;
    // 151 cells of 1 km: e^(−75/4) of the mass would pass the edge.
    let (mean, root_square) = distances(151, 1000.0, a);
    // An exponential distance has mean square 2a²; the lattice keeps second moments exactly.
    assert!((root_square - 2f64.sqrt() * a).abs() < 1e-4 * a, "{root_square}");
    // The density falls as 1/r at its centre, which the lattice spreads over the nearest cells: the mean
    // is off by an order of (cell/a)², 6 % of a, and by a quarter of that at half the cell.
    let coarse = (mean / a - 1.0).abs();
    let fine = (distances(301, 500.0, a).0 / a - 1.0).abs();
    println!("mean distance off by {coarse} and {fine}");
    assert!(coarse < 0.02, "{coarse}");
    assert!(fine < 0.4 * coarse, "{fine} {coarse}");
    // And the parameter matters.
    assert!(distances(151, 1000.0, 2000.0).0 < 0.6 * mean);
}
