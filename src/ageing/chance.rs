//! How likely each age is, given what a jaw shows: the table read as probabilities.

use crate::ageing::schedule::{Event, OLDEST_MONTHS, Schedule, bounds};
use crate::ageing::teeth::{Claim, ToothState};
use crate::numerics::normal::mass;
use crate::records::{DAYS_PER_MONTH, date_of_day};

/// Share of the variance of eruption ages that all teeth of a pig have in common: an early pig is early
/// in every tooth. Own choice, no source.
pub const SHARED_EARLINESS: f64 = 0.5;
/// Step of the ages looked at, months.
const STEP_MONTHS: f64 = 0.25;
/// Half the number of points at which shared earliness is integrated, and their spacing, s.d.
const EARLINESS: (i32, f64) = (8, 0.5);

/// Weights of ages from 0 to [`OLDEST_MONTHS`], at the middles of steps of a quarter month; they sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AgeWeights {
    weights: Vec<f64>,
}

impl AgeWeights {
    /// Ages given a jaw's claims.
    ///
    /// # Formula
    /// ```text
    /// w(a) ∝ e^(−ra) s(a) ∫ φ(z) Π_j P(claim_j | a, z) dz
    /// tooth j comes at  m_j + sd_j (√ρ z + √(1−ρ) ε_j),   z, ε_j ~ N(0, 1)
    /// ```
    /// r the table's fall-off, s the birth season, m_j and sd_j from the event's range
    /// ([`Event::mean_and_sd_months`]), ρ [`SHARED_EARLINESS`]. A tooth whose jaw is not named counts
    /// half for each. A tooth is part through from when it comes until `part_until − latest` later.
    pub(crate) fn of(table: &Schedule, claims: &[Claim], season: Option<&BirthSeason>) -> AgeWeights {
        let rate = table.falloff_per_month();
        // Teeth of one event in one state have the same chances: counted, not computed again.
        let mut rows: Vec<EventRow> = Vec::new();
        for claim in claims.iter().filter(|c| bounds(table, c).is_some()) {
            let (state, events) = (claim.state, table.events_of(&claim.tooth, claim.jaw));
            match rows.iter_mut().find(|r| r.state == state && r.events == events) {
                Some(row) => row.teeth += 1,
                None => rows.push(EventRow { state, events, teeth: 1 }),
            }
        }
        let steps = (OLDEST_MONTHS / STEP_MONTHS) as usize;
        let mut weights: Vec<f64> = (0..steps)
            .map(|i| {
                let age = (i as f64 + 0.5) * STEP_MONTHS;
                (-rate * age).exp() * season.map_or(1.0, |s| s.weight(age)) * likelihood(&rows, age)
            })
            .collect();
        let total: f64 = weights.iter().sum();
        if total > 0.0 {
            weights.iter_mut().for_each(|w| *w /= total);
        }
        AgeWeights { weights }
    }

    /// Probability that the age lies between two ages, months.
    pub(crate) fn between(&self, min_months: f64, max_months: f64) -> f64 {
        self.parts(min_months, max_months).map(|(_, w)| w).sum()
    }

    /// Age below which a share of the ages between two ages lies, months; `None` when there are none.
    pub(crate) fn quantile(&self, share: f64, min_months: f64, max_months: f64) -> Option<f64> {
        let total = self.between(min_months, max_months);
        let mut below = 0.0;
        for (i, w) in self.parts(min_months, max_months) {
            if total > 0.0 && below + w >= share * total {
                let within = if w > 0.0 { (share * total - below) / w } else { 0.0 };
                let at = (i as f64 + within.clamp(0.0, 1.0)) * STEP_MONTHS;
                return Some(at.clamp(min_months, max_months));
            }
            below += w;
        }
        None
    }

    /// The shortest run of ages between two ages that holds a share of them, months.
    pub(crate) fn shortest(&self, share: f64, min_months: f64, max_months: f64) -> Option<[f64; 2]> {
        let parts: Vec<(usize, f64)> = self.parts(min_months, max_months).collect();
        let total: f64 = parts.iter().map(|p| p.1).sum();
        let mut best: Option<(usize, usize)> = None;
        let (mut start, mut inside) = (0, 0.0);
        for end in 0..parts.len() {
            inside += parts[end].1;
            while start < end && inside - parts[start].1 >= share * total {
                inside -= parts[start].1;
                start += 1;
            }
            let enough = total > 0.0 && inside >= share * total;
            if enough && best.is_none_or(|(a, b)| end - start < b - a) {
                best = Some((start, end));
            }
        }
        let edge = |i: usize, up: f64| ((parts[i].0 as f64 + up) * STEP_MONTHS).clamp(min_months, max_months);
        best.map(|(a, b)| [edge(a, 0.0), edge(b, 1.0)])
    }

    /// Steps that overlap a range, with the part of their weight inside.
    fn parts(&self, min_months: f64, max_months: f64) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.weights.iter().enumerate().filter_map(move |(i, w)| {
            let (from, to) = (i as f64 * STEP_MONTHS, (i + 1) as f64 * STEP_MONTHS);
            let inside = to.min(max_months) - from.max(min_months);
            (inside > 0.0).then(|| (i, w * inside / STEP_MONTHS))
        })
    }
}

/// Teeth in one state that come in the same event (or events, where the jaw is not named).
struct EventRow<'a> {
    state: ToothState,
    events: Vec<&'a Event>,
    teeth: i32,
}

/// P(claims | age), shared earliness integrated out.
fn likelihood(rows: &[EventRow], age: f64) -> f64 {
    if rows.is_empty() {
        return 1.0;
    }
    let (half, spacing) = EARLINESS;
    let (mut sum, mut weights) = (0.0, 0.0);
    for k in -half..=half {
        let z = f64::from(k) * spacing;
        let weight = (-0.5 * z * z).exp();
        weights += weight;
        let product: f64 = rows
            .iter()
            .map(|row| {
                let each = row.events.iter().map(|e| chance(row.state, e, age, z));
                (each.sum::<f64>() / row.events.len() as f64).powi(row.teeth)
            })
            .product();
        sum += weight * product;
    }
    sum / weights
}

/// P(state | age, z) of a tooth.
fn chance(state: ToothState, event: &Event, age: f64, z: f64) -> f64 {
    let (mean, sd) = event.mean_and_sd_months();
    let come = |age: f64| {
        let x = (age - mean - sd * SHARED_EARLINESS.sqrt() * z) / (sd * (1.0 - SHARED_EARLINESS).sqrt());
        // Beyond six s.d. the chance is 0 or 1 to 1e-9: most ages, most teeth.
        match x {
            x if x < -6.0 => 0.0,
            x if x > 6.0 => 1.0,
            x => mass(f64::NEG_INFINITY, x),
        }
    };
    match state {
        ToothState::Absent => 1.0 - come(age),
        // Whether written down as through or as part through, it has come; as part through, lately.
        ToothState::Through => come(age),
        ToothState::Part => come(age) - come(age - (event.part_until() - event.latest_months).max(0.5)),
    }
}

/// When pigs are born, for a pig killed on a known day.
#[derive(Debug, Clone, PartialEq)]
pub struct BirthSeason {
    /// Births in each month from January, in any unit.
    pub births_by_month: [f64; 12],
    /// Day of death, as a day number.
    pub killed_day: f64,
}

impl BirthSeason {
    /// Relative chance of an age by the month of birth it implies.
    pub fn weight(&self, age_months: f64) -> f64 {
        let born = date_of_day(self.killed_day - age_months * DAYS_PER_MONTH);
        self.births_by_month[(born.month() - 1) as usize]
    }
}
