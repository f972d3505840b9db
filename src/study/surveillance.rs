//! The tables `[freedom]` and `[sampling]`: what a probability of freedom starts from, and what the next pig
//! is.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

keys! {
    /// What the probability of freedom of an area starts from. The focus it is freedom from is that of
    /// `[coverage]`: design force of infection and patch.
    ///
    /// Ranges are factors on the odds of a probability, or on a rate: 2 means half to double. They say how
    /// well the input is known, and become the bounds together with the posterior.
    Freedom {
        /// Probability of freedom before the first year. Default 0.5 (common practice, no source); an area's
        /// `priorFree` takes precedence.
        prior: f64 = 0.5,
        /// Range of the odds of that prior, a factor of 1 or more. Default 2: 0.33 to 0.67 about 0.5 (own
        /// choice).
        prior_range: f64 = 2.0,
        /// Probability that disease is brought in during a year. Default 0.02 (own choice); an area's
        /// `introductionPerYear` takes precedence.
        introduction_per_year: f64 = 0.02,
        /// Range of the odds of that, a factor. Default 2 (own choice).
        introduction_range: f64 = 2.0,
        /// Probability that an area in which a pig was infected one year is free at the start of the next.
        /// Default 0.2 (own choice).
        prior_after_infection: f64 = 0.2,
        /// Number of design foci in an infected area. Default 1.
        design_foci: u32 = 1,
        /// Whether a focus missed one year stays where it is: land without examined pigs then keeps its risk,
        /// however well the rest is covered. Default true; false: every year counts anew, as in the published
        /// recursion.
        focus_stays: bool = true,
        /// Range of `coverage.design_force_of_infection`, a factor. Default 2: 0.1 to 0.4 a year (Nugent
        /// 2014: 0.2 to 2 where endemic, below 0.1 where controlled).
        design_force_of_infection_range: f64 = 2.0,
        /// Range of the odds of each pig's sensitivity, a factor. Default 1.5: 0.68 to 0.83 about 0.76 (exact
        /// interval 0.75 to 0.89 of 105/127 × 107/116, Martín-Hernando 2007: 0.69 to 0.82).
        sensitivity_range: f64 = 1.5,
        /// Probability of freedom to reach. Default 0.95 (common practice, no source).
        target: f64 = 0.95,
        /// Risk of a hectare relative to others by cover class, as `class = risk`; a class not named has 1.
        /// Default: all alike.
        relative_risk: BTreeMap<String, f64> = BTreeMap::new(),
    }
}

keys! {
    /// What the next pig is: used where pigs are asked for, in `sample`, in gaps and in what would raise
    /// freedom.
    Sampling {
        /// Pigs to place where no number is given. Default 20.
        pigs: usize = 20,
        /// Age of a next pig, months. Default 24: old enough to have lived through the coverage window (own
        /// choice).
        age_months: f64 = 24.0,
        /// Most pigs counted before a gap's need is given as 'more than'. Default 2000.
        most_pigs: usize = 2000,
    }
}
