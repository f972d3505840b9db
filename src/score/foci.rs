//! Which true foci a run finds: p_active in the cells that one focus alone makes active.
//!
//! A cell belongs to a focus when the true resident hazard of the recent months exceeds the
//! threshold and, without that focus, would not. A focus without such a cell (too weak at the
//! end, or in the lee of another) is not scored. It counts as found when p_active reaches
//! [`FOUND_AT`] in one of its cells. New are foci that began within [`NEW_YEARS`] before the
//! end, small those of a radius under [`SMALL_M`]; the bounds are own choices.

use crate::records::DAYS_PER_YEAR;
use crate::score::answer::{Answer, CellAnswer};
use crate::score::baselines::ExaminedPigs;
use crate::simulate::truth::Truth;
use serde::{Deserialize, Serialize};

/// Largest p_active among a focus's cells from which it counts as found.
pub(crate) const FOUND_AT: f64 = 0.5;
/// Age of a focus below which it is new, years.
pub(crate) const NEW_YEARS: f64 = 2.0;
/// Radius (s.d. per axis) below which a focus is small, metres.
pub(crate) const SMALL_M: f64 = 1_200.0;

/// One focus, and what the run said where it alone makes cells active.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FocusFound {
    /// Focus in the truth file.
    pub id: String,
    /// Years since it began, at the end of the study.
    pub age_years: f64,
    /// S.d. per axis, metres.
    pub radius_m: f64,
    /// Hazard at its centre at the end, per pig-year.
    pub hazard_at_end_per_year: f64,
    /// Pigs killed within two radii of its centre since it began.
    pub pigs: u64,
    /// Positives among them, laboratory over gross inspection.
    pub positives: u64,
    /// Cells that it alone makes active.
    pub cells: u64,
    /// Mean p_active in them.
    pub p_active_mean: f64,
    /// Largest p_active in them.
    pub p_active_most: f64,
    /// Share of the truly inactive cells that rank below the best of them; a tie counts half.
    pub above_inactive: Option<f64>,
}

impl FocusFound {
    /// Whether it began within [`NEW_YEARS`].
    pub fn is_new(&self) -> bool {
        self.age_years < NEW_YEARS
    }
    /// Whether its radius is under [`SMALL_M`].
    pub fn is_small(&self) -> bool {
        self.radius_m < SMALL_M
    }
    /// Whether p_active reaches [`FOUND_AT`] in one of its cells.
    pub fn is_found(&self) -> bool {
        self.p_active_most >= FOUND_AT
    }
}

/// A class of foci: label and membership.
pub(crate) type FocusClass = (&'static str, fn(&FocusFound) -> bool);

/// Classes in which foci are counted.
pub const FOCUS_CLASSES: [FocusClass; 5] = [
    ("all", |_| true),
    ("new (under 2 years)", FocusFound::is_new),
    ("older", |f| !f.is_new()),
    ("small (radius under 1.2 km)", FocusFound::is_small),
    ("new and small", |f| f.is_new() && f.is_small()),
];

/// Scores every focus that alone makes some of `cells` active.
pub(crate) fn score_foci(
    truth: &Truth,
    answer: &Answer,
    cells: &[&CellAnswer],
    seen: &[ExaminedPigs],
    from: f64,
) -> Vec<FocusFound> {
    let (side, end) = (answer.manifest.cell_m, answer.end_day());
    let keys = &answer.manifest.parameters;
    let (sigma_m, threshold) = (keys.home_range.resident_sigma_m, keys.recent.force_of_infection_threshold);
    let courses: Vec<f64> = truth.foci.iter().map(|f| f.mean_course(from, end)).collect();
    let parts: Vec<Vec<f64>> = cells
        .iter()
        .map(|c| {
            let (west, south) = (c.centre.x - 0.5 * side, c.centre.y - 0.5 * side);
            let of = |(f, course): (&crate::simulate::force_of_infection::Focus, &f64)| {
                course * f.square_mean_at_peak(west, south, side, sigma_m)
            };
            truth.foci.iter().zip(&courses).map(of).collect()
        })
        .collect();
    let totals: Vec<f64> = parts.iter().map(|p| p.iter().sum()).collect();
    let inactive: Vec<f64> =
        cells.iter().zip(&totals).filter(|(_, t)| **t <= threshold).map(|(c, _)| c.p_active).collect();
    let mut found = Vec::new();
    for (k, f) in truth.foci.iter().enumerate() {
        let own: Vec<f64> = (0..cells.len())
            .filter(|&i| totals[i] > threshold && totals[i] - parts[i][k] <= threshold)
            .map(|i| cells[i].p_active)
            .collect();
        let Some(most) = own.iter().copied().reduce(f64::max) else { continue };
        let near = |p: &&ExaminedPigs| {
            p.day >= f.start_day
                && (p.place.x - f.easting_m).hypot(p.place.y - f.northing_m) <= 2.0 * f.radius_m
        };
        let below = |v: &f64| if *v < most { 1.0 } else { 0.5 * f64::from(u8::from(*v == most)) };
        found.push(FocusFound {
            id: f.id.clone(),
            age_years: (end - f.start_day) / DAYS_PER_YEAR,
            radius_m: f.radius_m,
            hazard_at_end_per_year: f.peak_per_year * f.course(end),
            pigs: seen.iter().filter(near).count() as u64,
            positives: seen.iter().filter(near).filter(|p| p.positive).count() as u64,
            cells: own.len() as u64,
            p_active_mean: own.iter().sum::<f64>() / own.len() as f64,
            p_active_most: most,
            above_inactive: (!inactive.is_empty())
                .then(|| inactive.iter().map(below).sum::<f64>() / inactive.len() as f64),
        });
    }
    found
}
