//! How far a run can be trusted, as sentences and as JSON: fit, other inputs, areas held out. One wording for
//! summary, terminal and page.

use crate::assess::model_checks::{Comparison, Group, Surprise};
use crate::kernel::exposure::AGE_CLASSES_MONTHS;
use crate::pipeline::analysis::Analysis;
use crate::pipeline::conclusions::{About, Conclusion, Question};
use crate::pipeline::held_out::{AreaScore, HeldOut};
use crate::pipeline::reruns::Plan;
use crate::pipeline::sensitivity::{Rerun, Sensitivity};
use crate::report::json::number;
use crate::report::sentences::words::{grouped, prob};
use serde_json::{Value, json};

/// Pigs of a group, after their number: `aged 12 to 24 months`.
pub(crate) fn group_name(analysis: &Analysis, group: Group) -> String {
    let last = AGE_CLASSES_MONTHS.len() - 1;
    match group {
        Group::All => "in all".into(),
        Group::Age(None) => "of unknown age".into(),
        Group::Age(Some(0)) => format!("aged under {} months", AGE_CLASSES_MONTHS[0].1),
        Group::Age(Some(k)) if k >= last => format!("aged {} months or more", AGE_CLASSES_MONTHS[last].0),
        Group::Age(Some(k)) => {
            format!("aged {} to {} months", AGE_CLASSES_MONTHS[k].0, AGE_CLASSES_MONTHS[k].1)
        }
        Group::Area(None) => "killed outside all areas".into(),
        Group::Area(Some(z)) => format!("killed in {}", analysis.layout.records.zones[z].name),
        Group::Year(y) => format!("killed in {y}"),
    }
}

/// The kind of a group, as in tables: all, age, area, year.
pub fn group_kind(group: Group) -> &'static str {
    match group {
        Group::All => "all",
        Group::Age(_) => "age",
        Group::Area(_) => "area",
        Group::Year(_) => "year",
    }
}

/// A p value: `0.013`, `under 0.001`.
pub(crate) fn p_value(p: f64) -> String {
    if p < 0.001 { "under 0.001".into() } else { format!("{p:.3}") }
}

/// A small number of pigs expected: `3.1`, `31`.
pub(crate) fn expected(n: f64) -> String {
    if n < 9.95 { format!("{n:.1}") } else { grouped(n) }
}

fn count(n: usize, one: &str, many: &str) -> String {
    format!("{} {}", grouped(n as f64), if n == 1 { one } else { many })
}

/// A score with its sign, one decimal: `+1.3`, `−0.2`, `0.0`.
pub(crate) fn signed(v: f64) -> String {
    let text = format!("{:.1}", v.abs());
    if text == "0.0" { text } else { format!("{}{text}", if v < 0.0 { '−' } else { '+' }) }
}

/// Where to look when counts of a kind do not fit.
fn look_at(group: Group) -> &'static str {
    match group {
        Group::All => {
            "the false alarms and sensitivities of [detection], and which heads went to the laboratory"
        }
        Group::Age(_) => {
            "how ages were estimated, from what age pigs are exposed ([exposure]), how soon lesions show and whether they wane ([detection])"
        }
        Group::Area(_) => {
            "how heads were opened there, operations the file lacks, the home range and dispersal assumed, hunting that follows infection"
        }
        Group::Year(_) => {
            "a change in how heads were opened or tested, operations the file lacks, wrong dates"
        }
    }
}

fn misfit(analysis: &Analysis, c: &Comparison, of: usize) -> String {
    format!(
        "of {} {}, {} positive where {} are predicted (90 % interval {} to {}; p {}, {} after allowing for {of} comparisons): look at {}",
        count(c.pigs, "pig", "pigs"),
        group_name(analysis, c.group),
        if c.observed == 1 { "1 is".to_string() } else { format!("{} are", grouped(c.observed as f64)) },
        expected(c.mean),
        c.interval[0],
        c.interval[1],
        p_value(c.two_sided()),
        p_value(c.p_all),
        look_at(c.group)
    )
}

