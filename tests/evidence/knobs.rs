//! Knobs that break assumptions: each does what it says, and alone.

use super::tiny::{SEED, TINY};
use crate::studies::misspecification::{ASSUMPTIONS, NEUTRAL};
use pignut::internals::records::{DAYS_PER_MONTH, DAYS_PER_YEAR, day_number};
use pignut::internals::simulate::examine::SimulatedPig;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use std::collections::BTreeMap;

/// Litters of the records: pigs born at the same moment.
fn litters(pigs: &[SimulatedPig]) -> Vec<Vec<&SimulatedPig>> {
    let mut by_birth: BTreeMap<i64, Vec<&SimulatedPig>> = BTreeMap::new();
    for p in pigs {
        let born = day_number(p.killed) + 0.5 - p.truth.age_months * DAYS_PER_MONTH;
        by_birth.entry((born * 1e6).round() as i64).or_default().push(p);
    }
    by_birth.into_values().filter(|l| l.len() > 1).collect()
}

/// Pairs of litter mates in the records, those with the same end, and those shot in one week.
fn mates(pigs: &[SimulatedPig]) -> (f64, f64, f64) {
    let (mut pairs, mut alike, mut together) = (0.0, 0.0, 0.0);
    for litter in litters(pigs) {
        for (i, a) in litter.iter().enumerate() {
            for b in &litter[i + 1..] {
                pairs += 1.0;
                alike += f64::from(u8::from(a.truth.infection.is_some() == b.truth.infection.is_some()));
                let apart = (day_number(a.killed) - day_number(b.killed)).abs();
                together += f64::from(u8::from(apart < 7.0));
            }
        }
    }
    (pairs, alike, together)
}

/// Along its own path a pig's chance of infection is that of the catalytic model whether or not it shares its
/// litter's lot; what mates go through becomes alike. One strong focus fills the land, so that place hardly
/// matters.
#[test]
fn litters_share_their_lot_and_no_pig_is_the_more_at_risk() {
    let with = |correlation: f64| {
        let (mut infected, mut n, mut expected) = (0.0, 0.0, 0.0);
        let (mut pairs, mut alike, mut together) = (0.0, 0.0, 0.0);
        for seed in [61, 62] {
            let mut s = Scenario {
                extent_km: 16.0,
                pigs_target: 1_000,
                years: 4,
                sentinels: 0,
                ..Scenario::fresh(seed)
            };
            // The land depends on the seed alone.
            let d = simulate(&Scenario { pigs_target: 10, ..s.clone() }).unwrap();
            let middle = geo::BoundingRect::bounding_rect(&d.land).unwrap().center();
            s.foci = Some(vec![pignut::internals::simulate::force_of_infection::Focus {
                id: "F1".into(),
                easting_m: middle.x.round(),
                northing_m: middle.y.round(),
                radius_m: 1e6,
                peak_per_year: 0.5,
                start_day: day_number(d.first_day) - 40.0 * DAYS_PER_YEAR,
                growth_years: 1.0,
                decline: None,
            }]);
            s.litter_correlation = correlation;
            let d = simulate(&s).unwrap();
            for p in &d.pigs {
                let exposed =
                    (day_number(p.killed) + 0.5 - p.truth.exposed_from_day).max(0.0) / DAYS_PER_YEAR;
                expected += 1.0 - (-0.5 * exposed).exp();
                infected += f64::from(u8::from(p.truth.infection.is_some()));
                n += 1.0;
            }
            let (a, b, c) = mates(&d.pigs);
            (pairs, alike, together) = (pairs + a, alike + b, together + c);
        }
        (infected / n, expected / n, alike / pairs, together / pairs, pairs)
    };
    let (alone, shared) = (with(0.0), with(1.0));
    // Four standard errors of a share of 2000; litters of up to five or so as good as one pig: times √3.
    for (infected, expected, ..) in [alone, shared] {
        assert!(
            (infected - expected).abs() < 4.0 * 3f64.sqrt() * 0.5 / 2000f64.sqrt(),
            "{infected}, {expected}"
        );
    }
    assert!(alone.4 > 100.0 && shared.4 > 100.0, "pairs of mates: {} and {}", alone.4, shared.4);
    assert!(shared.2 > alone.2 + 0.2, "alike: {} alone, {} with a shared lot", alone.2, shared.2);
    assert!(shared.3 > 2.0 * alone.3, "shot together: {} alone, {} with a shared lot", alone.3, shared.3);
}

