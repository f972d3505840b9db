//! The truth folder: `truth.json` (foci and what operations did) and `pigs.parquet`.

use crate::records::day_number;
use crate::simulate::error::WriteError;
use crate::simulate::force_of_infection::{Cause, Focus};
use crate::simulate::scenario::Scenario;
use crate::simulate::study_area::StudyArea;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use jiff::civil::Date;
use polars::prelude::{Column, DataFrame, DataType, ParquetWriter};
use serde::{Deserialize, Serialize};
use std::path::Path;

/// File of foci and operations.
pub(crate) const TRUTH_FILE: &str = "truth.json";
/// Table of pigs.
pub(crate) const PIGS_FILE: &str = "pigs.parquet";

/// What the study does not know.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// Name of the study area.
    pub study_area: String,
    /// What was simulated.
    pub scenario: Scenario,
    /// Projected system of all coordinates.
    pub crs: String,
    /// First day of the records.
    pub first_day: Date,
    /// Last day of the records.
    pub as_of: Date,
    /// Infected foci; [`crate::simulate::force_of_infection::hazard_per_year`] gives λ from them.
    pub foci: Vec<Focus>,
    /// Operations and what they truly did.
    pub operations: Vec<TrueOperation>,
    /// The land: polygons of rings of `[easting, northing]`, outer ring first, metres.
    pub land: Vec<Vec<Vec<[f64; 2]>>>,
}

/// An operation and what it truly did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueOperation {
    /// Block treated.
    pub block_id: String,
    /// Host aimed at.
    pub host: String,
    /// First day.
    pub start_date: Date,
    /// Last day.
    pub end_date: Date,
    /// Foci it took.
    pub foci: Vec<String>,
    /// Share of each focus's hazard that it left in the end, in the same order.
    pub remaining_shares: Vec<f64>,
}

impl Truth {
    /// The truth of a study area.
    pub fn of(d: &StudyArea) -> Truth {
        Truth {
            study_area: d.name.clone(),
            scenario: d.scenario.clone(),
            crs: d.crs.into(),
            first_day: d.first_day,
            as_of: d.as_of,
            foci: d.foci.clone(),
            operations: d
                .operations
                .iter()
                .map(|o| {
                    let id = &d.blocks[o.block].id;
                    let taken: Vec<(&Focus, f64)> = d
                        .foci
                        .iter()
                        .filter_map(|f| f.decline.as_ref().map(|x| (f, x)))
                        .filter(|(_, x)| {
                            x.cause == Cause::Operation { block_id: id.clone() }
                                && x.start_day == day_number(o.start)
                        })
                        .map(|(f, x)| (f, x.remaining_share))
                        .collect();
                    TrueOperation {
                        block_id: id.clone(),
                        host: o.host.word().into(),
                        start_date: o.start,
                        end_date: o.end,
                        foci: taken.iter().map(|t| t.0.id.clone()).collect(),
                        remaining_shares: taken.iter().map(|t| t.1).collect(),
                    }
                })
                .collect(),
            land: d.land.0.iter().map(rings).collect(),
        }
    }

    /// Boundary of the land.
    pub fn land_boundary(&self) -> MultiPolygon<f64> {
        let line =
            |ring: &Vec<[f64; 2]>| LineString::new(ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
        MultiPolygon(
            self.land
                .iter()
                .filter(|rings| !rings.is_empty())
                .map(|rings| Polygon::new(line(&rings[0]), rings[1..].iter().map(line).collect()))
                .collect(),
        )
    }
}

fn rings(p: &Polygon<f64>) -> Vec<Vec<[f64; 2]>> {
    std::iter::once(p.exterior())
        .chain(p.interiors())
        .map(|ring| ring.0.iter().map(|c| [c.x, c.y]).collect())
        .collect()
}

/// Writes the truth folder.
pub(crate) fn write_truth(d: &StudyArea, folder: &Path) -> Result<(), WriteError> {
    let json = folder.join(TRUTH_FILE);
    let mut text = serde_json::to_string_pretty(&Truth::of(d)).map_err(|e| WriteError::at(&json, &e))?;
    text.push('\n');
    std::fs::write(&json, text).map_err(|e| WriteError::at(&json, &e))?;

    let path = folder.join(PIGS_FILE);
    let mut frame = pig_table(d).map_err(|e| WriteError::at(&path, &e))?;
    let file = std::fs::File::create(&path).map_err(|e| WriteError::at(&path, &e))?;
    ParquetWriter::new(file).finish(&mut frame).map_err(|e| WriteError::at(&path, &e))?;
    Ok(())
}

fn pig_table(d: &StudyArea) -> Result<DataFrame, polars::prelude::PolarsError> {
    let centimetres = |v: f64| (v * 100.0).round() / 100.0;
    let pick = |f: &dyn Fn(&crate::simulate::herd::Infection) -> f64| -> Vec<Option<f64>> {
        d.pigs.iter().map(|p| p.truth.infection.as_ref().map(|i| centimetres(f(i)))).collect()
    };
    let dates: Vec<Option<i32>> =
        d.pigs.iter().map(|p| p.truth.infection.map(|i| i.day.floor() as i32)).collect();
    let ids: Vec<&str> = d.pigs.iter().map(|p| p.occurrence_id.as_str()).collect();
    DataFrame::new(
        d.pigs.len(),
        vec![
            Column::new("occurrence_id".into(), ids),
            Column::new(
                "infected".into(),
                d.pigs.iter().map(|p| p.truth.infection.is_some()).collect::<Vec<bool>>(),
            ),
            Column::new("infection_date".into(), dates).cast(&DataType::Date)?,
            Column::new("infection_easting".into(), pick(&|i| i.easting_m)),
            Column::new("infection_northing".into(), pick(&|i| i.northing_m)),
            Column::new(
                "true_age_months".into(),
                d.pigs.iter().map(|p| (p.truth.age_months * 1000.0).round() / 1000.0).collect::<Vec<f64>>(),
            ),
            Column::new(
                "look_alike".into(),
                d.pigs.iter().map(|p| p.truth.other_cause).collect::<Vec<bool>>(),
            ),
        ],
    )
}
