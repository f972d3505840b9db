//! Files, properties and columns are those of the contract, and digests those of the bytes.

use super::study_run::{LAYERS, QUANTILES, RASTERS, base, files_below};
use crate::common::result::{num, word};
use polars::prelude::DataType;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

const TABLES: [&str; 11] = [
    "tables/cells.parquet",
    "tables/force_of_infection.parquet",
    "tables/coverage.parquet",
    "tables/positives.parquet",
    "tables/origins.parquet",
    "tables/priorities.parquet",
    "tables/frontier.parquet",
    "tables/block_samples.parquet",
    "tables/block_areas.parquet",
    "tables/model_checks.parquet",
    "tables/record_checks.parquet",
];
const OTHERS: [&str; 4] = ["findings.csv", "summary.json", "manifest.json", "report.html"];

#[test]
fn every_file_of_the_contract_is_there_and_listed() {
    let run = base();
    let there = files_below(&run.result());
    for name in LAYERS.iter().chain(&TABLES).chain(&RASTERS).chain(&OTHERS) {
        assert!(there.contains(*name), "{name} is not in {there:?}");
        assert!(!run.bytes(name).is_empty(), "{name}");
    }
    let manifest = run.json("manifest.json");
    let mut listed: BTreeSet<String> =
        manifest["outputs"].as_array().unwrap().iter().map(|o| word(o, "name").to_string()).collect();
    listed.insert("manifest.json".into());
    assert_eq!(listed, there, "the manifest lists what is there, and all of it");
    for name in &there {
        assert!(run.said.contains(Path::new(name).file_name().unwrap().to_str().unwrap()), "{name}");
    }
}

/// FIPS 180-4; the first check is its own example for "abc" (FIPS 180-2, appendix B.1).
#[test]
fn digests_of_inputs_and_outputs_are_those_of_the_bytes() {
    let digest =
        |bytes: &[u8]| -> String { Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect() };
    assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    let run = base();
    let manifest = run.json("manifest.json");
    let mut read = BTreeSet::new();
    for input in manifest["inputs"].as_array().unwrap() {
        let name = word(input, "path");
        let bytes = fs::read(run.folder.path().join("study").join(name)).unwrap();
        assert_eq!(word(input, "sha256"), digest(&bytes), "{name}");
        assert_eq!(num(input, "bytes"), bytes.len() as f64, "{name}");
        read.insert(name.to_string());
    }
    let study: toml::Table =
        fs::read_to_string(run.folder.path().join("study/study.toml")).unwrap().parse().unwrap();
    let named = study["areas"].as_table().unwrap().values().chain([&study["records"]["pigs"]]);
    let named = named.map(|v| v.as_str().unwrap().to_string());
    let named: BTreeSet<String> = named.chain(["study.toml".to_string()]).collect();
    assert_eq!(read, named, "the study file and every file it names are fingerprinted");
    for output in manifest["outputs"].as_array().unwrap() {
        let bytes = run.bytes(word(output, "name"));
        assert_eq!(word(output, "sha256"), digest(&bytes), "{output}");
        assert_eq!(num(output, "bytes"), bytes.len() as f64, "{output}");
    }
    assert_eq!(word(&manifest, "version"), env!("CARGO_PKG_VERSION"));
    assert_eq!(word(&manifest, "program"), "pignut");
    let (started, finished) = (word(&manifest, "started"), word(&manifest, "finished"));
    let read_time = |t: &str| -> jiff::Timestamp { t.parse().expect("RFC 3339") };
    assert!(read_time(started) <= read_time(finished));
    let kept = &manifest["parameters"]["run"];
    assert_eq!((num(kept, "chains"), num(kept, "warmup"), num(kept, "trajectories")), (2.0, 60.0, 60.0));
    assert_eq!(num(&manifest["diagnostics"], "posterior_samples_kept"), 100.0);
}

