//! Survival weights for an uncertain age against an explicit mixture of exact ages.

use crate::common::small::{grid, pig, study};
use jiff::civil::date;
use pignut::internals::geography::grid::Grid;
use pignut::internals::kernel::exposure::{
    AGE_CLASSES_MONTHS, LagBin, WIDEST_INTERVAL_MONTHS, age_class_weights, lives,
};
use pignut::internals::records::{Age, DAYS_PER_YEAR, Pig, Sex};
use pignut::internals::study::study_file::Study;

/// Q of a pig under a hazard that depends on the period only.
fn q(p: &Pig, study: &Study, grid: &Grid, hazard: &[f64]) -> f64 {
    let mut q = 0.0;
    for life in lives(p, study, grid, &age_class_weights(&[])) {
        let mut survive = 1.0;
        for bin in life.bins.iter().rev() {
            let infected = 1.0 - (-bin.years() * hazard[bin.period]).exp();
            q += life.weight * bin.ramp * survive * infected;
            survive *= 1.0 - infected;
        }
    }
    q
}

/// Mean of Q over 600 exact ages of an interval.
fn mixture(p: &Pig, bounds: (f64, f64), study: &Study, grid: &Grid, hazard: &[f64]) -> f64 {
    let n = 600;
    let ages = (0..n).map(|i| bounds.0 + (bounds.1 - bounds.0) * (f64::from(i) + 0.5) / f64::from(n));
    let exact = ages.map(|a| {
        q(&Pig { age: Age::Interval { min_months: a, max_months: a }, ..p.clone() }, study, grid, hazard)
    });
    exact.sum::<f64>() / f64::from(n)
}

/// Largest relative error over youngest ages, sexes and three courses of the hazard.
fn worst(width: f64, level: f64) -> f64 {
    let study = study();
    let g = grid(3, 3, 10);
    let courses: [Vec<f64>; 3] = [
        vec![level; 10],
        (0..10).map(|t| level * (0.2 + 0.16 * t as f64)).collect(),
        (0..10).map(|t| level * (1.64 - 0.16 * t as f64)).collect(),
    ];
    let mut worst = 0.0f64;
    for youngest in [3.0, 6.0, 12.0, 24.0, 36.0] {
        for sex in [Sex::Female, Sex::Male] {
            let mut p = pig(g.west_m + 1500.0, g.south_m + 1500.0, date(2022, 9, 20));
            p.sex = sex;
            p.age = Age::Interval { min_months: youngest, max_months: youngest + width };
            for hazard in &courses {
                let exact = mixture(&p, (youngest, youngest + width), &study, &g, hazard);
                worst = worst.max((q(&p, &study, &g, hazard) / exact - 1.0).abs());
            }
        }
    }
    worst
}

/// Largest relative error of p allowed, by level of the hazard per year.
///
/// Survival weights put the mean exposure into 1 − e^(−λE), where the mean over ages is wanted: the
/// error grows as λ times the variance of the age within one piece, and is largest for pigs of three to six
/// months.
const SURVIVAL_REL: [(f64, f64); 6] =
    [(0.02, 0.002), (0.05, 0.003), (0.1, 0.006), (0.2, 0.01), (0.5, 0.025), (1.0, 0.045)];

#[test]
fn an_uncertain_age_is_near_the_mixture_of_exact_ages() {
    for (level, allowed) in SURVIVAL_REL {
        let mut largest = 0.0f64;
        for width in [2.0, 3.0, 9.0, WIDEST_INTERVAL_MONTHS, 12.0, 18.0, 24.0, 31.0, 60.0, 100.0] {
            let found = worst(width, level);
            largest = largest.max(found);
            assert!(found < allowed, "{width} months at {level} per year: {found}");
        }
        println!("{level} per year: p is off by at most {largest:.4}");
    }
}

