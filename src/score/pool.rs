//! Pools the scores of several study areas: counts are added, rankings averaged.

use crate::score::areas::AreaStated;
use crate::score::baselines::{Baseline, BaselineWindow};
use crate::score::control::Order;
use crate::score::foci::FocusFound;
use crate::score::freedom::{FreedomBin, FreedomScore};
use crate::score::pigs::{OriginLevel, Positives, WindowClass};
use crate::score::tally::{IntervalCoverage, ReliabilityBin};
use crate::score::{HotCells, Score};
use serde::{Deserialize, Serialize};

/// Scores of several study areas together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pooled {
    /// Study areas.
    pub study_areas: u64,
    /// Of them with disease.
    pub with_disease: u64,
    /// Cells scored.
    pub cells: u64,
    /// Of them truly active.
    pub active_cells: u64,
    /// Area under the curve of p_active, over study areas that have one.
    pub auc: ScoreSpread,
    /// Sum of squared distances of p_active from the truth.
    pub brier_sum: f64,
    /// The same of each study area's own true share.
    pub constant_brier_sum: f64,
    /// The same of what was known before: the share in the other study areas; `None` of a single study area.
    #[serde(default)]
    pub climatology: Option<Climatology>,
    /// Sum of p_active over study areas with disease, and their cells.
    pub p_active_with_disease: (f64, u64),
    /// Sum of p_active over disease-free study areas, and their cells.
    pub p_active_disease_free: (f64, u64),
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
    /// Truly active cells.
    pub hot: HotCells,
    /// Positives and suspects.
    pub positives: Positives,
    /// Infection windows by true age.
    pub windows: Vec<WindowClass>,
    /// Origin areas.
    pub origins: Vec<OriginLevel>,
    /// Plain baselines: name, window, and their areas under the curve.
    pub baselines: Vec<(String, BaselineWindow, ScoreSpread)>,
    /// Zone-years by stated probability of freedom.
    #[serde(default)]
    pub freedom: FreedomScore,
    /// Areas of all study areas.
    #[serde(default)]
    pub areas: Vec<AreaStated>,
    /// True foci of all study areas that alone make cells active.
    #[serde(default)]
    pub foci: Vec<FocusFound>,
    /// What treating the chosen blocks truly removes; `None` when no study area has it.
    pub control: Option<PooledControl>,
}

/// Forecasts of each study area's cells by the share of active cells in the others: a base rate that can be
/// known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Climatology {
    /// Sum over cells of the squared distance of that share from the truth.
    pub brier_sum: f64,
    /// Study areas in which p_active has the lower sum.
    pub beaten_in: u64,
}

/// Shares of the true hazard removed, over study areas.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PooledControl {
    /// The runs' own sets.
    pub own: ScoreSpread,
    /// Sets that know the truth.
    pub knowing: ScoreSpread,
    /// Baselines: name, window, order, their shares, and in how many study areas the run's set removed at
    /// least as much.
    pub baselines: Vec<(String, BaselineWindow, Order, ScoreSpread, u64)>,
}

/// Mean and range of a figure over study areas.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct ScoreSpread {
    /// Study areas that have the figure.
    pub study_areas: u64,
    /// Mean; `None` when no study area has it.
    pub mean: Option<f64>,
    /// Lowest.
    pub low: Option<f64>,
    /// Highest.
    pub high: Option<f64>,
}

impl ScoreSpread {
    /// Of the values that exist.
    pub fn of(values: impl Iterator<Item = Option<f64>>) -> ScoreSpread {
        let values: Vec<f64> = values.flatten().collect();
        if values.is_empty() {
            return ScoreSpread::default();
        }
        ScoreSpread {
            study_areas: values.len() as u64,
            mean: Some(values.iter().sum::<f64>() / values.len() as f64),
            low: Some(values.iter().copied().fold(f64::INFINITY, f64::min)),
            high: Some(values.iter().copied().fold(f64::NEG_INFINITY, f64::max)),
        }
    }
}

/// Pools scores; an empty slice gives zero counts and no figures.
pub fn pool(scores: &[Score]) -> Pooled {
    let cells_where = |disease: bool| {
        let chosen = || scores.iter().filter(move |s| s.disease == disease);
        (chosen().map(|s| s.p_active_sum).sum(), chosen().map(|s| s.cells).sum())
    };
    let coverage = |get: fn(&Score) -> &IntervalCoverage| {
        let mut sum = IntervalCoverage::default();
        scores.iter().for_each(|s| sum.merge(get(s)));
        sum
    };
    Pooled {
        study_areas: scores.len() as u64,
        with_disease: scores.iter().filter(|s| s.disease).count() as u64,
        cells: scores.iter().map(|s| s.cells).sum(),
        active_cells: scores.iter().map(|s| s.active_cells).sum(),
        auc: ScoreSpread::of(scores.iter().map(|s| s.auc)),
        brier_sum: scores.iter().map(|s| s.brier_sum).sum(),
        constant_brier_sum: scores.iter().map(|s| s.constant_brier_sum).sum(),
        climatology: pool_climatology(scores),
        p_active_with_disease: cells_where(true),
        p_active_disease_free: cells_where(false),
        reliability: pool_bins(scores),
        resident_hazard: coverage(|s| &s.resident_hazard),
        resident_hazard_raised: coverage(|s| &s.resident_hazard_raised),
        period_hazard: coverage(|s| &s.period_hazard),
        period_hazard_raised: coverage(|s| &s.period_hazard_raised),
        hot: HotCells {
            cells: scores.iter().map(|s| s.hot.cells).sum(),
            estimated_sum_per_year: scores.iter().map(|s| s.hot.estimated_sum_per_year).sum(),
            true_sum_per_year: scores.iter().map(|s| s.hot.true_sum_per_year).sum(),
        },
        positives: Positives {
            count: scores.iter().map(|s| s.positives.count).sum(),
            expected_infected: scores.iter().map(|s| s.positives.expected_infected).sum(),
            infected: scores.iter().map(|s| s.positives.infected).sum(),
            without_window: scores.iter().map(|s| s.positives.without_window).sum(),
        },
        windows: pool_windows(scores),
        origins: pool_origins(scores),
        baselines: pool_baselines(scores),
        freedom: FreedomScore {
            p_free: pool_zone_years(scores.iter().map(|s| &s.freedom.p_free)),
            p_under_threshold: pool_zone_years(scores.iter().map(|s| &s.freedom.p_under_threshold)),
        },
        areas: scores.iter().flat_map(|s| s.areas.iter().cloned()).collect(),
        foci: scores.iter().flat_map(|s| s.foci.iter().cloned()).collect(),
        control: pool_control(scores),
    }
}

