//! Ages from the jaw: the table against its sources, and the intervals against what they promise.
//!
//! Sources: Matschke (1967) J. Wildl. Manage. 31:109-113 (pen-reared European wild hogs of known age,
//! abstract); Clarke et al. (1992) Wildl. Res. 19:769-777 (all permanent teeth of New Zealand feral pigs 1 to
//! 2 months earlier, abstract).

use crate::common::random::stream;
use pignut::internals::ageing::chance::BirthSeason;
use pignut::internals::ageing::estimate::{Estimate, estimate};
use pignut::internals::ageing::schedule::{Event, Schedule};
use pignut::internals::ageing::statements::Dentition;
use pignut::internals::ageing::teeth::{Claim, Jaw, ToothState};
use pignut::internals::records::day_number;
use proptest::prelude::*;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, Exp, StandardNormal};

/// Months by which feral pigs are earlier at the most (Clarke 1992).
const SHIFT_MONTHS: f64 = 2.0;

fn table() -> &'static Schedule {
    Schedule::built_in()
}

fn age(text: &str) -> Estimate {
    let jaw = Dentition::read(text, table()).unwrap_or_else(|e| panic!("{text}: {e}"));
    estimate(table(), &jaw, None).unwrap_or_else(|e| panic!("{text}: {e}"))
}

/// Tooth, jaw, Matschke's ages in months: first and last printed for it.
const MATSCHKE: &[(&str, Option<Jaw>, f64, f64)] = &[
    ("M1", None, 5.0, 5.0),
    ("P1", None, 5.0, 5.0),
    ("I3", None, 7.0, 7.0),
    ("C", None, 7.0, 7.0),
    ("M2", None, 12.0, 15.0),
    ("I1", None, 12.0, 15.0),
    ("P2", None, 14.0, 18.0),
    ("P3", None, 14.0, 18.0),
    ("P4", None, 14.0, 18.0),
    ("I2", Some(Jaw::Lower), 18.0, 22.0),
    ("I2", Some(Jaw::Upper), 21.0, 26.0),
    ("M3", Some(Jaw::Lower), 21.0, 26.0),
];

#[test]
fn every_row_of_the_table_is_that_of_its_source() {
    for (tooth, jaw, first, last) in MATSCHKE {
        let events = table().events_of(tooth, *jaw);
        assert_eq!(events.len(), 1, "{tooth} {jaw:?}");
        let e = events[0];
        assert_eq!(e.published_months, Some([*first, *last]), "{tooth} {jaw:?}");
        // The schedule as printed, and the same moved up to two months earlier.
        assert_eq!((e.earliest_months, e.latest_months), (first - SHIFT_MONTHS, *last), "{tooth} {jaw:?}");
        assert!(
            e.source.contains("Matschke (1967)") && e.source.contains("Clarke et al. (1992)"),
            "{}",
            e.source
        );
    }
    // The complete set, of which no latest age is printed: 26 or over.
    let last = table().events_of("M3", Some(Jaw::Upper))[0];
    assert_eq!(last.earliest_months, 26.0 - SHIFT_MONTHS);
    // Milk incisors and premolars by 120 days.
    assert_eq!(table().events_of("milk set", None)[0].latest_months, 4.0);
    // No row without a check here: 12 rows above in 8 events, the upper M3, the milk set, three of wear.
    let named: usize = table().events.iter().map(|e| e.teeth.len()).sum();
    assert_eq!(named, MATSCHKE.len() + 1 + 1 + 3);
}

/// Pigs of known age (pen-reared, Matschke 1967): what their jaws showed, and their age.
#[test]
fn the_interval_holds_pigs_of_known_age() {
    for (text, months) in [
        ("milk incomplete", 3.0),
        ("milk set complete; M1 absent", 4.0),
        ("M1 P1 through; C I3 milk", 5.0),
        ("I3 C through; M2 absent", 7.0),
        ("M2 I1 through; P2-P4 milk", 12.0),
        ("M2 I1 through; P2-P4 milk", 15.0),
        ("P2-P4 through; lower I2 milk", 14.0),
        ("P2-P4 through; lower I2 milk", 18.0),
        ("lower I2 through; upper I2 milk; lower M3 absent", 18.0),
        ("lower I2 through; upper I2 milk; lower M3 absent", 22.0),
        ("upper I2 through; lower M3 through; upper M3 absent", 21.0),
        ("upper I2 through; lower M3 through; upper M3 absent", 26.0),
        ("complete", 26.0),
    ] {
        let a = age(text);
        assert!(a.min_months <= months && months <= a.max_months, "{text} at {months}: {a:?}");
    }
}

