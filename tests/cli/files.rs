//! What is written and what is left alone.

use super::calls::{LEAST_EFFORT, clean, fixture, least_run, refused, study, tree};
use crate::common::program::{pignut, run, text};
use serde_json::Value;
use std::fs;
use std::path::Path;

#[test]
fn a_plan_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("result");
    let args = ["run", &clean(), "--out", out.to_str().unwrap(), "--plan", "--seed", "99"];
    let ended = run(&args);
    assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
    assert!(tree(dir.path()).is_empty());
    let said = text(&ended.stdout);
    for part in ["6 rows read", "seed 99", "4 chains of 100 + 400", "cell_m = 2000.0", "would write"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn files_that_are_not_ours_are_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let good = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bad-input/good.csv");
    let (pigs, study) = (dir.path().join("pigs.csv"), dir.path().join("study.toml"));
    fs::copy(&good, &pigs).unwrap();
    fs::write(&study, "[study]\nname = \"a\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"pigs.csv\"\n")
        .unwrap();
    let says = ["is no layer of samples"];
    refused(&["sample", study.to_str().unwrap(), "--out", pigs.to_str().unwrap()], &says);
    assert_eq!(fs::read(&pigs).unwrap(), fs::read(&good).unwrap());
    // Its own layer it may replace.
    let layer = dir.path().join("samples.geojson").display().to_string();
    for _ in 0..2 {
        assert_eq!(run(&["sample", &clean(), "--pigs", "2", "--out", &layer]).status.code(), Some(0));
    }
    // The demo leaves a study that is there, though it be its own, edited.
    let demo = dir.path().join("demo");
    fs::create_dir_all(demo.join("study")).unwrap();
    fs::write(demo.join("study/pigs.csv"), "mine").unwrap();
    refused(
        &["demo", "--out", demo.to_str().unwrap()],
        &["pigs.csv is not as the demo writes it", "would be lost"],
    );
    assert_eq!(fs::read_dir(&demo).unwrap().count(), 1);
    assert_eq!(fs::read_dir(demo.join("study")).unwrap().count(), 1);
}

#[test]
fn a_foreign_folder_is_refused_and_left_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let foreign = dir.path().join("photographs");
    fs::create_dir_all(foreign.join("older")).unwrap();
    fs::write(foreign.join("one.jpg"), b"not ours").unwrap();
    // A manifest of something else does not make it ours.
    fs::write(foreign.join("manifest.json"), b"{\"name\": \"a web page\"}").unwrap();
    let before = tree(dir.path());
    let out = foreign.display().to_string();
    let says = ["photographs", "did not write", "empty or new folder"];
    refused(&["run", &clean(), "--out", &out], &says);
    refused(&["run", &clean(), "--out", &out, "--plan"], &says);
    assert_eq!(tree(dir.path()), before);
    // A file of that name is no folder.
    let file = foreign.join("one.jpg").display().to_string();
    refused(&["run", &clean(), "--out", &file], &["one.jpg"]);
    assert_eq!(tree(dir.path()), before);
    // The demo says so before it simulates anything.
    fs::create_dir(dir.path().join("result")).unwrap();
    fs::write(dir.path().join("result/notes.txt"), b"not ours").unwrap();
    let before = tree(dir.path());
    refused(&["demo", "--out", dir.path().to_str().unwrap()], &["result", "did not write"]);
    assert_eq!(tree(dir.path()), before);
    // A study is not written over either.
    let study = dir.path().join("study");
    fs::create_dir(&study).unwrap();
    fs::write(study.join("study.toml"), b"mine").unwrap();
    refused(&["simulate", "--out", study.to_str().unwrap()], &["already holds a study"]);
    assert_eq!(fs::read(study.join("study.toml")).unwrap(), b"mine");
}

