//! The verdicts on simulated areas whose truth is known, from the recorded table.

use super::tiny::fixture;
use crate::studies::tables::Rows;
use crate::studies::verdicts::{Judged, RAW, judged, table};
use pignut::internals::assess::verdict::{LOOKED, Verdict};
use pignut::internals::report::sentences::verdicts::STILL_ACTIVE;

fn recorded() -> Vec<Judged> {
    judged(&Rows::read(&fixture("verdicts.csv"), &RAW).unwrap()).unwrap()
}

/// Asked for: each verdict right in at least 90 %, and too few pigs never said where a focus would have been
/// found in over half of cases.
#[test]
fn each_verdict_is_right_in_nine_of_ten_simulated_areas() {
    let areas = recorded();
    for verdict in Verdict::ALL {
        let of: Vec<&Judged> = areas.iter().filter(|a| Verdict::of(&a.known) == verdict).collect();
        let right = of.iter().filter(|a| a.is_right()).count();
        assert!(of.len() >= 5, "{verdict:?} was said of {} areas only", of.len());
        assert!(10 * right >= 9 * of.len(), "{verdict:?}: {right} of {}", of.len());
    }
    let seen = areas.iter().filter(|a| a.known.coverage.is_some_and(|c| c > LOOKED));
    assert!(seen.clone().count() > 5);
    assert!(seen.clone().all(|a| Verdict::of(&a.known) != Verdict::TooFewPigs));
}

/// An area that is truly active is never called free, and hardly ever one without a sign.
#[test]
fn an_active_area_is_not_called_free() {
    let areas = recorded();
    let active: Vec<&Judged> = areas.iter().filter(|a| a.design_focus).collect();
    assert!(active.len() > 20, "{}", active.len());
    let said = |v: Verdict| active.iter().filter(|a| Verdict::of(&a.known) == v).count();
    assert_eq!(said(Verdict::Free), 0);
    assert!(10 * said(Verdict::NoSign) <= active.len(), "{} of {}", said(Verdict::NoSign), active.len());
}

/// What cards say of areas that were active before is what the table shows, to the nearest one in ten.
#[test]
fn the_page_says_how_many_were_still_active() {
    let areas = recorded();
    let of: Vec<&Judged> = areas.iter().filter(|a| Verdict::of(&a.known) == Verdict::ActiveBefore).collect();
    let still = of.iter().filter(|a| a.active).count();
    assert_eq!(
        (10.0 * still as f64 / of.len() as f64).round() as u32,
        STILL_ACTIVE,
        "{still} of {}",
        of.len()
    );
}

#[test]
fn the_table_counts_every_area_once() {
    let areas = recorded();
    let counted: usize =
        table(&areas).lines().skip(2).map(|l| l.split(" | ").nth(1).unwrap().parse::<usize>().unwrap()).sum();
    assert_eq!(counted, areas.len());
}