/// # Formula
/// ```text
/// Σ_areas n ((p − q)² + q(1 − q)),  q the study_area's share, p that of the cells of all others
/// ```
fn pool_climatology(scores: &[Score]) -> Option<Climatology> {
    let (cells, active) = scores.iter().fold((0, 0), |sum, s| (sum.0 + s.cells, sum.1 + s.active_cells));
    let mut out = Climatology { brier_sum: 0.0, beaten_in: 0 };
    for s in scores {
        let p = (active - s.active_cells) as f64 / (cells - s.cells) as f64;
        let sum = s.cells as f64 * (p * p) + s.active_cells as f64 * (1.0 - 2.0 * p);
        out.brier_sum += sum;
        out.beaten_in += u64::from(s.brier_sum < sum);
    }
    out.brier_sum.is_finite().then_some(out)
}

fn pool_bins(scores: &[Score]) -> Vec<ReliabilityBin> {
    let mut bins: Vec<ReliabilityBin> = Vec::new();
    for b in scores.iter().flat_map(|s| &s.reliability) {
        match bins.iter_mut().find(|x| x.from == b.from && x.to == b.to) {
            Some(x) => {
                x.cells += b.cells;
                x.prob_sum += b.prob_sum;
                x.active += b.active;
            }
            None => bins.push(*b),
        }
    }
    bins
}

fn pool_zone_years<'a>(lists: impl Iterator<Item = &'a Vec<FreedomBin>>) -> Vec<FreedomBin> {
    let mut bins: Vec<FreedomBin> = Vec::new();
    for b in lists.flatten() {
        match bins.iter_mut().find(|x| x.from == b.from && x.to == b.to) {
            Some(x) => x.merge(b),
            None => bins.push(*b),
        }
    }
    bins
}

fn pool_windows(scores: &[Score]) -> Vec<WindowClass> {
    let mut classes: Vec<WindowClass> = Vec::new();
    for w in scores.iter().flat_map(|s| &s.windows) {
        match classes.iter_mut().find(|x| x.ages == w.ages) {
            Some(x) => x.coverage.merge(&w.coverage),
            None => classes.push(w.clone()),
        }
    }
    classes
}

fn pool_origins(scores: &[Score]) -> Vec<OriginLevel> {
    let mut levels: Vec<OriginLevel> = Vec::new();
    for o in scores.iter().flat_map(|s| &s.origins) {
        match levels.iter_mut().find(|x| x.held.level == o.held.level) {
            Some(x) => {
                x.held.merge(&o.held);
                x.area_sum_km2 += o.area_sum_km2;
            }
            None => levels.push(*o),
        }
    }
    levels
}

fn pool_baselines(scores: &[Score]) -> Vec<(String, BaselineWindow, ScoreSpread)> {
    let mut kinds: Vec<(String, BaselineWindow)> = Vec::new();
    for r in scores.iter().flat_map(|s| &s.baselines) {
        if !kinds.iter().any(|(name, window)| *name == r.name && *window == r.window) {
            kinds.push((r.name.clone(), r.window));
        }
    }
    kinds
        .into_iter()
        .map(|(name, window)| {
            let same = |r: &&Baseline| r.name == name && r.window == window;
            let figures =
                ScoreSpread::of(scores.iter().map(|s| s.baselines.iter().find(same).and_then(|r| r.auc)));
            (name, window, figures)
        })
        .collect()
}

fn pool_control(scores: &[Score]) -> Option<PooledControl> {
    let all: Vec<_> = scores.iter().filter_map(|s| s.control.as_ref()).collect();
    let mut kinds: Vec<(String, BaselineWindow, Order)> = Vec::new();
    for r in all.iter().flat_map(|c| &c.baselines) {
        if !kinds.iter().any(|(n, w, o)| *n == r.name && *w == r.window && *o == r.order) {
            kinds.push((r.name.clone(), r.window, r.order));
        }
    }
    let baselines = kinds.into_iter().map(|(name, window, order)| {
        let pairs: Vec<(f64, f64)> = all
            .iter()
            .filter_map(|c| {
                let r =
                    c.baselines.iter().find(|r| r.name == name && r.window == window && r.order == order)?;
                Some((c.removed_share, r.removed_share))
            })
            .collect();
        let at_least = pairs.iter().filter(|(own, baseline)| own >= baseline).count() as u64;
        (name, window, order, ScoreSpread::of(pairs.iter().map(|p| Some(p.1))), at_least)
    });
    (!all.is_empty()).then(|| PooledControl {
        own: ScoreSpread::of(all.iter().map(|c| Some(c.removed_share))),
        knowing: ScoreSpread::of(all.iter().map(|c| Some(c.knowing_share))),
        baselines: baselines.collect(),
    })
}