/// What becomes of lesions that the laboratory did not confirm; `None` where there is none.
pub(crate) fn unconfirmed(analysis: &Analysis) -> Option<String> {
    let all = &analysis.assessment.fit.unconfirmed;
    let infected: f64 = all.iter().map(|u| u.1).sum();
    let of = count(
        all.len(),
        "lesion that the laboratory did not confirm",
        "lesions that the laboratory did not confirm",
    );
    (!all.is_empty()).then(|| {
        format!(
            "Of {of}, {} expected to be of infected pigs all the same, which a laboratory of the stated sensitivity misses: they count as no positives and as no evidence of absence, and raise the hazard (tables/record_checks.parquet: p_true_unconfirmed).",
            match expected(infected) {
                one if one == "1.0" => "1.0 is".to_string(),
                more => format!("{more} are"),
            }
        )
    })
}

/// Whether the model fits, in a sentence or two.
pub fn fit_sentences(analysis: &Analysis) -> Vec<String> {
    let mut said = fit_only(analysis);
    said.extend(unconfirmed(analysis));
    said
}

fn fit_only(analysis: &Analysis) -> Vec<String> {
    let fit = &analysis.assessment.fit;
    let of = fit.comparisons.len();
    let by_area = if analysis.layout.records.zones.is_empty() { "" } else { " by area," };
    let by_itself = format!(
        "{} a p value under 0.05 by itself; one in twenty has by chance.",
        match fit.small_by_itself() {
            0 => "Not one has".to_string(),
            1 => "1 has".to_string(),
            n => format!("{n} have"),
        }
    );
    let misfits = fit.misfits();
    if misfits.is_empty() {
        return vec![format!(
            "The numbers of positives are as the model predicts: of {of} counts (all pigs, by age,{by_area} by year) none departs from it by more than chance makes among {of}. {by_itself} The test is lenient, for the same records made the map."
        )];
    }
    let parts: Vec<String> = misfits.iter().map(|c| misfit(analysis, c, of)).collect();
    vec![
        format!("The model does not fit these records: {}.", parts.join("; ")),
        format!("{of} counts were compared (all pigs, by age,{by_area} by year). {by_itself}"),
    ]
}

/// One record among the most surprising, after its id.
pub fn surprise(analysis: &Analysis, s: &Surprise) -> String {
    let r = &analysis.assessment.fit.records[s.pig];
    format!(
        "read {} where the others give that a chance of {}; {} as unlikely {} found, {} expected",
        if r.positive { "positive" } else { "clear" },
        p_value(r.p_reading()),
        count(s.found, "record", "records"),
        if s.found == 1 { "is" } else { "are" },
        if s.expected < 0.05 { "under 0.1".into() } else { expected(s.expected) }
    )
}

/// What the re-runs will take, before they start; `None` when there are none.
pub(crate) fn plan(p: &Plan) -> Option<String> {
    let mut parts = Vec::new();
    if p.inputs + p.assessed > 0 {
        parts.push(format!(
            "{} with other inputs or another seed, {} assessed anew from the same draws",
            p.inputs, p.assessed
        ));
    }
    if p.areas > 0 {
        parts.push(format!("{} without the pigs of an area", p.areas));
    }
    (!parts.is_empty()).then(|| {
        format!(
            "running again: {}; {} × {} chains of {} + {} trajectories",
            parts.join(", "),
            p.runs(),
            p.chains,
            p.warmup,
            p.trajectories
        )
    })
}

/// What a conclusion is about, for people.
pub(crate) fn about(analysis: &Analysis, about: About) -> String {
    match about {
        About::Zone(z) => analysis.layout.records.zones[z].name.clone(),
        About::District => "the whole grid".into(),
        About::Blocks => "blocks".into(),
    }
}

/// A conclusion of the run as a clause.
pub(crate) fn claim(analysis: &Analysis, c: &Conclusion) -> String {
    let place = about(analysis, c.about);
    let chance = c.value.map(prob).unwrap_or_default();
    match c.question {
        Question::Transmission => {
            let word = if c.answer == "open" { "an open question" } else { &c.answer };
            format!("ongoing transmission in {place} is {word} ({chance})")
        }
        Question::Freedom => format!("the probability of freedom of {place} is {} ({chance})", c.answer),
        Question::LatestInfection if c.value.is_none() => {
            format!("infections in {place} are too few to date")
        }
        Question::LatestInfection => format!("infections attributed to {place} end by {}", c.answer),
        Question::Origin => {
            format!("positives killed in {place} were infected {} ({chance} inside)", c.answer)
        }
        Question::ActiveCells if c.answer == "1" => "1 cell is active".into(),
        Question::ActiveCells => format!("{} cells are active", c.answer),
        Question::FirstOperation => format!("most active land for its money is removed by {}", c.answer),
        Question::ChosenSet => format!("the operations chosen are {}", c.answer.replace(';', ", ")),
    }
}

