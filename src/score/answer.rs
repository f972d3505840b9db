//! Reads what a run answered, as far as it is scored.

use crate::contract::read_table::{TableError, TableReader, read_json};
use crate::contract::{documents, tables};
use crate::records::day_number;
use geo::Coord;
use jiff::civil::Date;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Suffixes of the six quantiles that bound the scored intervals.
const QUANTILES: [&str; 6] = ["q025", "q05", "q25", "q75", "q95", "q975"];

/// The part of `manifest.json` that scoring needs.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Manifest {
    pub(crate) as_of: Date,
    pub(crate) cell_m: f64,
    pub(crate) parameters: Parameters,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Parameters {
    pub(crate) recent: RecentKeys,
    pub(crate) home_range: RangeKeys,
    #[serde(default)]
    pub(crate) coverage: CoverageKeys,
}

/// The design focus; a manifest that does not say has the study's defaults.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct CoverageKeys {
    pub(crate) design_force_of_infection: f64,
    pub(crate) patch_m: f64,
}

impl Default for CoverageKeys {
    fn default() -> CoverageKeys {
        CoverageKeys { design_force_of_infection: 0.2, patch_m: 3000.0 }
    }
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct RecentKeys {
    pub(crate) months: f64,
    pub(crate) force_of_infection_threshold: f64,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct RangeKeys {
    pub(crate) resident_sigma_m: f64,
}

/// One cell of the answer.
#[derive(Debug, Clone)]
pub(crate) struct CellAnswer {
    pub(crate) id: String,
    pub(crate) centre: Coord<f64>,
    pub(crate) hazard_mean: f64,
    pub(crate) quantiles: [f64; 6],
    pub(crate) p_active: f64,
}

/// One cell and period of the answer.
#[derive(Debug, Clone)]
pub(crate) struct PeriodAnswer {
    pub(crate) cell_id: String,
    pub(crate) start_day: f64,
    pub(crate) quantiles: [f64; 6],
}

/// One positive or suspect of the answer.
#[derive(Debug, Clone)]
pub(crate) struct PositiveAnswer {
    pub(crate) id: String,
    pub(crate) p_true: f64,
    /// Day numbers; `None` when the run could not place it in time.
    pub(crate) window: Option<[f64; 6]>,
}

/// A cell and its probability of being the place of infection.
pub(crate) type OriginCell = (String, Coord<f64>, f64);

/// A run folder, read.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) manifest: Manifest,
    pub(crate) cells: Vec<CellAnswer>,
    pub(crate) periods: Vec<PeriodAnswer>,
    pub(crate) positives: Vec<PositiveAnswer>,
    pub(crate) origins: BTreeMap<String, Vec<OriginCell>>,
}

impl Answer {
    pub(crate) fn read(run: &Path) -> Result<Answer, TableError> {
        Ok(Answer {
            manifest: read_json(&run.join(documents::MANIFEST.path))?,
            cells: read_cells(&TableReader::of(run, &tables::CELLS)?)?,
            periods: read_periods(&TableReader::of(run, &tables::FORCE_OF_INFECTION)?)?,
            positives: read_positives(&TableReader::of(run, &tables::POSITIVES)?)?,
            origins: read_origins(&TableReader::of(run, &tables::ORIGINS)?)?,
        })
    }

    /// End of the study: the day after `as_of`.
    pub(crate) fn end_day(&self) -> f64 {
        day_number(self.manifest.as_of) + 1.0
    }
}

fn forces_of_infection(t: &TableReader) -> Result<Vec<[f64; 6]>, TableError> {
    let columns = QUANTILES.map(|q| t.numbers(&format!("force_of_infection_{q}")));
    rows_of(columns)
}

fn rows_of(columns: [Result<Vec<f64>, TableError>; 6]) -> Result<Vec<[f64; 6]>, TableError> {
    let columns = columns.into_iter().collect::<Result<Vec<_>, _>>()?;
    Ok((0..columns[0].len()).map(|i| std::array::from_fn(|q| columns[q][i])).collect())
}

fn read_cells(t: &TableReader) -> Result<Vec<CellAnswer>, TableError> {
    let ids = t.texts("cell_id")?;
    let (east, north) = (t.numbers("easting")?, t.numbers("northing")?);
    let (mean, p_active) = (t.numbers("force_of_infection_mean")?, t.numbers("p_active")?);
    let quantiles = forces_of_infection(t)?;
    Ok(ids
        .into_iter()
        .enumerate()
        .map(|(i, id)| CellAnswer {
            id,
            centre: Coord { x: east[i], y: north[i] },
            hazard_mean: mean[i],
            quantiles: quantiles[i],
            p_active: p_active[i],
        })
        .collect())
}

fn read_periods(t: &TableReader) -> Result<Vec<PeriodAnswer>, TableError> {
    let ids = t.texts("cell_id")?;
    let starts = t.days("period_start")?;
    let quantiles = forces_of_infection(t)?;
    Ok(ids
        .into_iter()
        .enumerate()
        .map(|(i, cell_id)| PeriodAnswer { cell_id, start_day: starts[i], quantiles: quantiles[i] })
        .collect())
}

fn read_positives(t: &TableReader) -> Result<Vec<PositiveAnswer>, TableError> {
    let ids = t.texts("occurrence_id")?;
    let p_true = t.numbers("p_true")?;
    let columns = QUANTILES
        .iter()
        .map(|q| t.days_or_absent(&format!("infection_{q}")))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(ids
        .into_iter()
        .enumerate()
        .map(|(i, id)| {
            let days: Option<Vec<f64>> = columns.iter().map(|c| c[i]).collect();
            let window = days.map(|d| std::array::from_fn(|q| d[q]));
            PositiveAnswer { id, p_true: p_true[i], window }
        })
        .collect())
}

fn read_origins(t: &TableReader) -> Result<BTreeMap<String, Vec<OriginCell>>, TableError> {
    let (pigs, cells) = (t.texts("occurrence_id")?, t.texts("cell_id")?);
    let (east, north, prob) = (t.numbers("easting")?, t.numbers("northing")?, t.numbers("probability")?);
    let mut origins: BTreeMap<String, Vec<OriginCell>> = BTreeMap::new();
    for (i, (pig, cell)) in pigs.into_iter().zip(cells).enumerate() {
        origins.entry(pig).or_default().push((cell, Coord { x: east[i], y: north[i] }, prob[i]));
    }
    Ok(origins)
}
