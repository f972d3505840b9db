//! Two plain baselines on the same cells: raw prevalence, and kernel-smoothed prevalence.
//!
//! Neither knows ages, dates, ranges or detection; both see the kill place and the
//! reading (laboratory over gross inspection, a lesion not yet judged counts as positive). Each is
//! given two windows, the last 24 months and all data, so that neither is held back by
//! the choice. The smoother's bandwidth is the one of 1, 2, 3, 4 and 6 km with the best
//! leave-one-out Bernoulli likelihood; nothing is tuned on the truth.

use crate::contract::read_table::TableError;
use crate::geography::coordinates::projector::Projector;
use crate::records::{DAYS_PER_MONTH, day_number};
use crate::score::answer::Answer;
use crate::score::cells::on_land;
use crate::score::error::ScoreError;
use crate::score::read_truth::read_truth;
use crate::score::tally::auc;
use geo::Coord;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Bandwidths tried, metres.
const BANDWIDTHS_M: [f64; 5] = [1_000.0, 2_000.0, 3_000.0, 4_000.0, 6_000.0];
/// Weight of the overall prevalence in the smoother, pigs: it decides only where hardly a pig is near.
const OVERALL_WEIGHT: f64 = 0.1;
/// Months in the recent window.
const RECENT_MONTHS: f64 = 24.0;

/// Pigs a baseline sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BaselineWindow {
    /// Killed in the last 24 months.
    Recent,
    /// All.
    All,
}

/// How well a baseline ranks the cells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Baseline {
    /// What it is.
    pub name: String,
    /// Pigs it saw.
    pub window: BaselineWindow,
    /// Bandwidth chosen, metres; `None` for raw prevalence.
    pub bandwidth_m: Option<f64>,
    /// Area under the curve; `None` when not every class is there or no pig was in the window.
    pub auc: Option<f64>,
}

/// One pig as a baseline sees it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ExaminedPigs {
    pub(crate) place: Coord<f64>,
    pub(crate) day: f64,
    pub(crate) positive: bool,
}

/// Scores the baselines on cells with centres `centres` and side `cell_m`.
pub(crate) fn baselines(
    pigs: &[ExaminedPigs],
    centres: &[Coord<f64>],
    active: &[bool],
    cell_m: f64,
    end_day: f64,
) -> Vec<Baseline> {
    let mut all = Vec::new();
    for window in [BaselineWindow::Recent, BaselineWindow::All] {
        for (name, bandwidth_m, scores) in scores_of(pigs, centres, cell_m, end_day, window) {
            let auc = scores.and_then(|s| auc(active, &s));
            all.push(Baseline { name: name.into(), window, bandwidth_m, auc });
        }
    }
    all
}

/// What each baseline says of every cell on land of a run, in the order of
/// [`crate::score::cells::scored_cells`].
///
/// Both windows; a baseline that has nothing to go by (no pig, no positive) is left out.
///
/// # Errors
/// [`ScoreError`] when a file is missing or not of this study area.
pub fn plain_scores(run_folder: &Path, truth_folder: &Path) -> Result<Vec<(String, Vec<f64>)>, ScoreError> {
    let truth = read_truth(truth_folder)?;
    let answer = Answer::read(run_folder)?;
    let study = truth_folder.parent().unwrap_or(Path::new("."));
    let seen = read_seen(&study.join("pigs.csv"), &Projector::new(&truth.crs)?)?;
    let centres: Vec<Coord<f64>> = on_land(&truth, &answer)?.0.iter().map(|c| c.centre).collect();
    let mut all = Vec::new();
    for (window, words) in [(BaselineWindow::Recent, "last 24 months"), (BaselineWindow::All, "all years")] {
        for (name, _, scores) in scores_of(&seen, &centres, answer.manifest.cell_m, answer.end_day(), window)
        {
            all.extend(scores.map(|s| (format!("{name}, {words}"), s)));
        }
    }
    Ok(all)
}

