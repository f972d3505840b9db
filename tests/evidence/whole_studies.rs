//! Studies from end to end at a tiny size.

use super::tiny::{SEED, TINY, table};
use crate::studies::misspecification::{ASSUMPTIONS, Assumption, NEUTRAL};
use crate::studies::plain_practice::{read_answers, score_method};
use crate::studies::shard::Shard;
use crate::studies::study_areas::{Scored, scored};
use crate::studies::{misspecification, plain_practice};
use geo::{Contains, Coord};
use pignut::internals::records::{DAYS_PER_MONTH, day_number};
use pignut::internals::score::Score;
use pignut::internals::score::cells::scored_cells;
use pignut::internals::score::pool::pool;
use pignut::internals::simulate::force_of_infection::square_mean_per_year;
use pignut::internals::simulate::study_area::simulate;

/// Areas and foci of a score, recounted from the truth with the study area's own boundaries.
fn recount(run: &Scored) {
    let scenario = TINY.neutral(SEED);
    let d = simulate(&scenario).unwrap();
    let end = day_number(d.as_of) + 1.0;
    let from = end - 12.0 * DAYS_PER_MONTH;
    let hazard = |foci: &[pignut::internals::simulate::force_of_infection::Focus], x: f64, y: f64| {
        square_mean_per_year(foci, x - 500.0, y - 500.0, 1_000.0, 750.0, from, end)
    };
    let cells = scored_cells(&run.result(), &run.truth()).unwrap();
    assert_eq!(cells.len() as u64, run.score.cells);
    assert_eq!(cells.iter().filter(|c| c.active).count() as u64, run.score.active_cells);
    assert_eq!(run.score.areas.len(), d.zones.len());
    for (area, zone) in run.score.areas.iter().zip(&d.zones) {
        assert_eq!(area.zone_id, zone.id);
        let inside =
            cells.iter().filter(|c| zone.boundary.contains(&Coord { x: c.easting_m, y: c.northing_m }));
        let any = inside.clone().any(|c| hazard(&d.foci, c.easting_m, c.northing_m) > 0.05);
        assert_eq!(area.active, any, "{}", zone.id);
        // Some cell of the area is active at least as probably as any one of its cells.
        let most = inside.map(|c| c.p_active).fold(0.0, f64::max);
        assert!((0.0..=1.0).contains(&area.p_active_any) && most > 0.0);
    }
    assert!(!run.score.foci.is_empty(), "a district has a focus that alone makes cells active");
    for f in &run.score.foci {
        let others: Vec<_> = d.foci.iter().filter(|x| x.id != f.id).cloned().collect();
        let own: Vec<f64> = cells
            .iter()
            .filter(|c| c.active && hazard(&others, c.easting_m, c.northing_m) <= 0.05)
            .map(|c| c.p_active)
            .collect();
        assert_eq!(f.cells, own.len() as u64);
        assert_eq!(f.p_active_most, own.iter().copied().fold(0.0, f64::max));
        assert!((f.p_active_mean - own.iter().sum::<f64>() / own.len() as f64).abs() < 1e-12);
    }
    let text = run.score.to_string();
    assert!(
        text.contains("Probability that some cell of an area is active") && text.contains("True foci"),
        "{text}"
    );
    let twice = pool(&[run.score.clone(), run.score.clone()]);
    assert_eq!((twice.areas.len(), twice.foci.len()), (2 * run.score.areas.len(), 2 * run.score.foci.len()));
    // A score written before areas and foci were scored can still be read.
    let mut old = serde_json::to_value(&run.score).unwrap();
    old.as_object_mut().unwrap().retain(|k, _| k != "areas" && k != "foci");
    assert!(serde_json::from_value::<Score>(old).unwrap().areas.is_empty());
}