/// What a re-run says instead, short: `open, 0.41`.
pub(crate) fn instead(c: &Conclusion) -> String {
    match (c.question, c.value) {
        (Question::Transmission | Question::Freedom | Question::Origin, Some(v)) => {
            format!("{}, {}", c.answer, prob(v))
        }
        (Question::ChosenSet, Some(v)) => format!("{}; {:.0} % kept", c.answer.replace(';', ", "), 100.0 * v),
        _ => c.answer.clone(),
    }
}

/// Re-runs in which conclusion `i` does not hold, each with what it says instead.
pub(crate) fn exceptions(s: &Sensitivity, i: usize) -> Vec<String> {
    let fails = s.changed().filter(|r| !r.holds[i]);
    fails.map(|r| format!("{} ({})", r.label, instead(&r.conclusions[i]))).collect()
}

/// Which headline conclusions hold under other inputs: how many, each that does not, what chance changes, the effort.
pub(crate) fn sensitivity_sentences(analysis: &Analysis, s: &Sensitivity) -> Vec<String> {
    let all = 0..s.base.len();
    let mut out = vec![held(s)];
    out.extend(all.filter(|i| !s.holds_in_all(*i)).map(|i| {
        format!("That {} does not hold with {}.", claim(analysis, &s.base[i]), exceptions(s, i).join(", "))
    }));
    out.extend(chance(analysis, s));
    out.push(effort(s));
    out
}

/// The same without the conclusions one by one, for beside a table of them.
pub(crate) fn sensitivity_in_short(analysis: &Analysis, s: &Sensitivity) -> Vec<String> {
    [held(s)].into_iter().chain(chance(analysis, s)).chain([effort(s)]).collect()
}

fn held(s: &Sensitivity) -> String {
    let all = s.base.len();
    let held = (0..all).filter(|i| s.holds_in_all(*i)).count();
    format!(
        "Run again with {} of inputs, one at a time: {} of {all} headline conclusions {} in all of them.",
        count(s.changed().count(), "change", "changes"),
        if held == all { "all".to_string() } else { grouped(held as f64) },
        if held == 1 { "holds" } else { "hold" }
    )
}

/// What another seed alone changes.
fn chance(analysis: &Analysis, s: &Sensitivity) -> Option<String> {
    let same = s.runs.iter().find(|r| r.chance_only)?;
    let moved: Vec<String> = (0..s.base.len())
        .filter(|i| !same.holds[*i])
        .map(|i| format!("that {} ({})", claim(analysis, &s.base[i]), instead(&same.conclusions[i])))
        .collect();
    Some(if moved.is_empty() {
        "With the same inputs and another seed every conclusion holds: chance of sampling alone changes none."
            .into()
    } else {
        format!(
            "Chance of sampling alone, the same inputs with another seed, changes {}.",
            moved.join(" and ")
        )
    })
}

/// What the re-runs were worth.
fn effort(s: &Sensitivity) -> String {
    let missed = s.runs.iter().filter(|r| !r.missed.is_empty()).count();
    let again = s.runs.iter().filter(|r| r.again).count();
    let length = if s.effort[1] < s.full_trajectories {
        format!("{} trajectories a chain instead of {}", s.effort[1], s.full_trajectories)
    } else {
        format!("{} trajectories a chain, as the run had", s.effort[1])
    };
    format!(
        "Re-runs that sample again have {length}; {} of {again} missed a criterion of convergence.",
        if missed == 0 { "none".to_string() } else { missed.to_string() }
    )
}

/// How areas are predicted by a map made without their pigs.
pub(crate) fn held_out_sentences(analysis: &Analysis, h: &HeldOut) -> Vec<String> {
    let zones = &analysis.layout.records.zones;
    if h.areas.is_empty() {
        return vec!["No area can be held out: there is none with pigs both inside and outside.".into()];
    }
    let named = |word: &str| -> Vec<String> {
        let areas = h.areas.iter().filter(|a| a.verdict() == word);
        areas
            .map(|a| format!("{} ({} ± {:.1})", zones[a.zone].name, signed(a.gain()), a.difference_se))
            .collect()
    };
    let parts: Vec<String> =
        [("better", "better than"), ("alike", "no better and no worse than"), ("worse", "worse than")]
            .into_iter()
            .filter_map(|(word, said)| {
                let names = named(word);
                (!names.is_empty())
                    .then(|| format!("{said} one hazard for everywhere in {}", names.join(", ")))
            })
            .collect();
    let missed = h.areas.iter().filter(|a| !a.missed.is_empty()).count();
    vec![format!(
        "With the pigs of one area left out at a time, the map of the others predicts their readings {} (log score gained, ± its standard error; {} trajectories a chain, {} of {} runs missed a criterion of convergence).",
        parts.join("; "),
        h.effort[1],
        if missed == 0 { "none".to_string() } else { missed.to_string() },
        h.areas.len()
    )]
}

