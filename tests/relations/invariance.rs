//! What must not change the likelihood, and what must.

use crate::common::random::stream;
use crate::common::small::{SOUTH_M, WEST_M, confirmed, grid, hazard, pig, pigs, study};
use jiff::civil::date;
use pignut::internals::geography::grid::Grid;
use pignut::internals::kernel::home_range::{axis_mass, kernel_on_grid, pig_sd_m};
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::records::{Age, DateSpan, LabMethod, NodePair, Pig, Sex};
use pignut::internals::study::study_file::Study;

/// Value and both gradients.
fn evaluate(
    list: &[Pig],
    study: &Study,
    g: &Grid,
    field: &[f64],
    dispersed: &[f64],
) -> (f64, Vec<f64>, Vec<f64>) {
    let mut l = Likelihood::new(list, study, g);
    let (mut by, mut by_dispersed) = (vec![0.0; field.len()], vec![0.0; field.len()]);
    let value = l.value_gradient(field, dispersed, &mut by, &mut by_dispersed);
    (value, by, by_dispersed)
}

#[test]
fn data_and_grid_moved_together_change_nothing() {
    let study = study();
    let g = grid(8, 9, 4);
    let mut rng = stream(41);
    let list = pigs(&mut rng, &g, 60);
    let (field, dispersed) = (hazard(&mut rng, g.field_len()), hazard(&mut rng, g.field_len()));
    let (before, by, _) = evaluate(&list, &study, &g, &field, &dispersed);
    for (east, north) in [(137.0, -2400.0), (-1_571_000.0, -5_404_000.0), (1e6, 3e6)] {
        let moved = Grid { west_m: g.west_m + east, south_m: g.south_m + north, ..g.clone() };
        let shifted: Vec<Pig> = list
            .iter()
            .map(|p| Pig { easting_m: p.easting_m + east, northing_m: p.northing_m + north, ..p.clone() })
            .collect();
        let (after, by_after, _) = evaluate(&shifted, &study, &moved, &field, &dispersed);
        assert!((after - before).abs() < 1e-10 * before.abs(), "{before} {after}");
        assert!(by.iter().zip(&by_after).all(|(a, b)| (a - b).abs() < 1e-9));
        // The pigs alone, or the grid alone, is another study.
        assert!((evaluate(&shifted, &study, &g, &field, &dispersed).0 - before).abs() > 1e-2);
    }
}

/// Pigs shot at one place on one day that differ in one thing only: a mob, as records have them.
fn mob() -> Vec<Pig> {
    let base = pig(WEST_M + 3_300.0, SOUTH_M + 4_100.0, date(2019, 5, 3));
    let months = |a: f64, b: f64| Age::Interval { min_months: a, max_months: b };
    let mut out: Vec<Pig> = [(30.0, 30.0), (36.0, 36.0), (30.0, 42.0), (48.0, 80.0)]
        .into_iter()
        .map(|(a, b)| Pig { age: months(a, b), ..base.clone() })
        .collect();
    out.push(confirmed(base.clone()));
    out.push(Pig { sex: Sex::Male, ..base.clone() });
    let mut gross = base.clone();
    gross.inspection.lab_method = Some(LabMethod::Pcr);
    out.push(gross);
    let mut one_pair = base;
    one_pair.inspection.node_pairs = Some(vec![NodePair::Mandibular]);
    out.push(one_pair);
    out
}

#[test]
fn the_order_of_rows_changes_no_bit() {
    let study = study();
    let g = grid(8, 9, 4);
    let mut rng = stream(42);
    let mut list = pigs(&mut rng, &g, 50);
    list.extend(mob());
    let (field, dispersed) = (hazard(&mut rng, g.field_len()), hazard(&mut rng, g.field_len()));
    let before = evaluate(&list, &study, &g, &field, &dispersed);
    let n = list.len();
    assert_eq!(n, 58);
    // Steps that share no factor with the number of rows visit each row once.
    for step in [57, 7, 13, 25] {
        let shuffled: Vec<Pig> = (0..n).map(|i| list[(i * step + 5) % n].clone()).collect();
        let after = evaluate(&shuffled, &study, &g, &field, &dispersed);
        assert_eq!(before.0.to_bits(), after.0.to_bits(), "step {step}");
        let bits = |v: &[f64]| v.iter().map(|x| x.to_bits()).collect::<Vec<u64>>();
        assert!(bits(&before.1) == bits(&after.1), "gradient by hazard, step {step}");
        assert!(bits(&before.2) == bits(&after.2), "gradient by dispersed hazard, step {step}");
    }
    list.pop();
    assert_ne!(before.0, evaluate(&list, &study, &g, &field, &dispersed).0, "a row less is another study");
}