/// Name, bandwidth and scores of a baseline.
type Said = (&'static str, Option<f64>, Option<Vec<f64>>);

/// What each baseline says in a window.
fn scores_of(
    pigs: &[ExaminedPigs],
    centres: &[Coord<f64>],
    cell_m: f64,
    end_day: f64,
    window: BaselineWindow,
) -> [Said; 2] {
    let seen = recent(pigs, window, end_day);
    let overall = prevalence(&seen);
    let raw = overall.map(|o| raw_prevalence(&seen, centres, cell_m, o));
    let best = overall.and_then(|o| best_bandwidth(&seen, o));
    let smooth =
        overall.zip(best).map(|(o, h)| centres.iter().map(|c| smoothed(&seen, *c, h, o, None)).collect());
    [("prevalence per cell", None, raw), ("kernel-smoothed prevalence", best, smooth)]
}

/// The pigs of a window.
pub(crate) fn recent(pigs: &[ExaminedPigs], window: BaselineWindow, end_day: f64) -> Vec<ExaminedPigs> {
    let from = match window {
        BaselineWindow::Recent => end_day - RECENT_MONTHS * DAYS_PER_MONTH,
        BaselineWindow::All => f64::NEG_INFINITY,
    };
    pigs.iter().filter(|p| p.day >= from).copied().collect()
}

pub(crate) fn prevalence(pigs: &[ExaminedPigs]) -> Option<f64> {
    (!pigs.is_empty()).then(|| pigs.iter().filter(|p| p.positive).count() as f64 / pigs.len() as f64)
}

fn raw_prevalence(pigs: &[ExaminedPigs], centres: &[Coord<f64>], cell_m: f64, overall: f64) -> Vec<f64> {
    let inside = |p: &ExaminedPigs, c: &Coord<f64>| {
        let (dx, dy) = (p.place.x - c.x, p.place.y - c.y);
        (-0.5 * cell_m..0.5 * cell_m).contains(&dx) && (-0.5 * cell_m..0.5 * cell_m).contains(&dy)
    };
    centres
        .iter()
        .map(|c| {
            let here: Vec<ExaminedPigs> = pigs.iter().filter(|p| inside(p, c)).copied().collect();
            prevalence(&here).unwrap_or(overall)
        })
        .collect()
}

/// Σ K y / Σ K with a Gaussian kernel, drawn a little towards the overall prevalence.
pub(crate) fn smoothed(
    pigs: &[ExaminedPigs],
    at: Coord<f64>,
    bandwidth_m: f64,
    overall: f64,
    leave_out: Option<usize>,
) -> f64 {
    let (mut above, mut below) = (OVERALL_WEIGHT * overall, OVERALL_WEIGHT);
    for (i, p) in pigs.iter().enumerate() {
        if leave_out == Some(i) {
            continue;
        }
        let d2 = (p.place.x - at.x).powi(2) + (p.place.y - at.y).powi(2);
        let k = (-0.5 * d2 / (bandwidth_m * bandwidth_m)).exp();
        below += k;
        if p.positive {
            above += k;
        }
    }
    above / below
}

/// `None` without a positive: every bandwidth then says the same.
pub(crate) fn best_bandwidth(pigs: &[ExaminedPigs], overall: f64) -> Option<f64> {
    if overall <= 0.0 {
        return None;
    }
    let log_likelihood = |h: f64| -> f64 {
        (0..pigs.len())
            .map(|i| {
                let p = smoothed(pigs, pigs[i].place, h, overall, Some(i)).clamp(1e-9, 1.0 - 1e-9);
                if pigs[i].positive { p.ln() } else { (1.0 - p).ln() }
            })
            .sum()
    };
    BANDWIDTHS_M.iter().map(|&h| (h, log_likelihood(h))).max_by(|a, b| a.1.total_cmp(&b.1)).map(|b| b.0)
}

/// Reads what the baselines see from the simulated `pigs.csv`.
pub(crate) fn read_seen(path: &Path, projector: &Projector) -> Result<Vec<ExaminedPigs>, ScoreError> {
    let shown = path.display().to_string();
    let unreadable = |e: csv::Error| TableError::Unreadable { path: shown.clone(), reason: e.to_string() };
    let mut reader = csv::Reader::from_path(path).map_err(unreadable)?;
    let column_names = reader.headers().map_err(unreadable)?.clone();
    let column = |name: &str| {
        column_names.iter().position(|h| h == name).ok_or_else(|| TableError::BadColumn {
            path: shown.clone(),
            column: name.into(),
            found: "it is missing".into(),
            expected: "the column the simulator writes",
        })
    };
    let (date, lat, lon) = (column("eventDate")?, column("decimalLatitude")?, column("decimalLongitude")?);
    let (lesion, lab) = (column("grossLesion")?, column("labResult")?);
    let mut degrees = Vec::new();
    let mut rest = Vec::new();
    for (i, record) in reader.records().enumerate() {
        let record = record.map_err(unreadable)?;
        let field = |k: usize| record.get(k).unwrap_or_default();
        let bad = |column: &'static str, k: usize, expected: &'static str| ScoreError::Pigs {
            path: shown.clone(),
            row: i + 2,
            column,
            value: field(k).chars().take(40).collect(),
            expected,
        };
        let number = |column, k| field(k).parse::<f64>().map_err(|_| bad(column, k, "a number of degrees"));
        let day: jiff::civil::Date =
            field(date).parse().map_err(|_| bad("eventDate", date, "an ISO 8601 date"))?;
        degrees.push(Coord { x: number("decimalLongitude", lon)?, y: number("decimalLatitude", lat)? });
        let positive = field(lab) == "positive" || (field(lesion) == "yes" && field(lab) != "negative");
        rest.push((day_number(day), positive));
    }
    let places = projector.from_wgs84(&degrees)?;
    Ok(places
        .into_iter()
        .zip(rest)
        .map(|(place, (day, positive))| ExaminedPigs { place, day, positive })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pig(x: f64, positive: bool) -> ExaminedPigs {
        ExaminedPigs { place: Coord { x, y: 0.0 }, day: 0.0, positive }
    }

    #[test]
    fn raw_prevalence_counts_by_cell_and_falls_back_to_the_whole() {
        let pigs = [pig(0.0, true), pig(100.0, false), pig(2_000.0, false), pig(2_100.0, false)];
        let centres = [Coord { x: 0.0, y: 0.0 }, Coord { x: 2_000.0, y: 0.0 }, Coord { x: 9_000.0, y: 0.0 }];
        assert_eq!(raw_prevalence(&pigs, &centres, 1_000.0, 0.25), [0.5, 0.0, 0.25]);
    }

    /// A tight cluster asks for a narrow kernel, positives everywhere for a wide one.
    #[test]
    fn bandwidth_follows_the_data() {
        let near = |i: i32| f64::from(i) * 250.0;
        let cluster: Vec<ExaminedPigs> = (0..80).map(|i| pig(near(i), (30..36).contains(&i))).collect();
        assert_eq!(best_bandwidth(&cluster, 6.0 / 80.0), Some(1_000.0));
        let even: Vec<ExaminedPigs> = (0..80).map(|i| pig(near(i), i % 8 == 0)).collect();
        assert_eq!(best_bandwidth(&even, 10.0 / 80.0), Some(6_000.0));
    }
}