/// Classes as derived in the project's notes from the two sources: each must lie within ours.
#[test]
fn the_classes_hold_the_derived_intervals() {
    for (letter, low, high) in [
        ("A", 0.0, 5.0),
        ("B", 3.0, 7.0),
        ("C", 5.0, 13.0),
        ("D", 10.0, 16.0),
        ("E", 12.0, 20.0),
        ("F", 16.0, 25.0),
        ("G", 19.0, 30.0),
    ] {
        let a = age(&format!("class {letter}"));
        assert!(a.min_months <= low && high <= a.max_months, "{letter}: {a:?}");
        // And no wider than two months beyond: the sources' own latest ages.
        assert!(a.min_months >= low - 0.5 && a.max_months <= high + 2.0, "{letter}: {a:?}");
    }
    let h = age("class H");
    assert!(h.min_months == 24.0 && h.open_top);
}

#[test]
fn a_part_of_a_jaw_says_less_and_never_something_else() {
    let whole = age("M1 M2 through; P2-P4 through; lower I2 milk; upper I2 milk; M3 absent");
    for part in [
        "M2 through",
        "M3 absent",
        "lower jaw only; M2 through; I2 milk",
        "P2 P3 in; P4 broken",
        "upper I2 milk",
    ] {
        let a = age(part);
        assert!(
            a.min_months <= whole.min_months && a.max_months >= whole.max_months,
            "{part}: {a:?} {whole:?}"
        );
    }
    // Which jaw matters: upper second incisors are later than lower ones.
    assert!(age("upper I2 through").min_months > age("lower I2 through").min_months);
    assert_eq!(age("I2 through").min_months, age("lower I2 through").min_months);
    assert_eq!(age("I2 milk").max_months, age("upper I2 milk").max_months);
    // A first premolar that never came says nothing.
    assert!(!age("P1 absent").informed);
}

#[test]
fn contradictory_teeth_are_named() {
    for (text, older, younger) in [
        ("M3 through; M1 absent", "M3 is through", "M1 is not through"),
        ("complete; upper C milk", "upper M3 is through", "upper C is not through"),
        ("class D; wear 4", "wear is of class 4", "P2 is not through"),
        ("M2 through; milk incomplete", "M2 is through", "milk set is not complete"),
    ] {
        let jaw = Dentition::read(text, table()).unwrap();
        let error = estimate(table(), &jaw, None).unwrap_err();
        assert!(error.older.starts_with(older) && error.younger.starts_with(younger), "{text}: {error}");
    }
}

const TEETH: [(&str, Option<Jaw>); 14] = [
    ("M1", None),
    ("I3", None),
    ("C", None),
    ("M2", None),
    ("I1", None),
    ("P2", None),
    ("P3", None),
    ("P4", None),
    ("I2", Some(Jaw::Lower)),
    ("I2", Some(Jaw::Upper)),
    ("I2", None),
    ("M3", Some(Jaw::Lower)),
    ("M3", Some(Jaw::Upper)),
    ("wear 2", None),
];

proptest! {
    /// More teeth through never make a pig younger, whatever else is seen.
    #[test]
    fn more_teeth_are_never_younger(
        states in prop::collection::vec(prop::option::of(0u8..3), TEETH.len()),
        at in 0usize..TEETH.len(),
    ) {
        let claims = |lift: bool| -> Vec<Claim> {
            states
                .iter()
                .zip(TEETH)
                .enumerate()
                .filter_map(|(i, (s, (tooth, jaw)))| {
                    let s = (*s)?;
                    let s = if lift && i == at { s + 1 } else { s };
                    let state = match s {
                        0 => ToothState::Absent,
                        1 => ToothState::Part,
                        _ => ToothState::Through,
                    };
                    Some(Claim { tooth: tooth.into(), jaw, state })
                })
                .collect()
        };
        let before = estimate(table(), &Dentition { claims: claims(false) }, None);
        let after = estimate(table(), &Dentition { claims: claims(true) }, None);
        if let (Ok(a), Ok(b)) = (before, after) {
            prop_assert!(b.min_months >= a.min_months && b.max_months >= a.max_months, "{a:?} {b:?}");
        }
    }

    /// No text makes the reader panic, and what it reads has a sound interval.
    #[test]
    fn any_text_is_read_or_refused(text in "[-A-Za-z0-9 ;:,.–₁éß]{0,40}") {
        if let Ok(jaw) = Dentition::read(&text, table())
            && let Ok(a) = estimate(table(), &jaw, None)
        {
            prop_assert!(a.min_months >= 0.0 && a.min_months <= a.max_months && a.max_months <= 240.0);
            prop_assert!((0.0..=1.0 + 1e-9).contains(&a.probability));
        }
    }
}

