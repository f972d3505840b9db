//! Problems of three unknowns, whole posterior by quadrature from formulas written out here: no field, no
//! transform, no recursion of the kernel.

use crate::common::random::{normals, stream};
use pignut::internals::kernel::exposure::{LagBin, Life};
use pignut::internals::kernel::field::Shape;
use pignut::internals::kernel::home_range::AxisMass;
use pignut::internals::kernel::likelihood::{Likelihood, PigTerms};
use pignut::internals::kernel::model::Model;
use pignut::internals::kernel::prior::{Hyper, LEVEL, PERSISTENCE, RANGE, SD};
use pignut::internals::sampler::chains::run_chain;
use pignut::internals::sampler::diagnostics::convergence;
use pignut::internals::sampler::hmc::Settings;
use pignut::internals::study::model_keys::{FieldPrior, Link};
use rayon::prelude::*;

const CHAINS: u64 = 4;
const DRAWS: usize = 5000;
/// Standard errors allowed over about thirty comparisons: passed by chance once in some thousand runs.
const ERRORS: f64 = 4.5;
/// Error of the quadrature itself: an indicator on a lattice of step 0.1 in three dimensions.
const QUADRATURE_ABS: f64 = 1e-3;

/// A bin as it is written here: period, years resident, years before dispersal, ramp. Oldest first.
type Stretch = (usize, f64, f64, f64);

/// One pig: masses over the columns, its life, and the reading's (a, b).
struct Beast {
    mass: Vec<f64>,
    life: Vec<Stretch>,
    reading: (f64, f64),
}

impl Beast {
    /// ln(a + b Q) with Q term by term, from the hazard and the dispersed hazard of `[period][column]`.
    fn log_likelihood(&self, hazard: &[Vec<f64>], dispersed: &[Vec<f64>]) -> f64 {
        let seen = |f: &Vec<f64>| self.mass.iter().zip(f).map(|(m, v)| m * v).sum::<f64>();
        let (mut older, mut q) = (0.0f64, 0.0);
        for (period, stay, moved, ramp) in &self.life {
            let h = stay * seen(&hazard[*period]) + moved * seen(&dispersed[*period]);
            q += ramp * (-older).exp() * (1.0 - (-h).exp());
            older += h;
        }
        (self.reading.0 + self.reading.1 * q).ln()
    }

    fn terms(&self) -> PigTerms {
        let bin = |(period, stay_years, moved_years, ramp): &Stretch| LagBin {
            period: *period,
            lag_start: 0.0,
            lag_end: 1.0,
            stay_years: *stay_years,
            moved_years: *moved_years,
            ramp: *ramp,
        };
        PigTerms {
            rows: AxisMass { start: 0, mass: vec![1.0], off_grid: 0.0 },
            cols: AxisMass { start: 0, mass: self.mass.clone(), off_grid: 0.0 },
            lives: vec![Life { weight: 1.0, death: 0.0, bins: self.life.iter().rev().map(bin).collect() }],
            reading: self.reading,
        }
    }
}

/// λ = 0.2·softplus(x)².
fn link(x: f64) -> f64 {
    0.2 * (x.max(0.0) + (-x.abs()).exp().ln_1p()).powi(2)
}

/// What is compared: the values whose mean, spread and exceedance must agree.
type Quantities = Vec<f64>;

/// Weighted moments of every quantity over a lattice.
struct Exact {
    mean: Vec<f64>,
    variance: Vec<f64>,
    above: Vec<f64>,
}

/// Sum of weights, and of each quantity, its square and its passing the threshold, weighted.
type Sums = (f64, Vec<f64>, Vec<f64>, Vec<f64>);

