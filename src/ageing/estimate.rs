//! The age that a jaw allows: an interval, its probability, and the teeth that decide.

use crate::ageing::chance::{AgeWeights, BirthSeason};
use crate::ageing::schedule::{OLDEST_MONTHS, Schedule, bounds};
use crate::ageing::statements::Dentition;
use serde::Serialize;

/// Share of an open tail left out above the interval: one in ten of the pigs that old are older.
pub(crate) const OPEN_TAIL: f64 = 0.10;

/// Share of the probability within the interval that the likeliest months hold.
pub(crate) const LIKELIEST_SHARE: f64 = 0.5;

/// Share held by the interval when a birth season narrows it.
pub(crate) const SEASON_SHARE: f64 = 0.9;

/// What one thing seen in a jaw says of the age.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    /// What was seen.
    pub seen: String,
    /// Least age it allows, months.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least_months: Option<f64>,
    /// Greatest age it allows, months.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_most_months: Option<f64>,
    /// Whether it sets an end of the interval.
    pub decides: bool,
}

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.at_least_months, self.at_most_months) {
            (Some(a), Some(b)) => write!(f, "{}: {a} to {b} months", self.seen),
            (Some(a), None) => write!(f, "{}: {a} months or more", self.seen),
            (None, Some(b)) => write!(f, "{}: {b} months or less", self.seen),
            (None, None) => write!(f, "{}: says nothing of the age", self.seen),
        }
    }
}

/// An age from a jaw.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Estimate {
    /// Least age, months.
    pub min_months: f64,
    /// Greatest age, months.
    pub max_months: f64,
    /// Probability that the interval holds the age.
    pub probability: f64,
    /// The shortest run of months with half of the probability within the interval.
    pub likeliest_months: [f64; 2],
    /// Whether no tooth bounds the age from above: `max_months` then leaves out a tenth of the pigs that old.
    pub open_top: bool,
    /// Whether any tooth says anything: otherwise the interval is only what pigs' ages are.
    pub informed: bool,
    /// What each tooth says.
    pub reasons: Vec<Reason>,
}

impl Estimate {
    /// The teeth that set the ends, in a sentence.
    pub fn reason(&self) -> String {
        let deciding: Vec<String> =
            self.reasons.iter().filter(|r| r.decides).map(ToString::to_string).collect();
        if deciding.is_empty() { "no tooth says anything of the age".into() } else { deciding.join("; ") }
    }
}

/// Teeth that no age allows together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{older} and {younger}: no age allows both")]
pub struct Contradiction {
    /// What asks for an older pig.
    pub older: String,
    /// What asks for a younger pig.
    pub younger: String,
}

/// The age that a jaw allows.
///
/// # Formula
/// `[max of the least ages, min of the greatest ages]` over the claims; an end that no tooth sets is 0 below
/// and, above, the age that leaves out [`OPEN_TAIL`] of the older pigs. With a birth season the interval is
/// shortened to the middle 90 % of what the season leaves of it.
/// # Shapes and units
/// Months.
/// # Errors
/// [`Contradiction`] naming the two teeth.
/// # Example
/// ```
/// use pignut::internals::ageing::statements::Dentition;
/// use pignut::internals::ageing::schedule::Schedule;
/// use pignut::internals::ageing::estimate::estimate;
/// let table = Schedule::built_in();
/// let jaw = Dentition::read("M2 through; lower I2 milk", table)?;
/// let age = estimate(table, &jaw, None)?;
/// assert_eq!((age.min_months, age.max_months), (10.0, 22.0));
/// let odd = Dentition::read("M3 through; M1 absent", table)?;
/// assert!(estimate(table, &odd, None).unwrap_err().to_string().contains("M1 is not through"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn estimate(
    table: &Schedule,
    jaw: &Dentition,
    season: Option<&BirthSeason>,
) -> Result<Estimate, Contradiction> {
    let mut reasons: Vec<Reason> = jaw
        .claims
        .iter()
        .map(|c| {
            let (at_least_months, at_most_months) = bounds(table, c).unwrap_or_default();
            Reason { seen: c.to_string(), at_least_months, at_most_months, decides: false }
        })
        .collect();
    let low = reasons.iter().filter_map(|r| r.at_least_months).reduce(f64::max);
    let high = reasons.iter().filter_map(|r| r.at_most_months).reduce(f64::min);
    for r in &mut reasons {
        let sets_low = low.is_some() && r.at_least_months == low;
        r.decides = sets_low || (high.is_some() && r.at_most_months == high);
    }
    if let (Some(a), Some(b)) = (low, high)
        && a > b
    {
        let named = |r: Option<&Reason>| r.map(ToString::to_string).unwrap_or_default();
        return Err(Contradiction {
            older: named(reasons.iter().find(|r| r.at_least_months == low)),
            younger: named(reasons.iter().find(|r| r.at_most_months == high)),
        });
    }
    // Of teeth that say the same, one is enough of a reason.
    let mut said = Vec::new();
    for r in reasons.iter_mut().filter(|r| r.decides) {
        let ends = (r.at_least_months.map(f64::to_bits), r.at_most_months.map(f64::to_bits));
        r.decides = !said.contains(&ends);
        said.push(ends);
    }
    let weights = AgeWeights::of(table, &jaw.claims, season);
    let mut min_months = low.unwrap_or(0.0);
    let mut max_months = high.unwrap_or_else(|| {
        let tail = min_months - OPEN_TAIL.ln() / table.falloff_per_month();
        tail.min(OLDEST_MONTHS).round()
    });
    if season.is_some() {
        let edge = (1.0 - SEASON_SHARE) / 2.0;
        let ends = [edge, 1.0 - edge].map(|p| weights.quantile(p, min_months, max_months));
        if let [Some(a), Some(b)] = ends {
            (min_months, max_months) = (a, b);
        }
    }
    let likeliest_months =
        weights.shortest(LIKELIEST_SHARE, min_months, max_months).unwrap_or([min_months, max_months]);
    Ok(Estimate {
        min_months,
        max_months,
        probability: weights.between(min_months, max_months),
        likeliest_months,
        open_top: high.is_none(),
        informed: low.is_some() || high.is_some(),
        reasons,
    })
}
