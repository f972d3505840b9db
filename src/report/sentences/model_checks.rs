//! How far a run can be trusted: fit to the records, other inputs, areas held out.

use crate::assess::model_checks::{Comparison, Group, Surprise};
use crate::kernel::exposure::AGE_CLASSES_MONTHS;
use crate::pipeline::analysis::Analysis;
use crate::pipeline::conclusions::{About, Conclusion, Question};
use crate::pipeline::held_out::HeldOut;
use crate::pipeline::sensitivity::Sensitivity;
use crate::report::sentences::words::{chance, count, expected, grouped, p_value, signed};

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

/// Where to look when counts of a kind do not fit.
fn look_at(group: Group) -> &'static str {
    match group {
        Group::All => {
            "Look at false-positive lesions and sensitivities in [detection], \
             and at which heads went to the laboratory."
        }
        Group::Age(_) => {
            "Look at how ages were estimated, at the age from which pigs are exposed ([exposure]), \
             and at how soon lesions show and whether they wane ([detection])."
        }
        Group::Area(_) => {
            "Look at how heads were opened there, at operations the file lacks, \
             at the home range and dispersal assumed, and at hunting that follows infection."
        }
        Group::Year(_) => {
            "Look at a change in how heads were opened or tested, at operations the file lacks, \
             and at wrong dates."
        }
    }
}

/// One count that does not fit, and where to look.
fn misfit(analysis: &Analysis, c: &Comparison, of: usize) -> String {
    format!(
        "Of {} {}, {} positive; the model predicts {} (90 % CrI {} to {}; p {}, {} after correction for \
         {of} comparisons). {}",
        count(c.pigs, "pig", "pigs"),
        group_name(analysis, c.group),
        count(c.observed, "is", "are"),
        expected(c.mean),
        c.interval[0],
        c.interval[1],
        p_value(c.two_sided()),
        p_value(c.p_all),
        look_at(c.group)
    )
}

/// What becomes of lesions that the laboratory did not confirm; `None` where there is none.
fn unconfirmed(analysis: &Analysis) -> Option<String> {
    let all = &analysis.assessment.fit.unconfirmed;
    let infected: f64 = all.iter().map(|u| u.1).sum();
    let of = count(
        all.len(),
        "lesion that the laboratory did not confirm",
        "lesions that the laboratory did not confirm",
    );
    (!all.is_empty()).then(|| {
        let number = expected(infected);
        format!(
            "Of {of}, {number} {} expected to be from pigs infected all the same, \
             which a laboratory of the stated sensitivity misses. \
             They count neither as positives nor as evidence of absence, and raise the force of infection \
             (column p_true_unconfirmed of the record checks).",
            if number == "1.0" { "is" } else { "are" }
        )
    })
}

/// Whether the model fits, in a sentence or two.
pub fn fit(analysis: &Analysis) -> Vec<String> {
    let mut said = fit_only(analysis);
    said.extend(unconfirmed(analysis));
    said
}

fn fit_only(analysis: &Analysis) -> Vec<String> {
    let fit = &analysis.assessment.fit;
    let of = fit.comparisons.len();
    let by_area = if analysis.layout.records.zones.is_empty() { "" } else { " by area," };
    let by_itself = format!(
        "{} a p value under 0.05 before correction; by chance one in twenty has.",
        match fit.small_by_itself() {
            0 => "Not one has".to_string(),
            1 => "1 has".to_string(),
            n => format!("{n} have"),
        }
    );
    let misfits = fit.misfits();
    if misfits.is_empty() {
        return vec![format!(
            "The numbers of positives are as the model predicts. \
             {of} counts were compared (all pigs, by age,{by_area} by year). \
             Not one departs from the prediction by more than chance allows. {by_itself} \
             The test is lenient, because the same records made the map."
        )];
    }
    let parts: Vec<String> = misfits.iter().map(|c| misfit(analysis, c, of)).collect();
    vec![
        format!("The model does not fit these records. {}", parts.join(" ")),
        format!("{of} counts were compared (all pigs, by age,{by_area} by year). {by_itself}"),
    ]
}

/// How a record reads.
pub(crate) fn reading(positive: bool) -> &'static str {
    if positive { "positive" } else { "negative" }
}

/// One record among the most surprising, after its id.
pub fn surprise(analysis: &Analysis, s: &Surprise) -> String {
    let r = &analysis.assessment.fit.records[s.pig];
    format!(
        "read {}, where the other records give that a probability of {}; {} as unlikely found, {} expected",
        reading(r.positive),
        p_value(r.p_reading()),
        count(s.found, "record", "records"),
        expected(s.expected)
    )
}

/// What a conclusion is about, for people.
pub(crate) fn about(analysis: &Analysis, about: About) -> String {
    match about {
        About::Zone(z) => analysis.layout.records.zones[z].name.clone(),
        About::WholeGrid => "the whole grid".into(),
        About::Blocks => "blocks".into(),
    }
}