/// Over the product of three lattices: ln weight and quantities at each point.
fn quadrature(axes: [(f64, f64, usize); 3], point: impl Fn([f64; 3]) -> (f64, Quantities) + Sync) -> Exact {
    let at = |(from, to, n): (f64, f64, usize), i: usize| from + (to - from) * i as f64 / (n - 1) as f64;
    let slices: Vec<Sums> = (0..axes[0].2)
        .into_par_iter()
        .map(|i| {
            let mut sums = (0.0, Vec::new(), Vec::new(), Vec::new());
            for j in 0..axes[1].2 {
                for k in 0..axes[2].2 {
                    let (log_weight, values) = point([at(axes[0], i), at(axes[1], j), at(axes[2], k)]);
                    let weight = log_weight.exp();
                    sums.0 += weight;
                    let n = values.len();
                    for sum in [&mut sums.1, &mut sums.2, &mut sums.3] {
                        sum.resize(n, 0.0);
                    }
                    for (v, x) in values.iter().enumerate() {
                        sums.1[v] += weight * x;
                        sums.2[v] += weight * x * x;
                        sums.3[v] += weight * f64::from(u8::from(*x > THRESHOLD));
                    }
                }
            }
            sums
        })
        .collect();
    let total: f64 = slices.iter().map(|s| s.0).sum();
    let n = slices[0].1.len();
    let sum = |of: &dyn Fn(&Sums) -> f64| slices.iter().map(of).sum::<f64>() / total;
    let mean: Vec<f64> = (0..n).map(|v| sum(&|s| s.1[v])).collect();
    let variance = (0..n).map(|v| sum(&|s| s.2[v]) - mean[v] * mean[v]).collect();
    Exact { variance, above: (0..n).map(|v| sum(&|s| s.3[v])).collect(), mean }
}

/// Hazard above which a cell counts as active.
const THRESHOLD: f64 = 0.05;

/// Samples of the quantities by the sampler, chain by chain, in single precision as in a run.
fn sampled(
    prior: &FieldPrior,
    shape: &Shape,
    beasts: &[Beast],
    of: impl Fn(&[f32], &Hyper) -> Quantities + Sync,
) -> Vec<Vec<Quantities>> {
    (0..CHAINS)
        .into_par_iter()
        .map(|chain| {
            let terms = beasts.iter().map(Beast::terms).collect();
            let likelihood = Likelihood::from_terms(terms, shape.rows, shape.periods, shape.cols);
            let mut m: Model<f32> = Model::new(prior, shape.clone(), vec![], likelihood);
            let mut other: Model<f32> = Model::new(
                prior,
                shape.clone(),
                vec![],
                Likelihood::from_terms(vec![], shape.rows, shape.periods, shape.cols),
            );
            let settings = Settings {
                warmup: 400,
                trajectories: DRAWS,
                accept: 0.8,
                length: std::f64::consts::FRAC_PI_2,
                max_steps: 64,
            };
            let start = normals(&mut stream(300 + chain), m.dim());
            let (z, eta) = start.split_at(m.noise_len());
            let z: Vec<f32> = z.iter().map(|v| *v as f32).collect();
            let mut kept = Vec::with_capacity(DRAWS);
            let keep = |_: &mut Model<f32>, _: usize, _: bool, z: &[f32], eta: &[f64]| {
                other.set(z, eta);
                kept.push(of(&other.field.hazard, &other.hyper));
            };
            let outcome = run_chain(&mut m, &z, eta, &settings, 23, chain, keep, || ());
            assert!(outcome.divergences < DRAWS / 200, "{} divergent", outcome.divergences);
            kept
        })
        .collect()
}

/// Mean of f over the samples of a quantity, with its standard error.
fn mean_error(run: &[Vec<Quantities>], f: impl Fn(&Quantities) -> f64) -> (f64, f64) {
    let series: Vec<Vec<f64>> = run.iter().map(|c| c.iter().map(&f).collect()).collect();
    let n = (run.len() * DRAWS) as f64;
    let mean = series.iter().flatten().sum::<f64>() / n;
    let variance = series.iter().flatten().map(|v| (v - mean).powi(2)).sum::<f64>() / n;
    let ess = convergence(&series).ess_bulk.expect("every quantity here varies");
    assert!(ess > 400.0, "{ess} effective draws are too few for a comparison");
    (mean, (variance / ess).sqrt())
}

/// Mean and variance of every quantity, and P(> 0.05) of those asked for.
fn compare(names: &[&str], exact: &Exact, run: &[Vec<Quantities>], hazards: std::ops::Range<usize>) {
    let mut worst = 0.0f64;
    let mut hold = |what: String, (found, error): (f64, f64), wanted: f64, slack: f64| {
        let z = ((found - wanted).abs() - slack).max(0.0) / error;
        worst = worst.max(z);
        assert!(z < ERRORS, "{what}: {found} ± {error}, by quadrature {wanted}, {z:.1} errors apart");
    };
    for (v, name) in names.iter().enumerate() {
        let (centre, variance) = (exact.mean[v], exact.variance[v]);
        hold(format!("mean, {name}"), mean_error(run, |d| d[v]), centre, 1e-5);
        hold(format!("variance, {name}"), mean_error(run, |d| (d[v] - centre).powi(2)), variance, 1e-5);
        if hazards.contains(&v) {
            let above = mean_error(run, |d| f64::from(u8::from(d[v] > THRESHOLD)));
            assert!(above.0 > 0.02 && above.0 < 0.98, "{name}: nothing is asked by {}", above.0);
            hold(format!("P(> {THRESHOLD}), {name}"), above, exact.above[v], QUADRATURE_ABS);
        }
    }
    println!("largest difference: {worst:.2} standard errors");
}

