//! Simulated districts and the scoring of answers against their truth.

use geo::{Area, Contains, Coord};
use pignut::internals::records::{DAYS_PER_YEAR, day_number};
use pignut::internals::score::error::ScoreError;
use pignut::internals::score::pool::pool;
use pignut::internals::score::score;
use pignut::internals::score::tally::{auc, brier};
use pignut::internals::simulate::examine::SimulatedPig;
use pignut::internals::simulate::force_of_infection::{
    Cause, Decline, Focus, hazard_per_year, square_mean_per_year,
};
use pignut::internals::simulate::scenario::{Scenario, ScenarioError};
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::truth::Truth;
use pignut::internals::simulate::write::write;
use polars::prelude::{Column, DataFrame, DataType, ParquetWriter};
use std::path::Path;

/// Seeds of the districts looked at here.
const SEEDS: [u64; 4] = [1, 2, 3, 4];

fn place(p: &SimulatedPig) -> Coord<f64> {
    Coord { x: p.easting_m, y: p.northing_m }
}

fn share(pigs: &[SimulatedPig], holds: impl Fn(&SimulatedPig) -> bool) -> f64 {
    pigs.iter().filter(|p| holds(p)).count() as f64 / pigs.len() as f64
}

/// A small district in the middle of which pigs are infected.
fn small(seed: u64) -> Scenario {
    Scenario { extent_km: 16.0, pigs_target: 600, years: 4, sentinels: 4, ..Scenario::fresh(seed) }
}

