//! "Where first?": the rows of operations and of blocks.

use crate::assess::blocks::BlockFigures;
use crate::assess::priorities::Decision;
use crate::pipeline::analysis::Analysis;
use crate::records::WildlifeHost;
use crate::report::sentences::{coverage, operations, priorities, words};
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
    advice: String,
    elsewhere: String,
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

/// Opening paragraphs.
pub(crate) fn opening(analysis: &Analysis) -> Vec<String> {
    let a = &analysis.assessment;
    let (slate, keys) = (&a.slate, &analysis.layout.study.priorities);
    let mut out = match &a.decision {
        None => vec![priorities::NO_BLOCKS.into()],
        Some(Err(e)) => vec![priorities::no_set(e)],
        Some(Ok(d)) if !priorities::names_blocks(analysis) => {
            vec![priorities::plan(analysis, d), priorities::TELLS_APART.into()]
        }
        Some(Ok(d)) => {
            let mut said = vec![priorities::plan(analysis, d)];
            if d.chosen().is_empty() {
                said.extend(order(analysis).first().map(|b| priorities::largest(analysis, b)));
            }
            said.extend(priorities::sureness(d, slate));
            let doubts = [
                priorities::indistinguishable(d, slate, keys.tie_distance_m),
                priorities::sample_first(d, slate, keys.sample_pigs, &keys.currency),
            ];
            let doubts: Vec<String> = doubts.into_iter().flatten().collect();
            said.extend((!doubts.is_empty()).then(|| doubts.join(" ")));
            said
        }
    };
    if !a.operations.is_empty() {
        out.push(a.operations.iter().map(operations::effect).join(" "));
    }
    out
}

/// Tables of operations, possum then ferret, those that may be done, best score first.
pub(crate) fn operation_tables(analysis: &Analysis) -> Vec<OperationTable> {
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
                    cost: priorities::cost(c, currency),
                    removes: words::two_digits(f.expected_removed_ha),
                    score: f.score.map_or_else(|| words::not_estimated("costs nothing"), words::two_digits),
                    chosen: f.chosen && priorities::names_blocks(analysis),
                    fills: f.fills,
                    best: f
                        .p_in_best_set
                        .map_or_else(|| words::not_estimated("no posterior samples"), words::chance),
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
                    advice: priorities::advice(f, currency),
                    elsewhere: f.look.map_or_else(
                        || words::not_estimated(priorities::NOTHING_TO_DECIDE),
                        |l| words::chance(l.p_better_elsewhere),
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
                interval: words::range(b.active_ha.q05(), b.active_ha.q95(), words::hectares),
                share: if b.area_ha > 0.0 {
                    words::share(b.expected_active_ha / b.area_ha)
                } else {
                    words::not_estimated(coverage::NO_LAND)
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
