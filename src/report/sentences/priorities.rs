//! Which blocks first: the set chosen, how sure it is, and whether to sample before treating.

use crate::assess::blocks::BlockFigures;
use crate::assess::priorities::candidates::{Candidate, Candidates};
use crate::assess::priorities::choice_error::ChoiceError;
use crate::assess::priorities::value_of_information::Look;
use crate::assess::priorities::{ABOUT_AS_GOOD, CandidateFigures, Decision};
use crate::assess::spread::Spread;
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::words;

/// `Vellisk Tops (possum)`.
fn named(slate: &Candidates, i: usize) -> String {
    format!("{} ({})", slate.candidates[i].name, slate.candidates[i].host.word())
}

fn names(slate: &Candidates, some: &[usize], most: usize) -> String {
    let all: Vec<String> = some.iter().map(|i| named(slate, *i)).collect();
    words::list(&all, most)
}

/// `1 230 ha (90 % CrI 1 000 to 1 500)`.
fn hectares(s: &Spread) -> String {
    format!(
        "about {} ha (90 % CrI {})",
        words::hectares(s.mean),
        words::range(s.q05(), s.q95(), words::hectares)
    )
}

/// The study has no blocks.
pub(crate) const NO_BLOCKS: &str =
    "The study names no control blocks, so nothing is chosen. The map still shows where activity is likely.";

/// Why an operation has no value of information.
pub(crate) const NOTHING_TO_DECIDE: &str = "there is nothing to decide";

/// No set can be named.
pub(crate) fn no_set(e: &ChoiceError) -> String {
    format!("No set of blocks is named: {e}.")
}

/// The budget, as a sentence's beginning.
fn budget(d: &Decision, currency: &str) -> String {
    if d.budget_given {
        format!("With {}", words::money(currency, d.budget))
    } else {
        format!("With {} (assumed: no budget was given)", words::money(currency, d.budget))
    }
}

/// The set chosen: what it costs, removes and leaves.
pub(crate) fn chosen(d: &Decision, slate: &Candidates, currency: &str) -> String {
    let set = d.chosen();
    if set.is_empty() {
        return format!(
            "{}, no operation is chosen: all blocks together are expected to hold {} active ha.",
            budget(d, currency),
            words::hectares(d.active_ha.mean)
        );
    }
    format!(
        "{}, treat {}. That costs {}. It is expected to remove {} of the {} active ha in blocks, \
         and to leave {}.",
        budget(d, currency),
        names(slate, &set, 8),
        words::money(currency, d.cost),
        hectares(&d.removed_ha),
        words::hectares(d.active_ha.mean),
        hectares(&d.residual_ha),
    )
}

/// What would tell blocks apart that are not named.
pub(crate) const TELLS_APART: &str =
    "Where more pigs would tell most stands under “Have we looked?”; pignut sample names places for them.";

/// Whether blocks are named: a plan made without any pig would do clearly worse.
pub(crate) fn names_blocks(analysis: &Analysis) -> bool {
    analysis.assessment.plan_without_pigs.is_none_or(|share| share < ABOUT_AS_GOOD)
}

/// The set chosen; where the records do not tell the blocks apart, that none is named.
pub(crate) fn plan(analysis: &Analysis, d: &Decision) -> String {
    let currency = &analysis.layout.study.priorities.currency;
    match analysis.assessment.plan_without_pigs {
        Some(share) if !names_blocks(analysis) => format!(
            "{}, no block is named: a plan made without any pig would be expected to remove {} of what the \
             best one removes. The pigs examined do not tell these blocks apart yet. Examine more, or choose \
             by cost and access.",
            budget(d, currency),
            if share >= 1.0 { "all".into() } else { words::share(share) }
        ),
        _ => chosen(d, &analysis.assessment.slate, currency),
    }
}

/// What the chosen set is expected to clear, in a line.
pub(crate) fn expected(d: &Decision) -> String {
    if d.chosen().is_empty() {
        return "No operation is worth its money.".into();
    }
    format!(
        "Expected to clear {} of {} active ha in blocks ({}).",
        words::hectares(d.removed_ha.mean),
        words::hectares(d.active_ha.mean),
        words::range(d.removed_ha.q05(), d.removed_ha.q95(), words::hectares)
    )
}

