//! "Where first?": which blocks to treat, how sure that is, and what is known of each.

use crate::assess::blocks::BlockFigures;
use crate::assess::priorities::Decision;
use crate::assess::priorities::candidates::Candidates;
use crate::pipeline::analysis::Analysis;
use crate::records::WildlifeHost;
use crate::report::sentences::{decisions, words};
use itertools::Itertools as _;
use serde::Serialize;

/// One row of the table of blocks.
#[derive(Serialize)]
pub(crate) struct BlockRow {
    block: usize,
    name: String,
    expected: String,
    interval: String,
    share: String,
    area_ha: String,
    standing: [String; 4],
    pigs: String,
    operation: String,
    feasible: &'static str,
}

/// One row of a table of operations.
#[derive(Serialize)]
pub(crate) struct OperationRow {
    block: usize,
    rank: usize,
    name: String,
    method: String,
    cost: String,
    removes: String,
    score: String,
    chosen: bool,
    fills: bool,
    best: String,
    alike: String,
    look: String,
    below: String,
}

/// Operations against one host.
#[derive(Serialize)]
pub(crate) struct OperationTable {
    host: &'static str,
    rows: Vec<OperationRow>,
}

/// Blocks in the order of the table: largest expected active area first.
pub(crate) fn order(analysis: &Analysis) -> Vec<&BlockFigures> {
    let mut blocks: Vec<&BlockFigures> = analysis.assessment.blocks.iter().collect();
    blocks.sort_by(|a, b| b.expected_active_ha.total_cmp(&a.expected_active_ha));
    blocks
}

fn decision(analysis: &Analysis) -> Option<&Decision> {
    analysis.assessment.decision.as_ref().and_then(|d| d.as_ref().ok())
}

/// `Vellisk Tops (possum)`.
fn named(slate: &Candidates, i: usize) -> String {
    format!("{} ({})", slate.candidates[i].name, slate.candidates[i].host.word())
}

/// Opening sentences.
pub(crate) fn sentences(analysis: &Analysis) -> Vec<String> {
    let a = &analysis.assessment;
    let mut out = match &a.decision {
        None => vec![
            "The study names no control blocks, so nothing is chosen; the map still shows where activity is likely."
                .into(),
        ],
        Some(Err(e)) => vec![format!("No set of blocks is named: {e}.")],
        Some(Ok(d)) => chosen(analysis, d),
    };
    if !a.operations.is_empty() {
        out.push(a.operations.iter().map(decisions::effect).join(" "));
    }
    out
}

fn chosen(analysis: &Analysis, d: &Decision) -> Vec<String> {
    let slate = &analysis.assessment.slate;
    let keys = &analysis.layout.study.priorities;
    let money = |v: f64| decisions::money(&keys.currency, v);
    let ha = words::hectares;
    let set = d.chosen();
    let budget = if d.budget_given {
        format!("With {}", money(d.budget))
    } else {
        format!("No budget was given; with {}, assumed,", money(d.budget))
    };
    let mut out = Vec::new();
    if set.is_empty() {
        out.push(format!(
            "{budget} no operation is worth doing: {} active ha are expected in all blocks together.",
            ha(d.active_ha.mean)
        ));
        if let Some(first) = order(analysis).first() {
            out.push(format!(
                "The largest active area is expected in {}: about {} ha (90 % interval {} to {}).",
                analysis.layout.records.blocks[first.block].name,
                ha(first.expected_active_ha),
                ha(first.active_ha.q05()),
                ha(first.active_ha.q95())
            ));
        }
        return out;
    }
    let names: Vec<String> = set.iter().map(|i| named(slate, *i)).collect();
    out.push(format!(
        "{budget} treat {}: for {} that is expected to remove about {} of the {} active ha in blocks (90 % interval {} to {}) and to leave about {} (90 % interval {} to {}).",
        words::list(&names, 8),
        money(d.cost),
        ha(d.removed_ha.mean),
        ha(d.active_ha.mean),
        ha(d.removed_ha.q05()),
        ha(d.removed_ha.q95()),
        ha(d.residual_ha.mean),
        ha(d.residual_ha.q05()),
        ha(d.residual_ha.q95()),
    ));
    let sure = |i: &&usize| d.figures[**i].p_in_best_set.is_some_and(|p| p >= 0.8);
    let firm: Vec<String> = set.iter().filter(sure).map(|i| named(slate, *i)).collect();
    let open = set.len() - firm.len();
    out.push(match (firm.len(), open) {
        (0, _) => {
            "Not one of them is in the best set of four draws in five: the pigs leave the choice open.".into()
        }
        (_, 0) => "Each of them is in the best set of at least four draws in five.".into(),
        (_, n) => format!(
            "{} in the best set of at least four draws in five; {} in fewer: less sure.",
            if firm.len() == 1 {
                format!("{} is", firm[0])
            } else {
                format!("{} are", words::list(&firm, 6))
            },
            if n == 1 { "the other one is".to_string() } else { format!("the other {n} are") },
        ),
    });
    let mut open_points = Vec::new();
    if let Some(t) = d.ties.iter().find(|t| t.iter().any(|i| d.figures[*i].chosen)) {
        let names: Vec<String> = t.iter().map(|i| named(slate, *i)).collect();
        open_points.push(format!(
            "Pigs cannot tell {} apart: the activity expected in them lies within {} km, and they change places from draw to draw.",
            words::list(&names, 6),
            keys.tie_distance_m / 1000.0
        ));
    }
    let thin: Vec<usize> = set
        .iter()
        .copied()
        .filter(|i| d.figures[*i].look.is_some_and(|l| l.net_value_of_sample > 0.0))
        .collect();
    let worth = |i: &usize| d.figures[*i].look.map_or(0.0, |l| l.net_value_of_sample);
    if let Some(first) = thin.iter().max_by(|a, b| worth(a).total_cmp(&worth(b))) {
        open_points.push(format!(
            "Look first in {} of them: before {} is treated, {} from there would be worth about {} more than they cost, since the evidence is thin for the price.",
            thin.len(),
            named(slate, *first),
            words::count(keys.sample_pigs, "pig", "pigs"),
            money(worth(first)),
        ));
    }
    if !open_points.is_empty() {
        out.push(open_points.join(" "));
    }
    out
}

