//! What is taken from a score, as sums that can be pooled: each measure is above ÷ below.

use crate::studies::study_areas::Scored;
use pignut::internals::score::baselines::BaselineWindow;
use pignut::internals::score::freedom::FreedomBin;
use pignut::internals::score::tally::Count;

/// A measure of one answer; its value is `above / below`.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Key in the raw table.
    pub name: String,
    /// Sum above the line.
    pub above: f64,
    /// Sum below it: cases, or 1 for a figure of the study area as a whole.
    pub below: f64,
}

/// A measure as tables show it: key, group, column name, and the value of an answer that is right.
pub struct Shown {
    /// Key in the raw table.
    pub name: &'static str,
    /// Table it stands in.
    pub group: &'static str,
    /// Heading of its column.
    pub column_name: &'static str,
    /// Value that a right answer has; `None` where there is none but the neutral study area's.
    pub ideal: Option<f64>,
}

const fn shown(
    name: &'static str,
    group: &'static str,
    column_name: &'static str,
    ideal: Option<f64>,
) -> Shown {
    Shown { name, group, column_name, ideal }
}

const CELLS: &str = "Cells";
const PIGS: &str = "Positive pigs";
const AREAS: &str = "Areas, foci, control";
const RUNS: &str = "How the runs went";

/// Every measure, in the order of the tables.
pub const SHOWN: &[Shown] = &[
    shown("auc", CELLS, "AUC p_active", None),
    shown("auc_smoothed", CELLS, "AUC kernel-smoothed prevalence, 24 months", None),
    shown("brier", CELLS, "Brier score", None),
    shown("brier_ratio", CELLS, "Brier score over that of the true share", None),
    shown("p_active_excess", CELLS, "mean p_active less true share", Some(0.0)),
    shown("hazard_90_raised", CELLS, "90 % intervals of the hazard, truth above 0.02", Some(0.9)),
    shown("hot_ratio", CELLS, "mean estimate over mean truth, active cells", Some(1.0)),
    shown("window_50", PIGS, "50 % windows hold", Some(0.5)),
    shown("window_90", PIGS, "90 % windows hold", Some(0.9)),
    shown("window_90 under 12", PIGS, "90 %, under 12 months", Some(0.9)),
    shown("window_90 12 to 24", PIGS, "90 %, 12 to 24", Some(0.9)),
    shown("window_90 24 to 48", PIGS, "90 %, 24 to 48", Some(0.9)),
    shown("window_90 48 and over", PIGS, "90 %, 48 and over", Some(0.9)),
    shown("origin_50", PIGS, "50 % origin areas hold", Some(0.5)),
    shown("origin_90", PIGS, "90 % origin areas hold", Some(0.9)),
    shown("origin_90_km2", PIGS, "mean size of the 90 % area, km²", None),
    shown("expected_ratio", PIGS, "expected over actual infected", Some(1.0)),
    shown("p_free_excess", AREAS, "mean P(free) less share free", Some(0.0)),
    shown("p_free_excess_design", AREAS, "mean P(free) less share without a design focus", Some(0.0)),
    shown("area_excess", AREAS, "mean p_active_any less share active", Some(0.0)),
    shown("area_brier", AREAS, "Brier score of p_active_any", None),
    shown("foci_found", AREAS, "foci found", None),
    shown("foci_found_new_or_small", AREAS, "new or small foci found", None),
    shown("removed", AREAS, "hazard removed, own set over knowing", None),
    shown("r_hat", RUNS, "largest split R̂", None),
    shown("divergent", RUNS, "divergent trajectories", None),
    shown("seconds", RUNS, "seconds", None),
];

/// The measures of one answer; those without a case are left out.
pub fn measures(run: &Scored) -> Vec<Measure> {
    let s = &run.score;
    let mut all = Vec::new();
    let mut put = |name: &str, above: f64, below: f64| {
        if below > 0.0 {
            all.push(Measure { name: name.into(), above, below });
        }
    };
    let n = s.cells as f64;
    let smoothed =
        s.baselines.iter().find(|r| r.window == BaselineWindow::Recent && r.name.starts_with("kernel"));
    s.auc.iter().for_each(|v| put("auc", *v, 1.0));
    smoothed.and_then(|r| r.auc).iter().for_each(|v| put("auc_smoothed", *v, 1.0));
    put("brier", s.brier_sum, n);
    put("brier_ratio", s.brier_sum, s.constant_brier_sum);
    put("p_active_excess", s.p_active_sum - s.active_cells as f64, n);
    let count = |put: &mut dyn FnMut(&str, f64, f64), name: &str, c: &Count| put(name, c.inside, c.of as f64);
    count(&mut put, "hazard_90_raised", &s.resident_hazard_raised.ninety);
    put("hot_ratio", s.hot.estimated_sum_per_year, s.hot.true_sum_per_year);
    for class in &s.windows {
        if class.ages == "all" {
            count(&mut put, "window_50", &class.coverage.half);
            count(&mut put, "window_90", &class.coverage.ninety);
        } else {
            count(&mut put, &format!("window_90 {}", class.ages), &class.coverage.ninety);
        }
    }
    for o in &s.origins {
        count(&mut put, &format!("origin_{:.0}", 100.0 * o.held.level), &o.held);
        if o.held.level == 0.9 {
            put("origin_90_km2", o.area_sum_km2, o.held.of as f64);
        }
    }
    put("expected_ratio", s.positives.expected_infected, s.positives.infected as f64);
    let sum = |of: &dyn Fn(&FreedomBin) -> f64| s.freedom.p_free.iter().map(of).sum::<f64>();
    let (stated, years) = (sum(&|b| b.prob_sum), sum(&|b| b.zone_years as f64));
    put("p_free_excess", stated - sum(&|b| b.free as f64), years);
    put("p_free_excess_design", stated - sum(&|b| b.without_design_focus as f64), years);
    let areas = s.areas.len() as f64;
    let truth = |active: bool| f64::from(u8::from(active));
    put("area_excess", s.areas.iter().map(|a| a.p_active_any - truth(a.active)).sum(), areas);
    put("area_brier", s.areas.iter().map(|a| (a.p_active_any - truth(a.active)).powi(2)).sum(), areas);
    let found = |of: &mut dyn Iterator<Item = bool>| of.fold((0.0, 0.0), |(a, b), f| (a + truth(f), b + 1.0));
    let (above, below) = found(&mut s.foci.iter().map(|f| f.is_found()));
    put("foci_found", above, below);
    let (above, below) =
        found(&mut s.foci.iter().filter(|f| f.is_new() || f.is_small()).map(|f| f.is_found()));
    put("foci_found_new_or_small", above, below);
    s.control.iter().for_each(|c| put("removed", c.removed_share, c.knowing_share));
    run.largest_r_hat.iter().for_each(|r| put("r_hat", *r, 1.0));
    put("divergent", run.divergent as f64, 1.0);
    put("seconds", run.seconds, 1.0);
    all
}