/// Where the largest active area is expected, when nothing is chosen.
pub(crate) fn largest(analysis: &Analysis, block: &BlockFigures) -> String {
    format!(
        "The largest active area is expected in {}: {}.",
        analysis.layout.records.blocks[block.block].name,
        hectares(&block.active_ha)
    )
}

/// How sure the places in the set are; `None` where nothing is chosen.
pub(crate) fn sureness(d: &Decision, slate: &Candidates) -> Option<String> {
    let set = d.chosen();
    let firm: Vec<usize> =
        set.iter().copied().filter(|i| d.figures[*i].p_in_best_set.is_some_and(|p| p >= 0.8)).collect();
    let maps = "in at least 80 of 100 plausible maps";
    match (set.len(), firm.len(), set.len() - firm.len()) {
        (0, ..) => None,
        (_, 0, _) => {
            Some(format!("No block belongs in the best set {maps}: the records leave the choice open."))
        }
        (_, _, 0) => Some(format!("Each of them belongs in the best set {maps}.")),
        (_, one, others) => Some(format!(
            "{} {} in the best set {maps}. {} less sure.",
            names(slate, &firm, 6),
            if one == 1 { "belongs" } else { "belong" },
            if others == 1 { "The other one is".to_string() } else { format!("The other {others} are") }
        )),
    }
}

/// Blocks among those chosen that cannot be told from one another.
pub(crate) fn indistinguishable(d: &Decision, slate: &Candidates, distance_m: f64) -> Option<String> {
    let tie = d.ties.iter().find(|t| t.iter().any(|i| d.figures[*i].chosen))?;
    Some(format!(
        "The pigs cannot tell {} apart: they lie within {} of one another, \
         and plausible maps put the activity now in one, now in another.",
        names(slate, tie, 6),
        words::km(distance_m)
    ))
}

/// Where to sample before treating.
pub(crate) fn sample_first(d: &Decision, slate: &Candidates, pigs: usize, currency: &str) -> Option<String> {
    let net = |i: &usize| d.figures[*i].look.map_or(0.0, |l| l.net_value_of_sample);
    let thin: Vec<usize> = d.chosen().into_iter().filter(|i| net(i) > 0.0).collect();
    let first = thin.iter().max_by(|a, b| net(a).total_cmp(&net(b)))?;
    Some(format!(
        "Sample first in {} of them, where the evidence is thin for the price. \
         Before {} is treated, examine {} from there: \
         that is likely to save about {} more than it costs.",
        thin.len(),
        named(slate, *first),
        words::count(pigs, "pig", "pigs"),
        words::money(currency, net(first)),
    ))
}

/// Whether to sample one operation's block first, short.
pub(crate) fn advice(f: &CandidateFigures, currency: &str) -> String {
    let net = |l: Look| words::money(currency, l.net_value_of_sample);
    match f.look {
        None => words::not_estimated(NOTHING_TO_DECIDE),
        Some(_) if f.fills && f.chosen => "no; only fills the budget, may be left".into(),
        Some(l) if l.net_value_of_sample > 0.0 => format!("yes: likely to save {} after its cost", net(l)),
        Some(l) => format!("no: would save {} before its cost", words::money(currency, l.value_of_sample)),
    }
}

/// What an operation costs, and whether that is a default.
pub(crate) fn cost(c: &Candidate, currency: &str) -> String {
    format!("{}{}", words::money(currency, c.cost), if c.cost_given { "" } else { ", default" })
}

/// Whose figures the costs are.
pub(crate) fn costs(slate: &Candidates) -> String {
    let efficacy = "The efficacy of operations is that of the study file.";
    match slate.candidates.iter().filter(|c| !c.cost_given).count() {
        0 => format!("Costs per hectare are those of the blocks file. {efficacy}"),
        n => format!(
            "Costs per hectare of {n} of the {} operations are defaults from old press figures, and weak: \
             put your own in the blocks file. {efficacy}",
            slate.candidates.len()
        ),
    }
}
