//! Tables of the grid, the model and the run.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

keys! {
    /// Cells and periods.
    GridKeys {
        /// Side of a square cell, metres. Default 1000: about one range s.d. of a pig; a finer cell costs
        /// more and tells no more.
        cell_m: f64 = 1000.0,
        /// Length of a period, months; must divide 12. Default 6.
        period_months: u32 = 6,
        /// How far the grid reaches beyond the records and areas, metres. Default 6000: about 4 s.d. of a
        /// boar's displacement.
        margin_m: f64 = 6000.0,
        /// How far before the first kill the force of infection is modelled, years; older exposure counts in
        /// the first period. Default 4.
        lookback_years: f64 = 4.0,
    }
}

keys! {
    /// What counts as recent, active and local.
    Recent {
        /// Months before `as_of` that count as recent. Default 12.
        months: f64 = 12.0,
        /// Force of infection above which a cell counts as active, infections per pig-year. Default 0.05 (own
        /// choice: endemic areas run at 0.2 to 2, Nugent et al. 2014).
        force_of_infection_threshold: f64 = 0.05,
        /// Radius within which an infection counts as local to the kill place, metres. Default 3000.
        local_radius_m: f64 = 3000.0,
    }
}

keys! {
    /// How widely a pig ranges: s.d. per axis of position about the range centre.
    HomeRange {
        /// Sows, metres. Default 600 (95 % range about 6.8 km²; 4 to 10.7 km² in Yockney 2013, Nugent 2002).
        sigma_female_m: f64 = 600.0,
        /// Boars, metres. Default 900 (95 % range about 15 km²; mean annual 14.1 km² in Anderson 2022).
        sigma_male_m: f64 = 900.0,
        /// Sex not recorded, metres. Default 750.
        sigma_unknown_m: f64 = 750.0,
        /// Slow drift of the range centre, s.d. per axis, metres. Default 300 (own choice).
        drift_m: f64 = 300.0,
        /// Range s.d. used for the force of infection on a resident of a cell, metres. Default 750.
        resident_sigma_m: f64 = 750.0,
    }
}

keys! {
    /// How pigs leave the range they were born in.
    Dispersal {
        /// Share of females that disperse. Default 0.10 (16 % with juveniles, Prévot & Licoppe 2013).
        share_female: f64 = 0.10,
        /// Share of males that disperse. Default 0.40 (42 %, Prévot & Licoppe 2013).
        share_male: f64 = 0.40,
        /// Share where sex is not recorded. Default 0.25.
        share_unknown: f64 = 0.25,
        /// Youngest age at dispersal, months. Default 8 (Truvé & Lemel 2003: 7 to 16).
        age_start_months: f64 = 8.0,
        /// Oldest age at dispersal, months. Default 18.
        age_end_months: f64 = 18.0,
        /// Mean dispersal distance, metres, exponential. Default 4000 (2.5 to 4.9 km, Prévot & Licoppe 2013).
        mean_m: f64 = 4000.0,
    }
}

keys! {
    /// From what age a pig is exposed.
    Exposure {
        /// Age at which scavenging starts, months. Default 2 (Nugent 2014 counts from weaning).
        start_months: f64 = 2.0,
        /// Oldest age counted, months; exposure earlier than this before death is left out. Default 180.
        max_age_months: f64 = 180.0,
    }
}

keys! {
    /// How well infection is detected, and how often a lesion from another cause is taken for it.
    Detection {
        /// Sensitivity of gross inspection with all three pairs of head lymph nodes opened. Default 0.76
        /// (105/127 by full necropsy × 107/116 in the head, Martín-Hernando 2007).
        gross_sensitivity: f64 = 0.76,
        /// Share of that with the mandibular pair alone. Default 0.90 (hunter guidance: 'about 95 %' of
        /// lesions below the jaw; rounded down).
        mandibular_share: f64 = 0.90,
        /// Share of that with the retropharyngeal pair alone. Default 0.45 (from memory).
        retropharyngeal_share: f64 = 0.45,
        /// Share of that with the parotid pair alone. Default 0.15 (from memory).
        parotid_share: f64 = 0.15,
        /// Share of a pair's sensitivity that one of its two nodes has. Default 0.75 (own choice: half of
        /// lesioned pairs lesioned on both sides).
        one_side_share: f64 = 0.75,
        /// Share of that when the pairs opened were not recorded. Default 0.95 (own choice).
        unrecorded_share: f64 = 0.95,
        /// Sensitivity of culture on a sample. Default 0.82 (18/22, Santos 2010).
        culture_sensitivity: f64 = 0.82,
        /// Sensitivity of PCR. Default 0.64 (Santos 2010, consensus reference).
        pcr_sensitivity: f64 = 0.64,
        /// Sensitivity of histology. Default 0.82 (Santos 2010, consensus reference).
        histology_sensitivity: f64 = 0.82,
        /// Probability that an uninfected pig shows an unconfirmed lesion. Default 0.006 (own choice; half of
        /// lesions confirmed at 3.4 % culture prevalence, Di Marco 2012, would give 0.03).
        false_lesion: f64 = 0.006,
        /// Probability that an uninfected pig is laboratory positive. Default 0.0003 (own choice).
        false_lab: f64 = 0.0003,
        /// Time since infection before which no lesion shows, months. Default 1.
        lag_start_months: f64 = 1.0,
        /// Time since infection from which a lesion shows fully, months. Default 4 (1 of 2 at two months, 13
        /// of 13 later, Nugent 2002).
        lag_full_months: f64 = 4.0,
        /// Rate at which lesions resolve or carriers die after that, per year. Default 0.
        resolution_per_year: f64 = 0.0,
        /// Radius (95 %) of a GPS position where the record gives none, metres. Default 100.
        position_radius_m: f64 = 100.0,
    }
}

