//! A small simulated study area, with or without a focus in its middle.

use pignut::internals::records::{DAYS_PER_YEAR, day_number};
use pignut::internals::simulate::force_of_infection::Focus;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;

/// A small study area in the middle of which pigs are infected.
pub fn small(seed: u64) -> Scenario {
    Scenario { extent_km: 16.0, pigs_target: 600, years: 4, sentinels: 4, ..Scenario::fresh(seed) }
}

pub fn focus_in_the_middle(s: &Scenario, peak_per_year: f64, radius_m: f64) -> Focus {
    let d = simulate(s).unwrap();
    let box_ = geo::BoundingRect::bounding_rect(&d.land).unwrap();
    Focus {
        id: "F1".into(),
        easting_m: box_.center().x.round(),
        northing_m: box_.center().y.round(),
        radius_m,
        peak_per_year,
        start_day: day_number(d.first_day) - 2.0 * DAYS_PER_YEAR,
        growth_years: 1.0,
        decline: None,
    }
}
