//! `blocks.geojson`: each control block with what is expected there and what the choice says of it.

use crate::assess::priorities::CandidateFigures;
use crate::assess::priorities::candidates::Candidate;
use crate::contract::layers::BLOCKS;
use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use crate::report::layers::builder::{LayerBuilder, Properties};
use itertools::Itertools as _;

/// The layer. Properties of an operation carry the host's name: `possum_rank`, `ferret_cost`.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn blocks(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let records = &analysis.layout.records;
    let a = &analysis.assessment;
    let decision = a.decision.as_ref().and_then(|d| d.as_ref().ok());
    let mut layer = LayerBuilder::new(&BLOCKS, projector);
    for (block, f) in records.blocks.iter().zip(&a.blocks) {
        let mut properties = Properties::new()
            .text("block_id", block.id.clone())
            .text("name", block.name.clone())
            .number("area_ha", f.area_ha.round())
            .number("expected_active_ha", f.expected_active_ha)
            .interval("active_ha", &f.active_ha)
            .text_if("standing", f.standing.map(|s| s.word().to_string()))
            .value("feasible", serde_json::Value::Bool(block.feasible))
            .number("pigs", f.pigs.0 as f64)
            .number("positives", f.pigs.1 as f64)
            .text_if("last_operation", f.last_operation.map(|o| o.0.to_string()))
            .text_if("last_operation_host", f.last_operation.map(|o| o.1.word().to_string()));
        for (k, c) in a.slate.candidates.iter().enumerate().filter(|(_, c)| c.block == f.block) {
            properties = operation(properties, c, f.by_host_ha, decision.map(|d| &d.figures[k]));
            if let Some(d) = decision {
                let others = d.figures[k].tie.map(|t| {
                    let mut ids = d.ties[t]
                        .iter()
                        .filter(|o| **o != k)
                        .map(|o| a.slate.candidates[*o].block_id.clone());
                    ids.join(";")
                });
                properties = properties.text_if(&format!("{}_not_told_from", c.host.word()), others);
            }
        }
        layer.area(&block.boundary, &block.id, properties)?;
    }
    Ok(layer.finish())
}

fn operation(p: Properties, c: &Candidate, by_host: [f64; 2], f: Option<&CandidateFigures>) -> Properties {
    let name = |what: &str| format!("{}_{what}", c.host.word());
    let mut p = p
        .number(&name("expected_active_ha"), by_host[c.host as usize])
        .text(&name("method"), c.method.word())
        .number(&name("cost"), c.cost);
    let Some(f) = f else { return p };
    p = p
        .value(&name("allowed"), serde_json::Value::Bool(f.allowed))
        .number(&name("expected_removed_ha"), f.expected_removed_ha)
        .number_if(&name("score"), f.score)
        .number_if(&name("rank"), f.rank.map(|r| r as f64))
        .value(&name("chosen"), serde_json::Value::Bool(f.chosen))
        .number_if(&name("p_in_best_set"), f.p_in_best_set);
    if let Some(look) = f.look {
        p = p
            .number(&name("value_of_sample"), look.value_of_sample)
            .number(&name("net_value_of_sample"), look.net_value_of_sample)
            .number(&name("value_of_perfect_information"), look.value_of_perfect_information)
            .number(&name("p_better_elsewhere"), look.p_better_elsewhere)
            .text(&name("advice"), look.advice.word());
    }
    p
}
