//! The laid-out likelihood against a direct double loop, and against a life lived day by day.

use super::dispersal::dense_dispersal;
use crate::common::random::stream;
use crate::common::small::{grid, hazard, pig, pigs, study};
use jiff::civil::date;
use libm::erf;
use pignut::internals::geography::grid::Grid;
use pignut::internals::kernel::detection::{Ramp, reading_terms};
use pignut::internals::kernel::exposure::{age_class_weights, lives};
use pignut::internals::kernel::home_range::{kernel_on_grid, pig_sd_m};
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::records::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR, DateSpan, Pig, Sex, day_number};
use pignut::internals::study::study_file::Study;

/// Rounding of a few hundred products and sums; nothing else differs.
const DOUBLE_LOOP_ABS: f64 = 1e-11;

/// ln L of each pig with dense weights and every product written out.
fn naive(list: &[Pig], study: &Study, grid: &Grid, field: &[f64], dispersed: &[f64]) -> Vec<f64> {
    let classes = age_class_weights(list);
    let mean = |w: &[f64], f: &[f64], period: usize| -> f64 {
        (0..grid.cells())
            .map(|c| {
                let (row, col) = grid.row_col(c);
                w[c] * f[grid.at(row, period, col)]
            })
            .sum()
    };
    list.iter()
        .map(|p| {
            let w = kernel_on_grid(grid, p, pig_sd_m(&study.home_range, p));
            let mut q = 0.0;
            for life in lives(p, study, grid, &classes) {
                let h: Vec<f64> = life
                    .bins
                    .iter()
                    .map(|b| {
                        b.stay_years * mean(&w, field, b.period)
                            + b.moved_years * mean(&w, dispersed, b.period)
                    })
                    .collect();
                for k in 0..h.len() {
                    let older: f64 = h[k + 1..].iter().sum();
                    q += life.weight * life.bins[k].ramp * (-older).exp() * (1.0 - (-h[k]).exp());
                }
            }
            let (a, b) = reading_terms(&study.detection, p);
            (a + b * q).ln()
        })
        .collect()
}

#[test]
fn the_likelihood_is_the_direct_double_loop() {
    let study = study();
    // Widths that take the padded paths (8 and 12 columns), the unpadded ones, and one-sided grids.
    for (rows, cols, periods, seed) in
        [(9, 14, 6, 1), (5, 7, 3, 2), (3, 3, 2, 3), (26, 30, 4, 4), (40, 4, 5, 5)]
    {
        let g = grid(rows, cols, periods);
        let mut rng = stream(seed);
        let list = pigs(&mut rng, &g, 66);
        let field = hazard(&mut rng, g.field_len());
        let dispersed = hazard(&mut rng, g.field_len());
        let mut fast = Likelihood::new(&list, &study, &g);
        let (mut by, mut by_dispersed) = (vec![f64::NAN; g.field_len()], vec![f64::NAN; g.field_len()]);
        let value = fast.value_gradient(&field, &dispersed, &mut by, &mut by_dispersed);
        let slow = naive(&list, &study, &g, &field, &dispersed);
        for (i, (a, b)) in fast.pointwise().iter().zip(&slow).enumerate() {
            assert!((a - b).abs() < DOUBLE_LOOP_ABS * (1.0 + b.abs()), "{rows}×{cols}: pig {i} {a} {b}");
        }
        assert!((value - slow.iter().sum::<f64>()).abs() < 1e-9);
        assert!(by.iter().chain(&by_dispersed).all(|v| v.is_finite()));
    }
}

#[test]
fn wide_windows_take_the_general_path_to_the_same_value() {
    let mut study = study();
    study.home_range.sigma_male_m = 4000.0;
    study.home_range.sigma_female_m = 2500.0;
    let g = grid(30, 45, 3);
    let mut rng = stream(6);
    let list = pigs(&mut rng, &g, 40);
    let (field, dispersed) = (hazard(&mut rng, g.field_len()), hazard(&mut rng, g.field_len()));
    let mut fast = Likelihood::new(&list, &study, &g);
    let (mut by, mut by_dispersed) = (vec![0.0; g.field_len()], vec![0.0; g.field_len()]);
    let value = fast.value_gradient(&field, &dispersed, &mut by, &mut by_dispersed);
    let slow: f64 = naive(&list, &study, &g, &field, &dispersed).iter().sum();
    assert!((value - slow).abs() < 1e-9, "{value} {slow}");
}

