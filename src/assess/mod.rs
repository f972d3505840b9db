//! From posterior samples to figures a person can decide on.
//!
//! | question | file |
//! | --- | --- |
//! | when and where was this pig infected? | [`attribution`] |
//! | what is the force of infection about this cell now, is it active, since when? | [`cells`] |
//! | would we have seen it, cell by cell and year by year? | [`coverage`] |
//! | what of this area? | [`areas`], and in one word [`verdict`] |
//! | which land do the records say anything of? | [`reach`] |
//! | what was assumed before the first pig? | [`prior_map`] |
//! | is this area free? | [`freedom`], by the arithmetic in [`odds`] and [`missed_focus`] |
//! | what would raise that? | [`pigs_needed`] |
//! | where have we not looked, and where should the next pigs come from? | [`gaps`], [`next_samples`] |
//! | what of this control block, and which host lives there? | [`blocks`], [`crate::geography::habitat`] |
//! | did past operations work? | [`operations`] |
//! | which blocks first? | [`priorities`] |
//! | does the model fit these records? | [`model_checks`] |

pub(crate) mod area_coverage;
pub(crate) mod areas;
pub(crate) mod attribution;
pub(crate) mod blocks;
pub(crate) mod cells;
pub(crate) mod coverage;
pub(crate) mod focus_view;
pub(crate) mod freedom;
pub(crate) mod freedom_figures;
pub(crate) mod gaps;
pub(crate) mod hyperparameters;
pub(crate) mod learnt_curves;
pub(crate) mod missed_focus;
pub(crate) mod model_checks;
pub(crate) mod next_samples;
pub(crate) mod odds;
pub(crate) mod operations;
pub(crate) mod pigs_needed;
pub(crate) mod prior_map;
pub(crate) mod priorities;
pub(crate) mod reach;
pub(crate) mod spread;
pub(crate) mod verdict;

use crate::assess::priorities::candidates::Candidates;
use crate::assess::spread::Spread;
use crate::geography::layout::Layout;
use crate::inference::posterior::{Posterior, Watch};
use rayon::prelude::*;

/// Coverage of one calendar year by all examined pigs.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverageYear {
    /// The year; the last one ends with `as_of`.
    pub year: i16,
    /// Cells in the grid's order, a focus present through that year.
    pub cells: crate::assess::coverage::CellCoverage,
}

/// Everything the reporter writes.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// Figures of each cell, in the grid's order.
    pub cells: Vec<crate::assess::cells::CellFigures>,
    /// Hazard of each cell and period, `[row][period][column]`, per year.
    pub hazard: Vec<Spread>,
    /// Figures of each positive or suspect pig, in the order of the records.
    pub positives: Vec<crate::assess::attribution::PositiveFigures>,
    /// Figures of each zone.
    pub zones: Vec<crate::assess::areas::ZoneFigures>,
    /// The study area as a whole.
    pub study_area: crate::assess::areas::ZoneFigures,
    /// What is said of each zone, in the same order.
    pub judgements: Vec<crate::assess::areas::Judgement>,
    /// What is said of the land that pigs' ranges reach, as a whole.
    pub whole: crate::assess::areas::Judgement,
    /// For each cell, whether the range of some pig reaches it.
    pub reached: Vec<bool>,
    /// What a cell was taken to be before the first pig.
    pub before: crate::assess::prior_map::BeforeRecords,
    /// Freedom of each zone, in the same order.
    pub freedom: Vec<crate::assess::freedom_figures::ZoneFreedom>,
    /// Coverage of each cell by all examined pigs, year by year.
    pub coverage_by_year: Vec<CoverageYear>,
    /// Land below the coverage target.
    pub gaps: Vec<crate::assess::gaps::Gap>,
    /// Figures of each control block, in the order of the records.
    pub blocks: Vec<crate::assess::blocks::BlockFigures>,
    /// Operations that could be done, with their effect sample by sample.
    pub slate: Candidates,
    /// The best set of operations at the budget; `None` without blocks, an error when none can be named.
    pub decision: Option<
        Result<crate::assess::priorities::Decision, crate::assess::priorities::choice_error::ChoiceError>,
    >,
    /// What a plan made without any pig would remove, as a share of what the best set does; `None` where the
    /// question does not arise.
    pub plan_without_pigs: Option<f64>,
    /// Effect of past operations, by host.
    pub operations: Vec<crate::assess::operations::OperationEffect>,
    /// What was learnt of the hyperparameters.
    pub hyper: Vec<crate::assess::hyperparameters::HyperFigures>,
    /// How well the model fits the records.
    pub fit: crate::assess::model_checks::ModelChecks,
    /// Exposure of all pigs within the coverage window that fell on the grid, pig-years.
    pub exposure_pig_years: f64,
}

