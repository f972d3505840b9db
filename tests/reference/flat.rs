//! The pig likelihood on a hazard that depends on period and column only, and its maximum by Newton steps.
//!
//! With R̄ of 0 or 1, one life, and readings without error, a pig is a subject whose event fell between two
//! looks, or had not come at the last: what other programs call interval-censored or current-status data.
//! Periods are the pieces between edges of any time; the two columns of the grid are two groups.

use pignut::internals::kernel::exposure::{LagBin, Life};
use pignut::internals::kernel::home_range::AxisMass;
use pignut::internals::kernel::likelihood::{Likelihood, PigTerms};

/// Rows and columns of the grid.
const CELLS: usize = 2;

/// Gain of the log likelihood at which the climb has ended.
const NO_GAIN: f64 = 1e-17;

/// A reading without error: positive, and clear.
pub const POSITIVE: (f64, f64) = (0.0, 1.0);
/// Clear.
pub const CLEAR: (f64, f64) = (1.0, -1.0);

/// Subjects on a common time axis cut at `edges`.
pub struct Subjects {
    edges: Vec<f64>,
    parts: Vec<PigTerms>,
}

impl Subjects {
    /// None yet; `edges` from the origin of time on.
    pub fn new(edges: &[f64]) -> Subjects {
        assert!(edges.windows(2).all(|w| w[0] < w[1]));
        Subjects { edges: edges.to_vec(), parts: Vec::new() }
    }

    /// `count` subjects of a group with the event in (from, to].
    pub fn between(&mut self, group: usize, from: f64, to: f64, count: f64) {
        self.add(group, from, to, POSITIVE, count);
    }

    /// `count` subjects of a group without the event at a time.
    pub fn clear(&mut self, group: usize, at: f64, count: f64) {
        self.add(group, 0.0, at, CLEAR, count);
    }

    /// `count` subjects watched over (from, to] with a reading a + b Q.
    pub fn add(&mut self, group: usize, from: f64, to: f64, reading: (f64, f64), count: f64) {
        let last = *self.edges.last().expect("edges");
        assert!(to <= last, "{to} lies beyond the last edge {last}");
        let bins = self.bins(from, to);
        for _ in 0..count as usize {
            self.parts.push(PigTerms {
                rows: AxisMass { start: 0, mass: vec![0.3, 0.7], off_grid: 0.0 },
                cols: AxisMass { start: group, mass: vec![1.0], off_grid: 0.0 },
                lives: vec![Life { weight: 1.0, death: 0.0, bins: bins.clone() }],
                reading,
            });
        }
    }

    /// Bins newest first, seen from the end of the watch: none before `from` counts as found.
    fn bins(&self, from: f64, to: f64) -> Vec<LagBin> {
        let mut out = Vec::new();
        for (period, e) in self.edges.windows(2).enumerate() {
            for (low, high, ramp) in
                [(e[0].max(0.0), e[1].min(from), 0.0), (e[0].max(from), e[1].min(to), 1.0)]
            {
                if high > low {
                    out.push(LagBin {
                        period,
                        lag_start: to - high,
                        lag_end: to - low,
                        stay_years: high - low,
                        moved_years: 0.0,
                        ramp,
                    });
                }
            }
        }
        out.reverse();
        out
    }

    /// The likelihood of all of them.
    pub fn likelihood(self) -> Flat {
        let periods = self.edges.len() - 1;
        Flat { likelihood: Likelihood::from_terms(self.parts, CELLS, periods, CELLS), edges: self.edges }
    }
}

/// A hazard as a function of parameters: value `[group][period]`, and its derivative by each parameter.
pub type Hazard<'a> = &'a dyn Fn(&[f64]) -> (Vec<f64>, Vec<Vec<f64>>);

/// The likelihood as a function of the hazard of each group and period.
pub struct Flat {
    likelihood: Likelihood,
    /// Where periods begin and end.
    pub edges: Vec<f64>,
}

