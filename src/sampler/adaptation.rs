//! What chains learn in warm-up: a step, and the mean and covariance of a few coordinates.

use statrs::function::erf::{erfc, erfc_inv};

/// Stochastic approximation of the log step size (Robbins & Monro 1951).
///
/// Dual averaging (Hoffman & Gelman 2014) swings tenfold in windows as short as these.
pub(crate) struct StepSize {
    log_step: f64,
    /// Step and acceptance of each trajectory of the window.
    tried: Vec<(f64, f64)>,
}

/// Factor beyond which the agreed step does not leave those that were tried.
const BEYOND_TRIED: f64 = 1.5;

impl StepSize {
    /// Starts a window at a step.
    pub(crate) fn new(step: f64) -> StepSize {
        StepSize { log_step: step.ln(), tried: Vec::new() }
    }
    /// Moves the step towards an acceptance.
    pub(crate) fn learn(&mut self, accept: f64, target: f64) {
        self.tried.push((self.current(), accept));
        // Acceptance falls by some 0.7 when the step grows e-fold: a gain of 1.5 over the count is about
        // the best there is; a lower power forgets the start sooner.
        let gain = 1.5 * (self.tried.len() as f64 + 4.0).powf(-0.75);
        // A step over one radian gains nothing: the trajectory itself is a quarter turn.
        self.log_step = (self.log_step + gain * (accept - target)).clamp(-7.0, 0.0);
    }
    /// The step in force.
    pub(crate) fn current(&self) -> f64 {
        self.log_step.exp()
    }

    /// The step at which all chains together are likely to meet the acceptance: from the last three quarters
    /// of their windows.
    ///
    /// # Formula
    /// ```text
    /// acceptance at step ε: erfc(k ε²),  k such that its sum over the trajectories is what was observed
    /// ```
    /// # Source
    /// Beskos, Pillai, Roberts, Sanz-Serna & Stuart (2013), in the limit of many dimensions.
    pub(crate) fn agreed<'a>(windows: impl Iterator<Item = &'a StepSize> + Clone, target: f64) -> f64 {
        let later: Vec<(f64, f64)> =
            windows.clone().flat_map(|w| &w.tried[w.tried.len() / 4..]).copied().collect();
        if later.is_empty() {
            let n = windows.clone().count() as f64;
            return (windows.map(|w| w.log_step).sum::<f64>() / n).exp();
        }
        let accepted: f64 = later.iter().map(|(_, a)| a).sum();
        let expected = |k: f64| later.iter().map(|(e, _)| erfc(k * e * e)).sum::<f64>();
        let (mut low, mut high) = (-30.0, 30.0);
        for _ in 0..60 {
            let k: f64 = 0.5 * (low + high);
            if expected(k.exp()) > accepted { low = k } else { high = k }
        }
        let step = (erfc_inv(target) / (0.5 * (low + high)).exp()).sqrt();
        let bound = |f: fn(f64, f64) -> f64, from: f64| later.iter().map(|(e, _)| *e).fold(from, f);
        let (least, most) = (bound(f64::min, f64::INFINITY), bound(f64::max, 0.0));
        step.clamp(least / BEYOND_TRIED, most * BEYOND_TRIED).min(1.0)
    }
}

/// The reference of the learnt coordinates: place = centre + factor · u, with a lower triangular factor.
#[derive(Clone)]
pub(crate) struct Reference {
    centre: Vec<f64>,
    factor: Vec<Vec<f64>>,
}

