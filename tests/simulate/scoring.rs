//! Scores of answers against the truth.

use super::made_up_run::{HONEST, Voice, save, write_run};
use super::small::{focus_in_the_middle, small};
use crate::studies::proper_scores::brier;
use geo::Area;
use pignut::internals::score::error::ScoreError;
use pignut::internals::score::pool::pool;
use pignut::internals::score::score;
use pignut::internals::score::tally::auc;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use polars::prelude::Column;

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
    assert_eq!(good.baselines.len(), 4);
    let smooth = good.baselines.iter().find(|r| r.bandwidth_m.is_some()).unwrap();
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
    assert_eq!(bad.baselines, good.baselines, "the rivals do not look at the run's answer");

    let both = pool(&[good.clone(), bad.clone()]);
    assert_eq!(both.cells, good.cells + bad.cells);
    assert_eq!(both.auc.mean, Some(0.5));
    assert_eq!(both.windows[0].coverage.ninety.share(), Some(0.5));
    assert!((both.origins[1].held.share().unwrap() - 0.45).abs() < 1e-9);
    assert_eq!(both.brier_sum, bad.brier_sum);
    // What is known before: twice the same study area, so its own share; right answers beat it, wrong ones do
    // not.
    let known = both.climatology.unwrap();
    assert!((known.brier_sum - both.constant_brier_sum).abs() < 1e-9);
    assert_eq!(known.beaten_in, 1);
    let line = "study areas in which p_active has the lower";
    assert!(both.to_string().lines().any(|l| l.trim().starts_with(line) && l.ends_with(" 1 of 2")), "{both}");
    // None active elsewhere: 0 is forecast here, and missed in each active cell; this share is forecast
    // there, in vain.
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
    assert!((back.baselines[1].auc.unwrap() - good.baselines[1].auc.unwrap()).abs() < 1e-12);
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