fn shape(periods: usize, cols: usize) -> Shape {
    Shape {
        rows: 1,
        periods,
        cols,
        cell_m: 1000.0,
        period_months: 6.0,
        dispersal_mean_m: 4000.0,
        link: Link::SoftplusSquared,
        focus_share: 0.0,
        focus_range_m: 1500.0,
    }
}

const CLEAR: (f64, f64) = (0.994, -0.994 * 0.76);
const POSITIVE: (f64, f64) = (0.006, 0.994 * 0.76);

/// Two cells that share a level and a contrast; a disperser sees both.
#[test]
fn two_cells_and_a_level_as_by_quadrature() {
    let prior = FieldPrior { fixed: true, sd: 1.3, range_m: 2500.0, ..FieldPrior::default() };
    let beast = |east: f64, life: &[Stretch], reading| Beast {
        mass: vec![1.0 - east, east],
        life: life.to_vec(),
        reading,
    };
    let beasts = [
        beast(0.2, &[(0, 1.1, 0.2, 1.0), (0, 0.25, 0.0, 0.5)], POSITIVE),
        beast(0.1, &[(0, 0.8, 0.0, 1.0)], CLEAR),
        beast(0.9, &[(0, 2.3, 0.0, 1.0), (0, 0.3, 0.0, 0.4)], CLEAR),
        beast(0.85, &[(0, 0.4, 1.9, 1.0)], CLEAR),
        beast(0.3, &[(0, 0.9, 0.0, 0.9)], POSITIVE),
    ];
    // Two cosines of two cells: √½ and ±√½; weights 1/(κ² + k²) scaled to a mean square of 1.
    let k2 = (std::f64::consts::PI / 2000.0f64).powi(2);
    let kappa2 = 8.0 / (prior.range_m * prior.range_m);
    let (w0, w1) = (1.0 / kappa2, 1.0 / (kappa2 + k2));
    let scale = (2.0 / (w0 * w0 + w1 * w1)).sqrt();
    let (s0, s1) = (prior.sd * w0 * scale / 2f64.sqrt(), prior.sd * w1 * scale / 2f64.sqrt());
    // (2 − 2 cos(π/2))/cell² = 2/cell².
    let f1 = 1.0 / (1.0 + 2.0 * 16.0f64).sqrt();
    let exact = quadrature([(-6.0, 6.0, 121); 3], |[z0, z1, eta]| {
        let level = prior.level_mean + prior.level_sd * eta;
        let (a, b) = (link(level + s0 * z0 + s1 * z1), link(level + s0 * z0 - s1 * z1));
        let (mean, half) = (0.5 * (a + b), 0.5 * f1 * (a - b));
        let (hazard, dispersed) = ([vec![a, b]], [vec![mean + half, mean - half]]);
        let pigs: f64 = beasts.iter().map(|p| p.log_likelihood(&hazard, &dispersed)).sum();
        (pigs - 0.5 * (z0 * z0 + z1 * z1 + eta * eta), vec![a, b, level])
    });
    let run = sampled(&prior, &shape(1, 2), &beasts, |hazard, hyper| {
        vec![f64::from(hazard[0]), f64::from(hazard[1]), hyper.level]
    });
    compare(&["west", "east", "level"], &exact, &run, 0..2);
    assert!(exact.mean[0] > 1.2 * exact.mean[1], "the two cells differ: {:?}", exact.mean);
}

