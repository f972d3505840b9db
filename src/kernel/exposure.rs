//! The life a pig lived before it was shot, cut into bins of lag before death.
//!
//! A bin lies within one period of the grid and between the cuts at 1, 2, 3, 4 and 6 months,
//! where the lesion ramp bends. Age uncertainty enters as survival weight; ages known to more than
//! ten months, unknown ages, and dates known to a year only, as a mixture of hypotheses.

use crate::geography::grid::Grid;
use crate::kernel::detection::Ramp;
use crate::records::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR, Pig, Sex, day_number};
use crate::study::model_keys::{Dispersal, Exposure};
use crate::study::study_file::Study;

/// Lags at which bins are cut besides period edges, months.
pub(crate) const LAG_CUTS_MONTHS: [f64; 5] = [1.0, 2.0, 3.0, 4.0, 6.0];

/// Widest age interval treated with survival weights; wider ones become a mixture of equal pieces.
///
/// The weights put the mean exposure into 1 − e^(−λE), which is a little more than the mean of it: p is
/// too high by a share that grows as λ times the square of the width, most for the young.
/// tests/oracle/exposure.rs measures it: under 1 % at 0.2 a year, 2 % at 0.5, 4 % at 1. One piece of 30
/// months would be 5, 11 and 15 % off.
pub const WIDEST_INTERVAL_MONTHS: f64 = 10.0;

/// The same for intervals that begin below one year of age, where p grows fastest with age.
pub(crate) const WIDEST_YOUNG_INTERVAL_MONTHS: f64 = 5.0;

/// Exposure of one pig in one stretch of lag before death.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LagBin {
    /// Period of the grid.
    pub period: usize,
    /// Start of the stretch, days before death.
    pub lag_start: f64,
    /// End of the stretch, days before death (shortened to the oldest possible exposure).
    pub lag_end: f64,
    /// Expected exposure within the present range, years: E·(1 − m).
    pub stay_years: f64,
    /// Expected exposure before dispersal, years: E·m.
    pub moved_years: f64,
    /// Mean of the lesion ramp over the stretch.
    pub ramp: f64,
}

impl LagBin {
    /// Expected exposure E, years.
    pub fn years(&self) -> f64 {
        self.stay_years + self.moved_years
    }
}

/// One possible life: a weight and its bins, newest first.
#[derive(Debug, Clone, PartialEq)]
pub struct Life {
    /// Prior probability of this hypothesis; a pig's sum to 1.
    pub weight: f64,
    /// Day of death, day number.
    pub death: f64,
    /// Bins, newest first.
    pub bins: Vec<LagBin>,
}

/// Age classes used where no age was recorded: bounds in months.
pub const AGE_CLASSES_MONTHS: [(f64, f64); 5] =
    [(2.0, 6.0), (6.0, 12.0), (12.0, 24.0), (24.0, 48.0), (48.0, 96.0)];

/// Weights of [`AGE_CLASSES_MONTHS`], learnt from the aged pigs of the study.
///
/// # Formula
/// Share of aged pigs whose mid-interval falls in each class, with one pseudo-pig a class.
/// Ages over the last class count in it.
pub fn age_class_weights(pigs: &[Pig]) -> [f64; 5] {
    let mut count = [1.0; 5];
    for pig in pigs {
        if let Age::Interval { min_months, max_months } = pig.age {
            let mid = 0.5 * (min_months + max_months);
            let class = AGE_CLASSES_MONTHS.iter().position(|(_, hi)| mid < *hi).unwrap_or(4);
            count[class] += 1.0;
        }
    }
    let total: f64 = count.iter().sum();
    count.map(|c| c / total)
}

/// All hypotheses of one pig's life.
///
/// # Formula
/// ```text
/// E_k = ∫_bin S(τ) dτ,  S(τ) = P(age − start > τ);   R̄_k = ∫_bin S R / E_k
/// m(τ) = share(sex)·(F(age) − F(age − τ)),  F uniform between the dispersal ages
/// ```
/// # Shapes and units
/// bins newest first, exposure in years, lags in days. A released sentinel starts on its release
/// day and does not disperse. Exposure before the grid's first period counts in that period.
/// # Source
/// Method note §3; dispersal ages Truvé & Lemel (2003).
pub fn lives(pig: &Pig, study: &Study, grid: &Grid, class_weights: &[f64; 5]) -> Vec<Life> {
    let ramp = Ramp::new(&study.detection);
    let mut out = Vec::new();
    for (day_weight, death) in death_days(pig) {
        for (age_weight, min_months, max_months) in age_hypotheses(pig, class_weights) {
            let ages = age_nodes(min_months, max_months);
            let bins = bins_of(pig, study, grid, &ramp, death, &ages);
            out.push(Life { weight: day_weight * age_weight, death, bins });
        }
    }
    out
}

/// Day of death: noon of the day, or a few equally likely days when only a month or year is known.
fn death_days(pig: &Pig) -> Vec<(f64, f64)> {
    let first = day_number(pig.killed.first);
    let days = pig.killed.days();
    let n = ((days / 45.0).ceil() as usize).clamp(1, 8);
    (0..n).map(|i| (1.0 / n as f64, first + days * (i as f64 + 0.5) / n as f64)).collect()
}

/// Age intervals with weights: one, or several when the interval is wide or unknown.
fn age_hypotheses(pig: &Pig, class_weights: &[f64; 5]) -> Vec<(f64, f64, f64)> {
    match pig.age {
        Age::Unknown => {
            let classes = AGE_CLASSES_MONTHS.iter().zip(class_weights);
            classes
                .flat_map(|((lo, hi), w)| {
                    pieces(*lo, *hi).into_iter().map(move |(v, lo, hi)| (w * v, lo, hi))
                })
                .collect()
        }
        Age::Interval { min_months, max_months } => pieces(min_months, max_months),
    }
}

