//! `run --sensitivity --hold-out` from the command line, on a small simulated study area.

use crate::common::program::run_in;
use crate::common::result::{parquet, texts};
use crate::common::simulated::write_study_with_effort;
use pignut::internals::simulate::scenario::Scenario;
use polars::prelude::DataFrame;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Output;

fn study_area(folder: &Path) {
    let scenario = Scenario { pigs_target: 120, extent_km: 12.0, years: 4, ..Scenario::fresh(3) };
    let effort = "chains = 2\nwarmup = 20\ntrajectories = 44\nposterior_samples = 60\n";
    write_study_with_effort(&scenario, folder, effort);
}

fn run(folder: &Path, out: &str, more: &[&str]) -> Output {
    let args = [&["run", "study/study.toml", "--out", out], more].concat();
    let ended = run_in(folder, &args);
    // So short a run ends with warnings whether or not it is run again: 1.
    assert_eq!(ended.status.code(), Some(1), "{}", String::from_utf8_lossy(&ended.stderr));
    ended
}

fn table(folder: &Path, name: &str) -> DataFrame {
    parquet(&folder.join("tables").join(name))
}

fn flags(t: &DataFrame, name: &str) -> Vec<bool> {
    t.column(name).unwrap().bool().unwrap().iter().map(|v| v.unwrap()).collect()
}