impl Flat {
    /// Number of periods.
    pub fn periods(&self) -> usize {
        self.edges.len() - 1
    }

    /// Length of each period.
    pub fn widths(&self) -> Vec<f64> {
        self.edges.windows(2).map(|e| e[1] - e[0]).collect()
    }

    fn field(&self, hazard: &[f64]) -> Vec<f64> {
        let n = self.periods();
        assert_eq!(hazard.len(), CELLS * n);
        (0..CELLS * n * CELLS).map(|i| hazard[(i % CELLS) * n + (i / CELLS) % n]).collect()
    }

    fn gathered(&self, field: &[f64]) -> Vec<f64> {
        let n = self.periods();
        let mut out = vec![0.0; CELLS * n];
        field.iter().enumerate().for_each(|(i, v)| out[(i % CELLS) * n + (i / CELLS) % n] += v);
        out
    }

    /// ln likelihood and its gradient by the hazard, `[group][period]`.
    pub fn at(&mut self, hazard: &[f64]) -> (f64, Vec<f64>) {
        let field = self.field(hazard);
        let (mut g, mut d) = (vec![f64::NAN; field.len()], vec![f64::NAN; field.len()]);
        let value = self.likelihood.value_gradient(&field, &field, &mut g, &mut d);
        (value, self.gathered(&g))
    }

    /// ln likelihood and its gradient by parameters of the hazard.
    pub fn by(&mut self, hazard: Hazard, theta: &[f64]) -> (f64, Vec<f64>) {
        let (value, slopes) = hazard(theta);
        let (l, g) = self.at(&value);
        (l, slopes.iter().map(|s| dot(s, &g)).collect())
    }

    /// Fisher's information of the parameters, at the last evaluation.
    pub fn information(&mut self, hazard: Hazard, theta: &[f64]) -> Vec<Vec<f64>> {
        let slopes = hazard(theta).1;
        let products: Vec<Vec<f64>> = slopes
            .iter()
            .map(|s| {
                let change = self.field(s);
                let (mut g, mut d) = (vec![0.0; change.len()], vec![0.0; change.len()]);
                self.likelihood.fisher(&change, &vec![0.0; change.len()], &mut g, &mut d);
                self.gathered(&g)
            })
            .collect();
        slopes.iter().map(|s| products.iter().map(|p| dot(s, p)).collect()).collect()
    }

    /// Observed information: minus the derivative of the gradient, by central differences.
    pub fn curvature(&mut self, hazard: Hazard, theta: &[f64]) -> Vec<Vec<f64>> {
        let n = theta.len();
        let columns: Vec<Vec<f64>> = (0..n)
            .map(|j| {
                let step = 1e-5 * theta[j].abs().max(1e-3);
                let mut at = |sign: f64| {
                    let mut t = theta.to_vec();
                    t[j] += sign * step;
                    self.by(hazard, &t).1
                };
                let (up, down) = (at(1.0), at(-1.0));
                up.iter().zip(&down).map(|(u, d)| -(u - d) / (2.0 * step)).collect()
            })
            .collect();
        (0..n).map(|i| (0..n).map(|j| 0.5 * (columns[j][i] + columns[i][j])).collect()).collect()
    }

