//! Scores as a plain text table.

use crate::score::areas::{AreaStated, area_bins};
use crate::score::baselines::BaselineWindow;
use crate::score::control::{Control, Order};
use crate::score::foci::{FOCUS_CLASSES, FOUND_AT, FocusFound};
use crate::score::freedom::FreedomScore;
use crate::score::pigs::{OriginLevel, Positives, WindowClass};
use crate::score::pool::{Pooled, PooledControl, ScoreSpread};
use crate::score::tally::{Count, IntervalCoverage, ReliabilityBin, calibration_error};
use crate::score::{HotCells, Score};
use std::fmt;

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{} (seed {})", self.study_area, self.seed)?;
        writeln!(
            f,
            "cells on land {}, truly active {} (force of infection on a resident pig above {} per pig-year)",
            self.cells, self.active_cells, self.threshold_per_year
        )?;
        writeln!(f, "\nRanking of cells, area under the curve")?;
        row(f, "p_active", &figure(self.auc))?;
        for r in &self.baselines {
            let bandwidth = r.bandwidth_m.map_or(String::new(), |b| format!(", {} km", b / 1000.0));
            row(f, &format!("{}{}{bandwidth}", r.name, window(r.window)), &figure(r.auc))?;
        }
        writeln!(f, "\nProbability of being active")?;
        let n = self.cells as f64;
        row(f, "mean p_active", &figure(ratio(self.p_active_sum, n)))?;
        row(f, "Brier score", &precise(ratio(self.brier_sum, n)))?;
        row(f, "Brier score of the true share", &precise(ratio(self.constant_brier_sum, n)))?;
        reliability(f, &self.reliability)?;
        writeln!(f, "\nIntervals of the force of infection that hold the truth")?;
        hazards(
            f,
            &self.resident_hazard,
            &self.resident_hazard_raised,
            &self.period_hazard,
            &self.period_hazard_raised,
        )?;
        hot(f, &self.hot)?;
        positives(f, &self.positives, &self.windows, &self.origins)?;
        areas(f, &self.areas)?;
        foci(f, &self.foci)?;
        freedom(f, &self.freedom)?;
        self.control.as_ref().map_or(Ok(()), |c| control(f, c))
    }
}

impl fmt::Display for Pooled {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{} study areas, {} with disease", self.study_areas, self.with_disease)?;
        writeln!(f, "cells on land {}, truly active {}", self.cells, self.active_cells)?;
        writeln!(f, "\nRanking of cells, area under the curve: mean (lowest to highest), study areas")?;
        row(f, "p_active", &spread(&self.auc))?;
        for (name, w, figures) in &self.baselines {
            row(f, &format!("{name}{}", window(*w)), &spread(figures))?;
        }
        writeln!(f, "\nProbability of being active")?;
        let n = self.cells as f64;
        let mean = |(sum, cells): (f64, u64)| figure(ratio(sum, cells as f64));
        row(f, "mean p_active, study areas with disease", &mean(self.p_active_with_disease))?;
        row(f, "mean p_active, disease-free study areas", &mean(self.p_active_disease_free))?;
        row(f, "Brier score", &precise(ratio(self.brier_sum, n)))?;
        row(f, "Brier score of each true share", &precise(ratio(self.constant_brier_sum, n)))?;
        if let Some(c) = &self.climatology {
            row(f, "Brier score of the share in the other study areas", &precise(ratio(c.brier_sum, n)))?;
            row(
                f,
                "  study areas in which p_active has the lower",
                &format!("{} of {}", c.beaten_in, self.study_areas),
            )?;
        }
        reliability(f, &self.reliability)?;
        writeln!(f, "\nIntervals of the force of infection that hold the truth")?;
        hazards(
            f,
            &self.resident_hazard,
            &self.resident_hazard_raised,
            &self.period_hazard,
            &self.period_hazard_raised,
        )?;
        hot(f, &self.hot)?;
        positives(f, &self.positives, &self.windows, &self.origins)?;
        areas(f, &self.areas)?;
        foci(f, &self.foci)?;
        freedom(f, &self.freedom)?;
        self.control.as_ref().map_or(Ok(()), |c| pooled_control(f, c))
    }
}

const REMOVED: &str =
    "Share of the true force of infection in blocks that treatment removes, mean over budgets";

