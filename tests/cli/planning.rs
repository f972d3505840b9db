//! `sample` and `power`: where the next pigs should come from, and how many.

use super::calls::refused;
use crate::common::program::{run, text};
use serde_json::Value;
use std::fs;

/// `sample` writes a layer and says what each pig adds; what cannot be placed is refused.
#[test]
fn sample_places_pigs_where_they_can_be_had() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let made = run(&["simulate", "--out", &at("d"), "--pigs", "120", "--extent-km", "13", "--years", "3"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let (study, layer) = (at("d/study.toml"), at("s.geojson"));
    let out = run(&["sample", &study, "--pigs", "5", "--age", "30", "--out", &layer, "--json"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let said: Value = serde_json::from_slice(&out.stdout).unwrap();
    let kept: Value = serde_json::from_slice(&fs::read(&layer).unwrap()).unwrap();
    let (rows, features) = (said["samples"].as_array().unwrap(), kept["features"].as_array().unwrap());
    assert_eq!((rows.len(), features.len()), (5, 5));
    let mut mean = said["now"]["mean_sensitivity"].as_f64().unwrap();
    for (k, (r, f)) in rows.iter().zip(features).enumerate() {
        assert_eq!((r["rank"].as_u64(), &f["properties"]["cell_id"]), (Some(k as u64 + 1), &r["cell_id"]));
        let with = r["mean_sensitivity_with"].as_f64().unwrap();
        assert!(with > mean, "each pig adds something");
        mean = with;
    }
    // Within reach only: half of the island, and what the help says of a reach that holds no cell.
    let places = |args: &[&str]| -> Vec<[f64; 2]> {
        let out = run(&[&["sample", &study, "--pigs", "4", "--out", &layer, "--json"], args].concat());
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        let said: Value = serde_json::from_slice(&out.stdout).unwrap();
        let at = |r: &Value| ["easting", "northing"].map(|n| r[n].as_f64().unwrap());
        said["samples"].as_array().unwrap().iter().map(at).collect()
    };
    let all = places(&[]);
    let inside: Value = serde_json::from_slice(&fs::read(at("d/zones.geojson")).unwrap()).unwrap();
    let first = serde_json::json!({ "type": "FeatureCollection", "features": [inside["features"][0]] });
    fs::write(at("reach.geojson"), first.to_string()).unwrap();
    let reached = places(&["--reach", &at("reach.geojson")]);
    assert_ne!(all, reached);
    let id = inside["features"][0]["properties"]["zoneID"].as_str().unwrap();
    assert_eq!(places(&["--zone", id]).len(), 4);
    let none = serde_json::json!({
        "type": "Feature", "properties": {}, "geometry": { "type": "Point", "coordinates": [170.0, -40.0] }
    });
    fs::write(at("point.geojson"), none.to_string()).unwrap();
    let lines = |args: &[&str]| {
        let out = run(&[&["sample", &study, "--out", &layer], args].concat());
        assert_eq!((out.status.code(), text(&out.stdout)), (Some(2), ""));
        text(&out.stderr).to_string()
    };
    assert!(lines(&["--reach", &at("point.geojson")]).contains("not a polygon"));
    assert!(lines(&["--zone", "nowhere"]).contains(id));
    assert!(lines(&["--aim", "standing"]).contains("--result"));
    assert!(lines(&["--aim", "standing", "--result", &at("d")]).contains("finished run"));
    assert!(lines(&["--age", "1"]).contains("sampling.age_months = 1"));
}

/// `power`: the same seed gives the same table; larger studies find more.
#[test]
fn power_rises_with_the_size_of_the_study() {
    let args = [
        "power",
        "--sizes",
        "40,160,20",
        "--years",
        "3",
        "--extent-km",
        "13",
        "--force-of-infection",
        "1",
        "--study-areas",
        "3",
        "--json",
    ];
    let (a, b) = (run(&args), run(&args));
    assert_eq!(a.status.code(), Some(0), "{}", text(&a.stderr));
    assert_eq!(text(&a.stdout), text(&b.stdout));
    let said: Value = serde_json::from_slice(&a.stdout).unwrap();
    let rows = said["rows"].as_array().unwrap();
    let column = |name: &str| rows.iter().map(|r| r[name].as_f64().unwrap()).collect::<Vec<f64>>();
    assert_eq!(column("pigs"), [20.0, 40.0, 160.0]);
    let found = column("found");
    assert!(found[0] < found[1] && found[1] < found[2] && found[2] <= 1.0, "{found:?}");
    assert!(column("confirmed").iter().zip(&found).all(|(c, f)| c <= f));
    refused(&["power", "--force-of-infection", "0"], &["--force-of-infection 0"]);
    // An option's old name is refused with the new one.
    for (old, now) in [("--hazard", "--force-of-infection"), ("--districts", "--study-areas")] {
        let out = run(&["power", old, "1"]);
        assert_eq!(out.status.code(), Some(2));
        assert!(text(&out.stderr).contains(now), "{}", text(&out.stderr));
    }
    refused(&["power", "--sizes", "3"], &["pigs_target = 3"]);
}
