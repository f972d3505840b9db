//! Scores the answer of a run against the truth of a simulated study area.
//!
//! # What counts as truth
//! - Cells scored: those whose centre lies on the study area's land; the margin about it,
//!   where no pig can live, is left out.
//! - True resident hazard of a cell: mean of λ over the recent months, met by a pig whose
//!   range (s.d. `resident_sigma_m`) is centred anywhere in the cell: exact, since foci
//!   are Gaussian in place ([`crate::simulate::force_of_infection::square_mean_per_year`]). λ is not cut at
//!   the coast.
//! - A cell is truly active when that hazard exceeds the run's threshold.
//! - Per cell and period: the plain mean of λ over the cell and the period, for periods
//!   that begin with or after the records.
//!
//! What counts for pigs stands in `score_pigs`.

pub(crate) mod answer;
pub(crate) mod areas;
pub(crate) mod baselines;
pub(crate) mod cells;
pub(crate) mod control;
pub(crate) mod error;
pub(crate) mod foci;
pub(crate) mod freedom;
pub(crate) mod pigs;
pub(crate) mod pool;
pub(crate) mod power;
pub(crate) mod read_truth;
pub(crate) mod tally;
pub(crate) mod text;

use crate::geography::coordinates::projector::Projector;
use crate::records::{DAYS_PER_MONTH, day_number};
use crate::score::answer::Answer;
use crate::score::areas::{AreaStated, score_areas};
use crate::score::baselines::{Baseline, ExaminedPigs, baselines, read_seen};
use crate::score::cells::on_land;
use crate::score::control::{Control, control};
use crate::score::error::ScoreError;
use crate::score::foci::{FocusFound, score_foci};
use crate::score::freedom::{FreedomScore, score_freedom};
use crate::score::pigs::{OriginLevel, Positives, WindowClass, score_positives};
use crate::score::read_truth::{TruthPig, read_pigs, read_truth};
use crate::score::tally::{IntervalCoverage, ReliabilityBin, auc, reliability};
use crate::simulate::truth::Truth;
use geo::Coord;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// True hazard above which coverage is also counted apart, per pig-year.
const RAISED_PER_YEAR: f64 = 0.02;

/// Checks that a truth folder can be read and is that of a study, before a long run rests on it.
///
/// `crs` is the study's system, `ids` the specimen numbers of its pigs.
///
/// # Errors
/// [`ScoreError`]: a file is missing or broken, the system differs, or a pig is not in the truth.
pub(crate) fn check_truth<'a>(
    truth_folder: &Path,
    crs: &str,
    ids: impl IntoIterator<Item = &'a str>,
) -> Result<(), ScoreError> {
    let truth = read_truth(truth_folder)?;
    if truth.crs != crs {
        return Err(ScoreError::OtherSystem {
            path: truth_folder.display().to_string(),
            study_area: truth.study_area,
            theirs: truth.crs,
            ours: crs.into(),
        });
    }
    let pigs = read_pigs(truth_folder)?;
    let known: BTreeSet<&str> = pigs.iter().map(|p| p.occurrence_id.as_str()).collect();
    if let Some(id) = ids.into_iter().find(|id| !known.contains(id)) {
        return Err(ScoreError::UnknownPig { id: id.into() });
    }
    // The baselines in a score are computed from the simulated study's own records.
    let study = truth_folder.parent().unwrap_or(Path::new("."));
    read_seen(&study.join("pigs.csv"), &Projector::new(&truth.crs)?)?;
    Ok(())
}