/// Assesses a posterior.
///
/// `progress` is called with the share done, in [0, 1].
pub(crate) fn assess(layout: &Layout, posterior: &Posterior, progress: &(dyn Fn(f64) + Sync)) -> Assessment {
    let positives = crate::assess::attribution::attribute(layout, posterior);
    progress(0.4);
    let coverages = crate::assess::coverage::coverages(layout);
    let coverage = &coverages.recent;
    progress(0.6);
    let resident = crate::assess::cells::resident_samples(layout, posterior);
    let reached = crate::assess::reach::reached(layout);
    let cells = crate::assess::cells::figures(layout, &resident, &positives, coverage, &reached);
    let hazard = crate::assess::cells::hazard_spreads(&layout.grid, posterior);
    progress(0.9);
    let (zones, study_area) = rayon::join(
        || crate::assess::areas::figures(layout, posterior, &resident, &positives, &reached),
        || crate::assess::areas::study_area(layout, posterior, &resident, &positives, &reached),
    );
    let freedom = crate::assess::freedom::freedom(layout, posterior, &positives, &coverages);
    let (judgements, whole) =
        crate::assess::areas::judgements(layout, &zones, &study_area, &freedom, &cells, &reached);
    let gaps = crate::assess::gaps::gaps(layout, coverage);
    let exposure_pig_years = coverage.exposure_pig_years.iter().sum();
    let coverage_by_year =
        coverages.years.into_iter().map(|y| CoverageYear { year: y.year, cells: y.cells }).collect();
    let operations = crate::assess::operations::effects(layout, posterior);
    let hyper = crate::assess::hyperparameters::hyper_figures(layout, posterior, &operations);
    // Land that no pig's range reaches counts for no block: there the samples are the prior's.
    let mut resident = resident;
    resident.par_iter_mut().for_each(|sample| {
        sample.iter_mut().zip(&reached).filter(|(_, r)| !**r).for_each(|(v, _)| *v = 0.0);
    });
    let blocks = crate::assess::blocks::figures(layout, &resident, &cells, &reached);
    let slate = Candidates::of(layout, &crate::assess::blocks::samples(layout, &resident));
    let decision =
        (!blocks.is_empty()).then(|| crate::assess::priorities::decide(&slate, &layout.study.priorities));
    // Every reached place alike: what was to be chosen before the first pig.
    let alike = vec![reached.iter().map(|r| if *r { f32::MAX } else { 0.0 }).collect::<Vec<f32>>()];
    let plan_without_pigs = decision.as_ref().and_then(|d| d.as_ref().ok()).and_then(|d| {
        let untold = Candidates::of(layout, &crate::assess::blocks::samples(layout, &alike));
        crate::assess::priorities::without_pigs(&slate, &untold, &layout.study.priorities, d)
    });
    let fit = crate::assess::model_checks::fit(layout, posterior);
    progress(1.0);
    Assessment {
        cells,
        hazard,
        positives: positives.into_iter().map(|p| p.figures).collect(),
        zones,
        study_area,
        judgements,
        whole,
        reached,
        before: crate::assess::prior_map::before_records(&layout.study),
        freedom,
        coverage_by_year,
        gaps,
        blocks,
        slate,
        decision,
        plan_without_pigs,
        operations,
        hyper,
        fit,
        exposure_pig_years,
    }
}

/// What is watched for convergence: total hazard, each zone's recent hazard, and a spread of cells.
pub fn watches(layout: &Layout) -> Vec<Watch> {
    let grid = &layout.grid;
    let recent = layout.recent_weights();
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
    let mut out = vec![Watch { name: "total_force_of_infection".into(), weights: None, needs_ess: true }];
    for (zone, shares) in layout.records.zones.iter().zip(&layout.zone_shares) {
        if shares.iter().any(|s| *s > 0.0) {
            out.push(Watch {
                name: format!("zone_force_of_infection:{}", zone.id),
                weights: Some(over(shares)),
                needs_ess: true,
            });
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
            name: format!("cell_force_of_infection:{}", grid.cell_id(cell)),
            weights: Some(over(&one)),
            needs_ess: false,
        });
    }
    out
}
