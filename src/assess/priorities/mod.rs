//! Which blocks first: the best set of operations under a budget, and how sure that is.
//!
//! | question | file |
//! | --- | --- |
//! | what can be done, at what cost, to what effect in each sample? | [`candidates`] |
//! | what must be kept to? | [`constraints`] |
//! | which set removes most? | [`program`] |
//! | what would more or less money buy? | [`frontier`] |
//! | which blocks cannot be told apart? | [`indistinguishable_blocks`] |
//! | treat now, or look first? | [`value_of_information`] |
//!
//! [`decide`] needs the slate alone, not the posterior: a result folder holds the slate, so another
//! budget or another list of musts is answered without sampling again.

pub(crate) mod candidates;
pub(crate) mod choice_error;
pub(crate) mod constraints;
pub(crate) mod frontier;
pub(crate) mod indistinguishable_blocks;
pub(crate) mod program;
pub(crate) mod value_of_information;

use crate::assess::priorities::candidates::{Candidate, Candidates, score};
use crate::assess::priorities::choice_error::ChoiceError;
use crate::assess::priorities::constraints::Constraints;
use crate::assess::priorities::frontier::FrontierPoint;
use crate::assess::priorities::program::{Objective, Program, Solved};
use crate::assess::priorities::value_of_information::Look;
use crate::assess::spread::Spread;
use crate::records::WildlifeHost;
use crate::study::priorities::Priorities;
use rayon::prelude::*;

/// What is said of one candidate operation.
#[derive(Debug, Clone, PartialEq)]
pub struct CandidateFigures {
    /// Active area the operation is expected to remove, hectares.
    pub expected_removed_ha: f64,
    /// Hectares expected to be removed per 1000 of money; `None` when it costs nothing.
    pub score: Option<f64>,
    /// Place by score among the operations against the same host that may be done, from 1.
    pub rank: Option<usize>,
    /// Whether it may be done at all this season.
    pub allowed: bool,
    /// Whether it belongs to the best set at the budget.
    pub chosen: bool,
    /// Whether it is chosen only because money is left: it removes under a tenth ([`FILLS`]) of what its
    /// money buys elsewhere. It may as well be left undone.
    pub fills: bool,
    /// Share of the samples in whose own best set it is; `None` when it may not be done.
    pub p_in_best_set: Option<f64>,
    /// Group of operations that cannot be told apart, an index of [`Decision::ties`].
    pub tie: Option<usize>,
    /// Treat, or look first; `None` where there is nothing to decide.
    pub look: Option<Look>,
}

/// Share of what money buys at the budget under which a chosen operation counts as filling the budget only.
pub(crate) const FILLS: f64 = 0.1;

/// The best set at the budget, and all that is said about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision {
    /// Money available.
    pub budget: f64,
    /// Whether the study or the user gave it; otherwise it is `budget_share` of all worthwhile operations.
    pub budget_given: bool,
    /// One entry a candidate, in the slate's order.
    pub figures: Vec<CandidateFigures>,
    /// Money the chosen set costs.
    pub cost: f64,
    /// Hectares of operations in it.
    pub area_ha: f64,
    /// Active area in all blocks before, over the samples, hectares.
    pub active_ha: Spread,
    /// Active area the set removes, over the samples, hectares.
    pub removed_ha: Spread,
    /// Active area left, over the samples, hectares.
    pub residual_ha: Spread,
    /// Whether no better set exists; otherwise the search was cut short at its node limit.
    pub proven: bool,
    /// What each budget buys, from the least possible to all worthwhile operations.
    pub frontier: Vec<FrontierPoint>,
    /// Operations that cannot be told apart, best first within a group: indices of candidates.
    pub ties: Vec<Vec<usize>>,
    /// Active hectares that the last money at the budget removes, per unit of money.
    pub exchange_ha_per_money: Option<f64>,
    /// Draws for which the best set was found anew.
    pub samples_solved: usize,
}

