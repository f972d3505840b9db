//! Pigs, infections and records of simulated study areas.

use super::small::{focus_in_the_middle, small};
use geo::{Area, Contains, Coord};
use pignut::internals::records::{DAYS_PER_YEAR, day_number};
use pignut::internals::simulate::examine::SimulatedPig;
use pignut::internals::simulate::force_of_infection::{Cause, Decline, hazard_per_year};
use pignut::internals::simulate::scenario::{Scenario, ScenarioError};
use pignut::internals::simulate::study_area::simulate;

/// Seeds of the study areas looked at here.
const SEEDS: [u64; 4] = [1, 2, 3, 4];

fn place(p: &SimulatedPig) -> Coord<f64> {
    Coord { x: p.easting_m, y: p.northing_m }
}

fn share(pigs: &[SimulatedPig], holds: impl Fn(&SimulatedPig) -> bool) -> f64 {
    pigs.iter().filter(|p| holds(p)).count() as f64 / pigs.len() as f64
}

/// Pigs that stay where they are: P(infected) = 1 − exp(−∫λ dt), so the count is a sum of
/// independent Bernoulli draws; checked to four s.d. (catalytic model, Muench 1934).
#[test]
fn infections_follow_the_integral_of_the_hazard() {
    let mut s = Scenario { home_range_scale: 1e-6, dispersal_scale: 0.0, sentinels: 0, ..small(11) };
    s.pigs_target = 1500;
    let mut f = focus_in_the_middle(&s, 0.9, 3_000.0);
    f.decline = Some(Decline {
        start_day: f.start_day + 3.5 * DAYS_PER_YEAR,
        remaining_share: 0.1,
        scale_months: 2.0,
        cause: Cause::FadeOut,
    });
    s.foci = Some(vec![f.clone()]);
    let d = simulate(&s).unwrap();
    let (mut expected, mut variance, mut infected) = (0.0, 0.0, 0.0);
    for p in &d.pigs {
        let killed = day_number(p.killed) + 0.5;
        let (from, steps) = (p.truth.exposed_from_day, 400);
        let width = (killed - from) / f64::from(steps);
        let total: f64 = (0..steps)
            .map(|k| {
                let day = from + (f64::from(k) + 0.5) * width;
                hazard_per_year(&d.foci, p.truth.easting_m, p.truth.northing_m, day) * width / DAYS_PER_YEAR
            })
            .sum();
        let prob = 1.0 - (-total.max(0.0)).exp();
        expected += prob;
        variance += prob * (1.0 - prob);
        infected += f64::from(u8::from(p.truth.infection.is_some()));
    }
    assert!(expected > 150.0, "the test needs infections: {expected}");
    assert!((infected - expected).abs() < 4.0 * variance.sqrt(), "{infected} infected, {expected} expected");
}

/// Infection shares must fall when the hazard does: the input matters.
#[test]
fn a_weaker_pocket_infects_fewer() {
    let mut s = small(12);
    let prevalence = |s: &Scenario| share(&simulate(s).unwrap().pigs, |p| p.truth.infection.is_some());
    s.foci = Some(vec![focus_in_the_middle(&s, 0.8, 2_500.0)]);
    let strong = prevalence(&s);
    s.foci = Some(vec![focus_in_the_middle(&small(12), 0.1, 2_500.0)]);
    assert!(strong > 2.0 * prevalence(&s));
}

/// Natal dispersal is exponential with mean 4 km and s.d. 4 km: the mean of n lies within
/// 4 s.e. of it (Prévot & Licoppe 2013: 4.90 km males, 2.49 km females; the default between).
#[test]
fn dispersal_has_its_mean() {
    let (mut sum, mut n) = (0.0, 0.0);
    for seed in SEEDS {
        let d = simulate(&Scenario::fresh(seed)).unwrap();
        sum += d.dispersals_m.iter().sum::<f64>();
        n += d.dispersals_m.len() as f64;
    }
    assert!(n > 4_000.0);
    assert!((sum / n - 4_000.0).abs() < 4.0 * 4_000.0 / n.sqrt(), "mean {}", sum / n);
    let half = simulate(&Scenario { dispersal_scale: 0.5, ..Scenario::fresh(1) }).unwrap();
    let mean = half.dispersals_m.iter().sum::<f64>() / half.dispersals_m.len() as f64;
    assert!((mean - 2_000.0).abs() < 4.0 * 2_000.0 / (half.dispersals_m.len() as f64).sqrt());
}