/// How good one answer is: counts and sums, so that study areas can be pooled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// Study area.
    pub study_area: String,
    /// Seed of the scenario.
    pub seed: u64,
    /// Whether wildlife was infected there at all.
    pub disease: bool,
    /// Threshold of an active cell, per pig-year.
    pub threshold_per_year: f64,
    /// Cells scored.
    pub cells: u64,
    /// Of them truly active.
    pub active_cells: u64,
    /// Area under the curve of p_active; `None` unless both classes occur.
    pub auc: Option<f64>,
    /// Sum over cells of the squared distance of p_active from the truth.
    pub brier_sum: f64,
    /// The same of a constant: the study area's own true share.
    pub constant_brier_sum: f64,
    /// Sum of p_active.
    pub p_active_sum: f64,
    /// Stated probability against observed share.
    pub reliability: Vec<ReliabilityBin>,
    /// Intervals of the resident hazard, all cells.
    pub resident_hazard: IntervalCoverage,
    /// The same where the truth exceeds 0.02 per pig-year.
    pub resident_hazard_raised: IntervalCoverage,
    /// Intervals of the hazard by cell and period.
    pub period_hazard: IntervalCoverage,
    /// The same where the truth exceeds 0.02 per pig-year.
    pub period_hazard_raised: IntervalCoverage,
    /// Truly active cells: sums of estimated mean and true resident hazard, per pig-year.
    pub hot: HotCells,
    /// Positives and suspects.
    pub positives: Positives,
    /// Infection windows, all ages first, then by true age.
    pub windows: Vec<WindowClass>,
    /// Origin areas at 50 and 90 %.
    pub origins: Vec<OriginLevel>,
    /// Plain baselines on the same cells.
    pub baselines: Vec<Baseline>,
    /// Zone-years by stated probability of freedom.
    #[serde(default)]
    pub freedom: FreedomScore,
    /// Areas: stated chance that some cell is active, and whether one was.
    #[serde(default)]
    pub areas: Vec<AreaStated>,
    /// True foci that alone make cells active, and what the run said there.
    #[serde(default)]
    pub foci: Vec<FocusFound>,
    /// What treating the chosen blocks truly removes; `None` without blocks or disease in them.
    pub control: Option<Control>,
}

/// Estimated and true hazard summed over the truly active cells.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct HotCells {
    /// Cells.
    pub cells: u64,
    /// Sum of posterior means, per pig-year.
    pub estimated_sum_per_year: f64,
    /// Sum of truths, per pig-year.
    pub true_sum_per_year: f64,
}

/// Scores the run in `run_folder` against the truth in `truth_folder`, whose parent is the study folder.
///
/// # Errors
/// [`ScoreError`] when a file is missing or not of this study area.
pub fn score(run_folder: &Path, truth_folder: &Path) -> Result<Score, ScoreError> {
    let truth = read_truth(truth_folder)?;
    let pigs = read_pigs(truth_folder)?;
    let answer = Answer::read(run_folder)?;
    let study = truth_folder.parent().unwrap_or(Path::new("."));
    let seen = read_seen(&study.join("pigs.csv"), &Projector::new(&truth.crs)?)?;
    let freedom = score_freedom(run_folder, &truth, &answer)?;
    let areas = score_areas(run_folder, &truth, &answer)?;
    let mut score = score_answer(&truth, &pigs, &answer, &seen)?;
    let (end, m) = (answer.end_day(), &answer.manifest);
    let from = end - m.parameters.recent.months * DAYS_PER_MONTH;
    score.freedom = freedom;
    score.areas = areas;
    score.control = control(run_folder, &truth, &seen, m.cell_m, from, end)?;
    Ok(score)
}

