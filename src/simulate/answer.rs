//! Reads what a run answered, as far as it is scored.

use super::tables::{Table, TableError, read_json};
use crate::record::day_number;
use geo::Coord;
use jiff::civil::Date;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Suffixes of the six quantiles that bound the scored intervals.
const QUANTILES: [&str; 6] = ["q025", "q05", "q25", "q75", "q95", "q975"];

/// The part of `manifest.json` that scoring needs.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Manifest {
    pub(super) as_of: Date,
    pub(super) cell_m: f64,
    pub(super) parameters: Parameters,
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct Parameters {
    pub(super) recent: RecentKeys,
    pub(super) home_range: RangeKeys,
    #[serde(default)]
    pub(super) coverage: CoverageKeys,
}

/// The design focus; a manifest that does not say has the study's defaults.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct CoverageKeys {
    pub(super) design_hazard: f64,
    pub(super) patch_m: f64,
}

impl Default for CoverageKeys {
    fn default() -> CoverageKeys {
        CoverageKeys { design_hazard: 0.2, patch_m: 3000.0 }
    }
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct RecentKeys {
    pub(super) months: f64,
    pub(super) hazard_threshold: f64,
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct RangeKeys {
    pub(super) resident_sigma_m: f64,
}

/// One cell of the answer.
#[derive(Debug, Clone)]
pub(super) struct CellAnswer {
    pub(super) id: String,
    pub(super) centre: Coord<f64>,
    pub(super) hazard_mean: f64,
    pub(super) quantiles: [f64; 6],
    pub(super) p_active: f64,
}

/// One cell and period of the answer.
#[derive(Debug, Clone)]
pub(super) struct PeriodAnswer {
    pub(super) cell_id: String,
    pub(super) start_day: f64,
    pub(super) quantiles: [f64; 6],
}

/// One positive or suspect of the answer.
#[derive(Debug, Clone)]
pub(super) struct PositiveAnswer {
    pub(super) id: String,
    pub(super) p_true: f64,
    /// Day numbers; `None` when the run could not place it in time.
    pub(super) window: Option<[f64; 6]>,
}

/// A cell and its probability of being the place of infection.
pub(super) type OriginCell = (String, Coord<f64>, f64);

/// A run folder, read.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub(super) manifest: Manifest,
    pub(super) cells: Vec<CellAnswer>,
    pub(super) periods: Vec<PeriodAnswer>,
    pub(super) positives: Vec<PositiveAnswer>,
    pub(super) origins: BTreeMap<String, Vec<OriginCell>>,
}

impl Answer {
    pub(super) fn read(run: &Path) -> Result<Answer, TableError> {
        let tables = run.join("tables");
        Ok(Answer {
            manifest: read_json(&run.join("manifest.json"))?,
            cells: read_cells(&tables.join("cells.parquet"))?,
            periods: read_periods(&tables.join("hazard.parquet"))?,
            positives: read_positives(&tables.join("positives.parquet"))?,
            origins: read_origins(&tables.join("origins.parquet"))?,
        })
    }

    /// End of the study: the day after `as_of`.
    pub(super) fn end_day(&self) -> f64 {
        day_number(self.manifest.as_of) + 1.0
    }
}

fn hazards(t: &Table) -> Result<Vec<[f64; 6]>, TableError> {
    let columns = QUANTILES.map(|q| t.floats(&format!("hazard_{q}")));
    rows_of(columns)
}

fn rows_of(columns: [Result<Vec<f64>, TableError>; 6]) -> Result<Vec<[f64; 6]>, TableError> {
    let columns = columns.into_iter().collect::<Result<Vec<_>, _>>()?;
    Ok((0..columns[0].len()).map(|i| std::array::from_fn(|q| columns[q][i])).collect())
}

fn read_cells(path: &Path) -> Result<Vec<CellAnswer>, TableError> {
    let t = Table::open(path)?;
    let ids = t.strings("cell_id")?;
    let (east, north) = (t.floats("easting")?, t.floats("northing")?);
    let (mean, p_active) = (t.floats("hazard_mean")?, t.floats("p_active")?);
    let quantiles = hazards(&t)?;
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

fn read_periods(path: &Path) -> Result<Vec<PeriodAnswer>, TableError> {
    let t = Table::open(path)?;
    let ids = t.strings("cell_id")?;
    let starts = t.days("period_start")?;
    let quantiles = hazards(&t)?;
    Ok(ids
        .into_iter()
        .enumerate()
        .map(|(i, cell_id)| PeriodAnswer { cell_id, start_day: starts[i], quantiles: quantiles[i] })
        .collect())
}

fn read_positives(path: &Path) -> Result<Vec<PositiveAnswer>, TableError> {
    let t = Table::open(path)?;
    let ids = t.strings("occurrence_id")?;
    let p_true = t.floats("p_true")?;
    let columns = QUANTILES.iter().map(|q| t.days_or_null(&format!("infection_{q}"))).collect::<Result<Vec<_>, _>>()?;
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

fn read_origins(path: &Path) -> Result<BTreeMap<String, Vec<OriginCell>>, TableError> {
    let t = Table::open(path)?;
    let (pigs, cells) = (t.strings("occurrence_id")?, t.strings("cell_id")?);
    let (east, north, prob) = (t.floats("easting")?, t.floats("northing")?, t.floats("probability")?);
    let mut origins: BTreeMap<String, Vec<OriginCell>> = BTreeMap::new();
    for (i, (pig, cell)) in pigs.into_iter().zip(cells).enumerate() {
        origins.entry(pig).or_default().push((cell, Coord { x: east[i], y: north[i] }, prob[i]));
    }
    Ok(origins)
}
