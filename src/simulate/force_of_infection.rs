//! The true force of infection: an analytic function of place and time.
//!
//! # Formula
//! ```text
//! λ(x, y, t) = Σ_f A_f · exp(−d_f² / 2r_f²) · g_f(t) · e_f(t)
//! g(t) = 0 before the start, then 1 / (1 + 19 exp(−2 ln 19 · (t − start)/growth))
//! e(t) = 1 before the decline, then q + (1 − q) exp(−(t − decline)/scale)
//! ```
//! A peak hazard (per pig-year), d distance to the centre, r radius (s.d. of the
//! focus, metres), growth the years from 5 % to 95 % of the peak, q the share that
//! remains. A focus stands for infected possums or ferrets that pigs scavenge.
//!
//! # Assumes
//! An operation takes the focus as a whole (its centre lies in the treated block):
//! the small part of its disc that reaches beyond the block falls with it. Place and
//! time are separable within a focus, so cell means and range means are exact.

use crate::records::{DAYS_PER_MONTH, DAYS_PER_YEAR};
use libm::erf;
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, SQRT_2};

/// Why a focus declines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// It died out by itself.
    FadeOut,
    /// A control operation covered it.
    Operation {
        /// Block treated.
        block_id: String,
    },
}

/// How a focus declines.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Decline {
    /// First day of the decline, days since 1970-01-01.
    pub start_day: f64,
    /// Share of the hazard that remains in the end.
    pub remaining_share: f64,
    /// Time in which the rest falls to 1/e, months.
    pub scale_months: f64,
    /// Why.
    pub cause: Cause,
}

/// A focus of infected possums or ferrets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Focus {
    /// Name in the truth file.
    pub id: String,
    /// Centre, metres east.
    pub easting_m: f64,
    /// Centre, metres north.
    pub northing_m: f64,
    /// S.d. per axis of the focus, metres.
    pub radius_m: f64,
    /// Hazard at its centre at full growth, per pig-year.
    pub peak_per_year: f64,
    /// Day it appears (at 5 % of its peak), days since 1970-01-01.
    pub start_day: f64,
    /// Years from 5 % to 95 % of its peak.
    pub growth_years: f64,
    /// Its end, if it has one.
    pub decline: Option<Decline>,
}

impl Focus {
    /// Share of the peak reached at a day, 0 to 1.
    pub fn course(&self, day: f64) -> f64 {
        if day < self.start_day {
            return 0.0;
        }
        let years = (day - self.start_day) / DAYS_PER_YEAR;
        let grown = 1.0 / (1.0 + 19.0 * (-2.0 * 19f64.ln() * years / self.growth_years).exp());
        let kept = match &self.decline {
            Some(d) if day > d.start_day => {
                let scale = (d.scale_months * DAYS_PER_MONTH).max(1e-9);
                d.remaining_share + (1.0 - d.remaining_share) * (-(day - d.start_day) / scale).exp()
            }
            _ => 1.0,
        };
        grown * kept
    }

    /// Mean of [`Focus::course`] over `[from_day, to_day)`, midpoint rule at steps of a day or less.
    pub fn mean_course(&self, from_day: f64, to_day: f64) -> f64 {
        let steps = (to_day - from_day).ceil().max(1.0);
        let width = (to_day - from_day) / steps;
        let sum: f64 = (0..steps as usize).map(|k| self.course(from_day + (k as f64 + 0.5) * width)).sum();
        sum / steps
    }

    /// Hazard at full growth at a place, per pig-year.
    pub fn at_peak(&self, easting_m: f64, northing_m: f64) -> f64 {
        let d2 = (easting_m - self.easting_m).powi(2) + (northing_m - self.northing_m).powi(2);
        self.peak_per_year * (-0.5 * d2 / (self.radius_m * self.radius_m)).exp()
    }