/// Whose figures the costs are.
pub(crate) fn costs(analysis: &Analysis) -> String {
    let all = &analysis.assessment.slate.candidates;
    match all.iter().filter(|c| !c.cost_given).count() {
        0 => "Costs per hectare are those of the blocks file; kills are the study file's.".into(),
        n => format!(
            "Costs per hectare of {n} of the {} operations are defaults drawn from old press figures, and weak: put your own in the blocks file. Kills are the study file's.",
            all.len()
        ),
    }
}

/// Tables of operations, possum then ferret, those that may be done, best score first.
pub(crate) fn operations(analysis: &Analysis) -> Vec<OperationTable> {
    let Some(d) = decision(analysis) else { return Vec::new() };
    let slate = &analysis.assessment.slate;
    let currency = &analysis.layout.study.priorities.currency;
    let table = |host: WildlifeHost| {
        let mut rows: Vec<OperationRow> = (0..slate.candidates.len())
            .filter(|i| slate.candidates[*i].host == host)
            .filter_map(|i| {
                let (c, f) = (&slate.candidates[i], &d.figures[i]);
                Some(OperationRow {
                    block: c.block,
                    rank: f.rank?,
                    name: c.name.clone(),
                    method: format!("{}, {} ha", c.method.word(), words::hectares(c.area_ha)),
                    cost: format!(
                        "{}{}",
                        decisions::money(currency, c.cost),
                        if c.cost_given { "" } else { ", default" }
                    ),
                    removes: words::two_digits(f.expected_removed_ha),
                    score: f.score.map_or_else(|| words::not_estimated("costs nothing"), words::two_digits),
                    chosen: f.chosen,
                    fills: f.fills,
                    best: f.p_in_best_set.map_or_else(|| words::not_estimated("no draws"), words::prob),
                    alike: match f.tie {
                        None => "none".into(),
                        Some(t) => {
                            let others: Vec<String> = d.ties[t]
                                .iter()
                                .filter(|o| **o != i)
                                .map(|o| slate.candidates[*o].name.clone())
                                .collect();
                            words::list(&others, 4)
                        }
                    },
                    look: f.look.map_or_else(
                        || words::not_estimated("nothing is worth doing"),
                        |l| {
                            if l.net_value_of_sample > 0.0 {
                                format!(
                                    "yes, worth {} after its cost",
                                    decisions::money(currency, l.net_value_of_sample)
                                )
                            } else {
                                format!("no, worth {}", decisions::money(currency, l.value_of_sample))
                            }
                        },
                    ),
                    below: f.look.map_or_else(
                        || words::not_estimated("nothing is worth doing"),
                        |l| words::prob(l.p_better_elsewhere),
                    ),
                })
            })
            .collect();
        rows.sort_by_key(|r| r.rank);
        OperationTable { host: host.word(), rows }
    };
    WildlifeHost::BOTH.into_iter().map(table).filter(|t| !t.rows.is_empty()).collect()
}

/// Rows of the blocks, in the order given.
pub(crate) fn rows(analysis: &Analysis, blocks: &[&BlockFigures]) -> Vec<BlockRow> {
    let records = &analysis.layout.records;
    blocks
        .iter()
        .map(|b| {
            let block = &records.blocks[b.block];
            BlockRow {
                block: b.block,
                name: block.name.clone(),
                expected: words::hectares(b.expected_active_ha),
                interval: format!(
                    "{} to {}",
                    words::hectares(b.active_ha.q05()),
                    words::hectares(b.active_ha.q95())
                ),
                share: if b.area_ha > 0.0 {
                    words::percent(b.expected_active_ha / b.area_ha)
                } else {
                    words::not_estimated("no land on the grid")
                },
                area_ha: words::hectares(b.area_ha),
                standing: b.standing_ha.map(words::hectares),
                pigs: format!("{}, {}", words::grouped(b.pigs.0 as f64), b.pigs.1),
                operation: b
                    .last_operation
                    .map_or_else(|| "none recorded".into(), |(d, v)| format!("{d}, {}", v.word())),
                feasible: if block.feasible { "yes" } else { "no" },
            }
        })
        .collect()
}
