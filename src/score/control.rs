//! Does treating the chosen blocks remove more of the true hazard than plain rankings would?
//!
//! Every strategy has the same operations, costs and budgets. The run's own sets are those of its frontier.
//! A baseline ranks blocks by one figure of the pigs killed inside (prevalence, kernel-smoothed prevalence,
//! count of positives), treats each against the host that its cover favours, and walks down its list, passing
//! over what the money left does not pay for; it does so in two orders, by the figure alone and by the figure
//! times land per money, so that it is not held back by ignoring costs. Budgets are those of the frontier up
//! to
//! half of the largest, where choosing matters.

use crate::contract::read_table::{TableReader, read_json};
use crate::contract::{FileSpec, layers, tables};
use crate::geography::coordinates::projector::Projector;
use crate::score::baselines::{BaselineWindow, ExaminedPigs, best_bandwidth, prevalence, recent, smoothed};
use crate::score::error::ScoreError;
use crate::score::freedom::{boundary, missing};
use crate::simulate::force_of_infection::square_mean_per_year;
use crate::simulate::truth::Truth;
use geo::{Contains, Coord, MultiPolygon, Point};
use geojson::FeatureCollection;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::Path;

/// Sub-points per axis by which a cell's share of a block is counted.
const SUB_POINTS: usize = 4;

/// How a baseline walks down its list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Order {
    /// By its figure alone.
    Figure,
    /// By its figure times land per money.
    PerMoney,
}

/// What one ranking of blocks removes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ControlBaseline {
    /// What it ranks by.
    pub name: String,
    /// Pigs it saw.
    pub window: BaselineWindow,
    /// How it walks down its list.
    pub order: Order,
    /// Share of the true hazard in blocks that it removes, mean over the budgets.
    pub removed_share: f64,
}

/// What the run's sets and plain rankings remove, at equal budgets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Control {
    /// Budgets compared.
    pub budgets: u64,
    /// Share of the true hazard in blocks that the run's sets remove, mean over the budgets.
    pub removed_share: f64,
    /// The same of the best set that knows the truth's hazard per money, walking down its list.
    pub knowing_share: f64,
    /// Baselines.
    pub baselines: Vec<ControlBaseline>,
}

/// One operation, with what it truly removes.
struct ScoredOperation {
    id: String,
    block: usize,
    allowed: bool,
    cost: f64,
    area_ha: f64,
    /// Mean share of the block's land that its host carries.
    host_share: f64,
    /// Hectares × hazard per pig-year.
    removes: f64,
}

struct BlockLand {
    ids: Vec<String>,
    /// Cells of each block: (index of the cell, share of it).
    cells: Vec<Vec<(usize, f64)>>,
    boundaries: Vec<MultiPolygon<f64>>,
}