fn keys_of(name: &str) -> (BTreeSet<String>, BTreeSet<String>) {
    let sets: Vec<BTreeSet<String>> = base()
        .features(name)
        .iter()
        .map(|f| f["properties"].as_object().unwrap().keys().cloned().collect())
        .collect();
    let union = sets.iter().flatten().cloned().collect();
    let all = sets.iter().fold(sets[0].clone(), |a, b| a.intersection(b).cloned().collect());
    (all, union)
}

#[test]
fn properties_are_those_of_the_contract() {
    let window = ["window_start", "window_median", "window_end"];
    let cells = [
        "cell_id",
        "row",
        "col",
        "force_of_infection_median",
        "force_of_infection_q05",
        "force_of_infection_q95",
        "p_active",
        "exposure_pig_years",
        "surveillance_sensitivity",
        "expected_infections",
        "standing",
    ];
    let positives = [
        "occurrence_id",
        "window50_start",
        "window50_end",
        "p_recent",
        "p_local",
        "p_true",
        "origin_distance_m_median",
        "window_start",
        "window_median",
        "window_end",
        // Ours besides.
        "reading",
        "killed",
    ];
    let origins = ["occurrence_id", "level", "area_ha", "p_true"];
    let gaps = [
        "gap_id",
        "zone_id",
        "zone_name",
        "below",
        "area_ha",
        "sensitivity",
        "sensitivity_lowest",
        "target",
        "window_months",
        "exposure_pig_years",
        "pigs_age_months",
    ];
    let none: &[&str] = &[];
    for (name, always, sometimes) in [
        ("cells.geojson", &cells[..], &window[..]),
        ("positives.geojson", &positives[..], &["p_zone", "zone_id"][..]),
        ("origins.geojson", &origins[..], none),
        ("gaps.geojson", &gaps[..], &["pigs_needed"][..]),
    ] {
        let set = |names: &[&str]| names.iter().map(|s| s.to_string()).collect::<BTreeSet<_>>();
        let (all, union) = keys_of(name);
        assert_eq!(union, set(&[always, sometimes].concat()), "{name}");
        assert!(all.is_superset(&set(always)), "{name}: {all:?}");
    }
}

#[test]
fn tables_have_the_columns_of_the_contract() {
    let run = base();
    let hazard = std::iter::once("force_of_infection_mean".to_string())
        .chain(QUANTILES.iter().map(|q| format!("force_of_infection_{q}")));
    let hazard: Vec<String> = hazard.collect();
    let owned = |names: &[&str]| names.iter().map(|s| s.to_string()).collect::<Vec<String>>();
    let place = owned(&["cell_id", "easting", "northing"]);
    let figures = owned(&[
        "p_active",
        "exposure_pig_years",
        "surveillance_sensitivity",
        "expected_infections",
        "window_start",
        "window_median",
        "window_end",
        "possum_share",
        "ferret_share",
        "standing",
        "geometry",
    ]);
    let infection: Vec<String> = QUANTILES.iter().map(|q| format!("infection_{q}")).collect();
    for (name, wanted) in [
        ("tables/cells.parquet", [place.clone(), hazard.clone(), figures].concat()),
        ("tables/force_of_infection.parquet", [place.clone(), owned(&["period_start"]), hazard].concat()),
        (
            "tables/positives.parquet",
            [owned(&["occurrence_id", "p_true"]), infection, owned(&["p_recent", "p_local"])].concat(),
        ),
        ("tables/origins.parquet", [owned(&["occurrence_id"]), place, owned(&["probability"])].concat()),
    ] {
        let table = run.table(name);
        let names: Vec<String> = table.get_column_names().iter().map(|s| s.to_string()).collect();
        assert_eq!(names, wanted, "{name}");
        for column in table.columns() {
            let wanted = match column.name().as_str() {
                n if n.ends_with("_id") || n == "standing" => DataType::String,
                "geometry" => DataType::Binary,
                n if n.starts_with("window") || n.starts_with("infection") || n == "period_start" => {
                    DataType::Date
                }
                _ => DataType::Float64,
            };
            assert_eq!(column.dtype(), &wanted, "{name} {}", column.name());
        }
    }
}
