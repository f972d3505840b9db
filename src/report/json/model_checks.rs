//! Fit, re-runs and areas held out, as they stand in `summary.json`.

use crate::assess::model_checks::{Comparison, Group};
use crate::pipeline::analysis::Analysis;
use crate::pipeline::conclusions::Conclusion;
use crate::pipeline::held_out::AreaScore;
use crate::pipeline::sensitivity::Rerun;
use crate::report::json::number;
use crate::report::sentences::model_checks as sentences;
use serde_json::{Value, json};

/// The kind of a group, as in tables: all, age, area, year.
pub fn group_kind(group: Group) -> &'static str {
    match group {
        Group::All => "all",
        Group::Age(_) => "age",
        Group::Area(_) => "area",
        Group::Year(_) => "year",
    }
}

/// Quantities that missed a check, and why.
pub(crate) fn missed(list: &[(String, String)]) -> Vec<Value> {
    list.iter().map(|(what, why)| json!({ "quantity": what, "missed": why })).collect()
}

/// The fit as JSON.
pub(crate) fn fit(analysis: &Analysis) -> Value {
    let fit = &analysis.assessment.fit;
    let pigs = &analysis.layout.records.pigs;
    let one = |c: &Comparison| {
        json!({
            "kind": group_kind(c.group),
            "group": sentences::group_name(analysis, c.group),
            "zone_id": zone_id(analysis, c.group),
            "pigs": c.pigs,
            "observed": c.observed,
            "predicted_mean": number(c.mean),
            "predicted_q05": c.interval[0],
            "predicted_q95": c.interval[1],
            "p": number(c.p),
            "p_all_comparisons": number(c.p_all),
            "misfit": c.misfit(),
        })
    };
    json!({
        "posterior_samples": fit.samples,
        "comparisons": fit.comparisons.len(),
        "misfits": fit.misfits().len(),
        "small_by_itself": fit.small_by_itself(),
        "counts": fit.comparisons.iter().map(one).collect::<Vec<_>>(),
        "surprising": fit.surprising.iter().map(|s| json!({
            "occurrence_id": pigs[s.pig].id,
            "p_reading": number(fit.records[s.pig].p_reading()),
            "alike_found": s.found,
            "alike_expected": number(s.expected),
            "said": sentences::surprise(analysis, s),
        })).collect::<Vec<_>>(),
        "said": sentences::fit(analysis),
    })
}

/// Id of the zone of a group.
pub(crate) fn zone_id(analysis: &Analysis, group: Group) -> Option<String> {
    match group {
        Group::Area(Some(z)) => Some(analysis.layout.records.zones[z].id.clone()),
        _ => None,
    }
}

/// The re-runs as JSON.
pub(crate) fn sensitivity(analysis: &Analysis) -> Option<Value> {
    let s = analysis.sensitivity.as_ref()?;
    let change =
        |(key, before, now): &(String, String, String)| json!({ "key": key, "before": before, "now": now });
    let run = |r: &Rerun| {
        json!({
            "name": r.name,
            "changes": r.keys.iter().map(change).collect::<Vec<_>>(),
            "sampled_again": r.again,
            "missed": missed(&r.missed),
            "mass_off_grid": number(r.mass_off_grid),
            "conclusions_held": r.holds.iter().filter(|h| **h).count(),
        })
    };
    let conclusion = |(i, c): (usize, &Conclusion)| {
        json!({
            "about": sentences::about(analysis, c.about),
            "question": c.question.word(),
            "answer": c.answer,
            "value": c.value.and_then(number),
            "holds_in_all": s.holds_in_all(i),
            "changes_with": s.changed().filter(|r| !r.holds[i]).map(|r| json!({
                "name": r.name,
                "answer": r.conclusions[i].answer,
                "value": r.conclusions[i].value.and_then(number),
            })).collect::<Vec<_>>(),
        })
    };
    Some(json!({
        "warmup": s.effort[0],
        "trajectories": s.effort[1],
        "trajectories_of_the_run": s.full_trajectories,
        "conclusions": s.base.iter().enumerate().map(conclusion).collect::<Vec<_>>(),
        "runs": s.runs.iter().map(run).collect::<Vec<_>>(),
        "left_out": s.left_out.iter()
            .map(|(what, why)| json!({ "change": what, "reason": why }))
            .collect::<Vec<_>>(),
        "said": sentences::sensitivity(analysis, s),
    }))
}

/// The areas held out as JSON.
pub(crate) fn held_out(analysis: &Analysis) -> Option<Value> {
    let h = analysis.held_out.as_ref()?;
    let zones = &analysis.layout.records.zones;
    let one = |a: &AreaScore| {
        json!({
            "zone_id": zones[a.zone].id,
            "pigs": a.pigs,
            "positives": a.positives,
            "positives_expected": number(a.expected),
            "log_score": number(a.log_score),
            "log_score_constant_force_of_infection": number(a.log_score_constant),
            "gain": number(a.gain()),
            "gain_standard_error": number(a.difference_se),
            "verdict": a.verdict(),
            "joint_log_score": number(a.joint),
            "joint_effective_samples": number(a.joint_effective_samples),
            "constant_force_of_infection_per_year": number(a.constant_hazard),
            "missed": missed(&a.missed),
        })
    };
    Some(json!({
        "warmup": h.effort[0],
        "trajectories": h.effort[1],
        "areas": h.areas.iter().map(one).collect::<Vec<_>>(),
        "left_out": h.left_out.iter()
            .map(|(z, why)| json!({ "zone_id": zones[*z].id, "reason": why }))
            .collect::<Vec<_>>(),
        "said": sentences::held_out(analysis, h),
    }))
}