/// Compares strategies; `None` when the run has no frontier to compare or the blocks hold no disease.
///
/// # Errors
/// [`ScoreError`] when a table of the run is broken.
pub(crate) fn control(
    run: &Path,
    truth: &Truth,
    seen: &[ExaminedPigs],
    side: f64,
    from: f64,
    end: f64,
) -> Result<Option<Control>, ScoreError> {
    let there = |file: &FileSpec| run.join(file.path).exists();
    if !there(&tables::PRIORITIES) || !there(&tables::FRONTIER) {
        return Ok(None);
    }
    let cells = TableReader::of(run, &tables::CELLS)?;
    let (east, north) = (cells.numbers("easting")?, cells.numbers("northing")?);
    let host = [cells.numbers("possum_share")?, cells.numbers("ferret_share")?];
    let centres: Vec<Coord<f64>> = east.iter().zip(&north).map(|(x, y)| Coord { x: *x, y: *y }).collect();
    let land = read_land(&run.join(layers::BLOCKS.path), &Projector::new(&truth.crs)?, &centres, side)?;
    let hazard: Vec<f64> = centres
        .iter()
        .map(|c| square_mean_per_year(&truth.foci, c.x - 0.5 * side, c.y - 0.5 * side, side, 0.0, from, end))
        .collect();
    let cell_ha = side * side / 10_000.0;
    let over = |block: usize, of: &dyn Fn(usize) -> f64| -> f64 {
        land.cells[block].iter().map(|(c, share)| share * cell_ha * of(*c)).sum()
    };
    let t = TableReader::of(run, &tables::PRIORITIES)?;
    let (ids, hosts) = (t.texts("block_id")?, t.texts("host")?);
    let (cost, efficacy, area) = (t.numbers("cost")?, t.numbers("efficacy")?, t.numbers("area_ha")?);
    let Ok(allowed) = t.flags("allowed") else {
        // Null throughout: the run could name no set.
        return Ok(None);
    };
    let mut all = Vec::new();
    for i in 0..ids.len() {
        let Some(block) = land.ids.iter().position(|b| *b == ids[i]) else { continue };
        let share = &host[usize::from(hosts[i] == "ferret")];
        let ground = over(block, &|_| 1.0).max(f64::MIN_POSITIVE);
        all.push(ScoredOperation {
            id: format!("{}:{}", ids[i], hosts[i]),
            block,
            allowed: allowed[i],
            cost: cost[i],
            area_ha: area[i],
            host_share: over(block, &|c| share[c]) / ground,
            removes: efficacy[i] * over(block, &|c| share[c] * hazard[c]),
        });
    }
    let total: f64 = (0..land.ids.len()).map(|b| over(b, &|c| hazard[c])).sum();
    let f = TableReader::of(run, &tables::FRONTIER)?;
    let budgets = f.numbers("budget")?;
    let sets = f.texts("operations")?;
    let most = budgets.last().copied().unwrap_or(0.0);
    let compared: Vec<usize> =
        (0..budgets.len()).filter(|k| budgets[*k] > 0.0 && budgets[*k] <= 0.5 * most).collect();
    if total <= 0.0 || compared.is_empty() {
        return Ok(None);
    }
    let share = |removed: f64| removed / total;
    let mean =
        |of: &dyn Fn(usize) -> f64| compared.iter().map(|k| of(*k)).sum::<f64>() / compared.len() as f64;
    let own = mean(&|k| {
        let set: Vec<&str> = sets[k].split(';').collect();
        share(all.iter().filter(|o| set.contains(&o.id.as_str())).map(|o| o.removes).sum())
    });
    let walk = |value: &dyn Fn(&ScoredOperation) -> f64, only_main_host: bool| {
        let mut list: Vec<&ScoredOperation> =
            all.iter().filter(|o| o.allowed && (!only_main_host || is_main(&all, o))).collect();
        list.sort_by(|a, b| {
            value(b).total_cmp(&value(a)).then(a.cost.total_cmp(&b.cost)).then(a.id.cmp(&b.id))
        });
        mean(&|k| {
            let mut left = budgets[k];
            let mut removed = 0.0;
            for o in &list {
                if o.cost <= left {
                    left -= o.cost;
                    removed += o.removes;
                }
            }
            share(removed)
        })
    };
    let mut baselines = Vec::new();
    for window in [BaselineWindow::Recent, BaselineWindow::All] {
        let pigs = recent(seen, window, end);
        for (name, figure) in figures(&land, &pigs, &centres) {
            for order in [Order::Figure, Order::PerMoney] {
                let value = |o: &ScoredOperation| match order {
                    Order::Figure => figure[o.block],
                    Order::PerMoney => figure[o.block] * o.area_ha / o.cost.max(1.0),
                };
                baselines.push(ControlBaseline {
                    name: name.into(),
                    window,
                    order,
                    removed_share: walk(&value, true),
                });
            }
        }
    }
    Ok(Some(Control {
        budgets: compared.len() as u64,
        removed_share: own,
        knowing_share: walk(&|o| o.removes / o.cost.max(1.0), false),
        baselines,
    }))
}