fn focus_in_the_middle(s: &Scenario, peak_per_year: f64, radius_m: f64) -> Focus {
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

fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let names = [
        "study.toml",
        "pigs.csv",
        "zones.geojson",
        "blocks.geojson",
        "cover.geojson",
        "operations.csv",
        "truth/truth.json",
        "truth/pigs.parquet",
    ];
    names.iter().map(|n| (n.to_string(), std::fs::read(folder.join(n)).unwrap())).collect()
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_others() {
    let folders: Vec<_> = [7, 7, 8]
        .iter()
        .map(|&seed| {
            let folder = tempfile::tempdir().unwrap();
            write(&simulate(&small(seed)).unwrap(), folder.path()).unwrap();
            folder
        })
        .collect();
    let (a, b, c) = (files(folders[0].path()), files(folders[1].path()), files(folders[2].path()));
    assert!(a == b, "two districts of one seed differ");
    for name in ["pigs.csv", "zones.geojson", "truth/truth.json", "truth/pigs.parquet"] {
        let of = |all: &[(String, Vec<u8>)]| all.iter().find(|f| f.0 == name).unwrap().1.clone();
        assert!(of(&a) != of(&c), "{name} is the same for two seeds");
    }
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
        // Look-alikes occur (0.006 of 2200 = 13, ±4 s.d. = 0 to 28), laboratory positives hardly ever.
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
    let inside = |zone: usize| pigs.iter().filter(move |p| zones[zone].outline.contains(&place(p)));
    let six_months = inside(0).filter(|p| p.is_confirmed() && p.truth.infection.is_some());
    assert!(
        six_months.filter(|p| p.age_months.is_some_and(|a| a.0 >= 5.0 && a.1 <= 7.0)).count() >= 1,
        "no laboratory-confirmed pig of five to seven months in the area with disease"
    );
    // Areas and blocks are the land, to a hectare.
    let land = d.land.unsigned_area();
    for parts in [
        d.zones.iter().map(|z| z.outline.unsigned_area()).sum::<f64>(),
        d.blocks.iter().map(|b| b.outline.unsigned_area()).sum::<f64>(),
        d.cover.iter().map(|c| c.outline.unsigned_area()).sum::<f64>(),
    ] {
        assert!((parts - land).abs() < 10_000.0, "{parts} m² of {land} m²");
    }
    // The operation worked: at its pocket's centre the hazard is a twentieth of what it was.
    let f = &d.foci[3];
    let start = f.decline.as_ref().unwrap().start_day;
    let hazard = |day: f64| hazard_per_year(&d.foci, f.easting_m, f.northing_m, day);
    assert!(hazard(start) > 0.5 && hazard(day_number(d.as_of)) < 0.05);
    assert!(d.blocks[d.operations[0].block].outline.contains(&Coord { x: f.easting_m, y: f.northing_m }));
    // The third area was never infected: hardly a pig was shot there where the hazard exceeded 0.02.
    let near =
        |p: &SimulatedPig| hazard_per_year(&d.foci, p.easting_m, p.northing_m, day_number(p.killed)) > 0.02;
    let exposed = inside(2).filter(|p| near(p)).count();
    assert!(exposed * 100 < inside(2).count(), "{exposed} pigs of the third area stood in a pocket");
    // Poorly looked at somewhere: one block has less than a third of the pigs of the median block.
    let mut counts: Vec<usize> =
        d.blocks.iter().map(|b| d.pigs.iter().filter(|p| b.outline.contains(&place(p))).count()).collect();
    counts.sort_unstable();
    assert!(counts[0] * 3 < counts[counts.len() / 2], "{counts:?}");
}

/// Each knob that makes a district disagree with the study's defaults does what its name says.
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

#[test]
fn the_study_folder_tells_nothing_of_the_truth() {
    let folder = tempfile::tempdir().unwrap();
    let d = simulate(&small(21)).unwrap();
    write(&d, folder.path()).unwrap();
    let study = pignut::internals::study::study_file::Study::read(&folder.path().join("study.toml")).unwrap();
    assert_eq!(study.study.as_of, Some(d.as_of));
    let pigs = std::fs::read_to_string(folder.path().join("pigs.csv")).unwrap();
    assert_eq!(pigs.lines().count(), d.pigs.len() + 1);
    for (name, _) in files(folder.path()).into_iter().filter(|f| !f.0.starts_with("truth/")) {
        let text = std::fs::read_to_string(folder.path().join(&name)).unwrap().to_lowercase();
        for word in ["focus", "foci", "truth", "infect", "hazard"] {
            assert!(!text.contains(word), "{name} holds the word {word}");
        }
    }
    let truth: Truth =
        serde_json::from_slice(&std::fs::read(folder.path().join("truth/truth.json")).unwrap()).unwrap();
    assert_eq!(truth, Truth::of(&d), "the truth file does not give back the truth exactly");
}

/// scikit-learn documentation, `roc_auc_score`, first example: y = [0, 0, 1, 1],
/// scores = [0.1, 0.4, 0.35, 0.8], result 0.75; `brier_score_loss`, first example:
/// y = [0, 1, 1, 0], probabilities = [0.1, 0.9, 0.8, 0.3], result 0.037 (0.0375 exactly).
#[test]
fn ranking_and_brier_match_the_published_examples() {
    assert_eq!(auc(&[false, false, true, true], &[0.1, 0.4, 0.35, 0.8]), Some(0.75));
    assert!((brier(&[false, true, true, false], &[0.1, 0.9, 0.8, 0.3]).unwrap() - 0.0375).abs() < 1e-12);
    assert_eq!(auc(&[true, false], &[0.5, 0.5]), Some(0.5), "a tie counts half");
    assert_eq!(auc(&[], &[]), None);
    assert_eq!(brier(&[], &[]), None);
}

/// What a made-up run says of each thing; the truth, or something beside it.
struct Voice {
    hazard_factor: f64,
    days_late: i32,
    cells_east: f64,
    reverse_ranking: bool,
}

const HONEST: Voice = Voice { hazard_factor: 1.0, days_late: 0, cells_east: 0.0, reverse_ranking: false };
const QUANTILES: [(&str, f64); 7] = [
    ("q025", 0.94),
    ("q05", 0.95),
    ("q25", 0.98),
    ("q50", 1.0),
    ("q75", 1.02),
    ("q95", 1.05),
    ("q975", 1.06),
];

fn save(run: &Path, name: &str, columns: Vec<Column>) {
    let mut frame = DataFrame::new_infer_height(columns).unwrap();
    let file = std::fs::File::create(run.join("tables").join(name)).unwrap();
    ParquetWriter::new(file).finish(&mut frame).unwrap();
}

/// Writes a run that knows the truth and tells it in its own voice.
fn write_run(d: &pignut::internals::simulate::study_area::StudyArea, run: &Path, voice: &Voice) {
    const SIDE: f64 = 1_000.0;
    std::fs::create_dir_all(run.join("tables")).unwrap();
    let manifest = serde_json::json!({
        "as_of": d.as_of.to_string(), "cell_m": SIDE, "other": "ignored",
        "parameters": {
            "recent": {"months": 12.0, "hazard_threshold": 0.05},
            "home_range": {"resident_sigma_m": 750.0},
        },
    });
    std::fs::write(run.join("manifest.json"), manifest.to_string()).unwrap();
    let box_ = geo::BoundingRect::bounding_rect(&d.land).unwrap();
    let end = day_number(d.as_of) + 1.0;
    let (mut ids, mut east, mut north, mut hazard, mut plain) = (vec![], vec![], vec![], vec![], vec![]);
    let snap = |v: f64| (v / SIDE).floor() * SIDE;
    let (mut y, year) = (snap(box_.min().y) - SIDE, DAYS_PER_YEAR);
    while y < box_.max().y + SIDE {
        let mut x = snap(box_.min().x) - SIDE;
        while x < box_.max().x + SIDE {
            ids.push(format!("c{x}-{y}"));
            east.push(x + 0.5 * SIDE);
            north.push(y + 0.5 * SIDE);
            hazard.push(square_mean_per_year(&d.foci, x, y, SIDE, 750.0, end - year, end));
            let first = day_number(d.first_day);
            plain.push(square_mean_per_year(&d.foci, x, y, SIDE, 0.0, first, first + 184.0));
            x += SIDE;
        }
        y += SIDE;
    }
    let p_active: Vec<f64> = hazard
        .iter()
        .map(|&h| {
            if voice.reverse_ranking { f64::from(u8::from(h <= 0.05)) } else { f64::from(u8::from(h > 0.05)) }
        })
        .collect();
    let quantiles = |of: &[f64]| -> Vec<Column> {
        QUANTILES
            .iter()
            .map(|(q, by)| {
                let values: Vec<f64> = of.iter().map(|h| h * by * voice.hazard_factor).collect();
                Column::new(format!("force_of_infection_{q}").as_str().into(), values)
            })
            .collect()
    };
    let stated: Vec<f64> = hazard.iter().map(|h| h * voice.hazard_factor).collect();
    let mut cells = vec![
        Column::new("cell_id".into(), &ids),
        Column::new("easting".into(), &east),
        Column::new("northing".into(), &north),
        Column::new("force_of_infection_mean".into(), &stated),
        Column::new("p_active".into(), p_active),
    ];
    cells.extend(quantiles(&hazard));
    save(run, "cells.parquet", cells);

    // Two periods: the first scored against the truth of its own 184 days, the second to show where it ends.
    let start = day_number(d.first_day) as i32;
    let two = |a: Vec<String>| a.iter().chain(&a).cloned().collect::<Vec<_>>();
    let starts: Vec<i32> = ids.iter().map(|_| start).chain(ids.iter().map(|_| start + 184)).collect();
    let first = day_number(d.first_day);
    let later = east.iter().zip(&north).map(|(x, y)| {
        let (west, south) = (x - 0.5 * SIDE, y - 0.5 * SIDE);
        square_mean_per_year(&d.foci, west, south, SIDE, 0.0, first + 184.0, first + 368.0)
    });
    let both: Vec<f64> = plain.iter().copied().chain(later).collect();
    let mut periods = vec![
        Column::new("cell_id".into(), two(ids.clone())),
        Column::new("period_start".into(), starts).cast(&DataType::Date).unwrap(),
    ];
    periods.extend(quantiles(&both));
    save(run, "force_of_infection.parquet", periods);

    let positives: Vec<&SimulatedPig> = d.pigs.iter().filter(|p| p.is_positive()).collect();
    let pig_ids: Vec<&str> = positives.iter().map(|p| p.occurrence_id.as_str()).collect();
    let p_true: Vec<f64> =
        positives.iter().map(|p| if p.truth.infection.is_some() { 0.8 } else { 0.1 }).collect();
    let mut columns =
        vec![Column::new("occurrence_id".into(), &pig_ids), Column::new("p_true".into(), &p_true)];
    for (k, (q, _)) in QUANTILES.iter().enumerate() {
        let days: Vec<i32> = positives
            .iter()
            .map(|p| {
                let day = p.truth.infection.map_or(day_number(p.killed), |i| i.day.floor());
                day as i32 + voice.days_late + (k as i32 - 3) * 5
            })
            .collect();
        columns
            .push(Column::new(format!("infection_{q}").as_str().into(), days).cast(&DataType::Date).unwrap());
    }
    save(run, "positives.parquet", columns);
    let at = |p: &&SimulatedPig| {
        p.truth.infection.map_or((p.easting_m, p.northing_m), |i| (i.easting_m, i.northing_m))
    };
    let x: Vec<f64> = positives.iter().map(|p| snap(at(p).0) + (0.5 + voice.cells_east) * SIDE).collect();
    let y: Vec<f64> = positives.iter().map(|p| snap(at(p).1) + 0.5 * SIDE).collect();
    let cell_ids: Vec<String> =
        x.iter().zip(&y).map(|(x, y)| format!("c{}-{}", x - 500.0, y - 500.0)).collect();
    save(
        run,
        "origins.parquet",
        vec![
            Column::new("occurrence_id".into(), &pig_ids),
            Column::new("cell_id".into(), cell_ids),
            Column::new("easting".into(), x),
            Column::new("northing".into(), y),
            Column::new("probability".into(), p_true),
        ],
    );
}

#[test]
fn an_answer_that_knows_the_truth_scores_full_marks_and_others_do_not() {
    let folder = tempfile::tempdir().unwrap();
    let mut s = small(31);
    s.foci = Some(vec![focus_in_the_middle(&s, 0.8, 1_500.0)]);
    let d = simulate(&s).unwrap();
    write(&d, folder.path()).unwrap();
    let truth = folder.path().join("truth");
    let run = folder.path().join("run");

    write_run(&d, &run, &HONEST);
    let good = score(&run, &truth).unwrap();
    let land_km2 = d.land.unsigned_area() / 1e6;
    assert!((good.cells as f64 - land_km2).abs() < 0.1 * land_km2, "{} cells on {land_km2} km²", good.cells);
    assert!(good.active_cells > 5 && good.active_cells < good.cells);
    assert_eq!(good.auc, Some(1.0));
    assert_eq!(good.brier_sum, 0.0);
    assert_eq!(good.p_active_sum, good.active_cells as f64);
    for c in
        [good.resident_hazard, good.resident_hazard_raised, good.period_hazard, good.period_hazard_raised]
    {
        assert!(c.levels().iter().all(|l| l.share() == Some(1.0)), "{c:?}");
    }
    assert_eq!(good.period_hazard.half.of, 2 * good.cells);
    assert!((good.hot.estimated_sum_per_year / good.hot.true_sum_per_year - 1.0).abs() < 1e-9);
    let infected = d.pigs.iter().filter(|p| p.is_positive() && p.truth.infection.is_some()).count() as u64;
    assert_eq!(good.positives.infected, infected);
    assert!(good.windows.iter().all(|w| w.coverage.half.share().is_none_or(|v| v == 1.0)));
    assert_eq!(good.windows[0].coverage.half.of, infected);
    assert_eq!(good.windows[1..].iter().map(|w| w.coverage.half.of).sum::<u64>(), infected);
    // One cell holds everything, so it belongs to the 90 % area by nine tenths, and its size is 0.9 km².
    let ninety = good.origins[1];
    assert!((ninety.held.share().unwrap() - 0.9).abs() < 1e-9);
    assert!((ninety.area_sum_km2 - 0.9 * infected as f64).abs() < 1e-6);
    assert_eq!(good.rivals.len(), 4);
    let smooth = good.rivals.iter().find(|r| r.bandwidth_m.is_some()).unwrap();
    assert!(smooth.auc.unwrap() > 0.6 && smooth.auc.unwrap() <= 1.0, "{smooth:?}");

    write_run(
        &d,
        &run,
        &Voice { hazard_factor: 1.5, days_late: 400, cells_east: 1.0, reverse_ranking: true },
    );
    let bad = score(&run, &truth).unwrap();
    assert_eq!(bad.auc, Some(0.0));
    assert_eq!(bad.brier_sum, bad.cells as f64);
    assert_eq!(bad.resident_hazard_raised.ninety_five.share(), Some(0.0));
    assert!((bad.hot.estimated_sum_per_year / bad.hot.true_sum_per_year - 1.5).abs() < 1e-9);
    assert_eq!(bad.windows[0].coverage.ninety_five.share(), Some(0.0));
    assert_eq!(bad.origins[1].held.share(), Some(0.0));
    assert_eq!(bad.rivals, good.rivals, "the rivals do not look at the run's answer");

    let both = pool(&[good.clone(), bad.clone()]);
    assert_eq!(both.cells, good.cells + bad.cells);
    assert_eq!(both.auc.mean, Some(0.5));
    assert_eq!(both.windows[0].coverage.ninety.share(), Some(0.5));
    assert!((both.origins[1].held.share().unwrap() - 0.45).abs() < 1e-9);
    assert_eq!(both.brier_sum, bad.brier_sum);
    // What is known before: twice the same district, so its own share; right answers beat it, wrong ones do not.
    let known = both.climatology.unwrap();
    assert!((known.brier_sum - both.constant_brier_sum).abs() < 1e-9);
    assert_eq!(known.beaten_in, 1);
    let line = "districts in which p_active has the lower";
    assert!(both.to_string().lines().any(|l| l.trim().starts_with(line) && l.ends_with(" 1 of 2")), "{both}");
    // None active elsewhere: 0 is forecast here, and missed in each active cell; this share is forecast there, in vain.
    let elsewhere = pignut::internals::score::Score { active_cells: 0, ..good.clone() };
    let known = pool(&[good.clone(), elsewhere]).climatology.unwrap();
    let (n, active) = (good.cells as f64, good.active_cells as f64);
    assert!((known.brier_sum - (active + n * (active / n).powi(2))).abs() < 1e-9);
    assert_eq!(known.beaten_in, 2);
    assert!(pool(std::slice::from_ref(&good)).climatology.is_none());
    let text = both.to_string();
    assert!(text.contains("p_active") && text.contains("0.500 (0.000 to 1.000), 2"), "{text}");
    let json = serde_json::to_string(&good).unwrap();
    let back: pignut::internals::score::Score = serde_json::from_str(&json).unwrap();
    // The JSON reader may be off in the last bit of a long decimal; counts come back exactly.
    assert!((back.constant_brier_sum - good.constant_brier_sum).abs() < 1e-9);
    assert!((back.rivals[1].auc.unwrap() - good.rivals[1].auc.unwrap()).abs() < 1e-12);
    assert_eq!((back.windows.clone(), back.resident_hazard), (good.windows.clone(), good.resident_hazard));
}

#[test]
fn scoring_names_what_is_missing_or_foreign() {
    let folder = tempfile::tempdir().unwrap();
    let d = simulate(&small(31)).unwrap();
    write(&d, folder.path()).unwrap();
    let (truth, run) = (folder.path().join("truth"), folder.path().join("run"));
    let message = score(&run, &truth).unwrap_err().to_string();
    assert!(message.contains("manifest.json") && message.contains("cannot be read"), "{message}");

    write_run(&d, &run, &HONEST);
    save(&run, "positives.parquet", vec![Column::new("occurrence_id".into(), ["SD-1900-0001"])]);
    let message = score(&run, &truth).unwrap_err().to_string();
    assert!(message.contains("positives.parquet, column \"p_true\": it is missing"), "{message}");

    write_run(&d, &run, &HONEST);
    let elsewhere = simulate(&Scenario { start_year: 1990, ..small(32) }).unwrap();
    let other = folder.path().join("other");
    write(&elsewhere, &other).unwrap();
    assert!(matches!(score(&run, &other.join("truth")), Err(ScoreError::UnknownPig { .. })));
}
