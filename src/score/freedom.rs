//! Whether stated probabilities of freedom were right: zone-years of a run against the truth.
//!
//! # What counts as truth
//! A zone-year is truly free when the mean true resident hazard of that year (range s.d. and threshold of
//! the run) lies under the threshold in every cell whose centre is in the zone. Beside it stands the laxer
//! truth of surveillance: no patch about such a cell has a mean hazard at or over the design hazard.

use crate::contract::layers::ZONES;
use crate::contract::read_table::{TableError, read_json, unreadable};
use crate::geography::coordinates::projector::Projector;
use crate::records::day_number;
use crate::score::answer::Answer;
use crate::score::error::ScoreError;
use crate::simulate::truth::Truth;
use geo::{Contains, Coord, LineString, MultiPolygon, Point, Polygon};
use geojson::{FeatureCollection, GeometryValue, PolygonType};
use jiff::civil::date;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Edges of the bins: 0.8 to 0.95 is the band in which a stated probability is asked to be right.
pub(crate) const FREEDOM_EDGES: [f64; 8] = [0.0, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99, 1.0];

/// Zone-years stated in one band.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct FreedomBin {
    /// Lower edge, included.
    pub from: f64,
    /// Upper edge, excluded (included in the last bin).
    pub to: f64,
    /// Zone-years in it.
    pub zone_years: u64,
    /// Sum of their probabilities.
    pub prob_sum: f64,
    /// How many of them were truly free: hazard under the threshold everywhere.
    pub free: u64,
    /// How many held no design focus.
    pub without_design_focus: u64,
}

impl FreedomBin {
    /// Mean probability stated; `None` for an empty bin.
    pub fn mean_prob(&self) -> Option<f64> {
        (self.zone_years > 0).then(|| self.prob_sum / self.zone_years as f64)
    }
    /// Share truly free; `None` for an empty bin.
    pub fn free_share(&self) -> Option<f64> {
        (self.zone_years > 0).then(|| self.free as f64 / self.zone_years as f64)
    }
    /// Share without a design focus; `None` for an empty bin.
    pub fn without_share(&self) -> Option<f64> {
        (self.zone_years > 0).then(|| self.without_design_focus as f64 / self.zone_years as f64)
    }
    /// Adds the counts of another study area.
    pub fn merge(&mut self, other: &FreedomBin) {
        self.zone_years += other.zone_years;
        self.prob_sum += other.prob_sum;
        self.free += other.free;
        self.without_design_focus += other.without_design_focus;
    }
}

/// Zone-years by stated probability.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FreedomScore {
    /// By P(free).
    pub p_free: Vec<FreedomBin>,
    /// By the model's own probability of a hazard under the threshold everywhere.
    pub p_under_threshold: Vec<FreedomBin>,
}

/// One stated probability and what was so.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stated {
    prob: f64,
    free: bool,
    without_design_focus: bool,
}

fn bins(stated: &[Stated]) -> Vec<FreedomBin> {
    let edges = FREEDOM_EDGES.windows(2);
    let mut bins: Vec<FreedomBin> =
        edges.map(|e| FreedomBin { from: e[0], to: e[1], ..FreedomBin::default() }).collect();
    for s in stated {
        let k = FREEDOM_EDGES[1..FREEDOM_EDGES.len() - 1].partition_point(|e| *e <= s.prob);
        bins[k].zone_years += 1;
        bins[k].prob_sum += s.prob;
        bins[k].free += u64::from(s.free);
        bins[k].without_design_focus += u64::from(s.without_design_focus);
    }
    bins
}