/// Nothing is computed for a folder that cannot be written: no line on the grid comes before the message.
#[test]
fn an_output_folder_that_cannot_be_is_refused_before_any_work() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("file"), b"not a folder").unwrap();
    let out = dir.path().join("file/result").display().to_string();
    let study = clean();
    let args = [&["run", &study, "--out", &out][..], &LEAST_EFFORT].concat();
    refused(&args, &["file", "cannot be written"]);
    // The folder one stands in cannot be renamed on every system: written, or refused at once.
    let here = dir.path().join("here");
    fs::create_dir(&here).unwrap();
    let ended = pignut()
        .current_dir(&here)
        .args(["run", &clean(), "--out", "."])
        .args(LEAST_EFFORT)
        .output()
        .unwrap();
    let messages = text(&ended.stderr);
    match ended.status.code() {
        Some(0 | 1) => assert!(here.join("manifest.json").is_file(), "{messages}"),
        _ => assert!(messages.starts_with("pignut: "), "refused after the work was done: {messages}"),
    }
}

/// No disease seen: layers without features, tables without rows, and nothing undefined written as 0.
#[test]
fn a_study_without_a_positive_writes_empty_layers() {
    let dir = tempfile::tempdir().unwrap();
    let study = study(dir.path(), |t| t.replace("clean.csv", "clear.csv"));
    let records = fs::read_to_string(fixture("clean.csv")).unwrap();
    fs::write(dir.path().join("clear.csv"), records.replace("yes,culture,positive", "no,,")).unwrap();
    let result = dir.path().join("result");
    least_run(&study, &result, &[]);
    for layer in ["positives.geojson", "origins.geojson"] {
        let json: Value = serde_json::from_slice(&fs::read(result.join(layer)).unwrap()).unwrap();
        // RFC 7946 §3.3: an empty array is allowed. §5: a box of nothing is left out.
        assert_eq!(json, serde_json::json!({ "type": "FeatureCollection", "features": [] }), "{layer}");
    }
    let cells: Value = serde_json::from_slice(&fs::read(result.join("cells.geojson")).unwrap()).unwrap();
    for f in cells["features"].as_array().unwrap() {
        assert!(f["properties"].get("window_median").is_none(), "{f}");
        assert_eq!(f["properties"]["expected_infections"], 0);
    }
    let summary: Value = serde_json::from_slice(&fs::read(result.join("summary.json")).unwrap()).unwrap();
    assert!(summary["whole_grid"].get("infection_window").is_none());
    assert!(summary["whole_grid"].get("last_positive").is_none());
    use polars::prelude::{ParquetReader, SerReader};
    for table in ["positives", "origins"] {
        let file = fs::File::open(result.join(format!("tables/{table}.parquet"))).unwrap();
        assert_eq!(ParquetReader::new(file).finish().unwrap().height(), 0, "{table}");
    }
}

/// PROJ reads the register it finds through these variables; one of another version makes every code fail.
#[test]
fn a_foreign_register_of_coordinate_systems_does_not_break_a_run() {
    let dir = tempfile::tempdir().unwrap();
    let foreign = dir.path().join("proj");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("proj.db"), b"not a register").unwrap();
    least_run(&clean(), &dir.path().join("plain"), &[]);
    for variable in ["PROJ_DATA", "PROJ_LIB"] {
        let out = dir.path().join(variable);
        let ended = pignut()
            .args(["run", &clean(), "--out"])
            .arg(&out)
            .args(LEAST_EFFORT)
            .env(variable, &foreign)
            .output()
            .unwrap();
        assert_eq!(ended.status.code(), Some(1), "{}", text(&ended.stderr));
        let layer = |folder: &Path| fs::read(folder.join("cells.geojson")).unwrap();
        assert!(layer(&out) == layer(&dir.path().join("plain")), "{variable}");
    }
    // The exit code and the single message pass through the restart.
    let ended = pignut().args(["check", "nowhere.toml"]).env("PROJ_DATA", &foreign).output().unwrap();
    assert_eq!(ended.status.code(), Some(2));
    assert_eq!(text(&ended.stderr).matches("pignut: ").count(), 1);
}
