//! What is said of the freedom of an area.

use crate::assess::focus_view::DayWindow;

/// One year of one area.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneYear {
    /// Calendar year.
    pub year: i16,
    /// Its days within the study, day numbers.
    pub window: DayWindow,
    /// Probability that pigs with no visible lesion would have shown a design focus somewhere in the area:
    /// SSe.
    pub sensitivity: f64,
    /// The same with design hazard and pigs' sensitivity at the low, and at the high end of their ranges.
    pub sensitivity_range: [f64; 2],
    /// Sensitivity of the year for what pigs with no visible lesion of earlier years had not found.
    pub sensitivity_given_earlier: f64,
    /// Mean over the land of the sensitivity by all examined pigs.
    pub mean_sensitivity: f64,
    /// Share of the land at the study's coverage target.
    pub share_at_target: f64,
    /// Probability of freedom before the year's evidence.
    pub prior: f64,
    /// P(free) by pigs with no visible lesion alone.
    pub by_clear_pigs: f64,
    /// Probability that no positive was infected inside that year.
    pub no_case: f64,
    /// P(free).
    pub p_free: f64,
    /// 5 and 95 % bounds from the posterior and the ranges of the inputs.
    pub bounds: [f64; 2],
    /// The model's own statement: probability that the mean resident hazard of that year lies under the
    /// threshold everywhere in the area.
    pub p_under_threshold: f64,
}

/// Freedom of one area.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFreedom {
    /// Probability of freedom before the first year, as used.
    pub prior: f64,
    /// Probability of introduction a year, as used.
    pub introduction_per_year: f64,
    /// Year by year, the last one that of `as_of`.
    pub years: Vec<ZoneYear>,
    /// What would raise it.
    pub raise: PigsNeeded,
}

impl ZoneFreedom {
    /// The year of `as_of`; `None` for an area without land on the grid.
    pub fn last(&self) -> Option<&ZoneYear> {
        self.years.last()
    }
}

/// What would raise P(free) of the last year to the target.
#[derive(Debug, Clone, PartialEq)]
pub enum PigsNeeded {
    /// It is there.
    Reached,
    /// So many more pigs with no visible lesion of the study's next age, shot on `as_of` in these parts of
    /// the area.
    Pigs {
        /// Cell of each, in the order in which they add most.
        cells: Vec<usize>,
        /// Part of the area and pigs there, most first.
        parts: Vec<(&'static str, usize)>,
    },
    /// More than this many.
    MoreThan(usize),
    /// None would do this year: some positive was too probably infected inside.
    CaseInside,
    /// The area has no land on the grid, or a next pig shows nothing.
    Nothing,
}