#[test]
fn each_pig_keeps_its_own_likelihood_whatever_the_order() {
    let study = study();
    let g = grid(8, 9, 4);
    let mut rng = stream(43);
    let list = pigs(&mut rng, &g, 30);
    let field = hazard(&mut rng, g.field_len());
    let pointwise = |list: &[Pig]| {
        let mut l = Likelihood::new(list, &study, &g);
        let (mut by, mut by_dispersed) = (vec![0.0; field.len()], vec![0.0; field.len()]);
        l.value_gradient(&field, &field, &mut by, &mut by_dispersed);
        l.pointwise()
    };
    let before = pointwise(&list);
    let mut turned = list.clone();
    turned.reverse();
    let mut after = pointwise(&turned);
    after.reverse();
    assert_eq!(before, after);
}

#[test]
fn every_column_of_a_record_matters() {
    let study = study();
    let g = grid(8, 9, 4);
    let mut rng = stream(44);
    let (field, dispersed) = (hazard(&mut rng, g.field_len()), hazard(&mut rng, g.field_len()));
    let mut base = confirmed(pig(g.west_m + 4_300.0, g.south_m + 3_900.0, date(2019, 5, 3)));
    base.age = Age::Interval { min_months: 14.0, max_months: 20.0 };
    let value = |p: &Pig| evaluate(std::slice::from_ref(p), &study, &g, &field, &dispersed).0;
    let here = value(&base);
    let change = |what: &str, f: &dyn Fn(&mut Pig)| {
        let mut p = base.clone();
        f(&mut p);
        assert!((value(&p) - here).abs() > 1e-4, "{what} changes nothing");
    };
    change("easting", &|p| p.easting_m += 500.0);
    change("northing", &|p| p.northing_m += 500.0);
    change("fix", &|p| p.position_sd_m = 1500.0);
    change("sex", &|p| p.sex = Sex::Male);
    change("day", &|p| p.killed = DateSpan::day(date(2019, 9, 3)));
    change("month only", &|p| p.killed = DateSpan { first: date(2019, 1, 1), last: date(2019, 12, 31) });
    change("age", &|p| p.age = Age::Interval { min_months: 30.0, max_months: 36.0 });
    change("no age", &|p| p.age = Age::Unknown);
    change("release", &|p| p.released_on = Some(date(2019, 1, 1)));
    change("node pairs", &|p| p.inspection.node_pairs = Some(vec![NodePair::Retropharyngeal]));
    change("laboratory", &|p| p.inspection.lab_method = Some(LabMethod::Pcr));
    change("result", &|p| p.inspection.lab_result = Some(pignut::internals::records::LabResult::Negative));
    change("lesion", &|p| p.inspection.gross_lesion = Some(false));
}

#[test]
fn mass_on_the_grid_and_off_it_is_one() {
    let study = study();
    let g = grid(7, 6, 2);
    for (x, y) in [(3000.0, 3500.0), (0.0, 0.0), (-900.0, 3000.0), (5990.0, 7600.0), (-50_000.0, 100.0)] {
        for sex in [Sex::Female, Sex::Male] {
            let mut p = pig(g.west_m + x, g.south_m + y, date(2018, 9, 1));
            p.sex = sex;
            let sd = pig_sd_m(&study.home_range, &p);
            let on: f64 = kernel_on_grid(&g, &p, sd).iter().sum();
            let off = Likelihood::<f64>::new(std::slice::from_ref(&p), &study, &g).mean_mass_off_grid;
            assert!((on + off - 1.0).abs() < 1e-13, "({x}, {y}): {on} {off}");
        }
    }
    // Half of a kernel centred on an edge lies off the grid.
    let edge = axis_mass(0.0, 900.0, 0.0, 1000.0, 20);
    assert!((edge.off_grid - 0.5).abs() < 1e-14);
}

/// A pig too young to have been exposed says nothing of the hazard: it reads positive at the false-positive
/// rate, and is without lesion and laboratory positive at the rate at which there is neither mistake.
#[test]
fn a_pig_without_exposure_reads_positive_by_mistake_only() {
    let study = study();
    let g = grid(6, 6, 3);
    let field = hazard(&mut stream(45), g.field_len());
    let mut young = pig(g.west_m + 3000.0, g.south_m + 3000.0, date(2018, 11, 20));
    young.age = Age::Interval { min_months: 0.0, max_months: 1.9 };
    for p in [confirmed(young.clone()), young.clone()] {
        let d = &study.detection;
        let (value, by, by_dispersed) = evaluate(std::slice::from_ref(&p), &study, &g, &field, &field);
        let expected =
            if p.is_positive() { d.false_lab } else { (1.0 - d.false_lesion) * (1.0 - d.false_lab) };
        assert!((value - expected.ln()).abs() < 1e-14, "{value}");
        assert!(by.iter().chain(&by_dispersed).all(|v| *v == 0.0));
    }
    // A month more and it has been exposed, and a month more for a lesion to show.
    young.age = Age::Interval { min_months: 4.0, max_months: 4.0 };
    let (_, by, _) = evaluate(&[confirmed(young)], &study, &g, &field, &field);
    assert!(by.iter().any(|v| *v > 0.0));
}