impl Decision {
    /// Candidates of the chosen set, in the order in which they should be done: what removes most for its
    /// money first, what costs nothing before all.
    pub fn chosen(&self) -> Vec<usize> {
        let mut set: Vec<usize> = (0..self.figures.len()).filter(|i| self.figures[*i].chosen).collect();
        let score = |i: &usize| self.figures[*i].score.unwrap_or(f64::INFINITY);
        set.sort_by(|a, b| score(b).total_cmp(&score(a)));
        set
    }
}

/// Chooses the best set and says how sure that is.
///
/// # Formula
/// ```text
/// maximise Σ_i efficacy_i E[A_i] x_i,  x_i ∈ {0, 1},  Σ_i cost_i x_i ≤ budget  and the terms of the study
/// p_in_best_set(i) = share of samples d in which x_i = 1 maximises Σ_i efficacy_i A_i(d) x_i
/// ```
/// A_i(d) the active area of the operation's block carried by its host in draw d. Of two sets that remove
/// the same the cheaper is taken.
/// # Numerics
/// The main program and the frontier are solved to proven optimality; those of single samples,
/// `best_set_samples` of them spread evenly over all, to within 0.01 %.
/// # Errors
/// [`ChoiceError`] when the terms name what is not there, exclude each other, or cost more than the budget.
pub fn decide(slate: &Candidates, keys: &Priorities) -> Result<Decision, ChoiceError> {
    let terms = Constraints::resolve(slate, keys)?;
    let gain: Vec<f64> = slate.candidates.iter().map(Candidate::expected_removed_ha).collect();
    let least = Program { slate, terms: &terms }.least_cost()?;
    let worthwhile: f64 = slate
        .candidates
        .iter()
        .zip(&gain)
        .zip(&terms.fixed)
        .filter(|((_, g), f)| **g > 0.0 && f.allowed())
        .map(|((c, _), _)| c.cost)
        .sum();
    let budget = match keys.budget {
        Some(budget) if budget + 0.5 < least => return Err(ChoiceError::TooDear { budget, least }),
        Some(budget) => budget,
        None => (keys.budget_share * worthwhile).round().max(least),
    };
    let program = Program { slate, terms: &terms };
    let best = program.at(&gain, budget)?;
    let frontier = crate::assess::priorities::frontier::frontier(&program, &gain, budget, least, worthwhile)?;
    let (in_best, samples_solved) = shares_of_best(&program, keys, budget);
    let exchange = crate::assess::priorities::value_of_information::exchange(slate, &terms, &gain, budget);
    let ties =
        crate::assess::priorities::indistinguishable_blocks::groups(slate, &terms, keys.tie_distance_m);
    let ranks = ranks(slate, &terms, &gain);
    let figures = (0..slate.candidates.len())
        .map(|i| {
            let c = &slate.candidates[i];
            let allowed = terms.fixed[i].allowed();
            CandidateFigures {
                expected_removed_ha: gain[i],
                score: score(gain[i], c.cost),
                rank: ranks[i],
                allowed,
                chosen: best.chosen[i],
                fills: best.chosen[i]
                    && terms.fixed[i] == crate::assess::priorities::constraints::Fixed::Free
                    && exchange.is_some_and(|x| gain[i] < FILLS * x * c.cost),
                p_in_best_set: (allowed && samples_solved > 0)
                    .then(|| in_best[i] as f64 / samples_solved as f64),
                tie: ties.iter().position(|t| t.contains(&i)),
                look: exchange.filter(|_| allowed).map(|x| {
                    crate::assess::priorities::value_of_information::look(
                        c,
                        &slate.sample_positive[c.block],
                        x,
                        keys,
                    )
                }),
            }
        })
        .collect();
    let (active_ha, removed_ha, residual_ha) =
        crate::assess::priorities::frontier::effect(slate, &best.chosen);
    Ok(Decision {
        budget,
        budget_given: keys.budget.is_some(),
        figures,
        cost: slate.cost_of(&best.chosen),
        area_ha: slate.area_of(&best.chosen),
        active_ha,
        removed_ha,
        residual_ha,
        proven: best.proven,
        frontier,
        ties,
        exchange_ha_per_money: exchange,
        samples_solved,
    })
}