/// What hunters' records look like. Age structure: 60 to 80 % below 48 months (hunter
/// guidance on some 2000 jaws, New Zealand); the rest are the simulator's own statements.
#[test]
fn records_look_like_hunters_records() {
    let mut prevalences = Vec::new();
    for seed in SEEDS {
        let d = simulate(&Scenario::fresh(seed)).unwrap();
        assert_eq!(d.pigs.len(), d.scenario.pigs_target);
        let young = share(&d.pigs, |p| p.truth.age_months < 48.0);
        assert!((0.60..0.80).contains(&young), "{young} below 48 months");
        let yearlings = share(&d.pigs, |p| (6.0..24.0).contains(&p.truth.age_months));
        assert!((0.30..0.55).contains(&yearlings), "{yearlings} of 6 to 24 months");
        let aged: Vec<_> =
            d.pigs.iter().filter_map(|p| p.age_months.map(|a| (a, p.truth.age_months))).collect();
        let missed = aged.iter().filter(|(a, t)| *t < a.0 || *t > a.1).count() as f64 / aged.len() as f64;
        assert!((0.04..0.09).contains(&missed), "{missed} of the age intervals miss the truth");
        let no_age = share(&d.pigs, |p| p.age_months.is_none());
        assert!((0.01..0.05).contains(&no_age), "{no_age} without an age");
        assert_eq!(d.pigs.iter().filter(|p| p.released_on.is_some()).count(), d.scenario.sentinels);
        let first = |p: &SimulatedPig| p.killed >= d.first_day && p.killed <= d.as_of;
        assert!(d.pigs.iter().all(first), "a pig was killed outside the study");
        for p in &d.pigs {
            let Some(i) = p.truth.infection else { continue };
            assert!(
                i.day >= p.truth.exposed_from_day && i.day < day_number(p.killed) + 0.5,
                "{}",
                p.occurrence_id
            );
        }
        prevalences.push(share(&d.pigs, |p| p.truth.infection.is_some()));
    }
    let mean = prevalences.iter().sum::<f64>() / prevalences.len() as f64;
    assert!((0.02..0.08).contains(&mean), "mean true prevalence {mean}");
    assert!(prevalences.iter().all(|p| (0.005..0.15).contains(p)), "{prevalences:?}");
}

#[test]
fn a_disease_free_district_holds_no_infected_pig() {
    for seed in [1, 2] {
        let d = simulate(&Scenario::disease_free(seed)).unwrap();
        assert!(d.foci.is_empty());
        assert!(d.pigs.iter().all(|p| p.truth.infection.is_none()));
        // Lesions from another cause occur (0.006 of 2200 = 13, ±4 s.d. = 0 to 28), laboratory positives
        // hardly ever.
        let lesions = d.pigs.iter().filter(|p| p.gross_lesion).count();
        assert!((1..=28).contains(&lesions), "{lesions} look-alikes");
        assert!(d.pigs.iter().all(|p| !p.is_confirmed()));
    }
}

