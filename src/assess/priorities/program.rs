//! The best set as an integer program, solved by branch and bound (`microlp`).

use crate::assess::priorities::candidates::Candidates;
use crate::assess::priorities::choice_error::ChoiceError;
use crate::assess::priorities::constraints::{Constraints, Fixed};
use microlp::{ComparisonOp, Error, OptimizationDirection, Problem, SolveOptions, SolveOutcome, Variable};

/// What is sought.
#[derive(Debug, Clone, Copy)]
pub enum Objective<'a> {
    /// The largest sum of gains, and of equal sums the cheapest.
    Most {
        /// Gain of each candidate, hectares.
        gain: &'a [f64],
        /// Whether optimality is proven; otherwise a set within 0.01 % of it will do.
        exact: bool,
    },
    /// The least money that meets the terms.
    Cheapest,
}

/// A set found.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Whether each candidate is in it.
    pub chosen: Vec<bool>,
    /// Whether no better set exists.
    pub proven: bool,
}

/// A slate with its terms.
#[derive(Debug, Clone, Copy)]
pub struct Program<'a> {
    /// What could be done.
    pub slate: &'a Candidates,
    /// What must be kept to.
    pub terms: &'a Constraints,
}

/// Gains under this share of the largest count as none: the solver works to 1e-7.
const LEAST_GAIN: f64 = 1e-7;
/// Weight of the whole slate's cost against the largest gain: it settles equal gains only.
const CHEAPER: f64 = 1e-6;
/// Nodes after which the search takes the best set found; programs of 120 operations need some hundreds.
const MOST_NODES: u64 = 200_000;
/// The same for one draw among hundreds.
const MOST_NODES_OF_A_SAMPLE: u64 = 5_000;

/// Settles the units that a bound shows to be in every best set or in none; the rest is left to the solver.
///
/// # Formula
/// ```text
/// for any p ≥ 0:  value ≤ p·budget + Σ max(0, g − p c);  a set with u the other way loses |g_u − p c_u| more
/// ```
/// p is the score of the first unit that does not fit. Where that bound lies below a set already known (by
/// score, passing over what does not fit), u is settled. Valid while the budget is the only row.
/// # Source
/// Variable fixing by Lagrangian bounds, Martello & Toth (1990), Knapsack Problems, section 2.2.3 (from
/// memory).
fn settle(units: &mut [Unit], budget: f64) {
    let room = budget.floor() - units.iter().filter(|u| u.fixed == Fixed::In).map(|u| u.cost).sum::<f64>();
    let mut order: Vec<usize> = (0..units.len()).filter(|u| units[*u].fixed == Fixed::Free).collect();
    let score = |u: &Unit| if u.cost > 0.0 { u.gain / u.cost } else { f64::INFINITY };
    order.sort_by(|a, b| score(&units[*b]).total_cmp(&score(&units[*a])));
    let (mut left, mut known, mut price) = (room, 0.0, None);
    for u in &order {
        if units[*u].cost <= left {
            left -= units[*u].cost;
            known += units[*u].gain;
        } else {
            price.get_or_insert(score(&units[*u]));
        }
    }
    let Some(price) = price.filter(|_| room >= 0.0) else { return };
    let bound =
        price * room + order.iter().map(|u| (units[*u].gain - price * units[*u].cost).max(0.0)).sum::<f64>();
    // Units level with the known set to within the weight of cost are the solver's to compare.
    let margin = 2.0 * CHEAPER * order.iter().map(|u| units[*u].gain).fold(0.0, f64::max);
    for u in order {
        let over = units[u].gain - price * units[u].cost;
        if bound - over.abs() < known - margin {
            units[u].fixed = if over > 0.0 { Fixed::In } else { Fixed::Out };
        }
    }
}

/// A choice that stands for one candidate or for several treated together.
struct Unit {
    members: Vec<usize>,
    gain: f64,
    cost: f64,
    area_ha: f64,
    fixed: Fixed,
}