impl Reference {
    /// Independent normals of these means and s.d.
    pub(crate) fn independent(guess: &[(f64, f64)]) -> Reference {
        let row =
            |(i, (_, sd)): (usize, &(f64, f64))| (0..=i).map(|j| if i == j { *sd } else { 0.0 }).collect();
        Reference {
            centre: guess.iter().map(|(mean, _)| *mean).collect(),
            factor: guess.iter().enumerate().map(row).collect(),
        }
    }
    fn covariance(&self, i: usize, j: usize) -> f64 {
        self.factor[i].iter().zip(&self.factor[j]).map(|(a, b)| a * b).sum()
    }
    /// centre + factor · u.
    pub(crate) fn place(&self, u: &[f64]) -> Vec<f64> {
        let inner = |row: &Vec<f64>| row.iter().zip(u).map(|(f, u)| f * u).sum::<f64>();
        self.centre.iter().zip(&self.factor).map(|(c, row)| c + inner(row)).collect()
    }
    /// The u of a place, by forward substitution.
    pub(crate) fn unit(&self, place: &[f64]) -> Vec<f64> {
        let mut u = Vec::with_capacity(place.len());
        for ((p, c), row) in place.iter().zip(&self.centre).zip(&self.factor) {
            let known: f64 = row.iter().zip(&u).map(|(f, u)| f * u).sum();
            u.push((p - c - known) / row[row.len() - 1]);
        }
        u
    }
    /// Of a value and a slope by place, both relative to N(0, I) there: the value relative to this reference,
    /// and the slope by u.
    pub(crate) fn relative(&self, value: f64, by_place: &mut [f64], u: &[f64]) -> f64 {
        let place = self.place(u);
        by_place.iter_mut().zip(&place).for_each(|(g, q)| *g -= q);
        for j in 0..u.len() {
            // Row i reaches back to columns up to i: slopes after j are not yet overwritten.
            by_place[j] = u[j] + (j..u.len()).map(|i| self.factor[i][j] * by_place[i]).sum::<f64>();
        }
        value + u.iter().zip(&place).map(|(u, q)| 0.5 * (u * u - q * q)).sum::<f64>()
    }
}

/// Running mean and scatter (Welford) of the learnt coordinates.
pub(crate) struct Moments {
    count: f64,
    mean: Vec<f64>,
    /// Σ (x − mean)(x − mean)ᵀ, lower triangle.
    scatter: Vec<Vec<f64>>,
}

impl Moments {
    /// Of no value yet.
    pub(crate) fn new(n: usize) -> Moments {
        Moments { count: 0.0, mean: vec![0.0; n], scatter: (0..n).map(|i| vec![0.0; i + 1]).collect() }
    }
    /// Adds a value.
    pub(crate) fn add(&mut self, x: &[f64]) {
        self.count += 1.0;
        let apart: Vec<f64> = x.iter().zip(&self.mean).map(|(x, m)| x - m).collect();
        let weight = (self.count - 1.0) / self.count;
        for (i, row) in self.scatter.iter_mut().enumerate() {
            for (j, s) in row.iter_mut().enumerate() {
                *s += weight * apart[i] * apart[j];
            }
        }
        self.mean.iter_mut().zip(&apart).for_each(|(m, d)| *m += d / self.count);
    }
    /// The middle one of the chains' means for each coordinate and the factor of their covariance, to which
    /// the reference in force adds ten values; no coordinate's variance is over twice that in the middle one
    /// of the chains; `None` from fewer than twenty values, or than three a coordinate.
    ///
    /// A chain still on its way from far off says nothing of the spread: `among` counts the differences of
    /// the chains' means, which are worth having once all have arrived.
    pub(crate) fn reference<'a>(
        chains: impl Iterator<Item = &'a Moments>,
        in_force: &Reference,
        among: bool,
    ) -> Option<Reference> {
        let chains: Vec<&Moments> = chains.filter(|m| m.count > 0.0).collect();
        let count: f64 = chains.iter().map(|m| m.count).sum();
        let n = count - if among { 1.0 } else { chains.len() as f64 };
        if count < (VALUES_A_COORDINATE * in_force.centre.len() as f64).max(20.0) || n < 1.0 {
            return None;
        }
        let centre: Vec<f64> =
            (0..in_force.centre.len()).map(|i| middle(chains.iter().map(|m| m.mean[i]).collect())).collect();
        let mean = |i: usize| chains.iter().map(|m| m.count * m.mean[i]).sum::<f64>() / count;
        let apart = |m: &Moments, i: usize, j: usize| m.count * (m.mean[i] - mean(i)) * (m.mean[j] - mean(j));
        let scatter = |i: usize, j: usize| -> f64 {
            chains.iter().map(|m| m.scatter[i][j] + if among { apart(m, i, j) } else { 0.0 }).sum()
        };
        // A chain that strays for a while into a far tail of one coordinate must not make it wide for all.
        let usual = |i: usize| {
            let far = |m: &Moments| if among { (m.mean[i] - centre[i]).powi(2) } else { 0.0 };
            middle(chains.iter().map(|m| m.scatter[i][i] / m.count + far(m)).collect())
        };
        let shrink: Vec<f64> =
            (0..centre.len()).map(|i| (WIDEST * usual(i) * n / scatter(i, i)).sqrt().min(1.0)).collect();
        let covariance = |i: usize, j: usize| {
            (scatter(i, j) * shrink[i] * shrink[j] + IN_FORCE * in_force.covariance(i, j)) / (n + IN_FORCE)
        };
        // Cholesky, row by row.
        let mut factor: Vec<Vec<f64>> = Vec::new();
        for i in 0..in_force.centre.len() {
            let mut row: Vec<f64> = Vec::with_capacity(i + 1);
            for (j, above) in factor.iter().enumerate() {
                let known: f64 = row.iter().zip(above).map(|(a, b)| a * b).sum();
                row.push((covariance(i, j) - known) / above[j]);
            }
            let known: f64 = row.iter().map(|a| a * a).sum();
            row.push((covariance(i, i) - known).max(1e-9).sqrt());
            factor.push(row);
        }
        Some(Reference { centre, factor })
    }
}