#[test]
fn the_demo_is_the_district_that_was_ordered() {
    let d = simulate(&Scenario::demo()).unwrap();
    assert_eq!(d.zones.len(), 3);
    assert!((14..=20).contains(&d.blocks.len()), "{} blocks", d.blocks.len());
    assert!((2_000..=3_000).contains(&d.pigs.len()));
    assert_eq!(d.operations.len(), 1);
    let (zones, pigs) = (&d.zones, &d.pigs);
    let inside = |zone: usize| pigs.iter().filter(move |p| zones[zone].boundary.contains(&place(p)));
    let six_months = inside(0).filter(|p| p.is_confirmed() && p.truth.infection.is_some());
    assert!(
        six_months.filter(|p| p.age_months.is_some_and(|a| a.0 >= 5.0 && a.1 <= 7.0)).count() >= 1,
        "no laboratory-confirmed pig of five to seven months in the area with disease"
    );
    // Areas and blocks are the land, to a hectare.
    let land = d.land.unsigned_area();
    for parts in [
        d.zones.iter().map(|z| z.boundary.unsigned_area()).sum::<f64>(),
        d.blocks.iter().map(|b| b.boundary.unsigned_area()).sum::<f64>(),
        d.cover.iter().map(|c| c.boundary.unsigned_area()).sum::<f64>(),
    ] {
        assert!((parts - land).abs() < 10_000.0, "{parts} m² of {land} m²");
    }
    // The operation worked: at its focus's centre the hazard is a twentieth of what it was.
    let f = &d.foci[3];
    let start = f.decline.as_ref().unwrap().start_day;
    let hazard = |day: f64| hazard_per_year(&d.foci, f.easting_m, f.northing_m, day);
    assert!(hazard(start) > 0.5 && hazard(day_number(d.as_of)) < 0.05);
    assert!(d.blocks[d.operations[0].block].boundary.contains(&Coord { x: f.easting_m, y: f.northing_m }));
    // The third area was never infected: hardly a pig was shot there where the hazard exceeded 0.02.
    let near =
        |p: &SimulatedPig| hazard_per_year(&d.foci, p.easting_m, p.northing_m, day_number(p.killed)) > 0.02;
    let exposed = inside(2).filter(|p| near(p)).count();
    assert!(exposed * 100 < inside(2).count(), "{exposed} pigs of the third area stood in a focus");
    // Poorly looked at somewhere: one block has less than a third of the pigs of the median block.
    let mut counts: Vec<usize> =
        d.blocks.iter().map(|b| d.pigs.iter().filter(|p| b.boundary.contains(&place(p))).count()).collect();
    counts.sort_unstable();
    assert!(counts[0] * 3 < counts[counts.len() / 2], "{counts:?}");
}

/// Each knob that makes a study area disagree with the study's defaults does what its name says.
#[test]
fn misspecification_knobs_matter() {
    let mut s = Scenario { pigs_target: 1_500, extent_km: 30.0, ..small(13) };
    s.foci = Some(vec![focus_in_the_middle(&s, 1.0, 2_500.0)]);
    let neutral = simulate(&s).unwrap().pigs;
    let with = |change: &dyn Fn(&mut Scenario)| {
        let mut changed = s.clone();
        change(&mut changed);
        simulate(&changed).unwrap().pigs
    };
    let infected = |pigs: &[SimulatedPig]| share(pigs, |p| p.truth.infection.is_some());
    let lesioned = |pigs: &[SimulatedPig]| share(pigs, |p| p.gross_lesion);
    let middle_age_error = |pigs: &[SimulatedPig]| {
        let errors: Vec<f64> = pigs
            .iter()
            .filter_map(|p| p.age_months.map(|a| 0.5 * (a.0 + a.1) - p.truth.age_months))
            .collect();
        errors.iter().sum::<f64>() / errors.len() as f64
    };
    assert!(infected(&with(&|s| s.pig_to_pig = 0.3)) > 1.2 * infected(&neutral));
    assert!(lesioned(&with(&|s| s.ramp_shift_months = 12.0)) < 0.9 * lesioned(&neutral));
    assert!(lesioned(&with(&|s| s.effort_on_past_positives = 5.0)) > 1.1 * lesioned(&neutral));
    assert!(middle_age_error(&neutral).abs() < 0.5);
    assert!((middle_age_error(&with(&|s| s.age_bias_months = 6.0)) - 6.0).abs() < 0.5);
    // Wider ranges part the place of infection from the place of death.
    let parted = |pigs: &[SimulatedPig]| {
        let gaps: Vec<f64> = pigs
            .iter()
            .filter_map(|p| {
                let i = p.truth.infection?;
                Some((i.easting_m - p.truth.easting_m).hypot(i.northing_m - p.truth.northing_m))
            })
            .collect();
        gaps.iter().sum::<f64>() / gaps.len() as f64
    };
    assert!(parted(&with(&|s| s.home_range_scale = 2.0)) > 1.3 * parted(&neutral));
}

#[test]
fn impossible_scenarios_are_refused_by_name() {
    let refused = |s: Scenario| simulate(&s).unwrap_err().to_string();
    assert_eq!(
        refused(Scenario { years: 0, ..Scenario::fresh(1) }),
        "scenario key years = 0 is not possible; write 1 to 30"
    );
    assert_eq!(
        refused(Scenario { home_range_scale: f64::NAN, ..Scenario::fresh(1) }),
        "scenario key home_range_scale = NaN is not possible; write 0.000001 to 10"
    );
    let empty = Scenario { disease: false, foci: Some(vec![]), ..Scenario::fresh(1) };
    assert!(matches!(simulate(&empty), Err(ScenarioError::OutOfRange { key: "foci", .. })));
}
