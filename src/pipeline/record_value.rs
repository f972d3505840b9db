//! What one record is worth, as a share of a complete record.
//!
//! Four shares, each 1 for a pig opened on all pairs, aged and dated exactly, placed without error:
//!
//! | share | of | formula |
//! | --- | --- | --- |
//! | gross_inspection | the chance of seeing infection | Se(what was done) / Se(all pairs) |
//! | age | its exposure that is placed in the right time | ∫S² / ∫S, S(τ) = P(age > τ) |
//! | date | the same, for the day killed | 1 − w / (3L), w days left open, L days lived |
//! | position | the sharpness of the place | v / (v + g²), v variance of its range, g s.d. of the position |
//!
//! The formulas for age and date are the expected overlap of two lives drawn from what is known (own
//! choice): with S = 1 up to the age they give 1. The value of a record is the product.

use crate::kernel::inspections::share_of_all;
use crate::records::{Age, DAYS_PER_MONTH, Pig, Sex};
use crate::study::study_file::Study;
use serde::Serialize;

/// Mean age met where none is recorded, months; ages then fall off exponentially. Own choice, from 60 to 80 %
/// of a harvest under 48 months (lay source).
const MEAN_AGE_MONTHS: f64 = 40.0;

/// The four shares of one record.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct RecordValue {
    /// Of the chance to see infection.
    pub gross_inspection: f64,
    /// Of the exposure placed in the right time, by the age.
    pub age: f64,
    /// Of the exposure placed in the right time, by the date.
    pub date: f64,
    /// Of the sharpness of the place.
    pub position: f64,
}

impl RecordValue {
    /// The value of a pig's record in a study.
    pub(crate) fn of(study: &Study, pig: &Pig) -> RecordValue {
        let range = &study.home_range;
        let sigma_m = match pig.sex {
            Sex::Female => range.sigma_female_m,
            Sex::Male => range.sigma_male_m,
            Sex::Unknown => range.sigma_unknown_m,
        };
        let variance = 2.0 * sigma_m.powi(2) + range.drift_m.powi(2);
        RecordValue {
            gross_inspection: share_of_all(&study.detection, pig),
            age: age_share(pig.age),
            date: date_share(pig.killed.days(), pig.age),
            position: variance / (variance + pig.position_sd_m.powi(2)),
        }
    }

    /// The record as a part of a complete record.
    pub(crate) fn whole(&self) -> f64 {
        self.gross_inspection * self.age * self.date * self.position
    }
}

/// Share of a pig's exposure that its age places in the right time.
///
/// # Formula
/// ∫S²/∫S: `(a + w/3)/(a + w/2)` for an age uniform on [a, a + w]; ½ for an unknown age (exponential).
/// # Example
/// ```
/// use pignut::internals::pipeline::record_value::age_share;
/// use pignut::internals::records::Age;
/// assert_eq!(age_share(Age::Interval { min_months: 7.0, max_months: 7.0 }), 1.0);
/// let wide = age_share(Age::Interval { min_months: 0.0, max_months: 180.0 });
/// assert!((wide - 2.0 / 3.0).abs() < 1e-12);
/// ```
pub fn age_share(age: Age) -> f64 {
    match age {
        Age::Unknown => 0.5,
        Age::Interval { min_months: a, max_months: b } => {
            let w = b - a;
            if a + w > 0.0 { (a + w / 3.0) / (a + w / 2.0) } else { 1.0 }
        }
    }
}

/// Share of a pig's exposure that its date places in the right time; `days` is 1 for a single day.
fn date_share(days: f64, age: Age) -> f64 {
    let months = match age {
        Age::Unknown => MEAN_AGE_MONTHS,
        Age::Interval { min_months, max_months } => 0.5 * (min_months + max_months),
    };
    let lived = (months * DAYS_PER_MONTH).max(1.0);
    (1.0 - (days - 1.0) / (3.0 * lived)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The closed form is the expected overlap of two lives, by a slow double sum.
    #[test]
    fn the_share_is_the_overlap_of_two_lives() {
        let (a, b, n) = (10.0, 22.0, 400);
        let ages: Vec<f64> = (0..n).map(|i| a + (b - a) * (f64::from(i) + 0.5) / f64::from(n)).collect();
        let overlap: f64 = ages.iter().flat_map(|x| ages.iter().map(move |y| x.min(*y))).sum::<f64>();
        let slow = overlap / f64::from(n * n) / 16.0;
        let share = age_share(Age::Interval { min_months: a, max_months: b });
        assert!((share - slow).abs() < 1e-4, "{share} {slow}");
    }

    #[test]
    fn dates_cost_most_to_the_young() {
        let age = |m: f64| Age::Interval { min_months: m, max_months: m };
        assert_eq!(date_share(1.0, age(6.0)), 1.0);
        let (young, old) = (date_share(31.0, age(6.0)), date_share(31.0, age(48.0)));
        assert!((young - (1.0 - 30.0 / (3.0 * 6.0 * DAYS_PER_MONTH))).abs() < 1e-12 && young < old);
        assert_eq!(date_share(1.0, age(0.0)), 1.0);
    }
}