    /// Climbs to the maximum by damped Newton steps; returns parameters, ln likelihood and gradient.
    pub fn maximum(&mut self, hazard: Hazard, start: &[f64]) -> (Vec<f64>, f64, Vec<f64>) {
        let mut theta = start.to_vec();
        let (mut value, mut gradient) = self.by(hazard, &theta);
        let mut damping = 1e-4;
        for _ in 0..400 {
            let mut a = self.curvature(hazard, &theta);
            for (i, row) in a.iter_mut().enumerate() {
                row[i] += damping * (row[i].abs() + 1e-9);
            }
            let mut step = solve(a, gradient.clone());
            // Parameters are logarithms or of that size: a longer step could leave the slope of the maximum.
            let longest = step.iter().fold(1.0, |m: f64, s| m.max(s.abs()));
            step.iter_mut().for_each(|s| *s /= longest);
            // What a Newton step would gain; a parameter that runs to −∞ comes to gain nothing too.
            if dot(&step, &gradient).abs() < NO_GAIN {
                break;
            }
            let next: Vec<f64> = theta.iter().zip(&step).map(|(t, s)| t + s).collect();
            let (v, g) = self.by(hazard, &next);
            if v.is_finite() && v >= value - 1e-12 * value.abs() {
                (theta, value, gradient) = (next, v, g);
                damping = (damping * 0.3).max(1e-12);
            } else {
                damping = damping.max(1e-8) * 8.0;
                if damping > 1e12 {
                    break;
                }
            }
        }
        (theta, value, gradient)
    }
}

/// A hazard that is constant between the edges of `pieces`, in both groups alike; one parameter a piece.
pub fn pieces(edges: &[f64], pieces: &[f64]) -> impl Fn(&[f64]) -> (Vec<f64>, Vec<Vec<f64>>) + use<> {
    let at: Vec<usize> = edges[..edges.len() - 1]
        .iter()
        .map(|e| (0..pieces.len() - 1).rev().find(|k| *e >= pieces[*k]).expect("a piece for each period"))
        .collect();
    let count = pieces.len() - 1;
    move |theta: &[f64]| {
        let both = |f: &dyn Fn(usize) -> f64| -> Vec<f64> { at.iter().chain(&at).map(|k| f(*k)).collect() };
        let slopes = (0..count).map(|j| both(&|k| f64::from(u8::from(k == j)))).collect();
        (both(&|k| theta[k]), slopes)
    }
}

/// Λ at one time, and its derivatives.
type Point = (f64, Vec<f64>);

/// A hazard from its integral: `cumulative(t, θ)` gives Λ and its derivatives; both groups alike.
pub fn integral<C: Fn(f64, &[f64]) -> (f64, Vec<f64>)>(
    edges: &[f64],
    cumulative: C,
) -> impl Fn(&[f64]) -> (Vec<f64>, Vec<Vec<f64>>) + use<C> {
    let edges = edges.to_vec();
    move |theta: &[f64]| {
        let all: Vec<Point> = edges.iter().map(|t| cumulative(*t, theta)).collect();
        let both = |f: &dyn Fn(&Point) -> f64| -> Vec<f64> {
            let over = |k: usize| (f(&all[k + 1]) - f(&all[k])) / (edges[k + 1] - edges[k]);
            let one: Vec<f64> = (0..edges.len() - 1).map(over).collect();
            [one.clone(), one].concat()
        };
        (both(&|a| a.0), (0..theta.len()).map(|j| both(&move |a| a.1[j])).collect())
    }
}

/// Sorted times without repeats.
pub fn distinct(times: impl IntoIterator<Item = f64>) -> Vec<f64> {
    let mut all: Vec<f64> = times.into_iter().collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Solves a x = b by elimination; the matrices here are small and positive definite.
pub fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for k in 0..n {
        let pivot_row = a[k].clone();
        let pivot = b[k];
        for i in k + 1..n {
            let m = a[i][k] / pivot_row[k];
            a[i].iter_mut().zip(&pivot_row).for_each(|(x, p)| *x -= m * p);
            b[i] -= m * pivot;
        }
    }
    for k in (0..n).rev() {
        let known: f64 = (k + 1..n).map(|j| a[k][j] * b[j]).sum();
        b[k] = (b[k] - known) / a[k][k];
    }
    b
}

/// Standard errors: square roots of the diagonal of the inverse of an information.
pub fn errors(information: &[Vec<f64>]) -> Vec<f64> {
    let n = information.len();
    let unit = |i: usize| (0..n).map(|k| f64::from(u8::from(k == i))).collect::<Vec<f64>>();
    (0..n).map(|i| solve(information.to_vec(), unit(i))[i].sqrt()).collect()
}
