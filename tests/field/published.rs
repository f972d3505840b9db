//! What is published, and the truth.

use super::calls::said;
use crate::common::program::run as pignut;
use crate::common::result::json_file;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn study_area(folder: &Path) -> PathBuf {
    let out = folder.join("study");
    let name = out.to_str().unwrap();
    let made = pignut(&[
        "simulate",
        "--out",
        name,
        "--seed",
        "5",
        "--pigs",
        "220",
        "--extent-km",
        "16",
        "--years",
        "4",
    ]);
    assert_eq!(made.status.code(), Some(0), "{}", said(&made));
    out
}

/// Every pair of numbers in a layer's coordinates.
fn positions(value: &Value, out: &mut Vec<[f64; 2]>) {
    match value {
        Value::Array(list) => match list.as_slice() {
            [Value::Number(a), Value::Number(b)] => out.push([a.as_f64().unwrap(), b.as_f64().unwrap()]),
            _ => list.iter().for_each(|v| positions(v, out)),
        },
        Value::Object(map) => map.values().for_each(|v| positions(v, out)),
        _ => {}
    }
}

#[test]
fn published_layers_hold_no_recorded_place_and_no_small_count() {
    let dir = tempfile::tempdir().unwrap();
    let study = study_area(dir.path());
    let (toml, truth) = (study.join("study.toml"), study.join("truth"));
    let out = dir.path().join("result");
    let args = [
        "run",
        toml.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--warmup",
        "20",
        "--trajectories",
        "20",
    ];
    let more = ["--generalise", "4000", "--truth", truth.to_str().unwrap()];
    let ended = pignut(&[&args[..], &more[..]].concat());
    assert!(matches!(ended.status.code(), Some(0 | 1)), "{}", said(&ended));

    let mut reader = csv::Reader::from_path(study.join("pigs.csv")).unwrap();
    let column_name = reader.headers().unwrap().clone();
    let at = |name: &str| column_name.iter().position(|h| h == name).unwrap_or_else(|| panic!("{name}"));
    let (id, lat, lon) = (at("occurrenceID"), at("decimalLatitude"), at("decimalLongitude"));
    let records: Vec<(String, String, String)> =
        reader.records().map(|r| r.unwrap()).map(|r| (r[id].into(), r[lat].into(), r[lon].into())).collect();
    assert!(records.len() > 150);
    let public = out.join("public");
    let names: BTreeSet<String> =
        fs::read_dir(&public).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(names, ["README.txt", "positives.geojson", "squares.geojson"].map(String::from).into());
    // Words of any file: a coordinate or id would stand as one of them.
    let raw = fs::read_to_string(out.join("positives.geojson")).unwrap();
    let mut found_raw = 0;
    for name in &names {
        let text = fs::read_to_string(public.join(name)).unwrap();
        let words: BTreeSet<&str> = text
            .split(|c: char| !(c.is_alphanumeric() || "-._".contains(c)))
            .filter(|w| !w.is_empty())
            .collect();
        for (id, lat, lon) in &records {
            assert!(!words.contains(id.as_str()), "{name} holds the id {id}");
            assert!(
                !words.contains(lat.as_str()) && !words.contains(lon.as_str()),
                "{name} holds {lat} or {lon}"
            );
        }
    }
    for (id, ..) in &records {
        found_raw += usize::from(raw.contains(&format!("\"{id}\"")));
    }
    assert!(
        found_raw > 0,
        "the search does find what is there: positives in the layer that is not for publication"
    );
    // By distance: no vertex within ten metres of a GPS position (1e-4 degrees are about ten).
    let squares: Value =
        serde_json::from_str(&fs::read_to_string(public.join("squares.geojson")).unwrap()).unwrap();
    let points: Value =
        serde_json::from_str(&fs::read_to_string(public.join("positives.geojson")).unwrap()).unwrap();
    let mut places = Vec::new();
    positions(&squares["features"], &mut places);
    positions(&points["features"], &mut places);
    assert!(places.len() > 50);
    let fixes: Vec<[f64; 2]> = records.iter().map(|r| [r.2.parse().unwrap(), r.1.parse().unwrap()]).collect();
    for p in &places {
        assert!(fixes.iter().all(|f| (f[0] - p[0]).abs() > 1e-5 || (f[1] - p[1]).abs() > 1e-5), "{p:?}");
    }
    // Squares of four kilometres: a side is about 0.036 degrees of latitude.
    let ring = squares["features"][0]["geometry"]["coordinates"][0].as_array().unwrap();
    let lats: Vec<f64> = ring.iter().map(|c| c[1].as_f64().unwrap()).collect();
    let side = lats.iter().copied().fold(f64::MIN, f64::max) - lats.iter().copied().fold(f64::MAX, f64::min);
    assert!((side - 0.036).abs() < 0.002, "{side}");
    // Counts from 1 to 4 are nowhere, and some are masked.
    let mut masked = 0;
    for f in squares["features"].as_array().unwrap().iter().chain(points["features"].as_array().unwrap()) {
        for name in ["pigs", "positives"] {
            if let Some(n) = f["properties"].get(name) {
                let n = n.as_u64().unwrap();
                assert!(n == 0 || n >= 5, "{f}");
            }
        }
        masked += usize::from(f["properties"].get("counts_masked").is_some());
    }
    assert!(
        masked > 0
            && squares["features"]
                .as_array()
                .unwrap()
                .iter()
                .any(|f| f["properties"].get("pigs").is_some_and(|n| n.as_u64() > Some(4)))
    );

    // The truth was named: the page says how the stated chances fared.
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("Were the stated probabilities right?"));
    // What was learnt lies over what was assumed, drawn and told.
    let learnt = &page[page.find("id=\"learnt0-t\"").expect("the level is drawn")..];
    for part in [
        "class=\"after\"",
        "class=\"before\"",
        "Two densities on one scale. After the records: median",
        "Before them: median -1.5",
    ] {
        assert!(learnt.contains(part), "{part}");
    }
    let manifest = json_file(&out.join("manifest.json"));
    let listed: Vec<&str> =
        manifest["outputs"].as_array().unwrap().iter().map(|o| o["name"].as_str().unwrap()).collect();
    assert!(listed.contains(&"report.html") && listed.contains(&"public/squares.geojson"), "{listed:?}");
}