/// Equal pieces of an interval, twelve at most, none wider than [`WIDEST_INTERVAL_MONTHS`] where twelve
/// suffice, with weights.
fn pieces(min_months: f64, max_months: f64) -> Vec<(f64, f64, f64)> {
    let width = max_months - min_months;
    let widest = if min_months < 12.0 { WIDEST_YOUNG_INTERVAL_MONTHS } else { WIDEST_INTERVAL_MONTHS };
    let n = ((width / widest).ceil() as usize).clamp(1, 12);
    let step = width / n as f64;
    let from = |i: usize| min_months + step * i as f64;
    (0..n).map(|i| (1.0 / n as f64, from(i), from(i) + step)).collect()
}

/// Equally likely ages, in days, that stand for a uniform interval: four a month of width, 24 at least.
fn age_nodes(min_months: f64, max_months: f64) -> Vec<f64> {
    let width = max_months - min_months;
    let n = if width > 0.0 { ((4.0 * width).ceil() as usize).clamp(24, 48) } else { 1 };
    (0..n).map(|i| (min_months + width * (i as f64 + 0.5) / n as f64) * DAYS_PER_MONTH).collect()
}

/// Longest exposure, days, of a pig of a given age in days.
fn longest_exposure(pig: &Pig, exposure: &Exposure, death: f64, age: f64) -> f64 {
    match pig.released_on {
        Some(day) => (death - day_number(day)).max(0.0),
        None => (age.min(exposure.max_age_months * DAYS_PER_MONTH) - exposure.start_months * DAYS_PER_MONTH)
            .max(0.0),
    }
}

fn bins_of(pig: &Pig, study: &Study, grid: &Grid, ramp: &Ramp, death: f64, ages: &[f64]) -> Vec<LagBin> {
    let reach = ages.iter().map(|a| longest_exposure(pig, &study.exposure, death, *a)).fold(0.0, f64::max);
    let natal = NatalMove::new(pig, &study.dispersal);
    let mut bins = Vec::new();
    for (lo, hi) in lag_stretches(grid, death, reach) {
        let (mut exposure, mut moved, mut seen) = (0.0, 0.0, 0.0);
        for age in ages {
            let end = longest_exposure(pig, &study.exposure, death, *age).min(hi);
            if end > lo {
                exposure += end - lo;
                moved += natal.integral(*age, lo, end);
                seen += ramp.integral(end) - ramp.integral(lo);
            }
        }
        if exposure > 0.0 {
            let years = 1.0 / (ages.len() as f64 * DAYS_PER_YEAR);
            // Differences of integrals over thousands of days: what rounding leaves is no dispersal.
            if moved < 1e-9 * exposure {
                moved = 0.0;
            }
            bins.push(LagBin {
                period: grid.period_of(death - 0.5 * (lo + hi)),
                lag_start: lo,
                lag_end: hi,
                stay_years: (exposure - moved).max(0.0) * years,
                moved_years: moved * years,
                ramp: (seen / exposure).min(1.0),
            });
        }
    }
    bins
}

/// Stretches of lag from 0 to `reach`, cut at the lag cuts and at period edges, days.
fn lag_stretches(grid: &Grid, death: f64, reach: f64) -> Vec<(f64, f64)> {
    let mut cuts: Vec<f64> = LAG_CUTS_MONTHS.iter().map(|m| m * DAYS_PER_MONTH).collect();
    let inner = &grid.period_edges[1..grid.period_edges.len() - 1];
    cuts.extend(inner.iter().map(|e| death - e));
    cuts.retain(|c| *c > 0.0 && *c < reach);
    cuts.sort_by(f64::total_cmp);
    let mut out = Vec::new();
    let mut from = 0.0;
    for to in cuts.into_iter().chain([reach]) {
        // Cuts that all but coincide would make a bin of no length.
        if to - from > 0.01 {
            out.push((from, to));
            from = to;
        }
    }
    out
}

/// Natal dispersal: the share that has changed range within the last τ days.
struct NatalMove {
    share: f64,
    start: f64,
    end: f64,
}

impl NatalMove {
    fn new(pig: &Pig, d: &Dispersal) -> NatalMove {
        let share = match pig.sex {
            _ if pig.released_on.is_some() => 0.0,
            Sex::Female => d.share_female,
            Sex::Male => d.share_male,
            Sex::Unknown => d.share_unknown,
        };
        NatalMove {
            share,
            start: d.age_start_months * DAYS_PER_MONTH,
            end: d.age_end_months * DAYS_PER_MONTH,
        }
    }
    /// F(age): share of dispersers that have left by an age.
    fn left_by(&self, age: f64) -> f64 {
        ((age - self.start) / (self.end - self.start)).clamp(0.0, 1.0)
    }
    /// ∫ F up to an age, days.
    fn left_by_integral(&self, age: f64) -> f64 {
        let x = age.clamp(self.start, self.end) - self.start;
        0.5 * x * x / (self.end - self.start) + (age - self.end).max(0.0)
    }
    /// ∫ m(τ) over `[lo, hi]` for a pig of this age at death, days.
    fn integral(&self, age: f64, lo: f64, hi: f64) -> f64 {
        let later = self.left_by_integral(age - lo) - self.left_by_integral(age - hi);
        self.share * ((hi - lo) * self.left_by(age) - later)
    }
}
