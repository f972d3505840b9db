//! The figures the page's script draws from: compact columns of whole numbers, `null` where there is none.
//!
//! Forces of infection, exposures and expected infections are positive numbers of very different size: each
//! is written as the nearest of 250 steps a decade above 1e-6, which keeps it to within 0.5 %.
//! Probabilities are written in ten-thousandths, days as whole days since the first of the grid's.

use crate::assess::area_coverage::standing_number;
use crate::assess::gaps::Gap;
use crate::pipeline::analysis::Analysis;
use crate::records::{Pig, Reading};
use crate::report::layers::gaps;
use crate::report::page::mesh::Mesh;
use crate::report::page::palette::ColourSteps;
use crate::report::page::what_if::{WhatIf, what_if};
use crate::report::page::{graticule, palette};
use crate::report::sentences::{pigs, verdicts, words};
use geo::MultiPolygon;
use serde::Serialize;

/// Most numbers of cells × periods for which the 90 % interval is sent beside the median.
const MOST_WITH_INTERVALS: usize = 400_000;
/// Most negative pigs whose id and date are sent beside their place.
const MOST_NAMED_CLEAR: usize = 20_000;

/// A positive number as a step of its logarithm.
type Step = Option<u16>;

/// Everything the script needs.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(crate) struct Payload {
    cell_m: f64,
    side_m: f64,
    width_m: f64,
    height_m: f64,
    factor: usize,
    rows: usize,
    cols: usize,
    threshold: f64,
    target: f64,
    design: f64,
    least_expected: f64,
    recent: String,
    window: String,
    near_km: f64,
    base_day: f64,
    periods: Vec<String>,
    edges: Vec<i64>,
    steps: StepsOf,
    cells: Cells,
    by_period: ByPeriod,
    zones: Vec<AreaShape>,
    blocks: Vec<AreaShape>,
    gaps: Vec<AreaShape>,
    deep_gaps: Vec<AreaShape>,
    /// Of each block: share of posterior samples in whose best set it is, and what it is chosen for.
    choice: Vec<(Option<u16>, String)>,
    what_if: Option<WhatIf>,
    positives: Vec<Positive>,
    clear: Clear,
    graticule: Vec<graticule::Line>,
}

#[derive(Serialize)]
struct StepsOf {
    force: ColourSteps,
    chance: ColourSteps,
    coverage: ColourSteps,
    standing: Vec<&'static str>,
    best: ColourSteps,
}

/// Columns over squares, south-west first.
#[derive(Serialize)]
struct Cells {
    id: Vec<String>,
    force: [Vec<Step>; 5],
    chance: Vec<Option<u16>>,
    coverage: Vec<Option<u16>>,
    exposure: Vec<Step>,
    infections: Vec<Step>,
    window: [Vec<Option<i64>>; 3],
    standing: Vec<usize>,
    blank: Vec<u8>,
}

#[derive(Serialize)]
struct ByPeriod {
    median: Vec<Vec<Step>>,
    low: Option<Vec<Vec<Step>>>,
    high: Option<Vec<Vec<Step>>>,
}

#[derive(Serialize)]
struct AreaShape {
    name: String,
    rings: Vec<Vec<i64>>,
    label: Option<[i64; 2]>,
    /// What stands under its name on the map.
    said: String,
}

