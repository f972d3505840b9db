//! Times the routines that every trajectory passes through, at the size of a study area:
//! 46 × 46 cells, 24 half-years, 2 200 pigs.
//!
//! ```text
//! cargo bench --bench kernel
//! ```
//! Before anything is timed its answer is compared with one obtained otherwise: derivatives with
//! central differences, the transform with its defining sum, the link with the standard library.

use criterion::Criterion;
use pignut::internals::geography::grid::Grid;
use pignut::internals::geography::layout::{Layout, shares_of};
use pignut::internals::kernel::field::shape_of;
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::kernel::link;
use pignut::internals::kernel::model::Model;
use pignut::internals::kernel::operations::covariates;
use pignut::internals::numerics::cosine_transform::CosineTransform;
use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::sampler::hmc::Target;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use pignut::internals::study::model_keys::Link;
use pignut::internals::study::study_file::Study;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;
use std::hint::black_box;

const ROWS: usize = 46;
const COLS: usize = 46;
const PERIODS: usize = 24;
const PIGS: usize = 2200;
/// Seed of the study area and of the points at which derivatives are taken.
const SEED: u64 = 1;
/// Single precision against double: some thousand roundings of 6e-8.
const SINGLE_REL: f64 = 1e-4;
/// Central differences with a step of 1e-5: truncation 1e-10, cancellation 1e-16/1e-5 of a value of 1e3.
const SLOPE_REL: f64 = 1e-6;
/// A sum of 2116 products of numbers about 1.
const TRANSFORM_ABS: f64 = 1e-11;
/// A degree-11 polynomial and a series of 14 terms against the standard library.
const LINK_REL: f64 = 1e-13;

/// The simulated study area on a grid of exactly the size above.
fn study_area() -> (Model, Model<f32>, Layout, Grid) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let scenario = Scenario { pigs_target: PIGS, ..Scenario::fresh(SEED) };
    let study_area = simulate(&scenario).expect("the preset is possible");
    write(&study_area, folder.path()).expect("the folder can be written");
    let study = Study::read(&folder.path().join("study.toml")).expect("a study just written");
    let layout = Prepared::read(study).expect("records just written").layout;
    assert_eq!(layout.records.pigs.len(), PIGS);
    let mut grid = layout.grid.clone();
    let (far_row, far_col) = (grid.rows as f64 - ROWS as f64, grid.cols as f64 - COLS as f64);
    // About the same centre; the last half-years, earlier exposure counting in the first.
    grid.south_m += (far_row / 2.0).round() * grid.cell_m;
    grid.west_m += (far_col / 2.0).round() * grid.cell_m;
    (grid.rows, grid.cols) = (ROWS, COLS);
    let edges = &grid.period_edges;
    assert!(edges.len() > PERIODS, "the district has {} half-years", edges.len() - 1);
    grid.period_edges = edges[edges.len() - 1 - PERIODS..].to_vec();
    grid.check().expect("a sound grid");
    let records = &layout.records;
    let blocks = shares_of(&grid, records.blocks.iter().map(|b| &b.boundary));
    let ops = covariates(&layout.study.field, &grid, &records.operations, &blocks);
    let pigs = &records.pigs;
    let shape = shape_of(&layout.study, &grid);
    let double = Likelihood::new(pigs, &layout.study, &grid);
    let double = Model::new(&layout.study.field, shape.clone(), ops.clone(), double);
    let single = Likelihood::new(pigs, &layout.study, &grid);
    let single = Model::new(&layout.study.field, shape, ops, single);
    (double, single, layout, grid)
}

fn normals(n: usize, stream: u64) -> Vec<f64> {
    let mut rng = ChaCha12Rng::seed_from_u64(SEED);
    rng.set_stream(stream);
    (0..n).map(|_| StandardNormal.sample(&mut rng)).collect()
}

