//! Tables on how far a run can be trusted.
//!
//! | table | one row per |
//! | --- | --- |
//! | `tables/fit.parquet` | count of positives compared with the model |
//! | `tables/record_fit.parquet` | pig |
//! | `tables/sensitivity.parquet` | re-run × conclusion, where asked for |
//! | `tables/held_out.parquet` | area held out, where asked for |

use crate::assess::model_checks::Comparison;
use crate::pipeline::analysis::Analysis;
use crate::pipeline::conclusions::{About, Conclusion};
use crate::report::sentences::trust;
use crate::report::tables::frame::{frame, numbers, perhaps, texts};
use itertools::Itertools as _;
use polars::prelude::*;

fn wholes(name: &str, values: impl Iterator<Item = usize>) -> Column {
    Column::new(name.into(), values.map(|v| v as i64).collect::<Vec<i64>>())
}

fn flags(name: &str, values: impl Iterator<Item = bool>) -> Column {
    Column::new(name.into(), values.collect::<Vec<bool>>())
}

fn perhaps_texts(name: &str, values: impl Iterator<Item = Option<String>>) -> Column {
    Column::new(name.into(), values.collect::<Vec<Option<String>>>())
}

pub(crate) fn fit(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let c = &analysis.assessment.fit.comparisons;
    let whole = |name: &str, get: fn(&Comparison) -> usize| wholes(name, c.iter().map(get));
    frame(vec![
        texts("kind", c.iter().map(|c| trust::group_kind(c.group).into())),
        texts("group", c.iter().map(|c| trust::group_name(analysis, c.group))),
        perhaps_texts("zone_id", c.iter().map(|c| trust::zone_id(analysis, c.group))),
        whole("pigs", |c| c.pigs),
        whole("observed", |c| c.observed),
        numbers("predicted_mean", c.iter().map(|c| c.mean)),
        whole("predicted_q05", |c| c.interval[0]),
        whole("predicted_q95", |c| c.interval[1]),
        numbers("p", c.iter().map(|c| c.p)),
        numbers("p_all_comparisons", c.iter().map(|c| c.p_all)),
        flags("misfit", c.iter().map(Comparison::misfit)),
    ])
}

pub(crate) fn record_fit(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let r = &analysis.assessment.fit.records;
    let mut unconfirmed = vec![None; r.len()];
    analysis.assessment.fit.unconfirmed.iter().for_each(|(pig, p)| unconfirmed[*pig] = Some(*p));
    frame(vec![
        texts("occurrence_id", analysis.layout.records.pigs.iter().map(|p| p.id.clone())),
        flags("positive", r.iter().map(|r| r.positive)),
        numbers("p_positive", r.iter().map(|r| r.p_positive)),
        numbers("p_positive_others", r.iter().map(|r| r.p_positive_others)),
        numbers("p_reading_others", r.iter().map(|r| r.p_reading())),
        perhaps("p_true_unconfirmed", unconfirmed.into_iter()),
    ])
}

pub(crate) fn sensitivity(analysis: &Analysis) -> PolarsResult<DataFrame> {
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
    frame(vec![
        texts("run", rows.iter().map(|r| r.0.name.into())),
        texts("changes", rows.iter().map(|r| keys(&r.0.keys))),
        flags("sampled_again", rows.iter().map(|r| r.0.again)),
        wholes("criteria_missed", rows.iter().map(|r| r.0.missed.len())),
        texts("about", rows.iter().map(|r| trust::about(analysis, r.1.about))),
        perhaps_texts("zone_id", rows.iter().map(|r| zone(r.1))),
        texts("question", rows.iter().map(|r| r.1.question.word().into())),
        texts("answer", rows.iter().map(|r| r.1.answer.clone())),
        perhaps("value", rows.iter().map(|r| r.1.value)),
        texts("answer_of_the_run", rows.iter().map(|r| r.2.answer.clone())),
        perhaps("value_of_the_run", rows.iter().map(|r| r.2.value)),
        flags("holds", rows.iter().map(|r| r.3)),
    ])
}

pub(crate) fn held_out(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let a: Vec<_> = analysis.held_out.iter().flat_map(|h| &h.areas).collect();
    let zones = &analysis.layout.records.zones;
    frame(vec![
        texts("zone_id", a.iter().map(|a| zones[a.zone].id.clone())),
        wholes("pigs", a.iter().map(|a| a.pigs)),
        wholes("positives", a.iter().map(|a| a.positives)),
        numbers("positives_expected", a.iter().map(|a| a.expected)),
        numbers("log_score", a.iter().map(|a| a.log_score)),
        numbers("log_score_constant_hazard", a.iter().map(|a| a.log_score_constant)),
        numbers("gain", a.iter().map(|a| a.gain())),
        numbers("gain_standard_error", a.iter().map(|a| a.difference_se)),
        texts("verdict", a.iter().map(|a| a.verdict().into())),
        numbers("joint_log_score", a.iter().map(|a| a.joint)),
        numbers("joint_draws", a.iter().map(|a| a.joint_draws)),
        numbers("constant_hazard_per_year", a.iter().map(|a| a.constant_hazard)),
        wholes("criteria_missed", a.iter().map(|a| a.missed.len())),
    ])
}
