//! Effects of past operations and the choice among blocks, in `summary.json` and `choose --json`.

use crate::assess::operations::OperationEffect;
use crate::assess::priorities::candidates::{Candidate, Candidates};
use crate::assess::priorities::{CandidateFigures, Decision};
use crate::report::json::{number, spread};
use crate::report::sentences::operations;
use serde_json::{Value, json};

/// Effects of past operations as JSON.
pub(crate) fn effects(effects: &[OperationEffect]) -> Value {
    let one = |e: &OperationEffect| {
        json!({
            "host": e.host.word(),
            "operations": e.operations,
            "blocks": e.blocks,
            "fall_share": spread(&e.fall),
            "assumed_fall_share_q05_q50_q95": e.assumed.map(number),
            "said": operations::effect(e),
        })
    };
    Value::Array(effects.iter().map(one).collect())
}

/// A decision as JSON.
pub(crate) fn decision(slate: &Candidates, d: &Decision, currency: &str) -> Value {
    let ids = |list: &[usize]| -> Vec<String> { list.iter().map(|i| slate.candidates[*i].id()).collect() };
    let frontier: Vec<Value> = d
        .frontier
        .iter()
        .map(|p| {
            json!({
                "budget": number(p.budget), "cost": number(p.cost), "removed_ha": spread(&p.removed_ha),
                "residual_ha": spread(&p.residual_ha), "operations": ids(&p.operations),
            })
        })
        .collect();
    let operations: Vec<Value> =
        slate.candidates.iter().zip(&d.figures).map(|(c, f)| operation(c, f)).collect();
    json!({
        "currency": currency,
        "budget": number(d.budget),
        "budget_given": d.budget_given,
        "chosen": ids(&d.chosen()),
        "cost": number(d.cost),
        "area_ha": number(d.area_ha),
        "active_ha": spread(&d.active_ha),
        "removed_ha": spread(&d.removed_ha),
        "residual_ha": spread(&d.residual_ha),
        "proven_best": d.proven,
        "posterior_samples_solved": d.samples_solved,
        "operations": operations,
        "not_told_apart": d.ties.iter().map(|t| ids(t)).collect::<Vec<_>>(),
        "frontier": frontier,
        "caution": operations::OPERATORS,
    })
}

fn operation(c: &Candidate, f: &CandidateFigures) -> Value {
    json!({
        "operation": c.id(),
        "name": c.name,
        "method": c.method.word(),
        "area_ha": number(c.area_ha),
        "cost": number(c.cost),
        "cost_given": c.cost_given,
        "allowed": f.allowed,
        "expected_removed_ha": number(f.expected_removed_ha),
        "score_ha_per_1000": f.score.and_then(number),
        "rank": f.rank,
        "chosen": f.chosen,
        "fills_budget_only": f.fills.then_some(true),
        "p_in_best_set": f.p_in_best_set.and_then(number),
        "value_of_sample": f.look.and_then(|l| number(l.value_of_sample)),
        "net_value_of_sample": f.look.and_then(|l| number(l.net_value_of_sample)),
        "value_of_perfect_information": f.look.and_then(|l| number(l.value_of_perfect_information)),
        "p_better_elsewhere": f.look.and_then(|l| number(l.p_better_elsewhere)),
        "advice": f.look.map(|l| l.advice.word()),
    })
}