fn along(at: &[f64], direction: &[f64], step: f64) -> Vec<f64> {
    at.iter().zip(direction).map(|(a, d)| a + step * d).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Asserts that a slope along a direction is that of central differences.
fn agrees(what: &str, slope: f64, plus: f64, minus: f64, step: f64) {
    let difference = (plus - minus) / (2.0 * step);
    let scale = slope.abs().max(1.0);
    assert!((slope - difference).abs() < SLOPE_REL * scale, "{what}: {slope} against {difference}");
    println!("{what}: slope {slope:.9} against {difference:.9} by differences");
}

fn gradient(c: &mut Criterion, model: &mut Model, single: &mut Model<f32>) {
    let q: Vec<f64> = normals(model.dim(), 1).iter().map(|v| 0.5 * v).collect();
    let mut g = vec![0.0; q.len()];
    let mut unused = vec![0.0; q.len()];
    model.log_ratio_joint(&q, &mut g);
    const STEP: f64 = 1e-5;
    for stream in 2..5 {
        let v = normals(q.len(), stream);
        let plus = model.log_ratio_joint(&along(&q, &v, STEP), &mut unused);
        let minus = model.log_ratio_joint(&along(&q, &v, -STEP), &mut unused);
        agrees("gradient", dot(&g, &v), plus, minus, STEP);
    }
    c.bench_function("gradient of the log density", |b| {
        b.iter(|| model.log_ratio_joint(black_box(&q), &mut g));
    });
    let (z, eta) = q.split_at(model.noise_len());
    let z: Vec<f32> = z.iter().map(|v| *v as f32).collect();
    let (mut by_z, mut by_eta) = (vec![0.0f32; z.len()], vec![0.0; eta.len()]);
    single.log_ratio(&z, eta, &mut by_z, &mut by_eta);
    let largest = g[..z.len()].iter().fold(0.0f64, |m, v| m.max(v.abs()));
    let worst = g.iter().zip(&by_z).map(|(a, b)| (a - f64::from(*b)).abs()).fold(0.0, f64::max);
    assert!(worst < SINGLE_REL * largest, "single precision: {worst} of {largest}");
    println!("single precision: off by {:.1e} of the largest slope", worst / largest);
    c.bench_function("gradient of the log density, single precision", |b| {
        b.iter(|| single.log_ratio(black_box(&z), eta, &mut by_z, &mut by_eta));
    });
}

fn pigs(c: &mut Criterion, model: &mut Model, single: &mut Model<f32>) {
    let q: Vec<f64> = normals(model.dim(), 1).iter().map(|v| 0.5 * v).collect();
    let (z, eta) = q.split_at(model.noise_len());
    model.set(z, eta);
    let (hazard, dispersed) = (model.field.hazard.clone(), model.field.dispersed.clone());
    let n = hazard.len();
    let (mut by_hazard, mut by_dispersed) = (vec![0.0; n], vec![0.0; n]);
    let likelihood = &mut model.likelihood;
    likelihood.value_gradient(&hazard, &dispersed, &mut by_hazard, &mut by_dispersed);
    // Relative changes keep hazards positive.
    let scaled = |h: &[f64], v: &[f64]| -> Vec<f64> { h.iter().zip(v).map(|(h, v)| h * v).collect() };
    let (dh, dd) = (scaled(&hazard, &normals(n, 5)), scaled(&dispersed, &normals(n, 6)));
    let slope = dot(&by_hazard, &dh) + dot(&by_dispersed, &dd);
    const STEP: f64 = 1e-5;
    let (mut x, mut y) = (vec![0.0; n], vec![0.0; n]);
    let mut value = |s: f64| {
        likelihood.value_gradient(&along(&hazard, &dh, s), &along(&dispersed, &dd, s), &mut x, &mut y)
    };
    let (plus, minus) = (value(STEP), value(-STEP));
    agrees("pigs", slope, plus, minus, STEP);
    c.bench_function("pigs: value and gradient by hazard", |b| {
        b.iter(|| {
            model.likelihood.value_gradient(black_box(&hazard), &dispersed, &mut by_hazard, &mut by_dispersed)
        });
    });
    let narrow = |v: &[f64]| -> Vec<f32> { v.iter().map(|v| *v as f32).collect() };
    let (h, d) = (narrow(&hazard), narrow(&dispersed));
    let (mut by_h, mut by_d) = (vec![0.0f32; n], vec![0.0f32; n]);
    c.bench_function("pigs: value and gradient by hazard, single precision", |b| {
        b.iter(|| single.likelihood.value_gradient(black_box(&h), &d, &mut by_h, &mut by_d));
    });
}

fn transform(c: &mut Criterion) {
    let mut transform = CosineTransform::<f64>::new(ROWS, PERIODS, COLS);
    let field = normals(ROWS * PERIODS * COLS, 7);
    let mut modes = field.clone();
    transform.forward(&mut modes);
    // DCT-II by its sum, at a few modes of a few periods.
    let basis = |k: usize, j: usize, n: usize| {
        let norm = if k == 0 { 1.0 } else { 2.0 } / n as f64;
        norm.sqrt() * (PI * k as f64 * (j as f64 + 0.5) / n as f64).cos()
    };
    for (row, period, col) in [(0, 0, 0), (1, 3, 45), (17, 11, 8), (45, 23, 44)] {
        let (i, j) = transform.frequency(row, col);
        let mut sum = 0.0;
        for r in 0..ROWS {
            for s in 0..COLS {
                sum += basis(i, r, ROWS) * basis(j, s, COLS) * field[(r * PERIODS + period) * COLS + s];
            }
        }
        let found = modes[(row * PERIODS + period) * COLS + col];
        assert!((found - sum).abs() < TRANSFORM_ABS, "mode {i}, {j}: {found} against {sum}");
    }
    let mut back = modes.clone();
    transform.inverse(&mut back);
    let worst = back.iter().zip(&field).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(worst < TRANSFORM_ABS, "there and back: {worst}");
    c.bench_function("cosine transform, there and back", |b| {
        b.iter(|| {
            transform.forward(black_box(&mut back));
            transform.inverse(&mut back);
        });
    });
    let mut transform = CosineTransform::<f32>::new(ROWS, PERIODS, COLS);
    let mut narrow: Vec<f32> = field.iter().map(|v| *v as f32).collect();
    transform.forward(&mut narrow);
    let worst = narrow.iter().zip(&modes).map(|(a, b)| (f64::from(*a) - b).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-4, "single precision: {worst}");
    transform.inverse(&mut narrow);
    c.bench_function("cosine transform, there and back, single precision", |b| {
        b.iter(|| {
            transform.forward(black_box(&mut narrow));
            transform.inverse(&mut narrow);
        });
    });
}

fn links(c: &mut Criterion) {
    let x: Vec<f64> = normals(ROWS * PERIODS * COLS, 8).iter().map(|v| 2.2 * v - 1.5).collect();
    let (mut hazard, mut slope) = (vec![0.0; x.len()], vec![0.0; x.len()]);
    for (name, kind) in [("softplus squared", Link::SoftplusSquared), ("exponential", Link::Exp)] {
        hazard.copy_from_slice(&x);
        link::hazard(kind, &mut hazard, &mut slope);
        for ((x, h), s) in x.iter().zip(&hazard).zip(&slope) {
            let soft = x.max(0.0) + (-x.abs()).exp().ln_1p();
            let (value, derivative) = match kind {
                Link::SoftplusSquared => (0.2 * soft * soft, 0.4 * soft / (1.0 + (-x).exp())),
                Link::Exp => (x.exp(), x.exp()),
            };
            assert!((h - value).abs() <= LINK_REL * value, "{name} at {x}: {h} against {value}");
            assert!(
                (s - derivative).abs() <= LINK_REL * derivative,
                "{name} at {x}: {s} against {derivative}"
            );
        }
        c.bench_function(&format!("link: {name}"), |b| {
            b.iter(|| {
                hazard.copy_from_slice(black_box(&x));
                link::hazard(kind, &mut hazard, &mut slope);
            });
        });
        let narrow: Vec<f32> = x.iter().map(|v| *v as f32).collect();
        let (mut h, mut s) = (vec![0.0f32; x.len()], vec![0.0f32; x.len()]);
        c.bench_function(&format!("link: {name}, single precision"), |b| {
            b.iter(|| {
                h.copy_from_slice(black_box(&narrow));
                link::hazard(kind, &mut h, &mut s);
            });
        });
    }
}

fn main() {
    let mut c = Criterion::default().configure_from_args();
    let (mut model, mut single, _layout, grid) = study_area();
    println!(
        "{} × {} cells, {} periods, {} pigs",
        grid.rows,
        grid.cols,
        grid.periods(),
        model.likelihood.len()
    );
    gradient(&mut c, &mut model, &mut single);
    pigs(&mut c, &mut model, &mut single);
    transform(&mut c);
    links(&mut c);
    c.final_summary();
}