/// Scores the years of `zones.geojson` that lie within the records; empty counts for a run without it.
///
/// # Errors
/// [`ScoreError`] when the layer cannot be read or placed.
pub(crate) fn score_freedom(run: &Path, truth: &Truth, answer: &Answer) -> Result<FreedomScore, ScoreError> {
    let path = run.join(ZONES.path);
    let (mut p_free, mut under) = (Vec::new(), Vec::new());
    if path.exists() {
        let layer: FeatureCollection = read_json(&path)?;
        let projector = Projector::new(&truth.crs)?;
        for feature in &layer.features {
            let boundary = boundary(feature, &projector, &path)?;
            let years = feature.property("history").and_then(|h| h.as_array()).into_iter().flatten();
            for row in years {
                let Some(year) = row["year"].as_i64().and_then(|y| i16::try_from(y).ok()) else { continue };
                let from = day_number(date(year, 1, 1));
                let to = day_number(date(year + 1, 1, 1)).min(answer.end_day());
                if from < day_number(truth.first_day) || to <= from {
                    continue;
                }
                let (free, without_design_focus) = truly(truth, answer, &boundary, from, to);
                let take = |name: &str, list: &mut Vec<Stated>| {
                    list.extend(row[name].as_f64().map(|prob| Stated { prob, free, without_design_focus }));
                };
                take("p_free", &mut p_free);
                take("p_under_threshold", &mut under);
            }
        }
    }
    Ok(FreedomScore { p_free: bins(&p_free), p_under_threshold: bins(&under) })
}

/// Whether the hazard lay under the threshold everywhere, and whether no design focus was there.
pub(crate) fn truly(
    truth: &Truth,
    answer: &Answer,
    boundary: &MultiPolygon<f64>,
    from: f64,
    to: f64,
) -> (bool, bool) {
    let keys = &answer.manifest.parameters;
    let courses: Vec<f64> = truth.foci.iter().map(|f| f.mean_course(from, to)).collect();
    let mean = |centre: Coord<f64>, side: f64, sigma: f64| -> f64 {
        let (west, south) = (centre.x - 0.5 * side, centre.y - 0.5 * side);
        truth
            .foci
            .iter()
            .zip(&courses)
            .map(|(f, c)| c * f.square_mean_at_peak(west, south, side, sigma))
            .sum()
    };
    let (mut free, mut without) = (true, true);
    for cell in answer.cells.iter().filter(|c| boundary.contains(&Point(c.centre))) {
        free &= mean(cell.centre, answer.manifest.cell_m, keys.home_range.resident_sigma_m)
            <= keys.recent.force_of_infection_threshold;
        without &= mean(cell.centre, keys.coverage.patch_m, 0.0) < keys.coverage.design_force_of_infection;
    }
    (free, without)
}

/// A property that a feature of a layer lacks.
pub(crate) fn missing(path: &Path, property: &str, expected: &'static str) -> TableError {
    TableError::BadColumn {
        path: path.display().to_string(),
        column: property.into(),
        found: "it is missing in a feature".into(),
        expected,
    }
}

/// A feature's polygons in the truth's system.
pub(crate) fn boundary(
    feature: &geojson::Feature,
    projector: &Projector,
    path: &Path,
) -> Result<MultiPolygon<f64>, ScoreError> {
    let parts: Vec<&PolygonType> = match feature.geometry.as_ref().map(|g| &g.value) {
        Some(GeometryValue::Polygon { coordinates }) => vec![coordinates],
        Some(GeometryValue::MultiPolygon { coordinates }) => coordinates.iter().collect(),
        _ => return Err(unreadable(path, "a feature is not a polygon").into()),
    };
    let ring = |line: &Vec<geojson::Position>| -> Result<LineString<f64>, ScoreError> {
        let places: Vec<Coord<f64>> = line
            .iter()
            .filter_map(|p| match p.as_slice() {
                [x, y, ..] => Some(Coord { x: *x, y: *y }),
                _ => None,
            })
            .collect();
        Ok(LineString(projector.from_wgs84(&places)?))
    };
    let mut out = Vec::new();
    for part in parts {
        let mut rings = part.iter().map(ring).collect::<Result<Vec<_>, _>>()?.into_iter();
        let Some(outer) = rings.next() else { continue };
        out.push(Polygon::new(outer, rings.collect()));
    }
    Ok(MultiPolygon(out))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_zone_year_falls_in_one_bin() {
        let stated: Vec<Stated> = [0.0, 0.05, 0.8, 0.9499, 0.95, 1.0]
            .map(|prob| Stated { prob, free: prob > 0.8, without_design_focus: true })
            .to_vec();
        let b = bins(&stated);
        assert_eq!(b.iter().map(|b| b.zone_years).collect::<Vec<_>>(), [1, 1, 0, 0, 2, 1, 1]);
        assert_eq!(b[4].free_share(), Some(0.5));
        assert_eq!((b[4].without_share(), b[2].mean_prob()), (Some(1.0), None));
    }
}