fn strategy(name: &str, w: BaselineWindow, o: Order) -> String {
    let order = match o {
        Order::Figure => "",
        Order::PerMoney => ", per money",
    };
    format!("{name}{}{order}", window(w))
}

fn control(f: &mut fmt::Formatter<'_>, c: &Control) -> fmt::Result {
    writeln!(f, "\n{REMOVED} ({} budgets)", c.budgets)?;
    wide(f, "the run's own set", &figure(Some(c.removed_share)))?;
    c.baselines
        .iter()
        .try_for_each(|r| wide(f, &strategy(&r.name, r.window, r.order), &figure(Some(r.removed_share))))?;
    wide(f, "knowing the truth", &figure(Some(c.knowing_share)))
}

fn pooled_control(f: &mut fmt::Formatter<'_>, c: &PooledControl) -> fmt::Result {
    writeln!(f, "\n{REMOVED}: mean (lowest to highest), study areas")?;
    wide(f, "the run's own set", &spread(&c.own))?;
    for (name, w, order, s, at_least) in &c.baselines {
        let told = format!("{}; own set removes at least as much in {at_least}", spread(s));
        wide(f, &strategy(name, *w, *order), &told)?;
    }
    wide(f, "knowing the truth", &spread(&c.knowing))
}

fn wide(f: &mut fmt::Formatter<'_>, name: &str, value: &str) -> fmt::Result {
    writeln!(f, "  {name:<62} {value}")
}

fn row(f: &mut fmt::Formatter<'_>, name: &str, value: &str) -> fmt::Result {
    writeln!(f, "  {name:<48} {value}")
}

fn ratio(above: f64, below: f64) -> Option<f64> {
    (below > 0.0).then(|| above / below)
}

fn figure(v: Option<f64>) -> String {
    v.map_or("not defined".into(), |v| format!("{v:.3}"))
}

fn precise(v: Option<f64>) -> String {
    v.map_or("not defined".into(), |v| format!("{v:.4}"))
}

fn window(w: BaselineWindow) -> &'static str {
    match w {
        BaselineWindow::Recent => ", last 24 months",
        BaselineWindow::All => ", all years",
    }
}

fn spread(s: &ScoreSpread) -> String {
    match (s.mean, s.low, s.high) {
        (Some(mean), Some(low), Some(high)) => {
            format!("{mean:.3} ({low:.3} to {high:.3}), {}", s.study_areas)
        }
        _ => "not defined".into(),
    }
}

fn reliability(f: &mut fmt::Formatter<'_>, bins: &[ReliabilityBin]) -> fmt::Result {
    row(f, "calibration error", &figure(calibration_error(bins)))?;
    writeln!(f, "  {:<16} {:>8} {:>10} {:>10}", "stated", "cells", "mean", "observed")?;
    for b in bins {
        let range = format!("{:.2} to {:.2}", b.from, b.to);
        let (mean, seen) = (figure(b.mean_prob()), figure(b.active_share()));
        if b.cells > 0 {
            writeln!(f, "  {range:<16} {:>8} {mean:>10} {seen:>10}", b.cells)?;
        }
    }
    Ok(())
}

fn areas(f: &mut fmt::Formatter<'_>, all: &[AreaStated]) -> fmt::Result {
    if all.is_empty() {
        return Ok(());
    }
    writeln!(f, "\nProbability that some cell of an area is active, areas")?;
    writeln!(f, "  {:<16} {:>8} {:>10} {:>10}", "stated", "number", "mean", "active")?;
    for b in area_bins(all).iter().filter(|b| b.areas > 0) {
        let range = format!("{:.2} to {:.2}", b.from, b.to);
        let (mean, active) = (figure(b.mean_prob()), figure(b.active_share()));
        writeln!(f, "  {range:<16} {:>8} {mean:>10} {active:>10}", b.areas)?;
    }
    Ok(())
}