#[test]
fn a_run_says_what_holds_under_other_inputs() {
    let dir = tempfile::tempdir().unwrap();
    study_area(dir.path());
    let ended = run(dir.path(), "again", &["--sensitivity", "--hold-out", "--threads", "2"]);
    let (said, messages) = (String::from_utf8_lossy(&ended.stdout), String::from_utf8_lossy(&ended.stderr));
    let result = dir.path().join("again");
    let summary: Value = serde_json::from_slice(&fs::read(result.join("summary.json")).unwrap()).unwrap();

    // Terminal, summary and table tell the same.
    let s = &summary["sensitivity"];
    let areas = summary["held_out"]["areas"].as_array().unwrap().len();
    assert!(areas > 0);
    assert!(
        messages.contains(&format!(
            "running again: 9 with other inputs or another seed, 2 assessed anew from the same posterior \
             samples, \
             {areas} without the pigs of an area; {} × 2 chains of 20 + 33 trajectories",
            9 + areas
        )),
        "{messages}"
    );
    for block in ["model_checks", "sensitivity", "held_out"] {
        for line in summary[block]["said"].as_array().unwrap() {
            assert!(said.contains(line.as_str().unwrap()), "{line}\n{said}");
        }
    }
    assert_eq!((s["trajectories"].as_u64(), s["trajectories_of_the_run"].as_u64()), (Some(33), Some(44)));
    let conclusions = s["conclusions"].as_array().unwrap();
    let runs = s["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 11);
    let t = table(&result, "sensitivity.parquet");
    assert_eq!(t.height(), runs.len() * conclusions.len());
    let names: BTreeSet<String> = texts(&t, "run").into_iter().collect();
    assert_eq!(names, runs.iter().map(|r| r["name"].as_str().unwrap().to_string()).collect());
    let holds = flags(&t, "holds");
    for (i, c) in conclusions.iter().enumerate() {
        // The first re-run has the same inputs: it shows chance, and is not counted.
        let all = (1..runs.len()).all(|r| holds[r * conclusions.len() + i]);
        assert_eq!(c["holds_in_all"].as_bool(), Some(all), "{c}");
        let named = c["changes_with"].as_array().unwrap().len();
        assert_eq!(named, (1..runs.len()).filter(|r| !holds[r * conclusions.len() + i]).count());
    }
    for (k, run) in runs.iter().enumerate() {
        let mine = &holds[k * conclusions.len()..(k + 1) * conclusions.len()];
        assert_eq!(run["conclusions_held"].as_u64(), Some(mine.iter().filter(|h| **h).count() as u64));
    }
    // A threshold only judges anew: areas are at least as likely active below a lower one.
    let of = |run: &str, question: &str| -> Vec<f64> {
        let (names, questions) = (texts(&t, "run"), texts(&t, "question"));
        let values = t.column("value").unwrap().f64().unwrap();
        (0..t.height())
            .filter(|i| names[*i] == run && questions[*i] == question)
            .map(|i| values.get(i).unwrap())
            .collect()
    };
    let (low, high) = (of("threshold_halved", "transmission"), of("threshold_doubled", "transmission"));
    assert!(!low.is_empty() && low.iter().zip(&high).all(|(a, b)| a >= b), "{low:?} {high:?}");
    // Freedom asks for a design focus, which the threshold does not touch.
    assert_eq!(of("threshold_halved", "freedom"), of("threshold_doubled", "freedom"));
    // What the page shows is what was said.
    let page = fs::read_to_string(result.join("report.html")).unwrap();
    assert!(
        page.contains("id=\"holds-h\"")
            && page.contains("id=\"held-h\"")
            && page.contains("home range halved")
    );

    // Without being asked, no table and no block; the run's own figures are the same to the byte.
    run(dir.path(), "once", &["--threads", "1"]);
    let once = dir.path().join("once");
    for name in [
        "cells.geojson",
        "zones.geojson",
        "blocks.geojson",
        "tables/model_checks.parquet",
        "tables/record_checks.parquet",
    ] {
        assert_eq!(fs::read(once.join(name)).unwrap(), fs::read(result.join(name)).unwrap(), "{name}");
    }
    assert!(
        !once.join("tables/sensitivity.parquet").exists() && !once.join("tables/held_out.parquet").exists()
    );
    let plain: Value = serde_json::from_slice(&fs::read(once.join("summary.json")).unwrap()).unwrap();
    assert!(plain.get("sensitivity").is_none() && plain["fit"] == summary["fit"]);

    // The same bytes on another number of threads.
    run(dir.path(), "single", &["--sensitivity", "--hold-out", "--threads", "1"]);
    for name in ["summary.json", "tables/sensitivity.parquet", "tables/held_out.parquet", "report.html"] {
        let (a, b) =
            (fs::read(result.join(name)).unwrap(), fs::read(dir.path().join("single").join(name)).unwrap());
        assert!(a == b, "{name} depends on the threads");
    }
}

/// Each row of the table of counts adds up to what the layer of areas and the records say.
#[test]
fn counts_of_the_fit_are_those_of_the_records() {
    let dir = tempfile::tempdir().unwrap();
    study_area(dir.path());
    run(dir.path(), "once", &[]);
    let result = dir.path().join("once");
    let summary: Value = serde_json::from_slice(&fs::read(result.join("summary.json")).unwrap()).unwrap();
    let t = table(&result, "model_checks.parquet");
    let (kinds, zones) = (texts(&t, "kind"), t.column("zone_id").unwrap().str().unwrap().clone());
    let whole = |name: &str| -> Vec<i64> {
        t.column(name).unwrap().i64().unwrap().iter().map(|v| v.unwrap()).collect()
    };
    let (pigs, observed) = (whole("pigs"), whole("observed"));
    let used = summary["pigs"]["used"].as_i64().unwrap();
    for kind in ["all", "age", "area", "year"] {
        let rows = || (0..t.height()).filter(|i| kinds[*i] == kind);
        assert_eq!(rows().map(|i| pigs[i]).sum::<i64>(), used, "{kind}");
        assert_eq!(
            rows().map(|i| observed[i]).sum::<i64>(),
            summary["whole_grid"]["positives"].as_i64().unwrap(),
            "{kind}"
        );
    }
    for z in summary["zones"].as_array().unwrap() {
        let row = (0..t.height()).find(|i| zones.get(*i) == z["id"].as_str());
        assert_eq!(row.map_or(0, |i| pigs[i]), z["pigs"].as_i64().unwrap(), "{z}");
    }
    let records = table(&result, "record_checks.parquet");
    assert_eq!(records.height() as i64, used);
    let chance = |name: &str| -> Vec<f64> {
        records.column(name).unwrap().f64().unwrap().iter().map(|v| v.unwrap()).collect()
    };
    let (p, others) = (chance("p_positive"), chance("p_positive_others"));
    // What a record says of itself can only support its own reading; equal within rounding where no draw
    // differs.
    for ((p, others), positive) in p.iter().zip(&others).zip(flags(&records, "positive")) {
        let towards = if positive { p - others } else { others - p };
        assert!((0.0..=1.0).contains(p) && towards > -1e-12, "{p} {others}");
    }
}
