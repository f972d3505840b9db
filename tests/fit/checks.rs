//! Posterior predictive checks: even where the model is true, loud where it is not.

use super::world::{SIDE_M, analysed, chances, examine, field, herd, lay_out, read, study, zone};
use crate::common::random::stream;
use crate::common::small::{grid, hazard, pigs};
use pignut::internals::assess::model_checks::visible::{visible, visible_at_constant};
use pignut::internals::assess::model_checks::{Group, compare, groups};
use pignut::internals::geography::layout::Layout;
use pignut::internals::kernel::detection::reading_terms;
use pignut::internals::kernel::exposure::age_class_weights;
use pignut::internals::kernel::field::{HazardField, shape_of};
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::records::Age;
use pignut::internals::report::json::model_checks::group_kind;
use pignut::internals::report::sentences::model_checks;
use rand::RngExt;

/// Single precision through two transforms and a window's sum.
const SINGLE: f64 = 2e-5;
/// Four and a half standard errors: one honest test in 150 000 fails.
const ERRORS: f64 = 4.5;

/// a + b Q of [`visible`] is the likelihood that the chains see, pig by pig, whatever the number of threads.
#[test]
fn what_is_predicted_is_what_the_likelihood_sees() {
    let (study, g) = (crate::common::small::study(), grid(9, 11, 6));
    let mut rng = stream(8);
    let list = pigs(&mut rng, &g, 66);
    let lambda: Vec<f32> = hazard(&mut rng, g.field_len()).into_iter().map(|v| v as f32).collect();
    let wide: Vec<f64> = lambda.iter().map(|v| f64::from(*v)).collect();
    let mut dispersed = wide.clone();
    HazardField::<f64>::new(shape_of(&study, &g), Vec::new()).disperse(&mut dispersed);
    let mut likelihood = Likelihood::<f64>::new(&list, &study, &g);
    let (mut a, mut b) = (wide.clone(), wide.clone());
    likelihood.value_gradient(&wide, &dispersed, &mut a, &mut b);
    let seen: Vec<f64> = likelihood.pointwise().into_iter().map(f64::exp).collect();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| visible(&study, &g, &list, &age_class_weights(&list), &[&lambda, &lambda, &lambda]))
    };
    let q = on(1);
    for ((pig, q), seen) in list.iter().zip(&q[2]).zip(&seen) {
        let (a, b) = reading_terms(&study.detection, pig);
        assert!((a + b * q - seen).abs() < SINGLE, "{}: {} {seen}", pig.id, a + b * q);
    }
    assert_eq!(q, on(3));
    // One hazard everywhere, through the filter or past it, is the same.
    let even = vec![0.3f32; g.field_len()];
    let by_field = visible(&study, &g, &list, &age_class_weights(&list), &[&even]).remove(0);
    let at_once = visible_at_constant(&study, &g, &list, &age_class_weights(&list), 0.3);
    assert!(by_field.iter().zip(&at_once).all(|(a, b)| (a - b).abs() < SINGLE));
}

fn study_area() -> Layout {
    lay_out(&study(), herd(3, 900, 2018), vec![zone("west", 0.0, 5000.0), zone("east", 7000.0, SIDE_M)])
}

/// Readings drawn from the chances themselves: p values have mean ½ (mid-p: exactly, Lancaster 1961) and are
/// no more often small than uniform ones; an alarm over all comparisons together is as rare as promised.
#[test]
fn where_the_model_is_true_p_values_are_even_and_alarms_rare() {
    let layout = study_area();
    let truth = chances(&layout, &field(&layout, |x| if x < 6000.0 { 0.4 } else { 0.05 }));
    let groups = groups(&layout);
    let kinds: Vec<Group> = groups.iter().map(|g| g.0).collect();
    assert!(
        kinds.contains(&Group::Area(None))
            && kinds.contains(&Group::Year(2018))
            && kinds.contains(&Group::Age(Some(4)))
    );
    let mut rng = stream(44);
    let rounds = 400;
    let (mut sums, mut small, mut alarms) = (vec![0.0; groups.len()], 0, 0);
    for _ in 0..rounds {
        let positive: Vec<bool> = truth.iter().map(|p| rng.random::<f64>() < *p).collect();
        let found = compare(&groups, &positive, std::slice::from_ref(&truth));
        sums.iter_mut().zip(&found).for_each(|(s, c)| *s += c.p);
        small += found.iter().filter(|c| c.two_sided() < 0.05).count();
        alarms += usize::from(found.iter().any(|c| c.misfit()));
    }
    let n = f64::from(rounds);
    let error = (1.0f64 / 12.0 / n).sqrt();
    for (sum, kind) in sums.iter().zip(&kinds) {
        assert!((sum / n - 0.5).abs() < ERRORS * error, "{kind:?}: mean p {}", sum / n);
    }
    // Comparisons of one round lean on the same pigs: rounds are counted, not comparisons.
    let share = small as f64 / (n * groups.len() as f64);
    assert!(share < 0.05 + ERRORS * (0.05f64 * 0.95 / n).sqrt() && share > 0.01, "{share}");
    assert!((alarms as f64) < n * 0.05 + ERRORS * (n * 0.05 * 0.95).sqrt(), "{alarms}");
}