#[test]
fn an_unknown_age_is_near_the_mixture_over_its_classes() {
    let study = study();
    let g = grid(3, 3, 10);
    let weights = age_class_weights(&[]);
    assert_eq!(weights, [0.2; 5]);
    for (level, allowed) in [(0.05, 0.01), (0.2, 0.02)] {
        let mut p = pig(g.west_m + 1500.0, g.south_m + 1500.0, date(2022, 9, 20));
        p.age = Age::Unknown;
        let hazard = vec![level; 10];
        let classes = AGE_CLASSES_MONTHS.iter().zip(weights);
        let exact: f64 = classes.map(|(bounds, w)| w * mixture(&p, *bounds, &study, &g, &hazard)).sum();
        let found = q(&p, &study, &g, &hazard);
        assert!((found / exact - 1.0).abs() < allowed, "{level}: {found} {exact}");
    }
}

/// Ages learnt from the study's own pigs shift the weights of the classes.
#[test]
fn aged_pigs_teach_the_weights_of_the_classes() {
    let g = grid(3, 3, 4);
    let mut old = pig(g.west_m, g.south_m, date(2019, 3, 1));
    old.age = Age::Interval { min_months: 60.0, max_months: 70.0 };
    // Five pseudo-pigs and five real ones, all real ones in the last class.
    assert_eq!(age_class_weights(&vec![old; 5]), [0.1, 0.1, 0.1, 0.1, 0.6]);
}

/// What rounding may leave of differences of days.
const ROUNDING: f64 = 1e-11;

#[test]
fn exposure_adds_up_to_the_expected_exposed_life() {
    let study = study();
    let g = grid(3, 3, 10);
    for (min, max) in [(1.0, 1.5), (5.0, 5.0), (0.0, 6.0), (10.0, 34.0), (12.0, 110.0), (170.0, 200.0)] {
        let mut p = pig(g.west_m, g.south_m, date(2022, 9, 20));
        p.age = Age::Interval { min_months: min, max_months: max };
        let n = 20_000;
        let exposed =
            |age: f64| (age.min(study.exposure.max_age_months) - study.exposure.start_months).max(0.0) / 12.0;
        let expected =
            (0..n).map(|i| exposed(min + (max - min) * (f64::from(i) + 0.5) / f64::from(n))).sum::<f64>()
                / f64::from(n);
        let all = lives(&p, &study, &g, &age_class_weights(&[]));
        let found: f64 = all.iter().map(|l| l.weight * l.bins.iter().map(|b| b.years()).sum::<f64>()).sum();
        assert!((all.iter().map(|l| l.weight).sum::<f64>() - 1.0).abs() < 1e-12);
        // One age a month of width: the corner at weaning is off by up to a hundredth of a year.
        assert!((found - expected).abs() < 0.01, "{min} to {max} months: {found} {expected}");
        for life in &all {
            assert!(
                life.bins.windows(2).all(|b| b[0].lag_end <= b[1].lag_start && b[0].period >= b[1].period)
            );
            // Differences of integrals up to 5000 days: rounding may leave a bin on the wrong side of 0 or 1.
            let sound = |b: &LagBin| {
                b.ramp > -ROUNDING
                    && b.ramp < 1.0 + ROUNDING
                    && b.stay_years > -ROUNDING
                    && b.moved_years > -ROUNDING
            };
            assert!(life.bins.iter().all(sound), "{:?}", life.bins.iter().find(|b| !sound(b)));
        }
    }
    // A released sentinel is exposed from its release, whatever its age.
    let mut p = pig(g.west_m, g.south_m, date(2022, 9, 20));
    p.released_on = Some(date(2022, 1, 4));
    let life = lives(&p, &study, &g, &[0.2; 5]).remove(0);
    let years: f64 = life.bins.iter().map(|b| b.stay_years).sum();
    assert!((years - 259.5 / DAYS_PER_YEAR).abs() < 1e-3, "{years}");
    assert!(life.bins.iter().all(|b| b.moved_years == 0.0), "a released pig has no natal range to leave");
}
