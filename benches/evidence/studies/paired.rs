//! Differences between answers to study areas of the same seeds.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Mean of paired differences.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Pairs.
    pub pairs: usize,
    /// Mean difference.
    pub mean: f64,
    /// Its standard error; `None` for one pair.
    pub standard_error: Option<f64>,
}

impl Difference {
    /// Of the differences of all pairs; `None` for no pair.
    ///
    /// # Formula
    /// d̄ and s/√n, s² = Σ(d − d̄)²/(n − 1)
    pub fn of(differences: &[f64]) -> Option<Difference> {
        let n = differences.len();
        if n == 0 {
            return None;
        }
        let mean = differences.iter().sum::<f64>() / n as f64;
        let squares: f64 = differences.iter().map(|d| (d - mean).powi(2)).sum();
        let standard_error = (n > 1).then(|| (squares / (n - 1) as f64 / n as f64).sqrt());
        Some(Difference { pairs: n, mean, standard_error })
    }

    /// Whether it differs from 0 by Student's test at 5 %; never for one pair or without any spread.
    pub fn is_clear(&self) -> bool {
        let Some(se) = self.standard_error.filter(|se| *se > 0.0) else { return false };
        let bound = StudentsT::new(0.0, 1.0, (self.pairs - 1) as f64).map(|t| t.inverse_cdf(0.975));
        bound.is_ok_and(|b| self.mean.abs() / se > b)
    }

    /// `+0.021 ± 0.008`, with a star when clear.
    pub fn words(&self) -> String {
        let star = if self.is_clear() { "*" } else { "" };
        match self.standard_error {
            Some(se) => format!("{:+.3} ± {se:.3}{star}", self.mean),
            None => format!("{:+.3}", self.mean),
        }
    }
}
