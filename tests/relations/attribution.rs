//! Where and when a positive was infected, under a hazard that is the same everywhere.

use crate::common::small::{confirmed, grid, pig, study};
use jiff::civil::date;
use pignut::internals::assess::attribution::{PositiveFigures, attribute_one};
use pignut::internals::geography::grid::Grid;
use pignut::internals::geography::layout::Layout;
use pignut::internals::inference::posterior::Posterior;
use pignut::internals::kernel::detection::Ramp;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::records::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR, Pig, Records, Sex, day_number};
use pignut::internals::sampler::mode::Info;
use pignut::internals::study::study_file::Study;

/// Samples of a hazard that is one value everywhere in each sample.
fn constant(study: &Study, g: &Grid, values: &[f32]) -> Posterior {
    Posterior {
        hazard: values.iter().map(|v| vec![*v; g.field_len()]).collect(),
        hyper: values.iter().map(|_| Hyper::start(&study.field, 0)).collect(),
        log_likelihood: vec![0.0; values.len()],
        watched: vec![],
        chains: vec![],
        mode: Info { converged: true, steps: 0, cg_iterations: 0, relative_gradient: 0.0 },
        mass_off_grid: 0.0,
    }
}

fn figures(study: &Study, g: &Grid, values: &[f32], p: &Pig) -> PositiveFigures {
    let records = Records::default();
    let habitat = pignut::internals::geography::habitat::Habitat::default();
    let layout = Layout {
        study: study.clone(),
        records: records.clone(),
        grid: g.clone(),
        as_of: date(2022, 12, 31),
        zone_shares: Vec::new(),
        block_shares: Vec::new(),
        habitat: habitat.clone(),
    };
    attribute_one(&layout, &constant(study, g, values), p)
}

/// A confirmed pig in the middle of a wide grid.
fn positive(g: &Grid, sex: Sex, min_months: f64, max_months: f64) -> Pig {
    let middle = 500.0 * g.cols as f64;
    let mut p = confirmed(pig(g.west_m + middle + 120.0, g.south_m + middle - 260.0, date(2022, 8, 14)));
    p.sex = sex;
    p.age = Age::Interval { min_months, max_months };
    p
}

const YEARS: f64 = DAYS_PER_YEAR;

/// Common practice, no source: a pig of six months dates transmission to its own short life and place.
#[test]
fn a_six_month_positive_points_to_its_life_and_place() {
    let study = study();
    let g = grid(41, 41, 10);
    for sex in [Sex::Female, Sex::Male, Sex::Unknown] {
        let p = positive(&g, sex, 6.0, 6.0);
        let f = figures(&study, &g, &[0.1, 0.4], &p);
        let death = day_number(date(2022, 8, 14)) + 0.5;
        let earliest = death - (6.0 - study.exposure.start_months) * DAYS_PER_MONTH;
        let latest = death - study.detection.lag_start_months * DAYS_PER_MONTH;
        let outside: f64 =
            f.pieces.iter().filter(|(a, b, _)| *a < earliest - 1e-6 || *b > latest + 1e-6).map(|x| x.2).sum();
        assert!(outside < 1e-12, "{sex:?}: {outside} of the infection lies outside its exposed life");
        let days = f.infection_days.expect("it may have been infected");
        assert!(days[0] >= earliest && days[6] <= latest && days.windows(2).all(|w| w[0] <= w[1]));
        let near = f.share_within_local_radius.expect("it may have been infected");
        assert!(near >= 0.9, "{sex:?}: {near} within 3 km");
        assert!(f.p_true > 0.95 && f.p_true <= 1.0, "{}", f.p_true);
        let mass: f64 = f.pieces.iter().map(|x| x.2).sum();
        assert!((mass - f.p_true).abs() < 1e-12);
        assert!(f.origin.iter().map(|x| x.1).sum::<f64>() <= f.p_true + 1e-9);
    }
}