/// One cell through two half-years: the autoregression.
#[test]
fn two_periods_and_a_level_as_by_quadrature() {
    let rho = 0.7f64;
    let prior = FieldPrior { fixed: true, sd: 1.5, persistence_half_year: rho, ..FieldPrior::default() };
    let beast = |life: &[Stretch], reading| Beast { mass: vec![1.0], life: life.to_vec(), reading };
    let beasts = [
        beast(&[(0, 1.2, 0.3, 1.0), (1, 0.3, 0.0, 1.0), (1, 0.2, 0.0, 0.3)], POSITIVE),
        beast(&[(1, 0.5, 0.0, 0.8)], CLEAR),
        beast(&[(1, 0.45, 0.0, 0.75)], CLEAR),
        beast(&[(0, 2.0, 0.0, 1.0), (1, 0.1, 0.0, 0.2)], CLEAR),
        beast(&[(0, 0.7, 0.1, 1.0), (1, 0.5, 0.0, 0.9)], POSITIVE),
    ];
    let exact = quadrature([(-6.0, 6.0, 121); 3], |[z0, z1, eta]| {
        let level = prior.level_mean + prior.level_sd * eta;
        let (first, second) = (z0, rho * z0 + (1.0 - rho * rho).sqrt() * z1);
        let (a, b) = (link(level + prior.sd * first), link(level + prior.sd * second));
        // One cell: nowhere else to come from.
        let hazard = [vec![a], vec![b]];
        let pigs: f64 = beasts.iter().map(|p| p.log_likelihood(&hazard, &hazard)).sum();
        (pigs - 0.5 * (z0 * z0 + z1 * z1 + eta * eta), vec![a, b, level])
    });
    let run = sampled(&prior, &shape(2, 1), &beasts, |hazard, hyper| {
        vec![f64::from(hazard[0]), f64::from(hazard[1]), hyper.level]
    });
    compare(&["first", "second", "level"], &exact, &run, 0..2);
}

/// One cell with its s.d. unknown: the funnel. Range and persistence have nothing to learn from: prior.
#[test]
fn an_unknown_spread_as_by_quadrature_and_what_data_do_not_touch_as_the_prior() {
    let prior = FieldPrior { sd: 1.0, ..FieldPrior::default() };
    let beast = |years: f64, reading| Beast {
        mass: vec![1.0],
        life: vec![(0, years, 0.0, 1.0), (0, 0.25, 0.0, 0.4)],
        reading,
    };
    let beasts: Vec<Beast> =
        [(0.6, CLEAR), (1.4, POSITIVE), (0.9, POSITIVE), (2.2, CLEAR)].map(|(y, r)| beast(y, r)).into();
    let rate = -(0.05f64.ln()) / prior.sd_upper;
    let exact = quadrature([(-6.0, 6.0, 121), (-6.0, 6.0, 121), (-9.0, 2.4, 229)], |[z, eta, log_sd]| {
        let level = prior.level_mean + prior.level_sd * eta;
        let sd = log_sd.exp();
        let hazard = [vec![link(level + sd * z)]];
        let pigs: f64 = beasts.iter().map(|p| p.log_likelihood(&hazard, &hazard)).sum();
        // Density of s.d. l e^(−ls), times s for the logarithmic lattice.
        (pigs - 0.5 * (z * z + eta * eta) - rate * sd + log_sd, vec![hazard[0][0], level, sd])
    });
    let one_minus = 1.0 - prior.persistence_lower;
    let below = |h: &Hyper, i: usize| -> f64 {
        let v = h.to_vec();
        f64::from(u8::from(if i == RANGE {
            v[RANGE].exp() < prior.range_lower_m
        } else {
            h.persistence() < 1.0 - one_minus
        }))
    };
    let run = sampled(&prior, &shape(1, 1), &beasts, |hazard, hyper| {
        let v = hyper.to_vec();
        vec![f64::from(hazard[0]), v[LEVEL], v[SD].exp(), below(hyper, RANGE), below(hyper, PERSISTENCE)]
    });
    compare(&["hazard", "level", "sd"], &exact, &run, 0..1);
    // P(u > u₀) of an exponential cut at 1, where P(u > u₀) is 0.05 uncut.
    let theta = -(0.05f64.ln()) / one_minus.sqrt();
    let cut = (-theta).exp();
    for (v, name, wanted) in
        [(3, "P(range < 2 km)", 0.05), (4, "P(persistence < 0.75)", (0.05 - cut) / (1.0 - cut))]
    {
        let (found, error) = mean_error(&run, |d| d[v]);
        assert!((found - wanted).abs() < ERRORS * error, "{name}: {found} ± {error}, by the prior {wanted}");
    }
}