impl Program<'_> {
    /// Cost of the cheapest set that meets every term.
    ///
    /// # Errors
    /// [`ChoiceError::Impossible`] when there is none, whatever the money.
    pub fn least_cost(&self) -> Result<f64, ChoiceError> {
        match self.solve(&Objective::Cheapest, None)? {
            Some(set) => Ok(self.slate.cost_of(&set.chosen)),
            None => Err(ChoiceError::Impossible(match self.terms.season_area_ha {
                Some(ha) => format!(
                    "season_area_ha = {ha} is less than what must be treated; raise it, or ask for less \
                     under must and min_treated_share"
                ),
                None => "ask for less under must and min_treated_share".into(),
            })),
        }
    }

    /// The best set at a budget, proven.
    ///
    /// # Errors
    /// [`ChoiceError::TooDear`] when the budget does not pay for the terms, [`ChoiceError::Solver`].
    pub fn at(&self, gain: &[f64], budget: f64) -> Result<Solved, ChoiceError> {
        match self.solve(&Objective::Most { gain, exact: true }, Some(budget))? {
            Some(solved) => Ok(solved),
            None => Err(ChoiceError::TooDear { budget, least: self.least_cost()? }),
        }
    }

    /// The best set; `None` when no set meets the terms.
    ///
    /// # Formula
    /// ```text
    /// max Σ g_u x_u − ε Σ c_u x_u   over units u of candidates treated together, x_u ∈ {0, 1}
    /// Σ c_u x_u ≤ budget,  Σ ha_u x_u ≤ season area,  Σ_{u ∈ any} x_u ≥ 1
    /// Σ_b ha_b y_b ≥ least land of an area,  y_b ≤ Σ_{u treats b} x_u,  0 ≤ y_b ≤ 1
    /// ```
    /// # Numerics
    /// Costs are whole money, so half a unit is added to the budget: the solver's tolerance of 1e-7 of the
    /// budget then neither lets a set through that costs too much nor bars one that costs it exactly.
    /// # Errors
    /// [`ChoiceError::Solver`].
    pub fn solve(&self, aim: &Objective, budget: Option<f64>) -> Result<Option<Solved>, ChoiceError> {
        let Some(mut units) = self.units(aim, budget) else { return Ok(None) };
        let rows = !self.terms.any_of.is_empty() || !self.terms.least_land.is_empty();
        if let (Objective::Most { .. }, Some(budget), None, false) =
            (aim, budget, self.terms.season_area_ha, rows)
        {
            settle(&mut units, budget);
        }
        let sum = |of: &dyn Fn(&Unit) -> f64, fixed: Fixed| -> f64 {
            units.iter().filter(|u| u.fixed == fixed).map(of).sum()
        };
        let spent = sum(&|u| u.cost, Fixed::In);
        let used_ha = sum(&|u| u.area_ha, Fixed::In);
        let room = budget.map(|b| b.floor() - spent);
        let room_ha = self.terms.season_area_ha.map(|a| a - used_ha);
        if room.is_some_and(|r| r < 0.0) || room_ha.is_some_and(|r| r < -1e-6) {
            return Ok(None);
        }
        let (free_cost, free_ha) = (sum(&|u| u.cost, Fixed::Free), sum(&|u| u.area_ha, Fixed::Free));
        let fits = room.is_none_or(|r| free_cost <= r) && room_ha.is_none_or(|r| free_ha <= r);
        if !rows && (fits || matches!(aim, Objective::Cheapest)) {
            let all = !matches!(aim, Objective::Cheapest);
            let taken = |u: &Unit| u.fixed == Fixed::In || (all && u.fixed == Fixed::Free);
            return Ok(Some(Solved { chosen: self.spread(&units, &taken), proven: true }));
        }
        self.branch(aim, &units, room, room_ha)
    }

    /// Candidates joined into units, with those that cannot matter left out; `None` for a contradiction.
    fn units(&self, aim: &Objective, budget: Option<f64>) -> Option<Vec<Unit>> {
        let n = self.slate.candidates.len();
        let largest = match aim {
            Objective::Most { gain, .. } => gain.iter().copied().fold(0.0, f64::max),
            Objective::Cheapest => 0.0,
        };
        let mut units = Vec::new();
        for leader in (0..n).filter(|i| self.terms.leader[*i] == *i) {
            let members: Vec<usize> = (0..n).filter(|i| self.terms.leader[*i] == leader).collect();
            let fixed = |f: Fixed| members.iter().any(|m| self.terms.fixed[*m] == f);
            let sum = |of: &dyn Fn(usize) -> f64| -> f64 { members.iter().map(|m| of(*m)).sum() };
            let gain = match aim {
                Objective::Most { gain, .. } => sum(&|m| gain[m]),
                Objective::Cheapest => 0.0,
            };
            let cost = sum(&|m| self.slate.candidates[m].cost);
            let area_ha = sum(&|m| self.slate.candidates[m].area_ha);
            let state = match (fixed(Fixed::In), fixed(Fixed::Out)) {
                (true, true) => return None,
                (true, false) => Fixed::In,
                (false, true) => Fixed::Out,
                (false, false) => {
                    let wanted = members.iter().any(|m| self.in_a_row(*m));
                    let dear = budget.is_some_and(|b| cost > b);
                    if dear || (!wanted && gain <= LEAST_GAIN * largest) { Fixed::Out } else { Fixed::Free }
                }
            };
            units.push(Unit { members, gain, cost, area_ha, fixed: state });
        }
        Some(units)
    }

    /// Whether a candidate may be needed to meet a term whatever it gains.
    fn in_a_row(&self, candidate: usize) -> bool {
        let block = self.slate.candidates[candidate].block;
        self.terms.any_of.iter().any(|row| row.contains(&candidate))
            || self.terms.least_land.iter().any(|l| l.blocks.iter().any(|(b, _)| *b == block))
    }

    fn spread(&self, units: &[Unit], taken: &dyn Fn(&Unit) -> bool) -> Vec<bool> {
        let mut chosen = vec![false; self.slate.candidates.len()];
        units.iter().filter(|u| taken(u)).flat_map(|u| &u.members).for_each(|m| chosen[*m] = true);
        chosen
    }

    fn branch(
        &self,
        aim: &Objective,
        units: &[Unit],
        room: Option<f64>,
        room_ha: Option<f64>,
    ) -> Result<Option<Solved>, ChoiceError> {
        let free: Vec<usize> = (0..units.len()).filter(|u| units[*u].fixed == Fixed::Free).collect();
        let largest = free.iter().map(|u| units[*u].gain).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        let all_cost = free.iter().map(|u| units[*u].cost).sum::<f64>().max(1.0);
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let x: Vec<Variable> = free
            .iter()
            .map(|u| {
                let unit = &units[*u];
                problem.add_binary_var(match aim {
                    Objective::Most { .. } => unit.gain / largest - CHEAPER * unit.cost / all_cost,
                    Objective::Cheapest => -unit.cost / all_cost,
                })
            })
            .collect();
        let limit = |of: &dyn Fn(&Unit) -> f64, most: f64, problem: &mut Problem| {
            let scale = most.max(1.0);
            let row: Vec<(Variable, f64)> = free
                .iter()
                .zip(&x)
                .map(|(u, v)| (*v, of(&units[*u]) / scale))
                .filter(|t| t.1 > 0.0)
                .collect();
            if !row.is_empty() {
                problem.add_constraint(&row, ComparisonOp::Le, most / scale);
            }
        };
        if let Some(room) = room {
            limit(&|u| u.cost, room + 0.5, &mut problem);
        }
        if let Some(room) = room_ha {
            limit(&|u| u.area_ha, room.max(0.0), &mut problem);
        }
        // Which units settle a candidate: done, not to be done, or a variable.
        let unit_of = |candidate: usize| units.iter().position(|u| u.members.contains(&candidate));
        let done = |candidate: usize| unit_of(candidate).is_some_and(|u| units[u].fixed == Fixed::In);
        let variable = |candidate: usize| {
            let u = unit_of(candidate)?;
            free.iter().position(|f| *f == u).map(|k| x[k])
        };
        for row in self.terms.any_of.iter().filter(|row| !row.iter().any(|i| done(*i))) {
            let mut open: Vec<Variable> = row.iter().filter_map(|i| variable(*i)).collect();
            open.dedup();
            if open.is_empty() {
                return Ok(None);
            }
            problem.add_constraint(
                open.into_iter().map(|v| (v, 1.0)).collect::<Vec<_>>(),
                ComparisonOp::Ge,
                1.0,
            );
        }
        for land in &self.terms.least_land {
            let mut wanted = land.least_ha;
            let mut row = Vec::new();
            for (b, ha) in &land.blocks {
                let ways = [2 * b, 2 * b + 1];
                if ways.iter().any(|i| done(*i)) {
                    wanted -= ha;
                    continue;
                }
                let open: Vec<Variable> = ways.iter().filter_map(|i| variable(*i)).collect();
                if open.is_empty() {
                    continue;
                }
                let y = problem.add_var(0.0, (0.0, 1.0));
                let mut link = vec![(y, 1.0)];
                link.extend(open.into_iter().map(|v| (v, -1.0)));
                problem.add_constraint(&link, ComparisonOp::Le, 0.0);
                row.push((y, ha / land.least_ha));
            }
            if wanted <= 1e-9 * land.least_ha {
                continue;
            }
            if row.is_empty() {
                return Ok(None);
            }
            problem.add_constraint(&row, ComparisonOp::Ge, wanted / land.least_ha);
        }
        let exact = !matches!(aim, Objective::Most { exact: false, .. });
        let mut options = SolveOptions::default();
        options.mip_gap = if exact { 0.0 } else { 1e-4 };
        options.node_limit = Some(if exact { MOST_NODES } else { MOST_NODES_OF_A_SAMPLE });
        let solution = match problem.solve_with(options) {
            Ok(SolveOutcome::Solution(s)) => s,
            Ok(SolveOutcome::Interrupted(_)) => {
                return Err(ChoiceError::Solver(format!("no set was found within {MOST_NODES} steps")));
            }
            Err(Error::Infeasible) => return Ok(None),
            Err(e) => return Err(ChoiceError::Solver(e.to_string())),
        };
        let proven = solution.status() == microlp::SolutionStatus::Optimal;
        let mut taken: Vec<bool> = units.iter().map(|u| u.fixed == Fixed::In).collect();
        for (u, v) in free.iter().zip(&x) {
            taken[*u] = solution.var_value(*v) > 0.5;
        }
        let mut chosen = vec![false; self.slate.candidates.len()];
        units
            .iter()
            .zip(&taken)
            .filter(|(_, t)| **t)
            .flat_map(|(u, _)| &u.members)
            .for_each(|m| chosen[*m] = true);
        Ok(Some(Solved { chosen, proven }))
    }
}