/// Common practice, no source: the same pig at 40 to 48 months may have caught it years ago and far away.
#[test]
fn a_four_year_old_positive_spreads_over_years_and_country() {
    let study = study();
    let g = grid(41, 41, 10);
    for sex in [Sex::Female, Sex::Male] {
        let young = figures(&study, &g, &[0.1, 0.4], &positive(&g, sex, 6.0, 6.0));
        let old = figures(&study, &g, &[0.1, 0.4], &positive(&g, sex, 40.0, 48.0));
        let span = |f: &PositiveFigures| {
            let q = f.infection_days.expect("it may have been infected");
            q[5] - q[1]
        };
        assert!(span(&young) < 0.35 * YEARS, "{}", span(&young) / YEARS);
        assert!(span(&old) > 2.0 * YEARS, "{}", span(&old) / YEARS);
        assert!(
            old.area90.len() > young.area90.len(),
            "{sex:?}: {} {}",
            old.area90.len(),
            young.area90.len()
        );
        assert!(old.share_within_local_radius < young.share_within_local_radius);
        assert!(young.p_recent > 0.99 * young.p_true && old.p_recent < 0.6 * old.p_true);
        assert!(old.area50.len() < old.area90.len());
    }
    // Boars disperse more often than sows: the old boar's origin is the wider.
    let wide = |sex| figures(&study, &g, &[0.2], &positive(&g, sex, 40.0, 48.0)).area90.len();
    assert!(wide(Sex::Male) > wide(Sex::Female));
    // Without dispersal it is as narrow as the young one's.
    let mut still = study.clone();
    still.dispersal.share_male = 0.0;
    let narrow = figures(&still, &g, &[0.2], &positive(&g, Sex::Male, 40.0, 48.0));
    assert_eq!(
        narrow.area90.len(),
        figures(&still, &g, &[0.2], &positive(&g, Sex::Male, 6.0, 6.0)).area90.len()
    );
}

/// Share left over after the error of a bin: that of the sum over all bins.
const TOTAL_REL: f64 = 0.002;

#[test]
fn under_a_constant_hazard_the_time_of_infection_has_its_known_density() {
    let study = study();
    let g = grid(41, 41, 10);
    let ramp = Ramp::new(&study.detection);
    for (lambda, months) in [(0.05f32, 44.0), (0.3, 44.0), (0.8, 30.0), (0.8, 7.0)] {
        let f = figures(&study, &g, &[lambda], &positive(&g, Sex::Female, months, months));
        let rate = f64::from(lambda) / DAYS_PER_YEAR;
        let exposed = (months - study.exposure.start_months) * DAYS_PER_MONTH;
        let death = day_number(date(2022, 8, 14)) + 0.5;
        // Density at lag τ: R(τ) λ e^(−λ(T − τ)), by the midpoint rule.
        let density = |from: f64, to: f64| {
            let n = 400;
            let step = (to - from) / f64::from(n);
            (0..n)
                .map(|i| {
                    let lag = from + (f64::from(i) + 0.5) * step;
                    ramp.at(lag) * rate * (-rate * (exposed - lag)).exp() * step
                })
                .sum::<f64>()
        };
        let all: f64 = f.pieces.iter().map(|(a, b, _)| density(death - b, death - a)).sum();
        let covered: f64 = f.pieces.iter().map(|(a, b, _)| b - a).sum();
        assert!((covered - exposed).abs() < 0.1, "{covered} {exposed}");
        for (a, b, mass) in &f.pieces {
            let expected = density(death - b, death - a) / all;
            let got = mass / f.p_true;
            // Ramp and chance of infection are averaged one by one within a bin: for a ramp that rises from
            // 0 over the bin the product of means is off by λ·width/6.
            let allowed = rate * (b - a) / 6.0 + TOTAL_REL;
            assert!(
                (got - expected).abs() <= allowed * expected + 1e-9,
                "λ {lambda}, {months} months, lags {} to {}: {got} {expected}",
                death - b,
                death - a
            );
        }
    }
}

/// p_true is Bayes' rule on the false-positive rate.
#[test]
fn a_positive_of_a_clean_district_is_probably_a_mistake() {
    let study = study();
    let g = grid(21, 21, 10);
    let p = positive(&g, Sex::Female, 20.0, 20.0);
    let clean = figures(&study, &g, &[1e-6], &p);
    let dirty = figures(&study, &g, &[0.5], &p);
    assert!(clean.p_true < 0.01 && dirty.p_true > 0.99, "{} {}", clean.p_true, dirty.p_true);
    let none = figures(&study, &g, &[0.0], &p);
    assert_eq!(none.p_true, 0.0);
    assert_eq!(
        (none.infection_days, none.origin_distance_m_median, none.share_within_local_radius),
        (None, None, None)
    );
}