/// A conclusion of the run as a clause.
pub(crate) fn claim(analysis: &Analysis, c: &Conclusion) -> String {
    let place = about(analysis, c.about);
    let chance = c.value.map(chance).unwrap_or_default();
    match c.question {
        Question::Transmission => {
            format!("the verdict on {place} is “{}” ({chance} of its land active)", c.answer)
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
        Question::FirstOperation => format!("{} removes most active land for its money", c.answer),
        Question::ChosenSet => format!("the operations chosen are {}", c.answer.replace(';', ", ")),
    }
}

/// What a re-run says instead, short: `open, 0.41`.
pub(crate) fn instead(c: &Conclusion) -> String {
    match (c.question, c.value) {
        (Question::Transmission | Question::Freedom | Question::Origin, Some(v)) => {
            format!("{}, {}", c.answer, chance(v))
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

/// Which headline conclusions hold under other inputs: how many, each that does not, what chance changes.
pub(crate) fn sensitivity(analysis: &Analysis, s: &Sensitivity) -> Vec<String> {
    let all = 0..s.base.len();
    let mut out = vec![held(s)];
    out.extend(all.filter(|i| !s.holds_in_all(*i)).map(|i| {
        format!("That {} does not hold with {}.", claim(analysis, &s.base[i]), exceptions(s, i).join(", "))
    }));
    out.extend(by_chance(analysis, s));
    out.push(effort(s));
    out
}

/// The same without the conclusions one by one, for beside a table of them.
pub(crate) fn sensitivity_in_short(analysis: &Analysis, s: &Sensitivity) -> Vec<String> {
    [held(s)].into_iter().chain(by_chance(analysis, s)).chain([effort(s)]).collect()
}

fn held(s: &Sensitivity) -> String {
    let all = s.base.len();
    let held = (0..all).filter(|i| s.holds_in_all(*i)).count();
    format!(
        "The study was run again with {} of inputs, one at a time. \
         {} of {all} headline conclusions {} in all of them.",
        count(s.changed().count(), "change", "changes"),
        if held == all { "All".to_string() } else { grouped(held as f64) },
        if held == 1 { "holds" } else { "hold" }
    )
}

/// What another seed alone changes.
fn by_chance(analysis: &Analysis, s: &Sensitivity) -> Option<String> {
    let same = s.runs.iter().find(|r| r.chance_only)?;
    let moved: Vec<String> = (0..s.base.len())
        .filter(|i| !same.holds[*i])
        .map(|i| format!("that {} ({})", claim(analysis, &s.base[i]), instead(&same.conclusions[i])))
        .collect();
    Some(if moved.is_empty() {
        "With the same inputs and another seed every conclusion holds: sampling error changes none.".into()
    } else {
        format!("With the same inputs and another seed, sampling error changes {}.", moved.join(" and "))
    })
}

/// `None` as a word, a number otherwise.
fn none_or(n: usize) -> String {
    if n == 0 { "none".into() } else { n.to_string() }
}

/// How long the re-runs were, and how many of them did not settle.
fn effort(s: &Sensitivity) -> String {
    let missed = s.runs.iter().filter(|r| !r.missed.is_empty()).count();
    let again = s.runs.iter().filter(|r| r.again).count();
    let length = if s.effort[1] < s.full_trajectories {
        format!("{} trajectories a chain instead of {}", s.effort[1], s.full_trajectories)
    } else {
        format!("{} trajectories a chain, as the run had", s.effort[1])
    };
    format!(
        "Re-runs that sample again have {length}; {} of {again} missed a check of convergence.",
        none_or(missed)
    )
}

/// How areas are predicted by a map made without their pigs.
pub(crate) fn held_out(analysis: &Analysis, h: &HeldOut) -> Vec<String> {
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
                    .then(|| format!("{said} one force of infection for everywhere in {}", names.join(", ")))
            })
            .collect();
    let missed = h.areas.iter().filter(|a| !a.missed.is_empty()).count();
    vec![format!(
        "The pigs of one area were left out at a time. The map of the others predicts their readings {}. \
         In brackets: log score gained, ± its standard error. \
         Each run had {} trajectories a chain; {} of {} missed a check of convergence.",
        parts.join("; "),
        h.effort[1],
        none_or(missed),
        h.areas.len()
    )]
}

/// How a re-run went.
pub(crate) fn went(sampled_again: bool, missed: usize) -> String {
    match (sampled_again, missed) {
        (false, _) => "same posterior samples, assessed anew".into(),
        (true, 0) => "passed its checks".into(),
        (true, n) => format!("missed {}", count(n, "check", "checks")),
    }
}

/// Everything in the order of the page, for the terminal.
pub(crate) fn lines(analysis: &Analysis) -> Vec<String> {
    let mut out = fit(analysis);
    out.extend(analysis.sensitivity.iter().flat_map(|s| sensitivity(analysis, s)));
    out.extend(analysis.held_out.iter().flat_map(|h| held_out(analysis, h)));
    out
}
