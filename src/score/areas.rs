//! Whether the stated chance that an area is active was right: areas of a run against the truth.
//!
//! An area is truly active when the true resident hazard, mean of the run's recent months, exceeds
//! the run's threshold in some cell whose centre lies in it. The run itself counts the cells that
//! lie in the area by half or more.

use crate::contract::layers::ZONES;
use crate::contract::read_table::read_json;
use crate::geography::coordinates::projector::Projector;
use crate::records::{DAYS_PER_MONTH, day_number};
use crate::score::answer::Answer;
use crate::score::error::ScoreError;
use crate::score::freedom::{boundary, missing, truly};
use crate::score::read_truth::read_truth;
use crate::simulate::truth::Truth;
use geojson::FeatureCollection;
use jiff::civil::date;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Edges of the bins: areas are few, so that bins are wide.
pub(crate) const AREA_EDGES: [f64; 6] = [0.0, 0.05, 0.2, 0.5, 0.8, 1.0];

/// What was stated of one area, and what was so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AreaStated {
    /// Area.
    pub zone_id: String,
    /// Stated probability that some cell of it is active.
    pub p_active_any: f64,
    /// Whether some cell was.
    pub active: bool,
}

/// What was so in one area.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AreaTruth {
    /// Area.
    pub zone_id: String,
    /// Whether some cell was active in the recent months.
    pub active: bool,
    /// Whether a design focus lay in it in the recent months.
    pub design_focus: bool,
    /// Whether some cell was active in some calendar year from ten before the first record on.
    pub ever_active: bool,
}

/// The truth of every area of a run.
///
/// # Errors
/// [`ScoreError`] when a file of the run or of the truth cannot be read.
pub fn area_truths(run: &Path, truth_folder: &Path) -> Result<Vec<AreaTruth>, ScoreError> {
    let truth: Truth = read_truth(truth_folder)?;
    let answer = Answer::read(run)?;
    let path = run.join(ZONES.path);
    let layer: FeatureCollection = read_json(&path)?;
    let projector = Projector::new(&truth.crs)?;
    let end = answer.end_day();
    let from = end - answer.manifest.parameters.recent.months * DAYS_PER_MONTH;
    let first = truth.first_day.year() - 10;
    let one = |feature: &geojson::Feature| {
        let id = feature.property("zone_id").and_then(|v| v.as_str());
        let boundary = boundary(feature, &projector, &path)?;
        let (free, without_focus) = truly(&truth, &answer, &boundary, from, end);
        let ever_active = (first..=answer.manifest.as_of.year()).any(|year| {
            let (a, b) = (day_number(date(year, 1, 1)), day_number(date(year + 1, 1, 1)).min(end));
            b > a && !truly(&truth, &answer, &boundary, a, b).0
        });
        Ok(AreaTruth {
            zone_id: id.ok_or_else(|| missing(&path, "zone_id", "the id of the area"))?.into(),
            active: !free,
            design_focus: !without_focus,
            ever_active,
        })
    };
    layer.features.iter().map(one).collect()
}

/// Areas stated in one band.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct AreaBin {
    /// Lower edge, included.
    pub from: f64,
    /// Upper edge, excluded (included in the last bin).
    pub to: f64,
    /// Areas in it.
    pub areas: u64,
    /// Sum of their probabilities.
    pub prob_sum: f64,
    /// How many of them were truly active.
    pub active: u64,
}

impl AreaBin {
    /// Mean probability stated; `None` for an empty bin.
    pub fn mean_prob(&self) -> Option<f64> {
        (self.areas > 0).then(|| self.prob_sum / self.areas as f64)
    }
    /// Share truly active; `None` for an empty bin.
    pub fn active_share(&self) -> Option<f64> {
        (self.areas > 0).then(|| self.active as f64 / self.areas as f64)
    }
}

/// Sorts areas into the bins of [`AREA_EDGES`].
///
/// ```
/// use pignut::internals::score::areas::{AreaStated, area_bins};
/// let area = |p, active| AreaStated { zone_id: "A1".into(), p_active_any: p, active };
/// let bins = area_bins(&[area(0.9, true), area(0.8, false), area(0.1, false)]);
/// assert_eq!((bins[4].areas, bins[4].active_share()), (2, Some(0.5)));
/// assert_eq!((bins[1].areas, bins[1].mean_prob()), (1, Some(0.1)));
/// ```
pub fn area_bins(areas: &[AreaStated]) -> Vec<AreaBin> {
    let mut bins: Vec<AreaBin> =
        AREA_EDGES.windows(2).map(|e| AreaBin { from: e[0], to: e[1], ..AreaBin::default() }).collect();
    for a in areas {
        let k = AREA_EDGES[1..AREA_EDGES.len() - 1].partition_point(|e| *e <= a.p_active_any);
        bins[k].areas += 1;
        bins[k].prob_sum += a.p_active_any;
        bins[k].active += u64::from(a.active);
    }
    bins
}

/// Scores the areas of `zones.geojson`; none for a run without it.
///
/// # Errors
/// [`ScoreError`] when the layer cannot be read or placed, or an area has no id or no `p_active_any`.
pub(crate) fn score_areas(run: &Path, truth: &Truth, answer: &Answer) -> Result<Vec<AreaStated>, ScoreError> {
    let path = run.join(ZONES.path);
    if !path.exists() {
        return Ok(Vec::new());
    }
    let layer: FeatureCollection = read_json(&path)?;
    let projector = Projector::new(&truth.crs)?;
    let end = answer.end_day();
    let from = end - answer.manifest.parameters.recent.months * DAYS_PER_MONTH;
    layer
        .features
        .iter()
        .map(|feature| {
            let id = feature.property("zone_id").and_then(|v| v.as_str());
            let stated = feature.property("p_active_any").and_then(|v| v.as_f64());
            let boundary = boundary(feature, &projector, &path)?;
            Ok(AreaStated {
                zone_id: id.ok_or_else(|| missing(&path, "zone_id", "the id of the area"))?.into(),
                p_active_any: stated.ok_or_else(|| missing(&path, "p_active_any", "a probability"))?,
                active: !truly(truth, answer, &boundary, from, end).0,
            })
        })
        .collect()
}
