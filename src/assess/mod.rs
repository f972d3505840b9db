//! From posterior draws to figures a person can decide on.
//!
//! | question | file |
//! | --- | --- |
//! | when and where was this pig infected? | [`attribution`] |
//! | what is the hazard about this cell now, is it active, since when? | [`cells`] |
//! | would we have seen it, cell by cell and year by year? | [`coverage`] |
//! | what of this area? | [`zones`] |
//! | is this area free? | [`freedom`] (arithmetic), [`zone_freedom`] |
//! | what would raise that? | [`raise`](mod@raise) |
//! | where have we not looked, and where should the next pigs come from? | [`gaps`], [`sampling`] |
//! | what of this control block, and which host lives there? | [`blocks`], [`habitat`] |
//! | did past operations work? | [`operations`] |
//! | which blocks first? | [`priorities`] |
//! | does the model fit these records? | [`fit`](mod@fit) |

pub mod attribution;
pub mod blocks;
pub mod cells;
pub mod coverage;
pub mod fit;
pub mod freedom;
pub mod gaps;
pub mod habitat;
pub mod operations;
pub mod priorities;
pub mod raise;
pub mod sampling;
pub mod summary;
pub mod zone_freedom;
pub mod zones;

use crate::areas;
use crate::grid::Grid;
use crate::kernel::posterior::{Posterior, Watch};
use crate::record::{DAYS_PER_MONTH, Records, date_of_day, day_number};
use crate::study::Study;
use jiff::civil::Date;

/// Probabilities at which distributions are reported, in order.
pub const QUANTILES: [f64; 7] = [0.025, 0.05, 0.25, 0.5, 0.75, 0.95, 0.975];
/// Names of [`QUANTILES`] in tables.
pub const QUANTILE_NAMES: [&str; 7] = ["q025", "q05", "q25", "q50", "q75", "q95", "q975"];

/// A mean and seven quantiles.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Spread {
    /// Posterior mean.
    pub mean: f64,
    /// Quantiles at [`QUANTILES`].
    pub q: [f64; 7],
}

impl Spread {
    /// Of a set of draws, which is reordered in place.
    pub fn of(draws: &mut [f32]) -> Spread {
        let n = draws.len();
        let mean = draws.iter().map(|v| f64::from(*v)).sum::<f64>() / n as f64;
        let at = QUANTILES.map(|p| (n - 1) as f64 * p);
        let below = |h: f64| (h.floor() as usize, (h.floor() as usize + 1).min(n - 1));
        let mut ranks: Vec<usize> = at.iter().flat_map(|h| <[usize; 2]>::from(below(*h))).collect();
        ranks.sort_unstable();
        ranks.dedup();
        put_in_rank(draws, 0, &ranks);
        let q = at.map(|h| {
            let (i, j) = below(h);
            let (a, b) = (f64::from(draws[i]), f64::from(draws[j]));
            a + (h - i as f64) * (b - a)
        });
        Spread { mean, q }
    }
    /// Median.
    pub fn median(&self) -> f64 {
        self.q[3]
    }
    /// 5 % quantile.
    pub fn q05(&self) -> f64 {
        self.q[1]
    }
    /// 95 % quantile.
    pub fn q95(&self) -> f64 {
        self.q[5]
    }
}

/// Reorders draws so that those of some ranks (rising, counted from `first`) stand where sorting would put them.
fn put_in_rank(draws: &mut [f32], first: usize, ranks: &[usize]) {
    let Some(&middle) = ranks.get(ranks.len() / 2) else { return };
    let (low, _, high) = draws.select_nth_unstable_by(middle - first, f32::total_cmp);
    let (before, after) = ranks.split_at(ranks.len() / 2);
    put_in_rank(low, first, before);
    put_in_rank(high, middle + 1, &after[1..]);
}

/// The data of a run laid out for assessment.
pub struct Situation<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its records.
    pub records: &'a Records,
    /// Its grid.
    pub grid: &'a Grid,
    /// The day the study speaks of.
    pub as_of: Date,
    /// Share of each cell in each zone.
    pub zone_shares: &'a [Vec<f64>],
    /// Share of each cell in each block.
    pub block_shares: &'a [Vec<f64>],
    /// Which host carries the disease in each cell.
    pub habitat: &'a habitat::Habitat,
}

