//! What pigs with no visible lesion of several years together missed.

use crate::assess::coverage::Coverages;

/// What pigs with no visible lesion missed: A = −ln(1 − Σ ρ Se) at each of K inputs, for foci there since
/// each year.
///
/// The first input is the stated one; with five, the others are the ends of the ranges of design hazard and
/// sensitivity.
pub struct Missed<const K: usize> {
    /// `[c][y − c]`: by the pigs of years c to y.
    a: Vec<Vec<[f64; K]>>,
    foci: f64,
}

impl<const K: usize> Missed<K> {
    /// From ρ of each cell (any scale) and each year's ln of the probability to miss, by input and cell.
    ///
    /// `stays`: a focus stays in its cell; otherwise it is placed anew each year.
    pub fn new(weights: &[f64], years: &[[&[f64]; K]], foci: u32, stays: bool) -> Missed<K> {
        let total: f64 = weights.iter().sum();
        let cells: Vec<usize> = (0..weights.len()).filter(|c| weights[*c] > 0.0).collect();
        let a = |log_missed: &dyn Fn(usize) -> f64| -> f64 {
            let missed: f64 = cells.iter().map(|c| weights[*c] * log_missed(*c).exp()).sum();
            -(missed / total).max(f64::MIN_POSITIVE).ln()
        };
        let alone: Vec<[f64; K]> = years.iter().map(|y| std::array::from_fn(|k| a(&|c| y[k][c]))).collect();
        let since = |from: usize| -> Vec<[f64; K]> {
            let mut sums = vec![[0.0; K]; weights.len()];
            let mut anew = [0.0; K];
            years[from..]
                .iter()
                .zip(&alone[from..])
                .map(|(year, alone)| {
                    if !stays {
                        anew.iter_mut().zip(alone).for_each(|(s, a)| *s += a);
                        return anew;
                    }
                    for c in &cells {
                        (0..K).for_each(|k| sums[*c][k] += year[k][*c]);
                    }
                    std::array::from_fn(|k| a(&|c| sums[c][k]))
                })
                .collect()
        };
        Missed { a: (0..years.len()).map(since).collect(), foci: f64::from(foci) }
    }

    /// Number of years.
    pub(crate) fn years(&self) -> usize {
        self.a.len()
    }

    /// Probability that the pigs of years c to y missed every focus there since c, by the stated inputs.
    pub fn stated(&self, c: usize, y: usize) -> f64 {
        (-self.a[c][y - c][0].max(0.0) * self.foci).exp()
    }
}

impl Missed<5> {
    /// As [`Missed::stated`], with design hazard and sensitivity at an exponent of their ranges.
    pub(crate) fn at(&self, c: usize, y: usize, hazard: f64, sensitivity: f64) -> f64 {
        let [a, h_low, h_high, s_low, s_high] = self.a[c][y - c];
        if a <= 0.0 {
            return 1.0;
        }
        let turn = |t: f64, low: f64, high: f64| match t {
            t if t < 0.0 => (low / a).powf(-t),
            t if t > 0.0 => (high / a).powf(t),
            _ => 1.0,
        };
        (-a * turn(hazard, h_low, h_high) * turn(sensitivity, s_low, s_high) * self.foci).exp()
    }
}

/// Length of each year within the study, at most 1.
pub(crate) fn lengths(coverages: &Coverages) -> Vec<f64> {
    let days = coverages.years.iter().map(|y| y.window.to - y.window.from);
    days.map(|d| (d / crate::records::DAYS_PER_YEAR).min(1.0)).collect()
}