/// The whole way: records from the model, ages shifted on purpose, positives moved into one class on purpose.
#[test]
fn records_of_the_model_fit_and_spoilt_ones_do_not() {
    let mut layout = study_area();
    let truth = chances(&layout, &field(&layout, |x| if x < 6000.0 { 0.4 } else { 0.05 }));
    examine(&mut layout, &truth, 5);
    let sound = analysed(layout.clone());
    let fit = &sound.assessment.fit;
    assert!(fit.misfits().is_empty(), "{:#?}", fit.misfits());
    let said = model_checks::fit(&sound);
    assert!(
        said[0].starts_with("The numbers of positives are as the model predicts. 11 counts were compared"),
        "{said:?}"
    );
    // The pigs of each kind of group add up.
    for kind in ["all", "age", "area", "year"] {
        let of = fit.comparisons.iter().filter(|c| group_kind(c.group) == kind);
        assert_eq!(of.map(|c| c.pigs).sum::<usize>(), 900, "{kind}");
    }

    // As many positives as before, all of them among the youngest.
    let mut young = layout;
    let list = &mut young.records.pigs;
    let positives = list.iter().filter(|p| p.is_positive()).count();
    let mut order: Vec<usize> = (0..list.len()).collect();
    let age = |p: &pignut::internals::records::Pig| match p.age {
        Age::Interval { min_months, .. } => min_months,
        Age::Unknown => f64::INFINITY,
    };
    order.sort_by(|a, b| age(&list[*a]).total_cmp(&age(&list[*b])));
    for (place, i) in order.into_iter().enumerate() {
        read(&mut list[i], place < positives);
    }
    let young = analysed(young);
    let misfits = young.assessment.fit.misfits();
    let of = |class: usize| misfits.iter().find(|c| c.group == Group::Age(Some(class)));
    // Too many between 6 and 12 months, too few at 48 months or more.
    assert!(of(1).is_some_and(|c| c.p < 0.001) && of(4).is_some_and(|c| c.p > 0.999), "{misfits:#?}");
    let said = model_checks::fit(&young);
    assert!(said[0].starts_with("The model does not fit these records. Of "), "{said:?}");
    assert!(said[0].contains("Look at how ages were estimated"), "{said:?}");
    // And the sentence heads the page's part on coverage and data.
    let page = pignut::internals::report::page::render(&young, None).unwrap();
    let opening = page.split("id=\"looked-h\"").nth(1).unwrap().split("<h3").next().unwrap();
    assert!(opening.contains("The model does not fit these records"), "{opening}");
}

/// Ages read nine months too old: pigs thought to be one to two years old are then clear too often, for half
/// of that time they were not born. Six years of kills, for in two a hazard that lay further back would
/// explain it.
#[test]
fn ages_that_are_shifted_are_found_out() {
    let layout = lay_out(&study(), herd(3, 900, 2014), vec![zone("west", 0.0, 5000.0)]);
    let truth = chances(&layout, &field(&layout, |x| if x < 6000.0 { 0.6 } else { 0.1 }));
    let spoilt = |months: f64| {
        let mut layout = layout.clone();
        examine(&mut layout, &truth, 5);
        for pig in &mut layout.records.pigs {
            if let Age::Interval { min_months, max_months } = &mut pig.age {
                *min_months += months;
                *max_months += months;
            }
        }
        let (study, records) = (layout.study.clone(), layout.records);
        analysed(lay_out(&study, records.pigs, records.zones))
    };
    let sound = spoilt(0.0);
    assert!(sound.assessment.fit.misfits().is_empty(), "{:#?}", sound.assessment.fit.misfits());
    let shifted = spoilt(9.0);
    let misfits = shifted.assessment.fit.misfits();
    let second_year = misfits.iter().find(|c| c.group == Group::Age(Some(2)));
    assert!(second_year.is_some_and(|c| c.p > 0.99), "{:#?}", shifted.assessment.fit.comparisons);
    assert!(model_checks::fit(&shifted)[0].contains("Look at how ages were estimated"));
}

/// A positive far from any other, a piglet: the most surprising record, by name.
#[test]
fn the_most_surprising_record_is_named() {
    let mut layout = study_area();
    let truth = chances(&layout, &field(&layout, |x| if x < 6000.0 { 0.4 } else { 0.0 }));
    examine(&mut layout, &truth, 6);
    let odd = layout
        .records
        .pigs
        .iter()
        .position(|p| {
            p.easting_m > super::world::WEST_M + 11_000.0
                && matches!(p.age, Age::Interval { max_months, .. } if max_months < 8.0)
        })
        .expect("a young pig in the far east");
    read(&mut layout.records.pigs[odd], true);
    let a = analysed(layout);
    let fit = &a.assessment.fit;
    assert_eq!(fit.surprising[0].pig, odd, "{:?}", fit.surprising);
    assert!(fit.records[odd].p_positive_others < 0.02, "{:?}", fit.records[odd]);
    assert!(fit.records[odd].p_positive >= fit.records[odd].p_positive_others);
    let said = model_checks::surprise(&a, &fit.surprising[0]);
    assert!(said.starts_with("read positive, where the other records give that a probability of "), "{said}");
}