/// Checks, before any sampling, that the terms name what is there and can be paid for.
///
/// # Errors
/// As [`decide`].
pub(crate) fn check(slate: &Candidates, keys: &Priorities) -> Result<(), ChoiceError> {
    let terms = Constraints::resolve(slate, keys)?;
    let least = Program { slate, terms: &terms }.least_cost()?;
    match keys.budget {
        Some(budget) if budget + 0.5 < least => Err(ChoiceError::TooDear { budget, least }),
        _ => Ok(()),
    }
}

/// Share of the best set's expected removal from which a plan made without any pig is about as good.
pub(crate) const ABOUT_AS_GOOD: f64 = 0.95;

/// What the best plan made before the first pig would be expected to remove, as a share of what the chosen
/// set is; `None` where nothing is removed, or where the budget pays for all that is worth doing.
///
/// # Formula
/// The plan maximises efficacy × land carried by the host under the same budget and constraints: before the
/// first pig every place is as likely to be active as another. It is then judged by the posterior.
///
/// `untold`: the slate with all land of each block active, in the order of `slate`.
pub(crate) fn without_pigs(
    slate: &Candidates,
    untold: &Candidates,
    keys: &Priorities,
    decision: &Decision,
) -> Option<f64> {
    let terms = Constraints::resolve(slate, keys).ok()?;
    let expected = |chosen: &[bool]| -> f64 {
        let all = slate.candidates.iter().zip(chosen);
        all.filter(|(_, x)| **x).map(|(c, _)| c.expected_removed_ha()).sum()
    };
    let chosen: Vec<bool> = decision.figures.iter().map(|f| f.chosen).collect();
    let best = expected(&chosen);
    let open = decision.figures.iter().any(|f| f.allowed && !f.chosen && f.expected_removed_ha > 0.0);
    if !(best > 0.0) || !open {
        return None;
    }
    let gain: Vec<f64> = untold.candidates.iter().map(Candidate::expected_removed_ha).collect();
    let plan = Program { slate, terms: &terms }.at(&gain, decision.budget).ok()?;
    Some(expected(&plan.chosen) / best)
}

/// Ranks by score among the allowed operations against each host; those that cost nothing come first.
fn ranks(slate: &Candidates, terms: &Constraints, gain: &[f64]) -> Vec<Option<usize>> {
    let mut out = vec![None; gain.len()];
    for host in WildlifeHost::BOTH {
        let mut order: Vec<usize> = (0..gain.len())
            .filter(|i| slate.candidates[*i].host == host && terms.fixed[*i].allowed())
            .collect();
        let key = |i: usize| score(gain[i], slate.candidates[i].cost).unwrap_or(f64::INFINITY);
        order.sort_by(|a, b| key(*b).total_cmp(&key(*a)));
        for (rank, i) in order.into_iter().enumerate() {
            out[i] = Some(rank + 1);
        }
    }
    out
}

/// How often each candidate is in a sample's own best set, and how many samples were solved.
fn shares_of_best(program: &Program, keys: &Priorities, budget: f64) -> (Vec<usize>, usize) {
    let slate = program.slate;
    let samples = slate.samples();
    let wanted = keys.best_set_samples.min(samples);
    let sets: Vec<Option<Solved>> = (0..wanted)
        .into_par_iter()
        .map(|k| {
            let draw = k * samples / wanted;
            let gain: Vec<f64> = slate.candidates.iter().map(|c| c.removed_ha(draw)).collect();
            // A draw that the solver gives up on is left out of the count, and the count is reported.
            program.solve(&Objective::Most { gain: &gain, exact: false }, Some(budget)).ok().flatten()
        })
        .collect();
    let mut counts = vec![0; slate.candidates.len()];
    let mut solved = 0;
    for set in sets.into_iter().flatten() {
        solved += 1;
        counts.iter_mut().zip(&set.chosen).for_each(|(n, c)| *n += usize::from(*c));
    }
    (counts, solved)
}