#[test]
fn a_truth_or_a_side_that_cannot_be_is_said_before_the_long_work() {
    let dir = tempfile::tempdir().unwrap();
    let study = study_area(dir.path());
    let toml = study.join("study.toml");
    let out = dir.path().join("result");
    let run = |more: &[&str]| {
        let args = ["run", toml.to_str().unwrap(), "--out", out.to_str().unwrap()];
        let start = std::time::Instant::now();
        let ended = pignut(&[&args[..], more].concat());
        assert_eq!(ended.status.code(), Some(2), "{}", said(&ended));
        // A run at full effort would take minutes.
        assert!(start.elapsed().as_secs() < 20 && !out.exists());
        said(&ended)
    };
    assert!(run(&["--truth", "nowhere"]).contains("--truth: nowhere/truth.json: cannot be read"));
    // Another study area's truth.
    let other = dir.path().join("other");
    let made = pignut(&[
        "simulate",
        "--out",
        other.to_str().unwrap(),
        "--seed",
        "6",
        "--pigs",
        "30",
        "--extent-km",
        "16",
        "--years",
        "4",
    ]);
    assert_eq!(made.status.code(), Some(0), "{}", said(&made));
    let text = run(&["--truth", other.join("truth").to_str().unwrap()]);
    assert!(text.contains("which the truth folder does not;"), "{text}");
    for side in ["50", "0", "NaN", "1e9"] {
        assert!(run(&["--generalise", side]).contains("write 1000 to 200000 metres"), "{side}");
    }
}