/// Both studies end to end at a tiny size: shares, merging, resuming, recounting; figures are those of the
/// score.
#[test]
fn both_studies_run_in_shares_and_merge() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path();
    let two: Vec<Assumption> = ASSUMPTIONS
        .iter()
        .filter(|a| [NEUTRAL, "ages-high"].contains(&a.name))
        .map(|a| Assumption { name: a.name, told: a.told, change: a.change })
        .collect();
    misspecification::share_of(out, "1/2".parse().unwrap(), &TINY, &[SEED], &two).unwrap();
    let early = misspecification::merge(out).unwrap_err();
    assert!(early.contains("wrong-assumptions there are the shares 1/2"), "{early}");
    misspecification::share_of(out, "2/2".parse().unwrap(), &TINY, &[SEED], &two).unwrap();
    misspecification::merge(out).unwrap();

    let run = scored(out, NEUTRAL, &TINY.neutral(SEED), &TINY).unwrap();
    recount(&run);
    let rows = table(&out.join("wrong-assumptions.csv"));
    let find = |name: &str, measure: &str| rows.iter().find(|r| &r[0] == name && &r[1] == measure).unwrap();
    let brier: f64 = find(NEUTRAL, "brier")[3].parse().unwrap();
    assert!((brier - run.score.brier_sum / run.score.cells as f64).abs() < 1e-12);
    let (own, difference) = (&find("ages-high", "brier")[3], &find("ages-high", "brier")[6]);
    let (own, difference): (f64, f64) = (own.parse().unwrap(), difference.parse().unwrap());
    assert!((own - brier - difference).abs() < 1e-12 && difference != 0.0);
    let page = std::fs::read_to_string(out.join("wrong-assumptions.md")).unwrap();
    for part in ["## Cells", "## Positive pigs", "## Chance that an area is active", "ages 3 months too high"]
    {
        assert!(page.contains(part), "{part} in {page}");
    }

    // The second study takes the neutral study area as it stands.
    let manifest = run.result().join("manifest.json");
    let before = std::fs::metadata(&manifest).unwrap().modified().unwrap();
    plain_practice::share_of(out, Shard::ALL, &TINY, &[SEED]).unwrap();
    assert_eq!(std::fs::metadata(&manifest).unwrap().modified().unwrap(), before);
    let missing = plain_practice::merge_of(out, &TINY, &[SEED]).unwrap_err();
    assert!(missing.contains("answers.csv is missing; run scripts/plain-practice"), "{missing}");
    let plain_folder = run.folder.join("plain");
    let records = table(&plain_folder.join("records.csv"));
    let wild = simulate(&TINY.neutral(SEED)).unwrap().pigs.iter().filter(|p| p.released_on.is_none()).count();
    assert_eq!(records.len(), wild);

    let cells = scored_cells(&run.result(), &run.truth()).unwrap();
    let says = |of: &dyn Fn(usize) -> String| {
        let lines: Vec<String> =
            (0..cells.len()).map(|i| format!("knowing,{},{}\n", cells[i].cell_id, of(i))).collect();
        std::fs::write(
            plain_folder.join("answers.csv"),
            format!("method,cell_id,score,p_active\n{}", lines.concat()),
        )
        .unwrap();
    };
    says(&|i| format!("{0},{0}", u8::from(cells[i].active)));
    plain_practice::merge_of(out, &TINY, &[SEED]).unwrap();
    let rows = table(&out.join("plain-practice.csv"));
    let knowing = rows.iter().find(|r| &r[0] == "knowing").unwrap();
    assert_eq!((&knowing[2], &knowing[3]), ("1", "0"));
    let own = rows.iter().find(|r| &r[0] == "p_active").unwrap();
    let auc: f64 = own[2].parse().unwrap();
    assert!((auc - run.score.auc.unwrap()).abs() < 1e-12);
    // The simple baselines are those of the score, and state no probability.
    let smoothed = rows.iter().find(|r| &r[0] == "kernel-smoothed prevalence, all years").unwrap();
    let baseline = run.score.baselines.iter().find(|r| {
        r.name.starts_with("kernel") && r.window == pignut::internals::score::baselines::BaselineWindow::All
    });
    assert_eq!((smoothed[2].parse().ok(), &smoothed[3]), (baseline.unwrap().auc, ""));

    says(&|i| if i == 1 { "0.5,1.5".into() } else { "0.5,0.5".into() });
    let fault = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap_err();
    assert!(fault.contains("answers.csv row 3: p_active 1.5 is no probability"), "{fault}");
    says(&|i| if i == 1 { "high,".into() } else { "0.5,".into() });
    let fault = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap_err();
    assert!(fault.contains("answers.csv row 3, field 3: \"high\" is not a finite number"), "{fault}");
    says(&|_| "0.5,".into());
    let answers = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap();
    let active: Vec<bool> = cells.iter().map(|c| c.active).collect();
    let ranked = score_method(&answers[0], &active);
    assert_eq!((ranked.auc, ranked.brier, ranked.log_score), (Some(0.5), None, None));
    assert!(read_answers(&plain_folder.join("answers.csv"), &cells[1..]).unwrap_err().contains("is no cell"));
    let mut more = cells.clone();
    more.push(pignut::internals::score::cells::ScoredCell { cell_id: "x".into(), ..cells[0].clone() });
    assert!(
        read_answers(&plain_folder.join("answers.csv"), &more).unwrap_err().contains("leaves out a cell")
    );
}