    /// Mean over a square of the hazard at full growth met by a pig whose range s.d. is `sigma_m`.
    ///
    /// The range centre is uniform over the square; `sigma_m` = 0 gives the plain cell mean.
    ///
    /// # Formula
    /// ```text
    /// A · 2πr² · ΔΦ((x − x_f)/s) · ΔΦ((y − y_f)/s) / side²,   s² = r² + σ²
    /// ```
    /// Exact: a Gaussian smoothed by a Gaussian, integrated over a square. Place is not
    /// cut at the coast: a range that reaches over the sea meets the focus there too.
    pub fn square_mean_at_peak(&self, west_m: f64, south_m: f64, side_m: f64, sigma_m: f64) -> f64 {
        let s = (self.radius_m * self.radius_m + sigma_m * sigma_m).sqrt();
        let mass = |low: f64, centre: f64| {
            let z = |v: f64| (v - centre) / (s * SQRT_2);
            0.5 * (erf(z(low + side_m)) - erf(z(low)))
        };
        let volume = self.peak_per_year * 2.0 * PI * self.radius_m * self.radius_m;
        volume * mass(west_m, self.easting_m) * mass(south_m, self.northing_m) / (side_m * side_m)
    }
}

/// True force of infection at a place and day, infections per pig-year.
pub fn hazard_per_year(foci: &[Focus], easting_m: f64, northing_m: f64, day: f64) -> f64 {
    foci.iter()
        .map(|f| {
            let d2 = (easting_m - f.easting_m).powi(2) + (northing_m - f.northing_m).powi(2);
            // Beyond six s.d. a focus adds less than 2e-8 of its peak: the exponentials are saved.
            if d2 > 36.0 * f.radius_m * f.radius_m {
                0.0
            } else {
                f.at_peak(easting_m, northing_m) * f.course(day)
            }
        })
        .sum()
}

/// Mean over a square and a span of days of the hazard met by a resident pig, per pig-year.
///
/// `sigma_m` is the range s.d. of the resident (0: the plain mean of λ over the square).
/// See [`Focus::square_mean_at_peak`].
pub fn square_mean_per_year(
    foci: &[Focus],
    west_m: f64,
    south_m: f64,
    side_m: f64,
    sigma_m: f64,
    from_day: f64,
    to_day: f64,
) -> f64 {
    foci.iter()
        .map(|f| f.square_mean_at_peak(west_m, south_m, side_m, sigma_m) * f.mean_course(from_day, to_day))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn focus() -> Focus {
        Focus {
            id: "F1".into(),
            easting_m: 1_000.0,
            northing_m: 2_000.0,
            radius_m: 1_200.0,
            peak_per_year: 0.8,
            start_day: 100.0,
            growth_years: 1.0,
            decline: Some(Decline {
                start_day: 2_000.0,
                remaining_share: 0.1,
                scale_months: 2.0,
                cause: Cause::FadeOut,
            }),
        }
    }

    #[test]
    fn course_meets_its_definition() {
        let f = focus();
        assert_eq!(f.course(99.9), 0.0);
        assert!((f.course(100.0) - 0.05).abs() < 1e-12);
        assert!((f.course(100.0 + DAYS_PER_YEAR) - 0.95).abs() < 1e-12);
        let late = f.course(2_000.0 + 2.0 * DAYS_PER_MONTH);
        assert!((late - (0.1 + 0.9 * (-1f64).exp())).abs() < 1e-6, "{late}");
    }

    /// The closed form against a double sum over places and range positions.
    #[test]
    fn square_mean_is_the_double_integral() {
        let f = focus();
        let (west, south, side, sigma) = (1_500.0, 1_000.0, 1_000.0, 750.0);
        let (mut sum, mut weight) = (0.0, 0.0);
        for i in 0..40 {
            for j in 0..40 {
                let (cx, cy) =
                    (west + (i as f64 + 0.5) * side / 40.0, south + (j as f64 + 0.5) * side / 40.0);
                for u in -12..=12 {
                    for v in -12..=12 {
                        let (zx, zy) = (f64::from(u) * 0.5, f64::from(v) * 0.5);
                        let w = (-0.5 * (zx * zx + zy * zy)).exp();
                        sum += w * f.at_peak(cx + sigma * zx, cy + sigma * zy);
                        weight += w;
                    }
                }
            }
        }
        let closed = f.square_mean_at_peak(west, south, side, sigma);
        assert!((closed - sum / weight).abs() < 1e-4 * closed, "{closed} against {}", sum / weight);
    }
}
