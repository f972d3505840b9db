//! Scores what a run says of its positive pigs: infection windows and origin areas.
//!
//! - Infection windows: over positives and suspects that were truly infected; a date on
//!   the edge of an interval counts as inside.
//! - Origin areas: the smallest set of cells that holds the level of the pig's `p_true`;
//!   the cell at the boundary belongs to it by the share needed to reach the level, and
//!   counts by that share both in area and when the infection lies in it. Mass off the
//!   grid counts against the area. The place of infection is a single point, so an area
//!   that is right covers at its level.

use crate::records::day_number;
use crate::score::answer::{Answer, OriginCell, PositiveAnswer};
use crate::score::error::ScoreError;
use crate::score::read_truth::TruthPig;
use crate::score::tally::{Count, IntervalCoverage};
use geo::Coord;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Positives and suspects of the run.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Positives {
    /// How many.
    pub count: u64,
    /// How many the run expected to be truly infected: the sum of p_true.
    pub expected_infected: f64,
    /// How many were.
    pub infected: u64,
    /// Truly infected ones to which the run gave no infection window.
    pub without_window: u64,
}

/// IntervalCoverage of infection windows in one class of true age.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WindowClass {
    /// Class, months.
    pub ages: String,
    /// IntervalCoverage.
    pub coverage: IntervalCoverage,
}

/// Origin areas at one level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OriginLevel {
    /// How many hold the place of infection.
    pub held: Count,
    /// Sum of their sizes, km².
    pub area_sum_km2: f64,
}

/// Classes of true age: label, youngest (included) and oldest (excluded), months.
const AGES: [(&str, f64, f64); 5] = [
    ("all", 0.0, f64::INFINITY),
    ("under 12", 0.0, 12.0),
    ("12 to 24", 12.0, 24.0),
    ("24 to 48", 24.0, 48.0),
    ("48 and over", 48.0, f64::INFINITY),
];

/// Counts over the positives and suspects of a run.
pub(crate) fn score_positives(
    pigs: &[TruthPig],
    answer: &Answer,
) -> Result<(Positives, Vec<WindowClass>, Vec<OriginLevel>), ScoreError> {
    let by_id: BTreeMap<&str, &TruthPig> = pigs.iter().map(|p| (p.occurrence_id.as_str(), p)).collect();
    let mut totals = Positives::default();
    let mut windows: Vec<WindowClass> = AGES
        .iter()
        .map(|a| WindowClass { ages: a.0.into(), coverage: IntervalCoverage::default() })
        .collect();
    let mut origins =
        [0.5, 0.9].map(|level| OriginLevel { held: Count::at(level), area_sum_km2: 0.0 }).to_vec();
    let no_cells = Vec::new();
    for p in &answer.positives {
        let pig = by_id.get(p.id.as_str()).ok_or_else(|| ScoreError::UnknownPig { id: p.id.clone() })?;
        totals.count += 1;
        totals.expected_infected += p.p_true;
        let (Some(date), Some(place)) = (pig.infection_date, pig.infection_place) else {
            continue;
        };
        totals.infected += 1;
        match &p.window {
            None => totals.without_window += 1,
            Some(w) => {
                for (class, age) in windows.iter_mut().zip(&AGES) {
                    if (age.1..age.2).contains(&pig.true_age_months) {
                        class.coverage.add(day_number(date), w);
                    }
                }
            }
        }
        let cells = answer.origins.get(&p.id).unwrap_or(&no_cells);
        for level in origins.iter_mut().filter(|_| p.p_true > 0.0) {
            let (share, area_cells) = origin_area(cells, p, level.held.level, place, answer.manifest.cell_m);
            level.held.add(share);
            level.area_sum_km2 += area_cells * answer.manifest.cell_m.powi(2) / 1e6;
        }
    }
    Ok((totals, windows, origins))
}

/// Share by which the area at `level` holds a place, and its size in cells.
fn origin_area(
    cells: &[OriginCell],
    pig: &PositiveAnswer,
    level: f64,
    place: Coord<f64>,
    cell_m: f64,
) -> (f64, f64) {
    let mut order: Vec<&OriginCell> = cells.iter().filter(|c| c.2 > 0.0).collect();
    order.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
    let half = 0.5 * cell_m;
    let (mut left, mut share, mut area) = (level * pig.p_true, 0.0, 0.0);
    for (_, centre, prob) in order {
        if left <= 0.0 {
            break;
        }
        let taken = (left / prob).min(1.0);
        area += taken;
        let (dx, dy) = (place.x - centre.x, place.y - centre.y);
        if (-half..half).contains(&dx) && (-half..half).contains(&dy) {
            share = taken;
        }
        left -= prob;
    }
    (share, area)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four cells of 0.4, 0.3, 0.2, 0.1 of p_true 0.5: the 50 % area is the first and a third of the second.
    #[test]
    fn origin_area_takes_the_boundary_cell_by_share() {
        let cells: Vec<OriginCell> = [0.2, 0.15, 0.1, 0.05]
            .iter()
            .enumerate()
            .map(|(i, &p)| (format!("c{i}"), Coord { x: 1_000.0 * i as f64, y: 0.0 }, p))
            .collect();
        let pig = PositiveAnswer { id: "P".into(), p_true: 0.5, window: None };
        let at = |x: f64, level: f64| origin_area(&cells, &pig, level, Coord { x, y: 0.0 }, 1_000.0);
        let near = |a: (f64, f64), b: (f64, f64)| {
            assert!((a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9, "{a:?}")
        };
        near(at(0.0, 0.5), (1.0, 1.0 + 1.0 / 3.0));
        near(at(1_000.0, 0.5), (1.0 / 3.0, 1.0 + 1.0 / 3.0));
        near(at(2_000.0, 0.5), (0.0, 1.0 + 1.0 / 3.0));
        near(at(2_000.0, 0.9), (1.0, 3.0));
        near(at(9_000.0, 0.9), (0.0, 3.0));
    }
}