/// Whether the operation is against the host that the block's cover favours; possum where they are level.
fn is_main(all: &[ScoredOperation], o: &ScoredOperation) -> bool {
    let first =
        all.iter().filter(|x| x.block == o.block).fold(None::<&ScoredOperation>, |best, x| match best {
            Some(b) if b.host_share >= x.host_share => Some(b),
            _ => Some(x),
        });
    first.is_some_and(|b| b.id == o.id)
}

/// The baselines' figures of every block; none when no pig was seen.
fn figures(land: &BlockLand, pigs: &[ExaminedPigs], centres: &[Coord<f64>]) -> Vec<(&'static str, Vec<f64>)> {
    let Some(overall) = prevalence(pigs) else { return Vec::new() };
    let inside: Vec<Vec<ExaminedPigs>> = land
        .boundaries
        .iter()
        .map(|o| pigs.iter().filter(|p| o.contains(&Point::from(p.place))).copied().collect())
        .collect();
    let raw = inside.iter().map(|p| prevalence(p).unwrap_or(overall)).collect();
    let count = inside.iter().map(|p| p.iter().filter(|p| p.positive).count() as f64).collect();
    let mut out = vec![("prevalence in the block", raw), ("count of positives in the block", count)];
    if let Some(bandwidth) = best_bandwidth(pigs, overall) {
        let mut at: BTreeMap<usize, f64> = BTreeMap::new();
        for (c, _) in land.cells.iter().flatten() {
            at.entry(*c).or_insert_with(|| smoothed(pigs, centres[*c], bandwidth, overall, None));
        }
        let mean = |cells: &Vec<(usize, f64)>| {
            let all: f64 = cells.iter().map(|c| c.1).sum();
            cells.iter().map(|(c, s)| s * at[c]).sum::<f64>() / all.max(f64::MIN_POSITIVE)
        };
        out.push(("kernel-smoothed prevalence", land.cells.iter().map(mean).collect()));
    }
    out
}

/// Blocks of the run's layer in the truth's system, with their cells.
fn read_land(
    path: &Path,
    projector: &Projector,
    centres: &[Coord<f64>],
    side: f64,
) -> Result<BlockLand, ScoreError> {
    let layer: FeatureCollection = read_json(path)?;
    let mut land = BlockLand { ids: Vec::new(), cells: Vec::new(), boundaries: Vec::new() };
    for feature in &layer.features {
        let id = feature.property("block_id").and_then(|v| v.as_str());
        let id = id.ok_or_else(|| missing(path, "block_id", "the id of the block"))?;
        let boundary = boundary(feature, projector, path)?;
        let step = side / SUB_POINTS as f64;
        let share = |c: &Coord<f64>| {
            let inside = (0..SUB_POINTS * SUB_POINTS).filter(|k| {
                let (i, j) = (k / SUB_POINTS, k % SUB_POINTS);
                let x = c.x - 0.5 * side + (j as f64 + 0.5) * step;
                let y = c.y - 0.5 * side + (i as f64 + 0.5) * step;
                boundary.contains(&Point::new(x, y))
            });
            inside.count() as f64 / (SUB_POINTS * SUB_POINTS) as f64
        };
        let cells = centres.iter().enumerate().map(|(i, c)| (i, share(c))).filter(|c| c.1 > 0.0).collect();
        land.ids.push(id.to_string());
        land.cells.push(cells);
        land.boundaries.push(boundary);
    }
    Ok(land)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn operation(id: &str, block: usize, host_share: f64) -> ScoredOperation {
        ScoredOperation {
            id: id.into(),
            block,
            allowed: true,
            cost: 1.0,
            area_ha: 1.0,
            host_share,
            removes: 0.0,
        }
    }

    #[test]
    fn a_block_is_treated_against_the_host_its_cover_favours() {
        let all = [
            operation("a:possum", 0, 0.5),
            operation("a:ferret", 0, 0.5),
            operation("b:possum", 1, 0.2),
            operation("b:ferret", 1, 0.8),
        ];
        let main: Vec<bool> = all.iter().map(|o| is_main(&all, o)).collect();
        assert_eq!(main, [true, false, false, true]);
    }
}
