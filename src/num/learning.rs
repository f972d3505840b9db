//! What chains learn in warm-up: a step, and the mean and covariance of a few coordinates.

/// Stochastic approximation of the log step size (Robbins & Monro 1951), averaged over the later half of a
/// window (Polyak & Juditsky 1992).
///
/// Dual averaging (Hoffman & Gelman 2014) swings tenfold in windows as short as these, and one chain in
/// some ends them with a step that makes it several times as slow as the others.
pub struct StepSize {
    log_step: f64,
    tried: Vec<f64>,
}

impl StepSize {
    /// Starts a window at a step.
    pub fn new(step: f64) -> StepSize {
        StepSize { log_step: step.ln(), tried: Vec::new() }
    }
    /// Moves the step towards an acceptance.
    pub fn learn(&mut self, accept: f64, target: f64) {
        self.tried.push(self.log_step);
        // Acceptance falls by some 0.7 when the step grows e-fold: a gain of 1.5 over the count is about
        // the best there is; a lower power forgets the start sooner.
        let gain = 1.5 * (self.tried.len() as f64 + 4.0).powf(-0.75);
        // A step over one radian gains nothing: the trajectory itself is a quarter turn.
        self.log_step = (self.log_step + gain * (accept - target)).clamp(-7.0, 0.0);
    }
    /// The step in force.
    pub fn current(&self) -> f64 {
        self.log_step.exp()
    }
    /// The step this window has settled on.
    pub fn settled(&self) -> f64 {
        let later = &self.tried[self.tried.len() / 2..];
        if later.is_empty() {
            return self.log_step.exp();
        }
        (later.iter().sum::<f64>() / later.len() as f64).exp()
    }
}

/// The reference of the learnt coordinates: place = centre + factor · u, with a lower triangular factor.
#[derive(Clone)]
pub struct Reference {
    centre: Vec<f64>,
    factor: Vec<Vec<f64>>,
}