fn score_answer(
    truth: &Truth,
    pigs: &[TruthPig],
    answer: &Answer,
    seen: &[ExaminedPigs],
) -> Result<Score, ScoreError> {
    let manifest = &answer.manifest;
    let side = manifest.cell_m;
    let threshold = manifest.parameters.recent.force_of_infection_threshold;
    let end = answer.end_day();
    let from = end - manifest.parameters.recent.months * DAYS_PER_MONTH;
    let (cells, resident) = on_land(truth, answer)?;
    let active: Vec<bool> = resident.iter().map(|&h| h > threshold).collect();
    let probs: Vec<f64> = cells.iter().map(|c| c.p_active).collect();
    let active_cells = active.iter().filter(|a| **a).count();
    let share = active_cells as f64 / cells.len() as f64;
    let square = |p: f64, a: bool| (p - f64::from(u8::from(a))).powi(2);

    let mut resident_hazard = IntervalCoverage::default();
    let mut resident_hazard_raised = IntervalCoverage::default();
    let mut hot = HotCells::default();
    for ((c, &h), &a) in cells.iter().zip(&resident).zip(&active) {
        resident_hazard.add(h, &c.quantiles);
        if h > RAISED_PER_YEAR {
            resident_hazard_raised.add(h, &c.quantiles);
        }
        if a {
            hot.cells += 1;
            hot.estimated_sum_per_year += c.hazard_mean;
            hot.true_sum_per_year += h;
        }
    }
    let centres: Vec<Coord<f64>> = cells.iter().map(|c| c.centre).collect();
    let places: BTreeMap<&str, Coord<f64>> = cells.iter().map(|c| (c.id.as_str(), c.centre)).collect();
    let (period_hazard, period_hazard_raised) = score_periods(truth, answer, &places);
    let (positives, windows, origins) = score_positives(pigs, answer)?;
    Ok(Score {
        study_area: truth.study_area.clone(),
        seed: truth.scenario.seed,
        disease: truth.scenario.disease,
        threshold_per_year: threshold,
        cells: cells.len() as u64,
        active_cells: active_cells as u64,
        auc: auc(&active, &probs),
        brier_sum: probs.iter().zip(&active).map(|(&p, &a)| square(p, a)).sum(),
        constant_brier_sum: active.iter().map(|&a| square(share, a)).sum(),
        p_active_sum: probs.iter().sum(),
        reliability: reliability(&active, &probs),
        resident_hazard,
        resident_hazard_raised,
        period_hazard,
        period_hazard_raised,
        hot,
        positives,
        windows,
        origins,
        baselines: baselines(seen, &centres, &active, side, end),
        freedom: FreedomScore::default(),
        areas: Vec::new(),
        foci: score_foci(truth, answer, &cells, seen, from),
        control: None,
    })
}

/// IntervalCoverage by cell and period, all and where the truth is raised.
fn score_periods(
    truth: &Truth,
    answer: &Answer,
    places: &BTreeMap<&str, Coord<f64>>,
) -> (IntervalCoverage, IntervalCoverage) {
    let first = day_number(truth.first_day);
    let starts: Vec<i64> =
        answer.periods.iter().map(|p| p.start_day as i64).collect::<BTreeSet<_>>().into_iter().collect();
    // The last period is as long as the one before it, to within the lengths of months.
    let end_of = |start: f64| {
        let k = starts.partition_point(|&s| s as f64 <= start);
        match starts.get(k) {
            Some(&next) => next as f64,
            None if k >= 2 => start + (starts[k - 1] - starts[k - 2]) as f64,
            None => answer.end_day(),
        }
    };
    let courses: BTreeMap<i64, Vec<f64>> = starts
        .iter()
        .map(|&s| (s, truth.foci.iter().map(|f| f.mean_course(s as f64, end_of(s as f64))).collect()))
        .collect();
    let side = answer.manifest.cell_m;
    let peaks: BTreeMap<&str, Vec<f64>> = places
        .iter()
        .map(|(&id, c)| {
            let (west, south) = (c.x - 0.5 * side, c.y - 0.5 * side);
            (id, truth.foci.iter().map(|f| f.square_mean_at_peak(west, south, side, 0.0)).collect())
        })
        .collect();
    let (mut all, mut raised) = (IntervalCoverage::default(), IntervalCoverage::default());
    for p in answer.periods.iter().filter(|p| p.start_day >= first) {
        let (Some(peak), Some(course)) = (peaks.get(p.cell_id.as_str()), courses.get(&(p.start_day as i64)))
        else {
            continue;
        };
        let hazard: f64 = peak.iter().zip(course).map(|(a, b)| a * b).sum();
        all.add(hazard, &p.quantiles);
        if hazard > RAISED_PER_YEAR {
            raised.add(hazard, &p.quantiles);
        }
    }
    (all, raised)
}