fn foci(f: &mut fmt::Formatter<'_>, all: &[FocusFound]) -> fmt::Result {
    if all.is_empty() {
        return Ok(());
    }
    writeln!(
        f,
        "\nTrue foci, by p_active in cells that one alone makes active (found: {FOUND_AT} or more in one)"
    )?;
    writeln!(f, "  {:<28} {:>8} {:>8} {:>14} {:>10}", "foci", "number", "found", "mean of most", "mean")?;
    for (name, belongs) in FOCUS_CLASSES {
        let class: Vec<&FocusFound> = all.iter().filter(|x| belongs(x)).collect();
        let n = class.len() as f64;
        let mean = |of: &dyn Fn(&FocusFound) -> f64| figure(ratio(class.iter().map(|x| of(x)).sum(), n));
        let found = class.iter().filter(|x| x.is_found()).count();
        if !class.is_empty() {
            let (most, middle) = (mean(&|x| x.p_active_most), mean(&|x| x.p_active_mean));
            writeln!(f, "  {name:<28} {:>8} {found:>8} {most:>14} {middle:>10}", class.len())?;
        }
    }
    Ok(())
}

fn freedom(f: &mut fmt::Formatter<'_>, score: &FreedomScore) -> fmt::Result {
    for (title, bins) in [
        ("Probability of freedom, area-years", &score.p_free),
        (
            "Model's own probability that all land lies under the threshold, area-years",
            &score.p_under_threshold,
        ),
    ] {
        if bins.iter().all(|b| b.zone_years == 0) {
            continue;
        }
        writeln!(f, "\n{title}")?;
        writeln!(
            f,
            "  {:<16} {:>8} {:>10} {:>10} {:>22}",
            "stated", "number", "mean", "free", "without design focus"
        )?;
        for b in bins.iter().filter(|b| b.zone_years > 0) {
            let range = format!("{:.2} to {:.2}", b.from, b.to);
            let (mean, free, without) =
                (figure(b.mean_prob()), figure(b.free_share()), figure(b.without_share()));
            writeln!(f, "  {range:<16} {:>8} {mean:>10} {free:>10} {without:>22}", b.zone_years)?;
        }
    }
    Ok(())
}

fn share(c: &Count) -> String {
    figure(c.share())
}

fn coverage(f: &mut fmt::Formatter<'_>, name: &str, c: &IntervalCoverage) -> fmt::Result {
    let [a, b, d] = c.levels();
    if a.of == 0 {
        return row(f, name, "no case");
    }
    row(f, name, &format!("{}  {}  {}  ({} cases)", share(&a), share(&b), share(&d), a.of))
}

fn hazards(
    f: &mut fmt::Formatter<'_>,
    resident: &IntervalCoverage,
    resident_raised: &IntervalCoverage,
    period: &IntervalCoverage,
    period_raised: &IntervalCoverage,
) -> fmt::Result {
    writeln!(f, "  {:<48} 50 %   90 %   95 %", "")?;
    coverage(f, "cells, recent months, all", resident)?;
    coverage(f, "cells, recent months, truth above 0.02", resident_raised)?;
    coverage(f, "cell and period, all", period)?;
    coverage(f, "cell and period, truth above 0.02", period_raised)
}

fn hot(f: &mut fmt::Formatter<'_>, h: &HotCells) -> fmt::Result {
    let over = ratio(h.estimated_sum_per_year, h.true_sum_per_year);
    row(f, "mean estimate over mean truth, active cells", &figure(over))
}

fn positives(
    f: &mut fmt::Formatter<'_>,
    p: &Positives,
    windows: &[WindowClass],
    origins: &[OriginLevel],
) -> fmt::Result {
    writeln!(f, "\nPositive and suspect pigs")?;
    row(f, "pigs", &p.count.to_string())?;
    row(f, "truly infected: expected, actual", &format!("{:.1}, {}", p.expected_infected, p.infected))?;
    if p.without_window > 0 {
        row(f, "truly infected without an infection window", &p.without_window.to_string())?;
    }
    writeln!(f, "  {:<48} 50 %   90 %   95 %", "infection windows hold the truth, by months of age")?;
    for w in windows {
        coverage(f, &w.ages, &w.coverage)?;
    }
    for o in origins {
        let name = format!("origin areas of {:.0} % hold the truth", 100.0 * o.held.level);
        let area = figure(ratio(o.area_sum_km2, o.held.of as f64));
        row(f, &name, &format!("{} ({} cases), mean size {area} km²", share(&o.held), o.held.of))?;
    }
    Ok(())
}