#[derive(Serialize)]
struct Positive {
    id: String,
    at: [i64; 2],
    killed: i64,
    confirmed: bool,
    /// Probability that it was infected near where it was killed in the recent months.
    now: Option<u16>,
    days: Option<[i64; 7]>,
    pieces: Vec<(i64, i64, Option<u16>)>,
    bars: Vec<(&'static str, Option<u16>, Option<String>)>,
    facts: Vec<(&'static str, String)>,
    said: String,
    area50: Vec<usize>,
    area90: Vec<usize>,
}

#[derive(Serialize)]
struct Clear {
    at: Vec<i64>,
    id: Vec<String>,
    killed: Vec<i64>,
}

fn log_step(v: f64) -> Step {
    if !v.is_finite() || v < 0.0 {
        return None;
    }
    Some((250.0 * (v.max(1e-6) / 1e-6).log10()).round().min(65_535.0) as u16)
}

fn share(p: f64) -> Option<u16> {
    p.is_finite().then(|| (p.clamp(0.0, 1.0) * 10_000.0).round() as u16)
}

impl Payload {
    /// Gathers the figures.
    pub(crate) fn new(analysis: &Analysis, mesh: &Mesh, graticule: Vec<graticule::Line>) -> Payload {
        let layout = &analysis.layout;
        let (grid, study, records) = (&layout.grid, &layout.study, &layout.records);
        let base = grid.period_edges[0];
        let place = |x: f64, y: f64| [(x - grid.west_m).round() as i64, (y - grid.south_m).round() as i64];
        let shape = |name: &str, said: String, boundary: &MultiPolygon<f64>| AreaShape {
            name: name.into(),
            said,
            rings: boundary
                .0
                .iter()
                .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
                .map(|r| r.0.iter().flat_map(|c| place(c.x, c.y)).collect())
                .collect(),
            label: crate::report::page::static_map::label_place(boundary).map(|(x, y)| place(x, y)),
        };
        let gap_shapes = |chosen: &dyn Fn(&Gap) -> bool| -> Vec<AreaShape> {
            let listed =
                analysis.assessment.gaps.iter().take(crate::report::page::coverage::MOST_GAPS).enumerate();
            listed
                .filter(|(_, g)| chosen(g))
                .map(|(k, g)| {
                    let pigs = crate::report::sentences::coverage::pigs_for_gap(analysis, g);
                    shape(&gaps::gap_id(k), pigs, &gaps::boundary(layout, g))
                })
                .collect()
        };
        let zones = records.zones.iter().enumerate();
        let zones =
            zones.map(|(i, z)| shape(&z.name, verdicts::on_the_map(analysis, i), &z.boundary)).collect();
        let clear: Vec<&Pig> = records.pigs.iter().filter(|p| !p.is_positive()).collect();
        let named = clear.len() <= MOST_NAMED_CLEAR;
        Payload {
            cell_m: grid.cell_m,
            side_m: mesh.side_m(grid),
            width_m: grid.cols as f64 * grid.cell_m,
            height_m: grid.rows as f64 * grid.cell_m,
            factor: mesh.factor,
            rows: mesh.rows,
            cols: mesh.cols,
            threshold: study.recent.force_of_infection_threshold,
            target: study.coverage.target,
            design: study.coverage.design_force_of_infection,
            least_expected: crate::assess::cells::LEAST_EXPECTED,
            recent: words::months(study.recent.months),
            window: words::months(study.coverage.window_months),
            near_km: study.recent.local_radius_m / 1000.0,
            base_day: base,
            periods: grid.period_edges.windows(2).map(|e| words::period(e[0], e[1])).collect(),
            edges: grid.period_edges.iter().map(|e| (e - base).round() as i64).collect(),
            steps: StepsOf {
                force: palette::force_of_infection(study),
                chance: palette::p_active(),
                coverage: palette::coverage(study),
                standing: palette::STANDING.to_vec(),
                best: palette::in_best(),
            },
            cells: cells(analysis, mesh, base),
            by_period: by_period(analysis, mesh),
            zones,
            blocks: records.blocks.iter().map(|b| shape(&b.name, String::new(), &b.boundary)).collect(),
            gaps: gap_shapes(&|g| g.below >= study.coverage.target),
            deep_gaps: gap_shapes(&|g| g.below < study.coverage.target),
            choice: crate::report::page::chosen::by_block(analysis)
                .into_iter()
                .map(|c| (c.best.and_then(share), c.chosen.join(" and ")))
                .collect(),
            what_if: what_if(analysis),
            positives: positives(analysis, mesh, base, &place),
            clear: Clear {
                at: clear.iter().flat_map(|p| place(p.easting_m, p.northing_m)).collect(),
                id: if named { clear.iter().map(|p| p.id.clone()).collect() } else { Vec::new() },
                killed: if named {
                    clear.iter().map(|p| (p.killed.mid_day() - base).floor() as i64).collect()
                } else {
                    Vec::new()
                },
            },
            graticule,
        }
    }
}

fn cells(analysis: &Analysis, mesh: &Mesh, base: f64) -> Cells {
    let grid = &analysis.layout.grid;
    let of = |k: usize| &analysis.assessment.cells[mesh.shown[k]];
    let squares = || 0..mesh.len();
    Cells {
        // On the full mesh a square's name follows from its place.
        id: if mesh.factor > 1 {
            squares().map(|k| grid.cell_id(mesh.shown[k])).collect()
        } else {
            Vec::new()
        },
        force: [1, 2, 3, 4, 5].map(|q| squares().map(|k| log_step(of(k).hazard.q[q])).collect()),
        chance: squares().map(|k| share(of(k).p_active)).collect(),
        coverage: squares().map(|k| share(of(k).surveillance_sensitivity)).collect(),
        exposure: squares().map(|k| log_step(of(k).exposure_pig_years)).collect(),
        infections: squares().map(|k| log_step(of(k).expected_infections)).collect(),
        window: [0, 1, 2]
            .map(|q| squares().map(|k| of(k).window.map(|w| (w[q] - base).floor() as i64)).collect()),
        standing: squares().map(|k| standing_number(of(k).standing)).collect(),
        blank: mesh.blank.iter().map(|b| u8::from(*b)).collect(),
    }
}

fn by_period(analysis: &Analysis, mesh: &Mesh) -> ByPeriod {
    let grid = &analysis.layout.grid;
    let column = |q: usize| -> Vec<Vec<Step>> {
        (0..grid.periods())
            .map(|t| {
                mesh.shown
                    .iter()
                    .map(|cell| {
                        let (r, c) = grid.row_col(*cell);
                        log_step(analysis.assessment.hazard[grid.at(r, t, c)].q[q])
                    })
                    .collect()
            })
            .collect()
    };
    let intervals = mesh.len() * grid.periods() <= MOST_WITH_INTERVALS;
    ByPeriod { median: column(3), low: intervals.then(|| column(1)), high: intervals.then(|| column(5)) }
}

/// Squares as runs: first, length, first, length, …
fn runs(analysis: &Analysis, mesh: &Mesh, cells: &[usize]) -> Vec<usize> {
    let mut squares: Vec<usize> = cells.iter().map(|c| mesh.square_of(&analysis.layout.grid, *c)).collect();
    squares.sort_unstable();
    squares.dedup();
    let mut out: Vec<usize> = Vec::new();
    for s in squares {
        match out.len() {
            n if n > 0 && out[n - 2] + out[n - 1] == s && !s.is_multiple_of(mesh.cols) => out[n - 1] += 1,
            _ => out.extend([s, 1]),
        }
    }
    out
}

fn positives(
    analysis: &Analysis,
    mesh: &Mesh,
    base: f64,
    place: &dyn Fn(f64, f64) -> [i64; 2],
) -> Vec<Positive> {
    let layout = &analysis.layout;
    let records = &layout.records;
    analysis
        .assessment
        .positives
        .iter()
        .map(|f| {
            let pig = &records.pigs[f.pig];
            let most = crate::assess::spread::steps(&f.pieces);
            let highest = most.iter().map(|s| s.2).fold(0.0, f64::max);
            let facts = vec![
                ("Killed", pigs::killed(pig)),
                ("Result", pigs::result(pig).into()),
                ("Sex and age", pigs::sex_and_age(pig)),
                ("Likely origin", pigs::origin(analysis, f)),
            ];
            Positive {
                id: pig.id.clone(),
                at: place(pig.easting_m, pig.northing_m),
                killed: (pig.killed.mid_day() - base).floor() as i64,
                confirmed: pig.reading == Reading::Confirmed,
                now: share(f.p_local),
                days: f.infection_days.map(|q| q.map(|d| (d - base).floor() as i64)),
                pieces: most
                    .into_iter()
                    .filter(|s| s.2 > 0.0 && highest > 0.0)
                    .map(|(a, b, v)| {
                        ((a - base).round() as i64, (b - base).round() as i64, share(v / highest))
                    })
                    .collect(),
                bars: vec![
                    ("truly infected", share(f.p_true), None),
                    (pigs::RECENT, share(f.p_recent), None),
                    (pigs::LOCAL, share(f.p_local), None),
                    (
                        pigs::IN_AREA,
                        f.p_zone.and_then(share),
                        f.p_zone.is_none().then(|| words::not_estimated("it was killed outside all areas")),
                    ),
                ],
                facts,
                said: pigs::pig(analysis, f),
                area50: runs(analysis, mesh, &f.area50),
                area90: runs(analysis, mesh, &f.area90),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_keep_half_a_per_cent_and_refuse_what_is_no_number() {
        for v in [1e-6, 3.4e-4, 0.05, 0.77, 12.0, 900.0] {
            let back = 1e-6 * 10f64.powf(f64::from(log_step(v).unwrap()) / 250.0);
            assert!((back / v - 1.0).abs() < 0.005, "{v} {back}");
        }
        assert_eq!((log_step(0.0), log_step(f64::NAN), log_step(f64::INFINITY)), (Some(0), None, None));
        assert_eq!((share(0.5), share(1.2), share(f64::NAN)), (Some(5000), Some(10_000), None));
    }
}