impl Situation<'_> {
    /// First and last day number of the recent months.
    pub fn recent_days(&self) -> (f64, f64) {
        let end = day_number(self.as_of) + 1.0;
        (end - self.study.recent.months * DAYS_PER_MONTH, end)
    }
    /// Weight of each period in the mean over the recent months; sums to 1.
    ///
    /// Periods after the last kill carry no data of their own: `as_of` may lie past the grid's last
    /// edge by less than a period, and its share then goes to the last period.
    pub fn recent_weights(&self) -> Vec<f64> {
        let (first, last) = self.recent_days();
        let mut w = self.grid.period_shares(first, last);
        let missing = 1.0 - w.iter().sum::<f64>();
        if let Some(end) = w.last_mut() {
            *end += missing;
        }
        w
    }
}

/// Coverage of one calendar year by all examined pigs.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverageYear {
    /// The year; the last one ends with `as_of`.
    pub year: i16,
    /// Cells in the grid's order, a focus present through that year.
    pub cells: coverage::CellCoverage,
}

/// Everything the reporter writes.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// Figures of each cell, in the grid's order.
    pub cells: Vec<cells::CellFigures>,
    /// Hazard of each cell and period, `[row][period][column]`, per year.
    pub hazard: Vec<Spread>,
    /// Figures of each positive or suspect pig, in the order of the records.
    pub positives: Vec<attribution::PositiveFigures>,
    /// Figures of each zone.
    pub zones: Vec<zones::ZoneFigures>,
    /// The district as a whole.
    pub district: zones::ZoneFigures,
    /// Freedom of each zone, in the same order.
    pub freedom: Vec<zone_freedom::ZoneFreedom>,
    /// Coverage of each cell by all examined pigs, year by year.
    pub coverage_by_year: Vec<CoverageYear>,
    /// Land below the coverage target.
    pub gaps: Vec<gaps::Gap>,
    /// Figures of each control block, in the order of the records.
    pub blocks: Vec<blocks::BlockFigures>,
    /// Operations that could be done, with their effect draw by draw.
    pub slate: priorities::Slate,
    /// The best set of operations at the budget; `None` without blocks, an error when none can be named.
    pub decision: Option<Result<priorities::Decision, priorities::ChoiceError>>,
    /// Effect of past operations, by host.
    pub operations: Vec<operations::OperationEffect>,
    /// What was learnt of the hyperparameters.
    pub hyper: Vec<summary::HyperFigures>,
    /// How well the model fits the records.
    pub fit: fit::Fit,
    /// Exposure of all pigs within the coverage window that fell on the grid, pig-years.
    pub exposure_pig_years: f64,
}

/// Assesses a posterior.
///
/// `progress` is called with the share done, in [0, 1].
pub fn assess(situation: &Situation, posterior: &Posterior, progress: &(dyn Fn(f64) + Sync)) -> Assessment {
    let positives = attribution::attribute(situation, posterior);
    progress(0.4);
    let coverages = coverage::coverages(situation);
    let coverage = &coverages.recent;
    progress(0.6);
    let resident = cells::resident_draws(situation, posterior);
    let cells = cells::figures(situation, &resident, &positives, coverage);
    let hazard = cells::hazard_spreads(situation.grid, posterior);
    progress(0.9);
    let (zones, district) = rayon::join(
        || zones::figures(situation, posterior, &resident, &positives),
        || zones::district(situation, posterior, &resident, &positives),
    );
    let freedom = zone_freedom::freedom(situation, posterior, &positives, &coverages);
    let gaps = gaps::gaps(situation, coverage);
    let exposure_pig_years = coverage.exposure_pig_years.iter().sum();
    let coverage_by_year = coverages.years.into_iter().map(|y| CoverageYear { year: y.year, cells: y.cells }).collect();
    let operations = operations::effects(situation, posterior);
    let hyper = summary::hyper_figures(situation, posterior, &operations);
    let blocks = blocks::figures(situation, &resident, &cells);
    let slate = priorities::Slate::of(situation, &blocks::draws(situation, &resident));
    let decision = (!blocks.is_empty()).then(|| priorities::decide(&slate, &situation.study.priorities));
    let fit = fit::fit(situation, posterior);
    progress(1.0);
    Assessment {
        cells,
        hazard,
        positives: positives.into_iter().map(|p| p.figures).collect(),
        zones,
        district,
        freedom,
        coverage_by_year,
        gaps,
        blocks,
        slate,
        decision,
        operations,
        hyper,
        fit,
        exposure_pig_years,
    }
}