/// Values wanted for each coordinate before a covariance is learnt: about as many values as coordinates make
/// one that is far too wide some way, and steps then as short (0.03 where 0.2 would do).
const VALUES_A_COORDINATE: f64 = 3.0;
/// Variance of a coordinate in all chains together, by the middle one of the chains', beyond which it is cut
/// to that.
const WIDEST: f64 = 2.0;
/// Values that the reference in force counts for when a new one is learnt.
const IN_FORCE: f64 = 10.0;

/// The median.
fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    0.5 * (values[(n - 1) / 2] + values[n / 2])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of ten numbers about one.
    const ABS: f64 = 1e-12;

    /// Twelve places in three coordinates, of two chains.
    fn places() -> Vec<Vec<f64>> {
        (0..24)
            .map(|i| (0..3).map(|j| ((i * (j + 2) + j) as f64 * 0.9).sin() + 0.3 * i as f64).collect())
            .collect()
    }

    /// A window in which acceptance was what the rule says it is.
    fn window(steps: &[f64], k: f64) -> StepSize {
        StepSize { log_step: 0.1f64.ln(), tried: steps.iter().map(|e| (*e, erfc(k * e * e))).collect() }
    }

    #[test]
    fn chains_agree_on_the_step_that_meets_the_acceptance() {
        // erfc(0.179143) = 0.8 (scipy.special.erfcinv): ε = √(0.179143/k).
        let windows = [window(&[1.0, 0.15, 0.1, 0.2], 8.0), window(&[1.0, 0.12, 0.05, 0.14], 8.0)];
        let step = StepSize::agreed(windows.iter(), 0.8);
        assert!((step - (0.179143f64 / 8.0).sqrt()).abs() < 1e-6, "{step}");
        // Never far from what was tried, whatever was accepted.
        for (accept, bound) in [(1.0, 0.15), (0.0, 0.1 / 1.5)] {
            let one = StepSize { log_step: 0.0, tried: vec![(0.1, accept); 4] };
            assert!((StepSize::agreed([&one].into_iter(), 0.8) - bound).abs() < 1e-12);
        }
        let none = [StepSize::new(0.1), StepSize::new(0.4)];
        assert!((StepSize::agreed(none.iter(), 0.8) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn chains_together_have_the_middle_of_their_means_and_their_covariance() {
        let x = places();
        let ends = [0, 9, 15, 24];
        let before = Reference::independent(&[(0.0, 1.0), (5.0, 0.2), (1.0, 3.0)]);
        let mut chains = [Moments::new(3), Moments::new(3), Moments::new(3)];
        for (chain, w) in chains.iter_mut().zip(ends.windows(2)) {
            x[w[0]..w[1]].iter().for_each(|x| chain.add(x));
        }
        let mean =
            |w: &[usize], i: usize| x[w[0]..w[1]].iter().map(|x| x[i]).sum::<f64>() / (w[1] - w[0]) as f64;
        for among in [false, true] {
            let r = Moments::reference(chains.iter(), &before, among).expect("more than twenty places");
            for i in 0..3 {
                let mut means: Vec<f64> = ends.windows(2).map(|w| mean(w, i)).collect();
                means.sort_by(f64::total_cmp);
                assert!((r.centre[i] - means[1]).abs() < ABS);
                for j in 0..=i {
                    let scatter = |w: &[usize], about: &[usize]| -> f64 {
                        x[w[0]..w[1]].iter().map(|x| (x[i] - mean(about, i)) * (x[j] - mean(about, j))).sum()
                    };
                    let own: f64 =
                        ends.windows(2).map(|w| scatter(w, if among { &[0, 24] } else { w })).sum();
                    let prior = if i == j { [1.0, 0.04, 9.0][i] } else { 0.0 };
                    let wanted = (own + 10.0 * prior) / (10.0 + if among { 23.0 } else { 21.0 });
                    let found: f64 = (0..=j).map(|k| r.factor[i][k] * r.factor[j][k]).sum();
                    assert!((found - wanted).abs() < 10.0 * ABS, "{i} {j}: {found} {wanted}");
                }
            }
        }
        assert!(Moments::reference(chains[..2].iter(), &before, true).is_none());
    }

    /// Four chains of thirty: in one of them the first coordinate wanders a hundred times as far.
    #[test]
    fn a_chain_that_strays_makes_a_coordinate_no_wider_than_twice_the_usual_variance() {
        let before = Reference::independent(&[(0.0, 1.0), (0.0, 1.0)]);
        let mut chains = [0, 1, 2, 3].map(|_| Moments::new(2));
        for (c, chain) in chains.iter_mut().enumerate() {
            let far = if c == 3 { 100.0 } else { 1.0 };
            (0..30).for_each(|i| chain.add(&[far * f64::from(i % 3 - 1), f64::from(i % 5 - 2)]));
        }
        for among in [false, true] {
            let r = Moments::reference(chains.iter(), &before, among).expect("a hundred and twenty places");
            let n = if among { 119.0 } else { 116.0 };
            // Places −1, 0, 1 have a variance of 2/3, places −2 to 2 one of 2; the reference before counts
            // ten.
            let wanted = [(2.0 * 2.0 / 3.0 * n + 10.0) / (n + 10.0), (2.0 * 120.0 + 10.0) / (n + 10.0)];
            for (i, wanted) in wanted.iter().enumerate() {
                let found: f64 = r.factor[i].iter().map(|f| f * f).sum();
                assert!((found - wanted).abs() < 10.0 * ABS, "{among} {i}: {found} {wanted}");
            }
        }
    }

    #[test]
    fn a_place_has_one_unit_and_its_slope_is_that_of_central_differences() {
        let mut all = Moments::new(3);
        places().iter().for_each(|x| all.add(x));
        let r = Moments::reference([&all].into_iter(), &Reference::independent(&[(0.0, 1.0); 3]), true)
            .expect("more than twenty places");
        let u = vec![0.3, -1.2, 0.7];
        assert!(r.unit(&r.place(&u)).iter().zip(&u).all(|(a, b)| (a - b).abs() < ABS));
        // A density relative to N(0, I): ln ratio = Σ sin q + ½ q².
        let at = |u: &[f64]| -> (f64, Vec<f64>) {
            let q = r.place(u);
            let mut slope: Vec<f64> = q.iter().map(|q| q.cos() + q).collect();
            let value = r.relative(q.iter().map(|q| q.sin() + 0.5 * q * q).sum(), &mut slope, u);
            (value, slope)
        };
        let slope = at(&u).1;
        for (j, slope) in slope.iter().enumerate() {
            let moved = |h: f64| {
                at(&u.iter().enumerate().map(|(i, u)| if i == j { u + h } else { *u }).collect::<Vec<_>>()).0
            };
            // Truncation 1e-10, cancellation 1e-16/1e-5 of values about 10.
            assert!((slope - (moved(1e-5) - moved(-1e-5)) / 2e-5).abs() < 1e-8, "{j}");
        }
    }
}