/// Weibull of mean 4 km and shape 0.5: P(beyond 20 km) = exp(−√(20·Γ(3)/4)) = 0.0423; exponential: 0.0067.
#[test]
fn heavier_tailed_dispersal_keeps_its_mean() {
    let mut all = Vec::new();
    for seed in 71..75 {
        all.extend(
            simulate(&Scenario { dispersal_shape: 0.5, ..Scenario::fresh(seed) }).unwrap().dispersals_m,
        );
    }
    let n = all.len() as f64;
    assert!(n > 4_000.0);
    let beyond = all.iter().filter(|d| **d > 20_000.0).count() as f64 / n;
    assert!((beyond - 0.0423).abs() < 4.0 * (0.0423 * 0.9577 / n).sqrt(), "{beyond} beyond 20 km");
    // S.d. of a Weibull of shape 0.5 is √5 times its mean.
    let mean = all.iter().sum::<f64>() / n;
    assert!((mean - 4_000.0).abs() < 4.0 * 5f64.sqrt() * 4_000.0 / n.sqrt(), "mean {mean}");
}

#[test]
fn smaller_foci_keep_their_places_and_totals() {
    let (a, b) = (Scenario::fresh(81), Scenario { focus_radius_scale: 0.5, ..Scenario::fresh(81) });
    let (a, b) = (simulate(&a).unwrap(), simulate(&b).unwrap());
    assert_eq!(a.foci.len(), b.foci.len());
    for (x, y) in a.foci.iter().zip(&b.foci) {
        assert_eq!((x.easting_m, x.northing_m, x.start_day), (y.easting_m, y.northing_m, y.start_day));
        assert!((y.radius_m - 0.5 * x.radius_m).abs() <= 0.5);
        let total =
            |f: &pignut::internals::simulate::force_of_infection::Focus| f.peak_per_year * f.radius_m.powi(2);
        // The radius is whole metres, the peak thousandths.
        assert!((total(y) / total(x) - 1.0).abs() < 0.01);
    }
    assert_eq!(a.operations.len(), b.operations.len());
}

#[test]
fn a_scenario_written_before_a_knob_was_there_is_neutral_in_it() {
    let mut old = serde_json::to_value(Scenario::fresh(3)).unwrap();
    for knob in ["dispersal_shape", "litter_correlation", "focus_radius_scale"] {
        assert!(old.as_object_mut().unwrap().remove(knob).is_some());
    }
    assert_eq!(serde_json::from_value::<Scenario>(old).unwrap(), Scenario::fresh(3));
    let message =
        simulate(&Scenario { litter_correlation: 1.5, ..Scenario::fresh(3) }).unwrap_err().to_string();
    assert_eq!(message, "scenario key litter_correlation = 1.5 is not possible; write 0 to 1");
}

#[test]
fn each_assumption_is_broken_alone() {
    let neutral = TINY.neutral(SEED);
    for a in ASSUMPTIONS {
        let mut s = neutral.clone();
        (a.change)(&mut s);
        let (x, y) = (serde_json::to_value(&neutral).unwrap(), serde_json::to_value(&s).unwrap());
        let changed = x.as_object().unwrap().iter().filter(|(k, v)| y[k.as_str()] != **v).count();
        assert_eq!(changed, usize::from(a.name != NEUTRAL), "{}", a.name);
        s.check().unwrap();
    }
}
