//! Tables on how far a run can be trusted.

use crate::assess::model_checks::Comparison;
use crate::contract::error::ContractError;
use crate::contract::tables::{HELD_OUT, MODEL_CHECKS, RECORD_CHECKS, SENSITIVITY};
use crate::contract::write_table::TableBuilder;
use crate::pipeline::analysis::Analysis;
use crate::pipeline::conclusions::{About, Conclusion};
use crate::report::json::model_checks::{group_kind, zone_id};
use crate::report::sentences::model_checks::{about, group_name};
use itertools::Itertools as _;

pub(crate) fn model_checks(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let c = &analysis.assessment.fit.comparisons;
    let whole = |get: fn(&Comparison) -> usize| c.iter().map(get);
    TableBuilder::new(&MODEL_CHECKS)
        .text("kind", c.iter().map(|c| group_kind(c.group).to_string()))
        .text("group", c.iter().map(|c| group_name(analysis, c.group)))
        .text("zone_id", c.iter().map(|c| zone_id(analysis, c.group)))
        .whole("pigs", whole(|c| c.pigs))
        .whole("observed", whole(|c| c.observed))
        .number("predicted_mean", c.iter().map(|c| c.mean))
        .whole("predicted_q05", whole(|c| c.interval[0]))
        .whole("predicted_q95", whole(|c| c.interval[1]))
        .number("p", c.iter().map(|c| c.p))
        .number("p_all_comparisons", c.iter().map(|c| c.p_all))
        .flag("misfit", c.iter().map(Comparison::misfit))
        .finish(None)
}

pub(crate) fn record_checks(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let r = &analysis.assessment.fit.records;
    let mut unconfirmed = vec![None; r.len()];
    analysis.assessment.fit.unconfirmed.iter().for_each(|(pig, p)| unconfirmed[*pig] = Some(*p));
    TableBuilder::new(&RECORD_CHECKS)
        .text("occurrence_id", analysis.layout.records.pigs.iter().map(|p| p.id.clone()))
        .flag("positive", r.iter().map(|r| r.positive))
        .number("p_positive", r.iter().map(|r| r.p_positive))
        .number("p_positive_others", r.iter().map(|r| r.p_positive_others))
        .number("p_reading_others", r.iter().map(|r| r.p_reading()))
        .number("p_true_unconfirmed", unconfirmed)
        .finish(None)
}

pub(crate) fn sensitivity(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let runs = analysis.sensitivity.iter().flat_map(|s| &s.runs);
    let base = || analysis.sensitivity.iter().flat_map(|s| &s.base);
    // (re-run, what it says, what the run says, whether that holds)
    let rows: Vec<_> = runs
        .flat_map(|r| r.conclusions.iter().zip(base()).zip(&r.holds).map(move |((c, b), h)| (r, c, b, *h)))
        .collect();
    let zones = &analysis.layout.records.zones;
    let zone = |c: &Conclusion| match c.about {
        About::Zone(z) => Some(zones[z].id.clone()),
        _ => None,
    };
    let keys = |list: &[(String, String, String)]| -> String {
        list.iter().map(|(key, before, now)| format!("{key} {before} → {now}")).join("; ")
    };
    TableBuilder::new(&SENSITIVITY)
        .text("run", rows.iter().map(|r| r.0.name.to_string()))
        .text("changes", rows.iter().map(|r| keys(&r.0.keys)))
        .flag("sampled_again", rows.iter().map(|r| r.0.again))
        .whole("criteria_missed", rows.iter().map(|r| r.0.missed.len()))
        .text("about", rows.iter().map(|r| about(analysis, r.1.about)))
        .text("zone_id", rows.iter().map(|r| zone(r.1)))
        .text("question", rows.iter().map(|r| r.1.question.word().to_string()))
        .text("answer", rows.iter().map(|r| r.1.answer.clone()))
        .number("value", rows.iter().map(|r| r.1.value))
        .text("answer_of_the_run", rows.iter().map(|r| r.2.answer.clone()))
        .number("value_of_the_run", rows.iter().map(|r| r.2.value))
        .flag("holds", rows.iter().map(|r| r.3))
        .finish(None)
}

pub(crate) fn held_out(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let a: Vec<_> = analysis.held_out.iter().flat_map(|h| &h.areas).collect();
    let zones = &analysis.layout.records.zones;
    TableBuilder::new(&HELD_OUT)
        .text("zone_id", a.iter().map(|a| zones[a.zone].id.clone()))
        .whole("pigs", a.iter().map(|a| a.pigs))
        .whole("positives", a.iter().map(|a| a.positives))
        .number("positives_expected", a.iter().map(|a| a.expected))
        .number("log_score", a.iter().map(|a| a.log_score))
        .number("log_score_constant_force_of_infection", a.iter().map(|a| a.log_score_constant))
        .number("gain", a.iter().map(|a| a.gain()))
        .number("gain_standard_error", a.iter().map(|a| a.difference_se))
        .text("verdict", a.iter().map(|a| a.verdict().to_string()))
        .number("joint_log_score", a.iter().map(|a| a.joint))
        .number("joint_effective_samples", a.iter().map(|a| a.joint_effective_samples))
        .number("constant_force_of_infection_per_year", a.iter().map(|a| a.constant_hazard))
        .whole("criteria_missed", a.iter().map(|a| a.missed.len()))
        .finish(None)
}
