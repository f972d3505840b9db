//! Reads what a run answered, as far as it is scored.

use crate::records::day_number;
use crate::score::read_tables::{Table, TableError, read_json};
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
    pub(crate) fn end_day(&self) -> f64 {
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
    let columns =
        QUANTILES.iter().map(|q| t.days_or_null(&format!("infection_{q}"))).collect::<Result<Vec<_>, _>>()?;
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
