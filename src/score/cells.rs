//! The cells that are scored, one by one: what was stated and what was so.

use crate::records::DAYS_PER_MONTH;
use crate::score::answer::{Answer, CellAnswer};
use crate::score::error::ScoreError;
use crate::score::read_truth::read_truth;
use crate::simulate::force_of_infection::square_mean_per_year;
use crate::simulate::truth::Truth;
use geo::Contains;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// One cell on land.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ScoredCell {
    /// Cell of the run's grid.
    pub cell_id: String,
    /// Centre, metres east.
    pub easting_m: f64,
    /// Centre, metres north.
    pub northing_m: f64,
    /// Stated probability of being active.
    pub p_active: f64,
    /// True resident hazard, mean of the recent months, per pig-year.
    pub true_hazard_per_year: f64,
    /// Whether that exceeds the run's threshold.
    pub active: bool,
}

/// The cells on land of the run in `run_folder`, with the truth of `truth_folder`.
///
/// # Errors
/// [`ScoreError`] when a file is missing or not of this study area.
pub fn scored_cells(run_folder: &Path, truth_folder: &Path) -> Result<Vec<ScoredCell>, ScoreError> {
    let truth = read_truth(truth_folder)?;
    let answer = Answer::read(run_folder)?;
    let (cells, hazard) = on_land(&truth, &answer)?;
    let threshold = answer.manifest.parameters.recent.force_of_infection_threshold;
    let row = |(c, h): (&&CellAnswer, &f64)| ScoredCell {
        cell_id: c.id.clone(),
        easting_m: c.centre.x,
        northing_m: c.centre.y,
        p_active: c.p_active,
        true_hazard_per_year: *h,
        active: *h > threshold,
    };
    Ok(cells.iter().zip(&hazard).map(row).collect())
}

/// Cells whose centre lies on land, and their true resident hazard over the recent months.
pub(crate) fn on_land<'a>(
    truth: &Truth,
    answer: &'a Answer,
) -> Result<(Vec<&'a CellAnswer>, Vec<f64>), ScoreError> {
    let land = truth.land_boundary();
    let (side, end, keys) = (answer.manifest.cell_m, answer.end_day(), &answer.manifest.parameters);
    let from = end - keys.recent.months * DAYS_PER_MONTH;
    let cells: Vec<&CellAnswer> = answer.cells.iter().filter(|c| land.contains(&c.centre)).collect();
    if cells.is_empty() {
        return Err(ScoreError::NoCells { study_area: truth.study_area.clone() });
    }
    let hazard = cells
        .iter()
        .map(|c| {
            let (west, south) = (c.centre.x - 0.5 * side, c.centre.y - 0.5 * side);
            square_mean_per_year(&truth.foci, west, south, side, keys.home_range.resident_sigma_m, from, end)
        })
        .collect();
    Ok((cells, hazard))
}
