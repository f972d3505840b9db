//! What a simulated study area is asked to be: parameters, limits and presets.

use crate::simulate::force_of_infection::Focus;
use serde::{Deserialize, Serialize};

/// Why a scenario cannot be simulated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScenarioError {
    /// A parameter lies outside what the simulator can do.
    #[error("scenario key {key} = {value} is not possible; write {allowed}")]
    OutOfRange {
        /// Field of [`Scenario`].
        key: &'static str,
        /// Value given.
        value: String,
        /// What is allowed.
        allowed: &'static str,
    },
    /// The land came out too small to hold areas and blocks.
    #[error(
        "a study area of {extent_km} km gives {hexes} land units of 0.42 km²; \
         at least {needed} are needed: raise extent_km"
    )]
    TooSmall {
        /// Side asked for, km.
        extent_km: f64,
        /// Land units found.
        hexes: usize,
        /// Land units needed.
        needed: usize,
    },
}

/// How the study area is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AreaPattern {
    /// The demo: three movement-control areas with three different histories.
    Quillonby,
    /// Areas, cover, effort and infected foci drawn at random.
    Random,
}

/// A simulated study area, before it is simulated.
///
/// The neutral values of the misspecification knobs (1 for scales and shapes, 0 for the rest)
/// make the study area agree with the study's defaults; any other value makes it disagree
/// with them, to see what the answer then does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// Seed of every random number.
    pub seed: u64,
    /// How the study area is laid out.
    pub layout: AreaPattern,
    /// Whether wildlife there is infected at all.
    pub disease: bool,
    /// Whole years of hunting, 1 to 30.
    pub years: u32,
    /// First year of hunting, 1980 to 2100.
    pub start_year: i16,
    /// Pigs examined over all years, sentinels included, 10 to 200 000.
    pub pigs_target: usize,
    /// Released sentinel pigs among them.
    pub sentinels: usize,
    /// Side of the square that holds the island, km, 12 to 150.
    pub extent_km: f64,
    /// Infected foci to use in place of random ones (their removals included).
    #[serde(default)]
    pub foci: Option<Vec<Focus>>,
    /// Range s.d. and drift of pigs relative to the study's defaults; 1 is neutral.
    pub home_range_scale: f64,
    /// Mean natal dispersal distance relative to the default 4 km; 1 is neutral.
    pub dispersal_scale: f64,
    /// Months added to the lesion ramp (1 to 4 months after infection); 0 is neutral.
    pub ramp_shift_months: f64,
    /// Months added to every estimated age; 0 is neutral.
    pub age_bias_months: f64,
    /// Extra hunting effort within 3 km of a lesioned pig for a year after it, as a share; 0 is neutral.
    pub effort_on_past_positives: f64,
    /// Hazard a pig draws from each infected pig sharing its square kilometre, per pig-year; 0 is neutral.
    pub pig_to_pig: f64,
    /// Shape k of natal dispersal distance, Weibull with the same mean; 1 (exponential) is neutral, below 1
    /// is heavier-tailed.
    #[serde(default = "one")]
    pub dispersal_shape: f64,
    /// Chance that a piglet shares its litter's lot, in infection and under the gun; 0 is neutral.
    #[serde(default)]
    pub litter_correlation: f64,
    /// Radius of random foci by this factor, their peak by its square's inverse, so that each keeps its
    /// total; 1 is neutral.
    #[serde(default = "one")]
    pub focus_radius_scale: f64,
}

fn one() -> f64 {
    1.0
}

impl Scenario {
    /// The demo study area: Quillonby, an invented island.
    ///
    /// Three movement-control areas: disease present now, removed by an operation
    /// some years ago, never there; and one remote corner where hardly anybody hunts.
    pub fn demo() -> Scenario {
        Scenario {
            seed: DEMO_SEED,
            layout: AreaPattern::Quillonby,
            disease: true,
            pigs_target: 2600,
            ..Scenario::fresh(DEMO_SEED)
        }
    }

