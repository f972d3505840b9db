//! Findings on operations and blocks as sentences and as JSON: one wording for summary, terminal and page.

use crate::assess::operations::OperationEffect;
use crate::assess::priorities::candidates::{Candidate, Candidates};
use crate::assess::priorities::{CandidateFigures, Decision};
use crate::assess::spread::Spread;
use crate::report::json::number;
use crate::report::sentences::words::grouped;
use serde_json::{Map, Value, json};

/// Operations are never described beyond block, host and money; shown wherever a set is named.
pub(crate) const OPERATORS: &str = "Operations are for licensed operators, with the permission of landholders and the health agency, under local rules; nothing here states a method in the field, a bait or a dose.";

/// `71`, or `under 1` and `over 99`: a sampler cannot prove the ends.
fn per_cent(share: f64) -> String {
    match 100.0 * share {
        p if p > 99.0 => "over 99".into(),
        p if p > 0.0 && p < 1.0 => "under 1".into(),
        p => format!("{p:.0}"),
    }
}

/// `40 to 88 %`; ends below 0 are told as a rise.
fn stretch(low: f64, high: f64) -> String {
    match (low < 0.0, high < 0.0) {
        (false, _) => format!("{} to {} %", per_cent(low), per_cent(high)),
        (true, false) => format!("a rise of {} % to a fall of {} %", per_cent(-low), per_cent(high)),
        (true, true) => format!("a rise of {} to {} %", per_cent(-high), per_cent(-low)),
    }
}

/// What a type of past operation did: `the hazard fell by 71 % (90 %: 40 to 88 %) …`.
pub fn effect(e: &OperationEffect) -> String {
    let f = &e.fall;
    let plural = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    let moved = if f.mean < 0.0 {
        format!("rose by {} %", per_cent(-f.mean))
    } else {
        format!("fell by {} %", per_cent(f.mean))
    };
    let (before, after) = (e.assumed[2] - e.assumed[0], f.q95() - f.q05());
    let learnt = if after > 0.8 * before { "; the records add little to that" } else { "" };
    format!(
        "Over the year after {} against {}s, in {}, the hazard {moved} (90 %: {}), compared with the same blocks had it not been done; {} was assumed before the records were read{learnt}.",
        plural(e.operations, "operation"),
        e.host.word(),
        plural(e.blocks, "block"),
        stretch(f.q05(), f.q95()),
        stretch(e.assumed[0], e.assumed[2]),
    )
}

/// A whole sum of money, thousands apart: `NZD 231 000`.
pub(crate) fn money(currency: &str, v: f64) -> String {
    format!("{currency} {}", grouped(v))
}

/// A spread as an object of mean, median and 5 and 95 % points.
pub(crate) fn spread(s: &Spread) -> Value {
    let mut map = Map::new();
    for (name, v) in [("mean", s.mean), ("q05", s.q05()), ("median", s.median()), ("q95", s.q95())] {
        if let Some(v) = number(v) {
            map.insert(name.into(), v);
        }
    }
    Value::Object(map)
}

/// Effects of past operations as JSON.
pub(crate) fn effects_json(effects: &[OperationEffect]) -> Value {
    let one = |e: &OperationEffect| {
        json!({
            "host": e.host.word(),
            "operations": e.operations,
            "blocks": e.blocks,
            "fall_share": spread(&e.fall),
            "assumed_fall_share_q05_q50_q95": e.assumed.map(number),
            "said": effect(e),
        })
    };
    Value::Array(effects.iter().map(one).collect())
}

/// A decision as JSON.
pub(crate) fn decision_json(slate: &Candidates, d: &Decision, currency: &str) -> Value {
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
        "draws_solved": d.draws_solved,
        "operations": slate.candidates.iter().zip(&d.figures).map(|(c, f)| operation_json(c, f)).collect::<Vec<_>>(),
        "not_told_apart": d.ties.iter().map(|t| ids(t)).collect::<Vec<_>>(),
        "frontier": frontier,
        "caution": OPERATORS,
    })
}

fn operation_json(c: &Candidate, f: &CandidateFigures) -> Value {
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

/// Absent members are left out rather than written as null.
pub(crate) fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(map) => Value::Object(
            map.into_iter().filter(|(_, v)| !v.is_null()).map(|(k, v)| (k, without_nulls(v))).collect(),
        ),
        Value::Array(list) => Value::Array(list.into_iter().map(without_nulls).collect()),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::WildlifeHost;

    #[test]
    fn a_fall_and_a_rise_read_as_such() {
        let spread =
            |mean: f64, low: f64, high: f64| Spread { mean, q: [low, low, low, mean, high, high, high] };
        let of = |fall| OperationEffect {
            host: WildlifeHost::Possum,
            operations: 2,
            blocks: 1,
            fall,
            falls: Vec::new(),
            assumed: [0.1, 0.8, 0.98],
        };
        let said = effect(&of(spread(0.71, 0.4, 0.88)));
        assert!(
            said.contains(
                "2 operations against possums, in 1 block, the hazard fell by 71 % (90 %: 40 to 88 %)"
            ),
            "{said}"
        );
        assert!(said.contains("10 to 98 % was assumed") && !said.contains("little"), "{said}");
        let said = effect(&of(spread(-0.2, -0.6, 0.3)));
        assert!(
            said.contains("rose by 20 % (90 %: a rise of 60 % to a fall of 30 %)")
                && said.contains("add little"),
            "{said}"
        );
        assert_eq!(money("NZD", 231_000.4), "NZD 231\u{202f}000");
    }
}