/// P(infected with a visible lesion) of a pig of known age and day, from its life day by day.
///
/// Nothing of the kernel but the ramp's own values and the study's parameters is used: weights
/// from the error function, dispersal from a dense matrix, one step a half day.
fn day_by_day(
    p: &Pig,
    age_days: f64,
    death: f64,
    study: &Study,
    grid: &Grid,
    field: &[f64],
    dispersed: &[f64],
) -> f64 {
    let s = pig_sd_m(&study.home_range, p);
    let phi = |x: f64| 0.5 * (1.0 + erf(x / std::f64::consts::SQRT_2));
    let w: Vec<f64> = (0..grid.cells())
        .map(|c| {
            let [south_west, _, north_east, _] = grid.corners(c);
            (phi((north_east.x - p.easting_m) / s) - phi((south_west.x - p.easting_m) / s))
                * (phi((north_east.y - p.northing_m) / s) - phi((south_west.y - p.northing_m) / s))
        })
        .collect();
    let at = |f: &[f64], period: usize| -> f64 {
        (0..grid.cells())
            .map(|c| {
                let (row, col) = grid.row_col(c);
                w[c] * f[grid.at(row, period, col)]
            })
            .sum()
    };
    let gathered: Vec<(f64, f64)> = (0..grid.periods()).map(|t| (at(field, t), at(dispersed, t))).collect();
    let d = &study.dispersal;
    let share = match p.sex {
        Sex::Female => d.share_female,
        Sex::Male => d.share_male,
        Sex::Unknown => d.share_unknown,
    };
    let left = |age: f64| {
        ((age / DAYS_PER_MONTH - d.age_start_months) / (d.age_end_months - d.age_start_months))
            .clamp(0.0, 1.0)
    };
    let ramp = Ramp::new(&study.detection);
    let longest = age_days - study.exposure.start_months * DAYS_PER_MONTH;
    let steps = (2.0 * longest).ceil().max(1.0) as usize;
    let step = longest / steps as f64;
    let (mut survive, mut q) = (1.0, 0.0);
    for i in (0..steps).rev() {
        let lag = (i as f64 + 0.5) * step;
        let period = grid.period_of(death - lag);
        let moved = share * (left(age_days) - left(age_days - lag));
        let rate = (1.0 - moved) * gathered[period].0 + moved * gathered[period].1;
        let infected = 1.0 - (-rate * step / DAYS_PER_YEAR).exp();
        q += survive * infected * ramp.at(lag);
        survive *= 1.0 - infected;
    }
    q
}

/// The ramp is averaged within bins, the kernel cut at 4 s.d. and D acts on λ before a lag bin's mean
/// is taken: together under half a percent of p at hazards up to 1 per year.
const LIFE_REL: f64 = 0.005;

#[test]
fn a_life_lived_day_by_day_gives_the_same_probability() {
    let study = study();
    let g = grid(11, 10, 6);
    let d = dense_dispersal(&g, study.dispersal.mean_m);
    let mut rng = stream(11);
    let field: Vec<f64> = hazard(&mut rng, g.field_len()).into_iter().map(|v| v.min(1.0)).collect();
    let mut dispersed = vec![0.0; field.len()];
    for t in 0..g.periods() {
        for (a, from_a) in d.iter().enumerate() {
            let (row, col) = g.row_col(a);
            dispersed[g.at(row, t, col)] = (0..g.cells())
                .map(|b| {
                    let (r, c) = g.row_col(b);
                    from_a[b] * field[g.at(r, t, c)]
                })
                .sum();
        }
    }
    for (i, months) in [1.0, 2.5, 5.0, 9.0, 14.0, 20.0, 36.0, 70.0].into_iter().enumerate() {
        for sex in [Sex::Female, Sex::Male, Sex::Unknown] {
            let mut p = pig(
                g.west_m + 4_300.0 + 400.0 * i as f64,
                g.south_m + 5_700.0 - 250.0 * i as f64,
                date(2020, 10, 12),
            );
            p.sex = sex;
            p.age = Age::Interval { min_months: months, max_months: months };
            let mut fast = Likelihood::new(std::slice::from_ref(&p), &study, &g);
            let (mut by, mut by_dispersed) = (vec![0.0; field.len()], vec![0.0; field.len()]);
            fast.value_gradient(&field, &dispersed, &mut by, &mut by_dispersed);
            let (a, b) = reading_terms(&study.detection, &p);
            let q = (fast.pointwise()[0].exp() - a) / b;
            let slow = day_by_day(
                &p,
                months * DAYS_PER_MONTH,
                day_number(p.killed.first) + 0.5,
                &study,
                &g,
                &field,
                &dispersed,
            );
            assert!((q - slow).abs() <= LIFE_REL * slow + 1e-12, "{months} months, {sex:?}: {q} {slow}");
        }
    }
}

/// A date known to a month is taken at its middle, to a year at eight days of it.
#[test]
fn an_uncertain_day_of_death_is_an_average_over_days() {
    let study = study();
    let g = grid(9, 9, 6);
    let mut rng = stream(12);
    let field: Vec<f64> = hazard(&mut rng, g.field_len()).into_iter().map(|v| v.min(1.0)).collect();
    let q = |p: &Pig| {
        let mut fast = Likelihood::new(std::slice::from_ref(p), &study, &g);
        let (mut by, mut by_dispersed) = (vec![0.0; field.len()], vec![0.0; field.len()]);
        fast.value_gradient(&field, &field, &mut by, &mut by_dispersed);
        let (a, b) = reading_terms(&study.detection, p);
        (fast.pointwise()[0].exp() - a) / b
    };
    for (first, last, allowed) in [
        (date(2019, 5, 1), date(2019, 5, 31), 0.003),
        // The turn of a period falls within: half of the days see the other hazard.
        (date(2019, 6, 10), date(2019, 7, 9), 0.01),
        (date(2019, 1, 1), date(2019, 12, 31), 0.01),
    ] {
        for months in [6.0, 15.0, 40.0] {
            let mut p = pig(g.west_m + 4200.0, g.south_m + 5100.0, first);
            p.age = Age::Interval { min_months: months, max_months: months };
            p.killed = DateSpan { first, last };
            let span = q(&p);
            let days = p.killed.days() as i32;
            let mean = (0..days)
                .map(|k| {
                    p.killed = DateSpan::day(
                        first.checked_add(jiff::Span::new().days(k)).expect("a day of the calendar"),
                    );
                    q(&p)
                })
                .sum::<f64>()
                / f64::from(days);
            assert!((span / mean - 1.0).abs() < allowed, "{first} {months}: {span} {mean}");
        }
    }
}
