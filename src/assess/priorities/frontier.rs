//! What more or less money would buy.

use crate::assess::priorities::candidates::Candidates;
use crate::assess::priorities::choice_error::ChoiceError;
use crate::assess::priorities::program::Program;
use crate::assess::spread::Spread;
use rayon::prelude::*;

/// Budgets between the least and the largest.
pub(crate) const STEPS: usize = 20;

/// The best set at one budget.
#[derive(Debug, Clone, PartialEq)]
pub struct FrontierPoint {
    /// Money available.
    pub budget: f64,
    /// Money the set costs.
    pub cost: f64,
    /// Active area it removes, over the samples, hectares.
    pub removed_ha: Spread,
    /// Active area left, over the samples, hectares.
    pub residual_ha: Spread,
    /// Candidates of the set.
    pub operations: Vec<usize>,
}

/// The best set at budgets from the least possible to all worthwhile operations, and at `budget`.
///
/// Budgets lie closer together where they are small: there each operation matters.
/// The expected area removed never falls as the budget grows: a set that fits a smaller budget fits a larger.
/// # Errors
/// [`ChoiceError::Solver`].
pub(crate) fn frontier(
    program: &Program,
    gain: &[f64],
    budget: f64,
    least: f64,
    worthwhile: f64,
) -> Result<Vec<FrontierPoint>, ChoiceError> {
    let most = worthwhile.max(least).max(budget);
    let mut budgets: Vec<f64> =
        (0..=STEPS).map(|k| (least + (most - least) * (k as f64 / STEPS as f64).powi(2)).round()).collect();
    budgets.push(budget);
    budgets.sort_by(f64::total_cmp);
    budgets.dedup();
    let mut sets: Vec<Vec<bool>> =
        budgets.par_iter().map(|b| program.at(gain, *b).map(|s| s.chosen)).collect::<Result<Vec<_>, _>>()?;
    let value = |set: &[bool]| -> f64 { gain.iter().zip(set).filter(|(_, x)| **x).map(|(g, _)| g).sum() };
    for k in 1..sets.len() {
        // A search cut short may end below the set of a smaller budget, which is also possible here.
        if value(&sets[k]) < value(&sets[k - 1]) {
            sets[k] = sets[k - 1].clone();
        }
    }
    Ok(budgets
        .into_iter()
        .zip(sets)
        .map(|(budget, set)| {
            let (_, removed_ha, residual_ha) = effect(program.slate, &set);
            FrontierPoint {
                budget,
                cost: program.slate.cost_of(&set),
                removed_ha,
                residual_ha,
                operations: (0..set.len()).filter(|i| set[*i]).collect(),
            }
        })
        .collect())
}

/// Active area in all blocks before, removed by a set, and left: over the samples, hectares.
pub(crate) fn effect(slate: &Candidates, set: &[bool]) -> (Spread, Spread, Spread) {
    let samples = slate.samples().max(1);
    let (mut before, mut removed) = (vec![0.0f64; samples], vec![0.0f64; samples]);
    for (c, taken) in slate.candidates.iter().zip(set) {
        for (d, a) in c.active_ha.iter().enumerate() {
            before[d] += f64::from(*a);
            if *taken {
                removed[d] += c.efficacy * f64::from(*a);
            }
        }
    }
    let mut left: Vec<f32> = before.iter().zip(&removed).map(|(b, r)| (b - r) as f32).collect();
    let single = |v: Vec<f64>| -> Vec<f32> { v.into_iter().map(|x| x as f32).collect() };
    (Spread::of(&mut single(before)), Spread::of(&mut single(removed)), Spread::of(&mut left))
}