/// How the latent field becomes a force of infection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Link {
    /// λ = 0.2·softplus(x)²: a square for large x, an exponential for small.
    SoftplusSquared,
    /// λ = exp(x).
    Exp,
}

keys! {
    /// Prior of the field of the force of infection, λ(cell, period).
    FieldPrior {
        /// How the latent field becomes a force of infection. Default softplus_squared.
        link: Link = Link::SoftplusSquared,
        /// Keep range, s.d. and persistence at their starting values instead of sampling them.
        fixed: bool = false,
        /// Starting (or fixed) range at which correlation falls to 0.14, metres. Default 8000.
        range_m: f64 = 8000.0,
        /// Starting (or fixed) s.d. of the latent field. Default 2.2.
        sd: f64 = 2.2,
        /// Starting (or fixed) correlation from one half-year to the next. Default 0.965.
        persistence_half_year: f64 = 0.965,
        /// Prior mean of the latent level. Default −1.5.
        level_mean: f64 = -1.5,
        /// Prior s.d. of the latent level. Default 1.
        level_sd: f64 = 1.0,
        /// Share of the field's variance that has a range of its own, `focus_range_m`, held fixed: a term for
        /// small foci. Default 0.
        focus_share: f64 = 0.0,
        /// Range of that share, metres. Default 1500 (own choice: about the width of a resident boar's
        /// range).
        focus_range_m: f64 = 1500.0,
        /// P(range below this) = 0.05, metres. Default 2000.
        range_lower_m: f64 = 2000.0,
        /// P(s.d. above this) = 0.05. Default 3 (own choice: predicted better than 1.5, see the evidence
        /// page).
        sd_upper: f64 = 3.0,
        /// P(half-year correlation below this) = 0.05. Default 0.75.
        persistence_lower: f64 = 0.75,
        /// Prior mean of an operation's step on the latent level. Default −2.
        operation_mean: f64 = -2.0,
        /// Prior s.d. of that step. Default 1.5.
        operation_sd: f64 = 1.5,
        /// Years in which half of a possum operation's effect is gone. Default 5 (Barlow 1991: half-way back
        /// in 5 years after a 90 % kill).
        possum_half_life_years: f64 = 5.0,
        /// Years in which half of a ferret operation's effect is gone. Default 1.5 (own choice: life
        /// expectancy 0.95 years, Caley 2002).
        ferret_half_life_years: f64 = 1.5,
    }
}

keys! {
    /// What a surveillance system must be able to find.
    Coverage {
        /// Force of infection of the focus that must be found, infections per pig-year. Default 0.2 (low end
        /// of endemic, Nugent 2014).
        design_force_of_infection: f64 = 0.2,
        /// Side of the square patch the focus fills, metres. Default 3000 (the scale pigs resolve).
        patch_m: f64 = 3000.0,
        /// Months before `as_of` during which the focus is present. Default 24.
        window_months: f64 = 24.0,
        /// Surveillance sensitivity to reach. Default 0.95 (common practice, no source).
        target: f64 = 0.95,
    }
}

keys! {
    /// How the computation is run.
    RunKeys {
        /// Posterior samples kept over all chains. Default 800.
        posterior_samples: usize = 800,
        /// Chains; at least 4 to judge convergence. Default 4.
        chains: usize = 4,
        /// Trajectories of each chain spent finding step size and scale, together. Default 150.
        warmup: usize = 150,
        /// Most trajectories of each chain after that. Default 1000.
        trajectories: usize = 1000,
        /// Whether chains end before that, once the posterior samples wanted are there and every check of
        /// convergence is passed.
        /// Default true; false makes them run to the end.
        end_early: bool = true,
        /// Worker threads; 0 means all the machine has. The result does not depend on it.
        threads: usize = 0,
    }
}