/// What is watched for convergence: total hazard, each zone's recent hazard, and a spread of cells.
pub fn watches(situation: &Situation) -> Vec<Watch> {
    let grid = situation.grid;
    let recent = situation.recent_weights();
    let over = |shares: &[f64]| {
        let total: f64 = shares.iter().sum();
        let mut weights = Vec::new();
        for (cell, share) in shares.iter().enumerate().filter(|(_, s)| **s > 0.0) {
            let (r, c) = grid.row_col(cell);
            for (t, w) in recent.iter().enumerate().filter(|(_, w)| **w > 0.0) {
                weights.push((grid.at(r, t, c), share * w / total));
            }
        }
        weights
    };
    let mut out = vec![Watch { name: "total_hazard".into(), weights: None, needs_ess: true }];
    for (zone, shares) in situation.records.zones.iter().zip(situation.zone_shares) {
        if shares.iter().any(|s| *s > 0.0) {
            out.push(Watch { name: format!("zone_hazard:{}", zone.id), weights: Some(over(shares)), needs_ess: true });
        }
    }
    // A 4 × 4 lattice of cells, recent hazard.
    for i in 0..16 {
        let r = grid.rows * (2 * (i / 4) + 1) / 8;
        let c = grid.cols * (2 * (i % 4) + 1) / 8;
        let cell = grid.cell(r, c);
        let mut one = vec![0.0; grid.cells()];
        one[cell] = 1.0;
        out.push(Watch {
            name: format!("cell_hazard:{}", grid.cell_id(cell)),
            weights: Some(over(&one)),
            needs_ess: false,
        });
    }
    out
}

/// Shares of every cell in each of several outlines.
pub fn shares_of<'a>(grid: &Grid, outlines: impl Iterator<Item = &'a geo::MultiPolygon<f64>>) -> Vec<Vec<f64>> {
    outlines.map(|o| areas::cell_shares(grid, o)).collect()
}

/// A quantile of a piecewise-uniform distribution over days.
///
/// `pieces`: (from, to, mass) in any order, day numbers; `None` when there is no mass.
pub fn day_quantile(pieces: &[(f64, f64, f64)], p: f64) -> Option<f64> {
    let mut edges: Vec<f64> = pieces.iter().flat_map(|(a, b, _)| [*a, *b]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let total: f64 = pieces.iter().map(|(_, _, m)| m).sum();
    if !(total > 0.0) {
        return None;
    }
    // Mass between neighbouring edges; pieces may overlap (several lives of one pig).
    let mut between = vec![0.0; edges.len().saturating_sub(1)];
    for (a, b, m) in pieces {
        let first = edges.partition_point(|e| e < a);
        for k in first..between.len() {
            if edges[k] >= *b {
                break;
            }
            between[k] += m * (edges[k + 1] - edges[k]) / (b - a);
        }
    }
    let mut left = p * total;
    for (k, m) in between.iter().enumerate() {
        if left <= *m && *m > 0.0 {
            return Some(edges[k] + (edges[k + 1] - edges[k]) * (left / m));
        }
        left -= m;
    }
    edges.last().copied()
}

/// The civil date of a day number.
pub fn date(day: f64) -> Date {
    date_of_day(day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_overlapping_pieces() {
        let pieces = [(0.0, 10.0, 1.0), (5.0, 10.0, 1.0)];
        assert_eq!(day_quantile(&pieces, 0.0), Some(0.0));
        assert_eq!(day_quantile(&pieces, 0.25), Some(5.0));
        assert!((day_quantile(&pieces, 1.0).unwrap() - 10.0).abs() < 1e-12);
        assert_eq!(day_quantile(&[], 0.5), None);
        let mut draws: Vec<f32> = (0..101).map(|i| i as f32).rev().collect();
        let s = Spread::of(&mut draws);
        assert_eq!((s.mean, s.median(), s.q05()), (50.0, 50.0, 5.0));
    }

    /// The seven quantiles of a list put in order by the standard library.
    #[test]
    fn quantiles_do_not_ask_for_sorted_draws() {
        for n in [1usize, 2, 3, 7, 40, 801] {
            // Repeated values and negative ones among them.
            let mut draws: Vec<f32> = (0..n).map(|i| ((i * 7919) % 101) as f32 * 0.25 - 3.0).collect();
            let mut sorted = draws.clone();
            sorted.sort_unstable_by(f32::total_cmp);
            let s = Spread::of(&mut draws);
            for (q, p) in s.q.iter().zip(QUANTILES) {
                let h = (n - 1) as f64 * p;
                let (i, part) = (h.floor() as usize, h.fract());
                let (a, b) = (f64::from(sorted[i]), f64::from(sorted[(i + 1).min(n - 1)]));
                assert_eq!(*q, a + part * (b - a), "{n} {p}");
            }
        }
    }
}
