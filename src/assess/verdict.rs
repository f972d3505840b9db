//! What is said of an area: one verdict from what was seen, for page, terminal, summary and re-runs.

use serde::{Deserialize, Serialize};

/// Infections of examined pigs, expected inside within the recent months, from which an area is active now.
pub(crate) const SHOWN_NOW: f64 = 0.5;
/// Share of the area's land that is active in 95 of 100 posterior samples from which it is active now.
pub(crate) const LAND_NOW: f64 = 0.02;
/// Infections of examined pigs, expected inside at any time, from which an area was active once.
pub(crate) const SHOWN_ONCE: f64 = 1.0;
/// Mean coverage from which enough pigs were examined to say that there is no sign.
pub const LOOKED: f64 = 0.5;
/// Probability of freedom from which "no sign" is said where coverage is less.
pub(crate) const NEARLY_FREE: f64 = 0.8;

/// What is known of an area.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AreaEvidence {
    /// Expected number of examined pigs that were infected inside within the recent months.
    pub infected_recently: f64,
    /// Expected number of examined pigs that were infected inside at any time.
    pub infected: f64,
    /// Share of the area's land over the threshold: 5 % point, median and 95 % point of the samples.
    pub active_share: [f64; 3],
    /// Probability of freedom; `None` where none is stated (a study without areas).
    pub p_free: Option<f64>,
    /// Target of that probability.
    pub target: f64,
    /// Mean surveillance sensitivity over the land within the coverage window; `None` without land.
    pub coverage: Option<f64>,
}

/// What is said of an area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Examined pigs were infected there within the recent months.
    ActiveNow,
    /// Examined pigs were infected there, none of them lately; it is not ruled out.
    ActiveBefore,
    /// No examined pig was infected there; the probability of freedom is under its target.
    NoSign,
    /// The probability of freedom is at its target.
    Free,
    /// Too few pigs were examined to say.
    TooFewPigs,
}

impl Verdict {
    /// Every verdict, the most urgent first.
    pub const ALL: [Verdict; 5] =
        [Verdict::ActiveNow, Verdict::ActiveBefore, Verdict::TooFewPigs, Verdict::NoSign, Verdict::Free];

    /// The verdict on what is known.
    ///
    /// # Formula
    /// The first that holds:
    /// ```text
    /// active now      infected recently ≥ SHOWN_NOW, or active land ≥ LAND_NOW in 95 % of the samples
    /// free            P(free) ≥ target
    /// active before   infected at any time ≥ SHOWN_ONCE
    /// no sign         coverage ≥ LOOKED, or P(free) ≥ NEARLY_FREE
    /// too few pigs    otherwise
    /// ```
    /// The constants are this project's own choice, held against simulated study areas on the evidence page.
    /// # Example
    /// ```
    /// use pignut::internals::assess::verdict::{AreaEvidence, Verdict};
    /// let quiet = AreaEvidence {
    ///     infected_recently: 0.0, infected: 0.1, active_share: [0.0, 0.0, 0.1],
    ///     p_free: Some(0.84), target: 0.95, coverage: Some(0.4),
    /// };
    /// assert_eq!(Verdict::of(&quiet), Verdict::NoSign);
    /// assert_eq!(Verdict::of(&AreaEvidence { p_free: Some(0.96), ..quiet }), Verdict::Free);
    /// assert_eq!(Verdict::of(&AreaEvidence { p_free: Some(0.5), ..quiet }), Verdict::TooFewPigs);
    /// assert_eq!(Verdict::of(&AreaEvidence { infected: 55.0, ..quiet }), Verdict::ActiveBefore);
    /// assert_eq!(Verdict::of(&AreaEvidence { infected_recently: 3.4, ..quiet }), Verdict::ActiveNow);
    /// ```
    pub fn of(e: &AreaEvidence) -> Verdict {
        if e.infected_recently >= SHOWN_NOW || e.active_share[0] >= LAND_NOW {
            Verdict::ActiveNow
        } else if e.p_free.is_some_and(|p| p >= e.target) {
            Verdict::Free
        } else if e.infected >= SHOWN_ONCE {
            Verdict::ActiveBefore
        } else if e.coverage.is_some_and(|c| c >= LOOKED) || e.p_free.is_some_and(|p| p >= NEARLY_FREE) {
            Verdict::NoSign
        } else {
            Verdict::TooFewPigs
        }
    }

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::ActiveNow => "active_now",
            Verdict::ActiveBefore => "active_before",
            Verdict::NoSign => "no_sign",
            Verdict::Free => "free",
            Verdict::TooFewPigs => "too_few_pigs",
        }
    }
}