/// A pig of an age: every tooth by the table's own ranges, early pigs early in all teeth by `shared`.
fn jaw_of(months: f64, shared: f64, rng: &mut ChaCha12Rng) -> Dentition {
    let z: f64 = StandardNormal.sample(rng);
    let broken = rng.random::<f64>() * 0.8;
    let mut claims = Vec::new();
    for event in &table().events {
        let (mean, sd) = event.mean_and_sd_months();
        let jaws: &[Option<Jaw>] = if event.jaw.is_some() || event.teeth[0].contains(' ') {
            &[event.jaw]
        } else {
            &[Some(Jaw::Upper), Some(Jaw::Lower)]
        };
        for tooth in &event.teeth {
            for jaw in jaws {
                let e: f64 = StandardNormal.sample(rng);
                let comes = mean + sd * (shared.sqrt() * z + (1.0 - shared).sqrt() * e);
                if rng.random::<f64>() < broken || tooth.contains(' ') && months < 30.0 {
                    continue;
                }
                let state = if months < comes {
                    ToothState::Absent
                } else {
                    through_or_part(event, months - comes, rng)
                };
                claims.push(Claim { tooth: tooth.clone(), jaw: *jaw, state });
            }
        }
    }
    Dentition { claims }
}

/// Of teeth part through, half are written down as through.
fn through_or_part(event: &Event, since: f64, rng: &mut ChaCha12Rng) -> ToothState {
    let part = since < event.part_until() - event.latest_months;
    if part && rng.random::<bool>() { ToothState::Part } else { ToothState::Through }
}

/// Share of simulated pigs whose interval holds their age, mean probability stated, share of contradictions.
fn coverage(shared: f64, pigs: usize) -> (f64, f64, f64) {
    let mut rng = stream(17);
    let ages = Exp::new(table().falloff_per_month()).unwrap();
    let (mut held, mut stated, mut read, mut odd) = (0.0, 0.0, 0.0, 0.0);
    for _ in 0..pigs {
        let months: f64 = ages.sample(&mut rng);
        if months > 240.0 {
            continue;
        }
        match estimate(table(), &jaw_of(months, shared, &mut rng), None) {
            Ok(a) => {
                read += 1.0;
                stated += a.probability;
                held += f64::from(u8::from(a.min_months <= months && months <= a.max_months));
            }
            Err(_) => odd += 1.0,
        }
    }
    (held / read, stated / read, odd / (read + odd))
}

/// The intervals hold the true age as often as they say, and in nine of ten pigs or more.
#[test]
fn intervals_hold_the_age_at_the_stated_rate() {
    let pigs = 2000;
    let (held, stated, odd) = coverage(pignut::internals::ageing::chance::SHARED_EARLINESS, pigs);
    // Three standard errors of a share about 0.95 of 2000, and what the half-written part teeth may cost.
    let tolerance = 3.0 * (0.95f64 * 0.05 / pigs as f64).sqrt() + 0.01;
    println!("held {held:.4}, stated {stated:.4}, contradictory {odd:.4}");
    assert!((held - stated).abs() < tolerance, "held {held}, stated {stated}");
    assert!(held > 0.9 && odd < 0.02, "held {held}, contradictory {odd}");
    // The table does not know how alike a pig's teeth are: it must hold if they are not, and if they are.
    for shared in [0.0, 0.95] {
        let (held, _, odd) = coverage(shared, 1000);
        println!("shared {shared}: held {held:.4}, contradictory {odd:.4}");
        assert!(held > 0.88 && odd < 0.04, "shared {shared}: held {held}, contradictory {odd}");
    }
}

#[test]
fn the_likeliest_months_lie_within_and_hold_half() {
    for text in ["class D", "class F", "M2 through", "complete; wear 3", "M1 absent"] {
        let a = age(text);
        let [low, high] = a.likeliest_months;
        assert!(a.min_months <= low && low < high && high <= a.max_months, "{text}: {a:?}");
        assert!(high - low < 0.75 * (a.max_months - a.min_months), "{text}: {a:?}");
    }
    // Of pigs with a complete set the younger are more, so their half is shorter and comes first.
    let open = age("complete");
    assert!(open.likeliest_months[1] < 60.0, "{open:?}");
}

/// A pig killed in March with the second molar and milk premolars is 10 to 18 months old; births in
/// September alone leave 18 months and 6, hence 18.
#[test]
fn a_birth_season_narrows_the_age() {
    let mut births = [0.0; 12];
    births[8] = 1.0;
    let season =
        BirthSeason { births_by_month: births, killed_day: day_number(jiff::civil::date(2021, 3, 10)) };
    let jaw = Dentition::read("class D", table()).unwrap();
    let a = estimate(table(), &jaw, Some(&season)).unwrap();
    let plain = estimate(table(), &jaw, None).unwrap();
    assert!(a.min_months > 17.0 && a.max_months <= 18.0, "{a:?}");
    assert!(plain.max_months - plain.min_months > 7.9);
    // Births all year change next to nothing but cut the tails.
    let even = BirthSeason { births_by_month: [2.0; 12], ..season };
    let b = estimate(table(), &jaw, Some(&even)).unwrap();
    assert!(b.min_months < 11.5 && b.max_months > 15.0, "{b:?}");
}