/// Everything in the order of the page, for the terminal.
pub(crate) fn lines(analysis: &Analysis) -> Vec<String> {
    let mut out = fit_sentences(analysis);
    out.extend(analysis.sensitivity.iter().flat_map(|s| sensitivity_sentences(analysis, s)));
    out.extend(analysis.held_out.iter().flat_map(|h| held_out_sentences(analysis, h)));
    out
}

/// The fit as JSON.
pub(crate) fn fit_json(analysis: &Analysis) -> Value {
    let fit = &analysis.assessment.fit;
    let pigs = &analysis.layout.records.pigs;
    let one = |c: &Comparison| {
        json!({
            "kind": group_kind(c.group),
            "group": group_name(analysis, c.group),
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
        "draws": fit.draws,
        "comparisons": fit.comparisons.len(),
        "misfits": fit.misfits().len(),
        "small_by_itself": fit.small_by_itself(),
        "counts": fit.comparisons.iter().map(one).collect::<Vec<_>>(),
        "surprising": fit.surprising.iter().map(|s| json!({
            "occurrence_id": pigs[s.pig].id,
            "p_reading": number(fit.records[s.pig].p_reading()),
            "alike_found": s.found,
            "alike_expected": number(s.expected),
            "said": surprise(analysis, s),
        })).collect::<Vec<_>>(),
        "said": fit_sentences(analysis),
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
pub(crate) fn sensitivity_json(analysis: &Analysis) -> Option<Value> {
    let s = analysis.sensitivity.as_ref()?;
    let run = |r: &Rerun| {
        json!({
            "name": r.name,
            "changes": r.keys.iter().map(|(key, before, now)| json!({ "key": key, "before": before, "now": now })).collect::<Vec<_>>(),
            "sampled_again": r.again,
            "missed": r.missed.iter().map(|(what, why)| json!({ "quantity": what, "missed": why })).collect::<Vec<_>>(),
            "mass_off_grid": number(r.mass_off_grid),
            "conclusions_held": r.holds.iter().filter(|h| **h).count(),
        })
    };
    let conclusion = |(i, c): (usize, &Conclusion)| {
        json!({
            "about": about(analysis, c.about),
            "question": c.question.word(),
            "answer": c.answer,
            "value": c.value.and_then(number),
            "holds_in_all": s.holds_in_all(i),
            "changes_with": s.changed().filter(|r| !r.holds[i]).map(|r| json!({
                "name": r.name, "answer": r.conclusions[i].answer, "value": r.conclusions[i].value.and_then(number),
            })).collect::<Vec<_>>(),
        })
    };
    Some(json!({
        "warmup": s.effort[0],
        "trajectories": s.effort[1],
        "trajectories_of_the_run": s.full_trajectories,
        "conclusions": s.base.iter().enumerate().map(conclusion).collect::<Vec<_>>(),
        "runs": s.runs.iter().map(run).collect::<Vec<_>>(),
        "left_out": s.left_out.iter().map(|(what, why)| json!({ "change": what, "reason": why })).collect::<Vec<_>>(),
        "said": sensitivity_sentences(analysis, s),
    }))
}

/// The areas held out as JSON.
pub(crate) fn held_out_json(analysis: &Analysis) -> Option<Value> {
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
            "missed": a.missed.iter().map(|(what, why)| json!({ "quantity": what, "missed": why })).collect::<Vec<_>>(),
        })
    };
    Some(json!({
        "warmup": h.effort[0],
        "trajectories": h.effort[1],
        "areas": h.areas.iter().map(one).collect::<Vec<_>>(),
        "left_out": h.left_out.iter().map(|(z, why)| json!({ "zone_id": zones[*z].id, "reason": why })).collect::<Vec<_>>(),
        "said": held_out_sentences(analysis, h),
    }))
}