impl Reference {
    /// N(0, I).
    pub fn standard(n: usize) -> Reference {
        let factor = (0..n).map(|i| (0..=i).map(|j| f64::from(u8::from(i == j))).collect());
        Reference { centre: vec![0.0; n], factor: factor.collect() }
    }
    /// centre + factor · u.
    pub fn place(&self, u: &[f64]) -> Vec<f64> {
        let inner = |row: &Vec<f64>| row.iter().zip(u).map(|(f, u)| f * u).sum::<f64>();
        self.centre.iter().zip(&self.factor).map(|(c, row)| c + inner(row)).collect()
    }
    /// The u of a place, by forward substitution.
    pub fn unit(&self, place: &[f64]) -> Vec<f64> {
        let mut u = Vec::with_capacity(place.len());
        for ((p, c), row) in place.iter().zip(&self.centre).zip(&self.factor) {
            let known: f64 = row.iter().zip(&u).map(|(f, u)| f * u).sum();
            u.push((p - c - known) / row[row.len() - 1]);
        }
        u
    }
    /// Of a value and a slope by place, both relative to N(0, I) there: the value relative to this reference, and
    /// the slope by u.
    pub fn relative(&self, value: f64, by_place: &mut [f64], u: &[f64]) -> f64 {
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
pub struct Moments {
    count: f64,
    mean: Vec<f64>,
    /// Σ (x − mean)(x − mean)ᵀ, lower triangle.
    scatter: Vec<Vec<f64>>,
}

impl Moments {
    /// Of no value yet.
    pub fn new(n: usize) -> Moments {
        Moments { count: 0.0, mean: vec![0.0; n], scatter: (0..n).map(|i| vec![0.0; i + 1]).collect() }
    }
    /// Adds a value.
    pub fn add(&mut self, x: &[f64]) {
        self.merge(1.0, x, None);
    }
    /// Adds so many values of a mean and a scatter (Chan, Golub & LeVeque 1983).
    pub fn merge(&mut self, count: f64, mean: &[f64], scatter: Option<&[Vec<f64>]>) {
        let total = self.count + count;
        let apart: Vec<f64> = mean.iter().zip(&self.mean).map(|(x, m)| x - m).collect();
        let weight = self.count * count / total;
        for (i, row) in self.scatter.iter_mut().enumerate() {
            for (j, s) in row.iter_mut().enumerate() {
                *s += weight * apart[i] * apart[j] + scatter.map_or(0.0, |s| s[i][j]);
            }
        }
        self.mean.iter_mut().zip(&apart).for_each(|(m, d)| *m += d * count / total);
        self.count = total;
    }
    /// Mean of all chains' values and the factor of their covariance, shrunk a little towards the identity as
    /// Stan does for few draws; `None` from fewer than twenty.
    pub fn reference<'a>(chains: impl Iterator<Item = &'a Moments>) -> Option<Reference> {
        let mut all: Option<Moments> = None;
        for m in chains {
            let all = all.get_or_insert_with(|| Moments::new(m.mean.len()));
            if m.count > 0.0 {
                all.merge(m.count, &m.mean, Some(&m.scatter));
            }
        }
        let all = all.filter(|m| m.count >= 20.0)?;
        let n = all.count;
        let mut factor: Vec<Vec<f64>> = Vec::new();
        for (i, row) in all.scatter.iter().enumerate() {
            let mut out: Vec<f64> = Vec::with_capacity(i + 1);
            for (j, s) in row.iter().enumerate() {
                let known: f64 = (0..j).map(|k| out[k] * if i == j { out[k] } else { factor[j][k] }).sum();
                let covariance = (s / (n - 1.0) * n + if i == j { 0.05 } else { 0.0 }) / (n + 5.0) - known;
                out.push(if i == j { covariance.max(1e-4).sqrt() } else { covariance / factor[j][j] });
            }
            factor.push(out);
        }
        Some(Reference { centre: all.mean, factor })
    }
}

/// The median: one chain that lingers in a narrow place does not make all of them slow.
pub fn middle(mut values: Vec<f64>) -> f64 {
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
        (0..24).map(|i| (0..3).map(|j| ((i * (j + 2) + j) as f64 * 0.9).sin() + 0.3 * i as f64).collect()).collect()
    }

    #[test]
    fn two_chains_together_have_the_mean_and_covariance_of_all_their_places() {
        let x = places();
        let n = x.len() as f64;
        let mut chains = [Moments::new(3), Moments::new(3)];
        x.iter().enumerate().for_each(|(i, x)| chains[usize::from(i >= 9)].add(x));
        let r = Moments::reference(chains.iter()).expect("more than twenty places");
        for i in 0..3 {
            let mean = |i: usize| x.iter().map(|x| x[i]).sum::<f64>() / n;
            assert!((r.centre[i] - mean(i)).abs() < ABS);
            for j in 0..=i {
                let covariance = x.iter().map(|x| (x[i] - mean(i)) * (x[j] - mean(j))).sum::<f64>() / (n - 1.0);
                let wanted = (n * covariance + if i == j { 0.05 } else { 0.0 }) / (n + 5.0);
                let found: f64 = (0..=j).map(|k| r.factor[i][k] * r.factor[j][k]).sum();
                assert!((found - wanted).abs() < ABS, "{i} {j}: {found} {wanted}");
            }
        }
        assert!(Moments::reference(chains[..1].iter()).is_none());
    }

    #[test]
    fn a_place_has_one_unit_and_its_slope_is_that_of_central_differences() {
        let mut all = Moments::new(3);
        places().iter().for_each(|x| all.add(x));
        let r = Moments::reference([&all].into_iter()).expect("more than twenty places");
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
            let moved =
                |h: f64| at(&u.iter().enumerate().map(|(i, u)| if i == j { u + h } else { *u }).collect::<Vec<_>>()).0;
            // Truncation 1e-10, cancellation 1e-16/1e-5 of values about 10.
            assert!((slope - (moved(1e-5) - moved(-1e-5)) / 2e-5).abs() < 1e-8, "{j}");
        }
    }
}
