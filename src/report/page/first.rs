//! "Where first?": the control blocks and what is known of them.

use super::blocks::BlockFigures;
use super::words;
use crate::analysis::Analysis;
use serde::Serialize;

/// One row of the table of blocks.
#[derive(Serialize)]
pub(super) struct BlockRow {
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

/// Blocks whose interval of active area reaches the best block's expectation cannot be told from it.
fn level_with_best(blocks: &[BlockFigures]) -> usize {
    let Some(best) = blocks.first() else { return 0 };
    blocks.iter().filter(|b| b.active_ha.q95() >= best.expected_active_ha).count()
}

/// Opening sentences.
pub(super) fn sentences(analysis: &Analysis, blocks: &[BlockFigures]) -> Vec<String> {
    let names = &analysis.layout.ingested.records.blocks;
    let Some(best) = blocks.first() else {
        return vec![
            "The study names no control blocks, so nothing is estimated by block; the map still shows where activity is likely.".into(),
            "Costs and an order of work under a budget are not computed by this version.".into(),
        ];
    };
    let total: f64 = blocks.iter().map(|b| b.expected_active_ha).sum();
    let mut out = Vec::new();
    if total < 0.5 {
        out.push(format!(
            "In none of the {} is active land expected (under 1 ha in all of them together).",
            words::count(blocks.len(), "block", "blocks")
        ));
    } else {
        out.push(format!(
            "Of {}, {} holds the largest expected active area: about {} of its {} ha (90 % interval {} to {} ha).",
            words::count(blocks.len(), "block", "blocks"),
            names[best.block].name,
            words::hectares(best.expected_active_ha),
            words::hectares(best.area_ha),
            words::hectares(best.active_ha.q05()),
            words::hectares(best.active_ha.q95())
        ));
        let mut sum = 0.0;
        let enough = 1 + blocks
            .iter()
            .take_while(|b| {
                sum += b.expected_active_ha;
                sum < 0.8 * total
            })
            .count();
        let held: f64 = blocks.iter().take(enough).map(|b| b.expected_active_ha).sum();
        out.push(format!(
            "{} {} of the active area expected in blocks, which is {} ha in all.",
            if enough == 1 {
                "That block alone holds".to_string()
            } else {
                format!("The first {enough} in the table hold")
            },
            words::percent(held / total),
            words::hectares(total)
        ));
        let level = level_with_best(blocks);
        if level > 1 {
            out.push(format!(
                "{level} blocks cannot be told apart at the top: their intervals reach the first one's expectation, and neighbours within about 5 km share the same pigs."
            ));
        } else {
            out.push(
                "Blocks within about 5 km of one another share the same pigs, so their order is a matter of judgement."
                    .into(),
            );
        }
    }
    out.push("Costs and an order of work under a budget are not computed by this version.".into());
    out
}

/// Rows of the blocks, in the order given.
pub(super) fn rows(analysis: &Analysis, blocks: &[BlockFigures]) -> Vec<BlockRow> {
    let records = &analysis.layout.ingested.records;
    blocks
        .iter()
        .map(|b| {
            let block = &records.blocks[b.block];
            BlockRow {
                block: b.block,
                name: block.name.clone(),
                expected: words::hectares(b.expected_active_ha),
                interval: format!("{} to {}", words::hectares(b.active_ha.q05()), words::hectares(b.active_ha.q95())),
                share: if b.area_ha > 0.0 {
                    words::percent(b.expected_active_ha / b.area_ha)
                } else {
                    words::not_estimated("no land on the grid")
                },
                area_ha: words::hectares(b.area_ha),
                standing: b.standing_ha.map(words::hectares),
                pigs: format!("{}, {}", words::grouped(b.pigs.0 as f64), b.pigs.1),
                operation: b.last_operation.map_or_else(|| "none recorded".into(), |(d, v)| format!("{d}, {v}")),
                feasible: if block.feasible { "yes" } else { "no" },
            }
        })
        .collect()
}