    /// A random study area with disease: 2200 pigs, 34 km, 3 to 8 infected foci, some removed.
    pub fn fresh(seed: u64) -> Scenario {
        Scenario {
            seed,
            layout: AreaPattern::Random,
            disease: true,
            years: 8,
            start_year: 2017,
            pigs_target: 2200,
            sentinels: 8,
            extent_km: 34.0,
            foci: None,
            home_range_scale: 1.0,
            dispersal_scale: 1.0,
            ramp_shift_months: 0.0,
            age_bias_months: 0.0,
            effort_on_past_positives: 0.0,
            pig_to_pig: 0.0,
            dispersal_shape: 1.0,
            litter_correlation: 0.0,
            focus_radius_scale: 1.0,
        }
    }

    /// A random study area in which no pig can be infected.
    pub fn disease_free(seed: u64) -> Scenario {
        Scenario { disease: false, ..Scenario::fresh(seed) }
    }

    /// Checks every parameter.
    ///
    /// # Errors
    /// [`ScenarioError::OutOfRange`] for the first one that is not possible.
    pub fn check(&self) -> Result<(), ScenarioError> {
        let bad = |key, value: String, allowed| Err(ScenarioError::OutOfRange { key, value, allowed });
        if !(1..=30).contains(&self.years) {
            return bad("years", self.years.to_string(), "1 to 30");
        }
        if !(1980..=2100).contains(&self.start_year) {
            return bad("start_year", self.start_year.to_string(), "1980 to 2100");
        }
        if !(10..=200_000).contains(&self.pigs_target) {
            return bad("pigs_target", self.pigs_target.to_string(), "10 to 200000");
        }
        if self.sentinels * 2 > self.pigs_target {
            return bad("sentinels", self.sentinels.to_string(), "at most half of pigs_target");
        }
        for (key, v, lo, hi, allowed) in [
            ("extent_km", self.extent_km, 12.0, 150.0, "12 to 150 km"),
            ("home_range_scale", self.home_range_scale, 1e-6, 10.0, "0.000001 to 10"),
            ("dispersal_scale", self.dispersal_scale, 0.0, 10.0, "0 to 10"),
            ("ramp_shift_months", self.ramp_shift_months, -1.0, 24.0, "-1 to 24 months"),
            ("age_bias_months", self.age_bias_months, -24.0, 24.0, "-24 to 24 months"),
            ("effort_on_past_positives", self.effort_on_past_positives, 0.0, 100.0, "0 to 100"),
            ("pig_to_pig", self.pig_to_pig, 0.0, 10.0, "0 to 10 per pig-year"),
            ("dispersal_shape", self.dispersal_shape, 0.3, 3.0, "0.3 to 3"),
            ("litter_correlation", self.litter_correlation, 0.0, 1.0, "0 to 1"),
            ("focus_radius_scale", self.focus_radius_scale, 0.1, 10.0, "0.1 to 10"),
        ] {
            if !(v >= lo && v <= hi) {
                return bad(key, v.to_string(), allowed);
            }
        }
        if self.foci.is_some() && !self.disease {
            return bad("foci", "given".into(), "disease = true, or leave the foci out");
        }
        for f in self.foci.iter().flatten() {
            let sound = f.radius_m > 0.0
                && f.radius_m.is_finite()
                && f.peak_per_year >= 0.0
                && f.peak_per_year.is_finite()
                && f.growth_years > 0.0
                && f.easting_m.is_finite()
                && f.northing_m.is_finite()
                && f.start_day.is_finite();
            if !sound {
                return bad(
                    "foci",
                    f.id.clone(),
                    "a finite place and start, radius and growth above 0, peak of 0 or more",
                );
            }
        }
        Ok(())
    }
}

/// Seed of the demo, chosen so that the demo holds a laboratory-confirmed pig of five to seven months.
const DEMO_SEED: u64 = 47;

/// First and last moment of the records, day numbers.
pub(crate) fn study_days(s: &Scenario) -> (f64, f64) {
    let new_year = |year: i16| crate::records::day_number(jiff::civil::date(year, 1, 1));
    (new_year(s.start_year), new_year(s.start_year + s.years as i16))
}

/// Id of a block.
pub(crate) fn block_id(block: usize) -> String {
    format!("B{:02}", block + 1)
}
