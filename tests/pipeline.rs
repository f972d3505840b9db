//! A small simulated district through the program, once, and every file of the result looked at.
//!
//! What is asked of the layers comes from RFC 7946 (GeoJSON), of dates from ISO 8601, of digests from
//! FIPS 180-4; names of files, properties and columns are the project's own contract, written out here
//! so that a change of one is a change of this file too. Figures are checked against one another across
//! files, and the layers are opened with GDAL and geopandas where those are installed.

use geo::{Area, BooleanOps, Centroid, Coord, LineString, MultiPolygon, Polygon};
use pignut::internals::assess::cells::Standing;
use pignut::internals::geography::coordinates::projector::Projector;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use polars::prelude::{DataFrame, DataType, ParquetReader, SerReader};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// Seed of the district.
const SEED: u64 = 3;
/// Properties carry six significant digits: relative rounding of one, with room for a sum of a few.
const ROUNDING_REL: f64 = 2e-5;
/// Origin masses of 1e-9 and less are left out of `origins.parquet`, cell by cell.
const LEFT_OUT: f64 = 1e-9;

const LAYERS: [&str; 6] = [
    "cells.geojson",
    "positives.geojson",
    "origins.geojson",
    "zones.geojson",
    "gaps.geojson",
    "blocks.geojson",
];
const TABLES: [&str; 11] = [
    "tables/cells.parquet",
    "tables/hazard.parquet",
    "tables/coverage.parquet",
    "tables/positives.parquet",
    "tables/origins.parquet",
    "tables/priorities.parquet",
    "tables/frontier.parquet",
    "tables/block_draws.parquet",
    "tables/block_areas.parquet",
    "tables/fit.parquet",
    "tables/record_fit.parquet",
];
const RASTERS: [&str; 10] = [
    "rasters/hazard_median.tif",
    "rasters/hazard_q05.tif",
    "rasters/hazard_q95.tif",
    "rasters/p_active.tif",
    "rasters/exposure_pig_years.tif",
    "rasters/detection_sensitivity.tif",
    "rasters/expected_infections.tif",
    "rasters/window_start_year.tif",
    "rasters/window_median_year.tif",
    "rasters/window_end_year.tif",
];
const OTHERS: [&str; 4] = ["findings.csv", "summary.json", "manifest.json", "report.html"];
const QUANTILES: [&str; 7] = ["q025", "q05", "q25", "q50", "q75", "q95", "q975"];

/// One finished run.
struct Run {
    /// Holds `study` and `result`.
    folder: tempfile::TempDir,
    said: String,
}

impl Run {
    fn result(&self) -> PathBuf {
        self.folder.path().join("result")
    }
    fn bytes(&self, name: &str) -> Vec<u8> {
        let path = self.result().join(name);
        fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
    }
    fn json(&self, name: &str) -> Value {
        serde_json::from_slice(&self.bytes(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
    /// Features of a layer.
    fn features(&self, name: &str) -> Vec<Value> {
        self.json(name)["features"].as_array().unwrap().clone()
    }
    fn table(&self, name: &str) -> DataFrame {
        let file = fs::File::open(self.result().join(name)).unwrap();
        ParquetReader::new(file).finish().unwrap()
    }
}

/// Writes the district's study, with the effort cut down.
fn study(folder: &Path) {
    let scenario = Scenario { pigs_target: 150, extent_km: 13.0, ..Scenario::fresh(SEED) };
    write(&simulate(&scenario).unwrap(), &folder.join("study")).unwrap();
    let path = folder.join("study/study.toml");
    let text = fs::read_to_string(&path).unwrap();
    let effort = "\n[run]\nchains = 2\nwarmup = 60\ntrajectories = 60\nposterior_samples = 100\n";
    fs::write(&path, text + effort).unwrap();
}

fn pignut(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_pignut")).current_dir(folder).args(args).output().unwrap()
}

fn run_on(folder: tempfile::TempDir, more: &[&str]) -> Run {
    let args = [&["run", "study/study.toml", "--out", "result"], more].concat();
    let out = pignut(folder.path(), &args);
    let messages = String::from_utf8_lossy(&out.stderr);
    // So short a run ends with warnings: 1, not 2.
    assert_eq!(out.status.code(), Some(1), "{messages}");
    Run { folder, said: String::from_utf8(out.stdout).unwrap() }
}

fn fresh(change: impl Fn(&Path), more: &[&str]) -> Run {
    let folder = tempfile::tempdir().unwrap();
    study(folder.path());
    change(folder.path());
    run_on(folder, more)
}

/// The run that most tests look at.
fn base() -> &'static Run {
    static RUN: OnceLock<Run> = OnceLock::new();
    RUN.get_or_init(|| fresh(|_| (), &["--threads", "2"]))
}

fn num(v: &Value, name: &str) -> f64 {
    v[name].as_f64().unwrap_or_else(|| panic!("{name} is a number in {v}"))
}

fn word<'a>(v: &'a Value, name: &str) -> &'a str {
    v[name].as_str().unwrap_or_else(|| panic!("{name} is a text in {v}"))
}

fn close(a: f64, b: f64, rel: f64) -> bool {
    (a - b).abs() <= rel * a.abs().max(b.abs()) + 1e-12
}

fn numbers(table: &DataFrame, name: &str) -> Vec<f64> {
    let column = table.column(name).unwrap_or_else(|_| panic!("column {name}"));
    assert_eq!(column.null_count(), 0, "{name}");
    column.f64().unwrap().into_no_null_iter().collect()
}

fn texts(table: &DataFrame, name: &str) -> Vec<String> {
    let column = table.column(name).unwrap_or_else(|_| panic!("column {name}"));
    let value = |v: Option<&str>| v.unwrap_or_else(|| panic!("{name} is never absent")).to_string();
    column.str().unwrap().iter().map(value).collect()
}

/// Dates as days since 1970-01-01, and as ISO 8601.
fn dates(table: &DataFrame, name: &str) -> Vec<Option<String>> {
    let column = table.column(name).unwrap().cast(&DataType::Int32).unwrap();
    let day = |d: i32| jiff::civil::date(1970, 1, 1) + jiff::Span::new().days(d);
    column.i32().unwrap().iter().map(|d| d.map(|d| day(d).to_string())).collect()
}

// Files.

fn files_below(folder: &Path) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            out.extend(files_below(&path).into_iter().map(|f| format!("{name}/{f}")));
        } else {
            out.insert(name);
        }
    }
    out
}

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
    assert_eq!(num(&manifest["diagnostics"], "draws_kept"), 100.0);
}

// RFC 7946.

/// Every position of a geometry, ring by ring: (exterior, ring).
fn rings(geometry: &Value) -> Vec<(bool, Vec<[f64; 2]>)> {
    let position = |p: &Value| {
        let p = p.as_array().unwrap();
        assert_eq!(p.len(), 2, "two numbers a position");
        [p[0].as_f64().unwrap(), p[1].as_f64().unwrap()]
    };
    let ring = |r: &Value| r.as_array().unwrap().iter().map(position).collect::<Vec<_>>();
    let polygon = |p: &Value| {
        let rings = p.as_array().unwrap();
        rings.iter().enumerate().map(|(i, r)| (i == 0, ring(r))).collect::<Vec<_>>()
    };
    let at = &geometry["coordinates"];
    match word(geometry, "type") {
        "Point" => vec![(true, vec![position(at)])],
        "Polygon" => polygon(at),
        "MultiPolygon" => at.as_array().unwrap().iter().flat_map(polygon).collect(),
        other => panic!("{other} is no geometry of the contract"),
    }
}

/// Twice the signed area, positive when anticlockwise.
fn signed(ring: &[[f64; 2]]) -> f64 {
    // About the first corner: degrees far from zero would cancel.
    let o = ring[0];
    ring.windows(2).map(|w| (w[0][0] - o[0]) * (w[1][1] - o[1]) - (w[1][0] - o[0]) * (w[0][1] - o[1])).sum()
}

/// Longitudes and latitudes in which the district lies: its pigs, with the grid's margin.
fn district_degrees() -> [(f64, f64); 2] {
    let path = base().folder.path().join("study/pigs.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let headings = reader.headers().unwrap().clone();
    let column = |name: &str| headings.iter().position(|h| h == name).unwrap();
    let at = [column("decimalLongitude"), column("decimalLatitude")];
    let mut range = [(f64::INFINITY, f64::NEG_INFINITY); 2];
    for row in reader.records() {
        let row = row.unwrap();
        for (r, c) in range.iter_mut().zip(at) {
            let v: f64 = row[c].parse().unwrap();
            *r = (r.0.min(v), r.1.max(v));
        }
    }
    // Island of 13 km, margin of 6 km, a cell of 1 km: a fifth of a degree is 22 km of latitude and more
    // than 14 km of longitude south of 48° S; a third covers both.
    range.map(|(low, high)| (low - 0.33, high + 0.33))
}

#[test]
fn layers_obey_rfc_7946() {
    let [(west, east), (south, north)] = district_degrees();
    assert!(east < 180.0 && north < west, "longitude and latitude cannot be taken for one another here");
    for name in LAYERS {
        let layer = base().json(name);
        let members: BTreeSet<&str> = layer.as_object().unwrap().keys().map(String::as_str).collect();
        // §4: a crs member is no longer used; §3.3: type and features.
        assert_eq!(members, BTreeSet::from(["type", "bbox", "features"]), "{name}");
        assert_eq!(word(&layer, "type"), "FeatureCollection");
        let mut bbox = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let mut ids = BTreeSet::new();
        let features = base().features(name);
        assert!(!features.is_empty(), "{name} has features");
        for f in &features {
            assert_eq!(word(f, "type"), "Feature");
            assert!(ids.insert(f["id"].to_string()), "{name}: the id {} is unique", f["id"]);
            for (exterior, ring) in rings(&f["geometry"]) {
                for [lon, lat] in &ring {
                    // §3.1.1: longitude, then latitude.
                    assert!(*lon > west && *lon < east && *lat > south && *lat < north, "{name} {lon} {lat}");
                    bbox = [bbox[0].min(*lon), bbox[1].min(*lat), bbox[2].max(*lon), bbox[3].max(*lat)];
                }
                if ring.len() == 1 {
                    continue;
                }
                // §3.1.6: closed, four positions or more, exterior anticlockwise, holes clockwise.
                assert!(ring.len() >= 4 && ring.first() == ring.last(), "{name} {}", f["id"]);
                assert_eq!(signed(&ring) > 0.0, exterior, "{name} {}: winding", f["id"]);
            }
            for (key, value) in f["properties"].as_object().unwrap() {
                assert!(!value.is_null(), "{name} {}: {key} is null", f["id"]);
            }
        }
        // §5.
        let kept: Vec<f64> = layer["bbox"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(kept, bbox, "{name}");
        // §11.2 asks for no more digits than are known; the contract for seven decimals. JSON has no NaN.
        let text = String::from_utf8(base().bytes(name)).unwrap();
        assert!(!text.contains("NaN") && !text.contains("inf,") && !text.contains("null"), "{name}");
        let places = text.split("\"coordinates\":").skip(1).map(|t| t.split('}').next().unwrap());
        for number in places.flat_map(|t| t.split(['[', ']', ',', '"'])).filter(|n| n.contains('.')) {
            let decimals = number.split('.').nth(1).unwrap();
            assert!(decimals.len() <= 7 && !decimals.contains(['e', 'E']), "{name}: {number}");
        }
    }
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
        "hazard_median",
        "hazard_q05",
        "hazard_q95",
        "p_active",
        "exposure_pig_years",
        "detection_sensitivity",
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

// Figures.

#[test]
fn cells_agree_with_themselves_and_with_the_table() {
    let run = base();
    let features = run.features("cells.geojson");
    let manifest = run.json("manifest.json");
    let grid = &manifest["grid"];
    let (rows, cols, cell_m) = (num(grid, "rows") as usize, num(grid, "cols") as usize, num(grid, "cell_m"));
    let target = num(&manifest["parameters"]["coverage"], "target");
    assert_eq!(features.len(), rows * cols);
    let table = run.table("tables/cells.parquet");
    assert_eq!(table.height(), rows * cols);
    let column = |name: &str| numbers(&table, name);
    let (ids, standings) = (texts(&table, "cell_id"), texts(&table, "standing"));
    let (easting, northing) = (column("easting"), column("northing"));
    let pairs = [
        ("hazard_median", column("hazard_q50")),
        ("hazard_q05", column("hazard_q05")),
        ("hazard_q95", column("hazard_q95")),
        ("p_active", column("p_active")),
        ("exposure_pig_years", column("exposure_pig_years")),
        ("detection_sensitivity", column("detection_sensitivity")),
        ("expected_infections", column("expected_infections")),
    ];
    let windows = ["window_start", "window_median", "window_end"].map(|w| (w, dates(&table, w)));
    let projector = Projector::new(word(&manifest, "crs")).unwrap();
    let mut seen = BTreeSet::new();
    for (i, f) in features.iter().enumerate() {
        let p = &f["properties"];
        let (row, col) = (num(p, "row") as usize, num(p, "col") as usize);
        assert!(row < rows && col < cols && seen.insert((row, col)));
        assert_eq!(word(p, "cell_id"), ids[i]);
        for (name, values) in &pairs {
            assert!(close(num(p, name), values[i], ROUNDING_REL), "{name} of {}", ids[i]);
        }
        for (name, values) in &windows {
            assert_eq!(p[*name].as_str(), values[i].as_deref(), "{name} of {}", ids[i]);
        }
        let (p_active, sensitivity) = (num(p, "p_active"), num(p, "detection_sensitivity"));
        assert!((0.0..=1.0).contains(&p_active) && (0.0..=1.0).contains(&sensitivity));
        assert_eq!(word(p, "standing"), Standing::of(p_active, sensitivity, target).word(), "{p}");
        assert_eq!(word(p, "standing"), standings[i]);
        assert!(num(p, "hazard_q05") >= 0.0 && num(p, "hazard_q05") <= num(p, "hazard_median"));
        assert!(num(p, "hazard_median") <= num(p, "hazard_q95"));
        let [a, b, c] = ["window_start", "window_median", "window_end"].map(|n| p[n].as_str());
        assert!(a.is_some() == c.is_some() && a <= b && b <= c, "{p}");
        // The centre: by row and column, and by the outline taken back into the study's system.
        let centre = |from: &str, k: usize| num(grid, from) + (k as f64 + 0.5) * cell_m;
        assert_eq!((easting[i], northing[i]), (centre("west_m", col), centre("south_m", row)));
        let corners: Vec<Coord> =
            rings(&f["geometry"])[0].1[..4].iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
        let back = projector.from_wgs84(&corners).unwrap();
        let mean = |of: &dyn Fn(&Coord) -> f64| back.iter().map(of).sum::<f64>() / 4.0;
        // 1e-7 of a degree is 11 mm; four corners.
        const CENTRE_M: f64 = 0.02;
        assert!(
            (mean(&|c| c.x) - easting[i]).abs() < CENTRE_M && (mean(&|c| c.y) - northing[i]).abs() < CENTRE_M
        );
        for (a, b) in back.iter().zip(back.iter().skip(1)) {
            assert!(((a.x - b.x).hypot(a.y - b.y) - cell_m).abs() < 2.0 * CENTRE_M, "a side of {}", ids[i]);
        }
    }
    // The district is one in which it matters: not every cell has the same standing.
    assert!(standings.iter().collect::<BTreeSet<_>>().len() > 1);
}

#[test]
fn positives_have_ordered_windows_and_nested_probabilities() {
    let run = base();
    let features = run.features("positives.geojson");
    let table = run.table("tables/positives.parquet");
    assert_eq!(texts(&table, "occurrence_id").len(), features.len());
    let columns = QUANTILES.map(|q| dates(&table, &format!("infection_{q}")));
    for (i, f) in features.iter().enumerate() {
        let p = &f["properties"];
        let [local, recent, truly] = ["p_local", "p_recent", "p_true"].map(|n| num(p, n));
        let slack = |v: f64| v * (1.0 + ROUNDING_REL) + 1e-12;
        assert!(local <= slack(recent) && recent <= slack(truly) && truly <= 1.0, "{p}");
        assert!(p["p_zone"].as_f64().is_none_or(|z| z <= slack(truly) && z >= 0.0), "{p}");
        assert_eq!(p.get("p_zone").is_some(), p.get("zone_id").is_some());
        let names =
            ["window_start", "window50_start", "window_median", "window50_end", "window_end", "killed"];
        let days = names.map(|n| word(p, n).parse::<jiff::civil::Date>().expect("ISO 8601"));
        assert!(days.is_sorted(), "{p}");
        for (name, q) in [
            ("window_start", 1),
            ("window50_start", 2),
            ("window_median", 3),
            ("window50_end", 4),
            ("window_end", 5),
        ] {
            assert_eq!(Some(word(p, name)), columns[q][i].as_deref(), "{name}");
        }
        let all: Vec<&Option<String>> = columns.iter().map(|c| &c[i]).collect();
        assert!(all.is_sorted() && all[0].is_some());
        for (name, column) in [("p_true", "p_true"), ("p_recent", "p_recent"), ("p_local", "p_local")] {
            assert!(close(num(p, name), numbers(&table, column)[i], ROUNDING_REL));
        }
    }
    let readings: BTreeSet<&str> = features.iter().map(|f| word(&f["properties"], "reading")).collect();
    assert!(readings.is_subset(&BTreeSet::from(["confirmed", "suspect"])), "{readings:?}");
    // More was recent for some than for others: the figures are not all one number.
    let recent: Vec<f64> = numbers(&table, "p_recent");
    assert!(recent.iter().any(|v| (v - recent[0]).abs() > 1e-3), "{recent:?}");
}

/// A window cannot start before the pig was born, nor an infection be older than its exposure.
#[test]
fn windows_lie_within_lives() {
    let run = base();
    let mut reader = csv::Reader::from_path(run.folder.path().join("study/pigs.csv")).unwrap();
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    let manifest = run.json("manifest.json");
    let oldest = num(&manifest["parameters"]["exposure"], "max_age_months");
    for f in run.features("positives.geojson") {
        let p = &f["properties"];
        let row = rows.iter().find(|r| r["occurrenceID"] == word(p, "occurrence_id")).unwrap();
        let months: f64 = row["ageMaxMonths"].parse().unwrap_or(oldest);
        let killed: jiff::civil::Date = row["eventDate"].parse().unwrap();
        assert_eq!(word(p, "killed"), killed.to_string());
        let released = row["releasedOn"].parse::<jiff::civil::Date>().ok();
        // A month is the mean month, 365.25/12 days; a day of rounding.
        let born = killed - jiff::Span::new().days((months * 30.4375).ceil() as i64 + 1);
        let earliest = released.map_or(born, |r| r.max(born) - jiff::Span::new().days(1));
        let start: jiff::civil::Date = word(p, "window_start").parse().unwrap();
        assert!(start >= earliest, "{p}: born or released on {earliest}");
    }
}

fn outline(geometry: &Value) -> MultiPolygon<f64> {
    let ring = |r: &[[f64; 2]]| LineString(r.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
    let mut parts: Vec<Polygon<f64>> = Vec::new();
    for (exterior, r) in rings(geometry) {
        match parts.last_mut() {
            Some(last) if !exterior => last.interiors_push(ring(&r)),
            _ => parts.push(Polygon::new(ring(&r), vec![])),
        }
    }
    MultiPolygon(parts)
}

#[test]
fn origins_hold_the_mass_they_should_and_lie_within_one_another() {
    let run = base();
    let table = run.table("tables/origins.parquet");
    let (ids, cells, mass) =
        (texts(&table, "occurrence_id"), texts(&table, "cell_id"), numbers(&table, "probability"));
    let mut by_pig: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let mut by_cell: BTreeMap<&str, f64> = BTreeMap::new();
    for ((id, cell), m) in ids.iter().zip(&cells).zip(&mass) {
        assert!(*m > 0.0 && *m <= 1.0);
        by_pig.entry(id).or_default().push(*m);
        *by_cell.entry(cell).or_default() += m;
    }
    let positives = run.features("positives.geojson");
    let cell_count = run.features("cells.geojson").len() as f64;
    let off_grid = num(&run.json("summary.json"), "mass_off_grid");
    for f in &positives {
        let p = &f["properties"];
        let sum: f64 = by_pig[word(p, "occurrence_id")].iter().sum();
        let truly = num(p, "p_true");
        assert!(sum <= truly * (1.0 + ROUNDING_REL), "{sum} {truly}");
        // The pig's kernel lies on the grid nearly whole: the margin is 4 s.d. or more.
        assert!(sum >= truly * (1.0 - 0.02 - off_grid) - cell_count * LEFT_OUT, "{sum} {truly}");
    }
    // What is attributed to a cell is the sum over pigs of what of each was attributed to it.
    for f in run.features("cells.geojson") {
        let p = &f["properties"];
        let (expected, sum) =
            (num(p, "expected_infections"), by_cell.get(word(p, "cell_id")).copied().unwrap_or(0.0));
        let left_out = positives.len() as f64 * LEFT_OUT;
        assert!((expected - sum).abs() <= left_out + ROUNDING_REL * expected, "{p} {sum}");
    }
    let cell_ha = num(&run.json("summary.json")["cells"], "cell_area_ha");
    let mut areas: BTreeMap<String, BTreeMap<String, Value>> = BTreeMap::new();
    for f in run.features("origins.geojson") {
        let p = &f["properties"];
        areas.entry(word(p, "occurrence_id").into()).or_default().insert(p["level"].to_string(), f.clone());
    }
    assert_eq!(areas.len(), positives.len(), "an origin for each");
    for (id, levels) in &areas {
        assert_eq!(levels.keys().map(String::as_str).collect::<Vec<_>>(), ["0.5", "0.9"], "{id}");
        let [inner, outer] = ["0.5", "0.9"].map(|l| outline(&levels[l]["geometry"]));
        // Rounding of corners to 1e-7 degree along a boundary of some 100 km (1 degree).
        const SLIVER_DEG2: f64 = 1e-6;
        assert!(inner.difference(&outer).unsigned_area() < SLIVER_DEG2, "{id}");
        assert!(inner.unsigned_area() > 10.0 * SLIVER_DEG2 && inner.centroid().is_some(), "{id}");
        // The smallest area: cells by falling mass until the share is reached.
        let mut sorted = by_pig[id.as_str()].clone();
        sorted.sort_by(|a, b| b.total_cmp(a));
        let total: f64 = sorted.iter().sum();
        for (level, share) in [("0.5", 0.5), ("0.9", 0.9)] {
            let mut sum = 0.0;
            let needed = sorted
                .iter()
                .take_while(|m| {
                    let more = sum < share * total;
                    sum += **m;
                    more
                })
                .count();
            let ha = num(&levels[level]["properties"], "area_ha");
            // Mass left out of the table may move the limit by a cell.
            assert!((ha / cell_ha - needed as f64).abs() <= 1.0, "{id} {level}: {ha} ha, {needed} cells");
        }
    }
}

#[test]
fn tables_have_the_columns_of_the_contract() {
    let run = base();
    let hazard =
        std::iter::once("hazard_mean".to_string()).chain(QUANTILES.iter().map(|q| format!("hazard_{q}")));
    let hazard: Vec<String> = hazard.collect();
    let owned = |names: &[&str]| names.iter().map(|s| s.to_string()).collect::<Vec<String>>();
    let place = owned(&["cell_id", "easting", "northing"]);
    let figures = owned(&[
        "p_active",
        "exposure_pig_years",
        "detection_sensitivity",
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
        ("tables/hazard.parquet", [place.clone(), owned(&["period_start"]), hazard].concat()),
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

#[test]
fn the_hazard_table_has_a_row_for_each_cell_and_period() {
    let run = base();
    let table = run.table("tables/hazard.parquet");
    let grid = &run.json("manifest.json")["grid"];
    let (cells, periods) = (num(grid, "rows") * num(grid, "cols"), num(grid, "periods"));
    assert_eq!(table.height() as f64, cells * periods);
    let starts: Vec<String> = dates(&table, "period_start").into_iter().map(Option::unwrap).collect();
    let distinct: BTreeSet<&String> = starts.iter().collect();
    assert_eq!(distinct.len() as f64, periods);
    assert_eq!(distinct.first().unwrap().as_str(), word(grid, "first_period"));
    // Half-years start in January and July (ISO 8601 dates).
    assert!(distinct.iter().all(|d| d.ends_with("-01-01") || d.ends_with("-07-01")), "{distinct:?}");
    let ids = texts(&table, "cell_id");
    let pairs: BTreeSet<(&String, &String)> = ids.iter().zip(&starts).collect();
    assert_eq!(pairs.len(), table.height(), "each cell and period once");
    let quantiles: Vec<Vec<f64>> =
        QUANTILES.iter().map(|q| numbers(&table, &format!("hazard_{q}"))).collect();
    let mean = numbers(&table, "hazard_mean");
    for i in 0..table.height() {
        let q: Vec<f64> = quantiles.iter().map(|c| c[i]).collect();
        assert!(q.is_sorted() && q[0] >= 0.0 && mean[i] > 0.0 && mean[i].is_finite(), "{} {q:?}", ids[i]);
    }
}

#[test]
fn counts_add_up_across_the_files() {
    let run = base();
    let (summary, manifest) = (run.json("summary.json"), run.json("manifest.json"));
    let rows =
        fs::read_to_string(run.folder.path().join("study/pigs.csv")).unwrap().lines().count() as f64 - 1.0;
    let records = &summary["records"];
    assert_eq!(records, &manifest["records"]);
    let [read, used, warned, refused] =
        ["read", "used", "used_with_warning", "refused"].map(|n| num(records, n));
    assert_eq!((read, read), (rows, used + warned + refused));
    let input = manifest["inputs"].as_array().unwrap().iter().find(|i| i["path"] == "pigs.csv").unwrap();
    assert_eq!(num(input, "rows"), rows);
    let pigs = &summary["pigs"];
    let [all, confirmed, suspect, negative] =
        ["used", "confirmed", "suspect", "negative"].map(|n| num(pigs, n));
    assert_eq!((all, all), (used + warned, confirmed + suspect + negative));
    // Findings, row by row.
    let mut reader = csv::Reader::from_reader(run.bytes("findings.csv").as_slice())
        .into_records()
        .map(Result::unwrap)
        .collect::<Vec<_>>();
    reader.retain(|r| &r[2] == "pigs.csv" && !r[3].is_empty());
    let rows_with = |severity: &str| {
        reader.iter().filter(|r| &r[0] == severity).map(|r| r[3].to_string()).collect::<BTreeSet<_>>()
    };
    let refused_rows = rows_with("refused");
    assert_eq!(refused_rows.len() as f64, refused);
    assert_eq!(rows_with("warning").difference(&refused_rows).count() as f64, warned);
    // Positives.
    let positives = run.features("positives.geojson");
    assert_eq!(positives.len() as f64, confirmed + suspect);
    let of =
        |reading: &str| positives.iter().filter(|f| f["properties"]["reading"] == reading).count() as f64;
    assert_eq!((of("confirmed"), of("suspect")), (confirmed, suspect));
    assert!(confirmed + suspect >= 3.0, "a district with something to say: {confirmed} {suspect}");
    let truly: f64 = positives.iter().map(|f| num(&f["properties"], "p_true")).sum();
    assert!(close(num(pigs, "truly_infected_expected"), truly, ROUNDING_REL));
    // Cells.
    let cells = run.features("cells.geojson");
    for standing in ["active", "possible", "quiet", "unseen"] {
        let n = cells.iter().filter(|f| f["properties"]["standing"] == standing).count() as f64;
        assert_eq!(num(&summary["cells"], standing), n, "{standing}");
    }
    let total = |name: &str| cells.iter().map(|f| num(&f["properties"], name)).sum::<f64>();
    assert!(close(num(&summary, "exposure_pig_years"), total("exposure_pig_years"), ROUNDING_REL));
    let grid = &summary["whole_grid"];
    assert!(close(num(grid, "infected_inside_expected"), total("expected_infections"), ROUNDING_REL));
    assert_eq!((num(grid, "pigs"), num(grid, "confirmed")), (all, confirmed));
    // Zones: the layer and the summary say the same; pigs are in one zone at most.
    let zones = run.features("zones.geojson");
    let told = summary["zones"].as_array().unwrap();
    assert_eq!(zones.len(), told.len());
    for (f, t) in zones.iter().zip(told) {
        let p = &f["properties"];
        assert_eq!((word(p, "zone_id"), word(p, "name")), (word(t, "id"), word(t, "name")));
        for name in [
            "p_active_any",
            "pigs",
            "positives",
            "positives_local_expected",
            "positives_imported_expected",
            "infected_inside_expected",
        ] {
            assert!(close(num(p, name), num(t, name), ROUNDING_REL), "{name}");
        }
        let periods = num(&manifest["grid"], "periods") as usize;
        assert_eq!(p["hazard_history"].as_array().unwrap().len(), periods);
        let freedom = &t["freedom"];
        for (name, told) in [
            ("p_free", "p_free"),
            ("p_free_low", "p_free_low"),
            ("p_free_high", "p_free_high"),
            ("detection_sensitivity", "surveillance_sensitivity"),
            ("p_under_threshold", "p_under_threshold"),
        ] {
            assert!(close(num(p, name), num(freedom, told), ROUNDING_REL), "{name}");
        }
        let mine: Vec<&Value> = positives
            .iter()
            .map(|f| &f["properties"])
            .filter(|q| q.get("zone_id") == p.get("zone_id"))
            .collect();
        assert_eq!(mine.len() as f64, num(p, "positives"));
        let truly: f64 = mine.iter().map(|q| num(q, "p_true")).sum();
        let split = num(p, "positives_local_expected") + num(p, "positives_imported_expected");
        assert!(close(split, truly, ROUNDING_REL), "{split} {truly}");
        let local: f64 = mine.iter().map(|q| num(q, "p_zone")).sum();
        assert!(close(num(p, "positives_local_expected"), local, ROUNDING_REL), "{local}");
        assert_eq!(
            p["last_positive"].as_str(),
            mine.iter().map(|q| word(q, "killed")).max(),
            "{}",
            p["zone_id"]
        );
    }
    let inside: f64 = zones.iter().map(|f| num(&f["properties"], "pigs")).sum();
    assert!(inside <= all && inside > 0.0);
    assert!(word(&summary, "caution").contains("do not replace"));
}

/// Each area's history tells one story: years follow one another, the prior of a year is what the year
/// before left, bounds hold the figure, and the layer's headline is its last year.
#[test]
fn the_history_of_each_area_hangs_together() {
    let run = base();
    let keys = &run.json("manifest.json")["parameters"]["freedom"];
    let (introduction, again) = (num(keys, "introduction_per_year"), num(keys, "prior_after_infection"));
    for f in run.features("zones.geojson") {
        let p = &f["properties"];
        let history = p["history"].as_array().unwrap();
        assert!(history.len() > 1);
        let mut before: Option<&Value> = None;
        for y in history {
            let [low, free, high] = ["p_free_low", "p_free", "p_free_high"].map(|n| num(y, n));
            assert!(0.0 <= low && low <= free && free <= high && high <= 1.0, "{y}");
            let [low, seen, high] =
                ["detection_sensitivity_low", "detection_sensitivity", "detection_sensitivity_high"]
                    .map(|n| num(y, n));
            assert!(low <= seen && seen <= high, "{y}");
            let seen = num(y, "detection_sensitivity_given_earlier");
            let (prior, clear, q) =
                (num(y, "p_free_before"), num(y, "p_free_by_clear_pigs"), num(y, "p_no_case_inside"));
            // Bayes' rule, then the positives.
            assert!(close(clear, prior / (prior + (1.0 - prior) * (1.0 - seen)), 10.0 * ROUNDING_REL), "{y}");
            assert!(close(free, clear * q, ROUNDING_REL), "{y}");
            match before {
                None => assert!(close(prior, num(keys, "prior"), ROUNDING_REL)),
                Some(last) => {
                    assert_eq!(num(y, "year"), num(last, "year") + 1.0);
                    let carried = num(last, "p_free") + (1.0 - num(last, "p_no_case_inside")) * again;
                    // A year of 365 days is a little less than a mean year: 1.4e-5 of the introduction.
                    assert!(close(prior, carried * (1.0 - introduction), 10.0 * ROUNDING_REL), "{y}");
                }
            }
            before = Some(y);
        }
        let last = before.unwrap();
        for name in ["p_free", "p_free_low", "p_free_high", "detection_sensitivity", "share_at_target"] {
            assert_eq!(p[name], last[name], "{name}");
        }
    }
}

/// The table of coverage and the areas' history tell the same mean, area by area and year by year.
#[test]
fn coverage_by_year_agrees_with_the_history() {
    let run = base();
    let table = run.table("tables/coverage.parquet");
    let years: Vec<i32> = table.column("year").unwrap().i32().unwrap().into_no_null_iter().collect();
    let column = |name: &str| numbers(&table, name);
    let (seen, short, lived) =
        (column("detection_sensitivity"), column("short_of_target"), column("exposure_pig_years"));
    let (easting, northing) = (column("easting"), column("northing"));
    let target = num(&run.json("manifest.json")["parameters"]["coverage"], "target");
    for (s, d) in seen.iter().zip(&short) {
        assert!((0.0..=1.0).contains(s) && close(*d, (target - s).max(0.0), 1e-9));
    }
    assert!(lived.iter().all(|v| *v >= 0.0) && lived.iter().sum::<f64>() > 0.0);
    let projector = Projector::new(word(&run.json("manifest.json"), "crs")).unwrap();
    for f in run.features("zones.geojson") {
        let ring = &rings(&f["geometry"])[0].1;
        let places: Vec<Coord> = ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
        let outline = Polygon::new(LineString(projector.from_wgs84(&places).unwrap()), vec![]);
        for y in f["properties"]["history"].as_array().unwrap() {
            let year = num(y, "year") as i32;
            let inside: Vec<f64> = (0..seen.len())
                .filter(|i| years[*i] == year)
                .filter(|i| geo::Contains::contains(&outline, &Coord { x: easting[*i], y: northing[*i] }))
                .map(|i| seen[i])
                .collect();
            let mean = inside.iter().sum::<f64>() / inside.len() as f64;
            // The history weighs cells on the border by their share.
            assert!((mean - num(y, "mean_cell_sensitivity")).abs() < 0.05, "{year}: {mean} {y}");
        }
    }
}

/// Gaps are the cells below the target, dissolved and cut to their areas: no less land, no more.
#[test]
fn gaps_hold_the_land_below_the_target() {
    let run = base();
    let manifest = run.json("manifest.json");
    let projector = Projector::new(word(&manifest, "crs")).unwrap();
    let target = num(&manifest["parameters"]["coverage"], "target");
    let metres = |f: &Value| -> MultiPolygon<f64> {
        let mut parts: Vec<Polygon<f64>> = Vec::new();
        for (exterior, ring) in rings(&f["geometry"]) {
            let places: Vec<Coord> = ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
            let line = LineString(projector.from_wgs84(&places).unwrap());
            match parts.last_mut() {
                Some(part) if !exterior => part.interiors_push(line),
                _ => parts.push(Polygon::new(line, vec![])),
            }
        }
        MultiPolygon(parts)
    };
    let gaps: Vec<(Value, MultiPolygon<f64>)> =
        run.features("gaps.geojson").into_iter().map(|f| (f["properties"].clone(), metres(&f))).collect();
    for (p, outline) in &gaps {
        let ha = outline.unsigned_area() / 10_000.0;
        // Land is counted by 25 sub-points a cell, the outline exactly.
        let allowed = 0.05 * ha + 60.0;
        assert!((ha - num(p, "area_ha")).abs() < allowed, "{ha} {p}");
        assert!(num(p, "sensitivity") < num(p, "below") && num(p, "below") <= target);
    }
    let zones: Vec<MultiPolygon<f64>> = run.features("zones.geojson").iter().map(metres).collect();
    let level: Vec<&MultiPolygon<f64>> =
        gaps.iter().filter(|g| num(&g.0, "below") == target).map(|g| &g.1).collect();
    for f in run.features("cells.geojson") {
        let cell = metres(&f);
        let p = &f["properties"];
        let land: f64 = zones.iter().map(|z| cell.intersection(z).unsigned_area()).sum();
        let gap: f64 = level.iter().map(|g| cell.intersection(*g).unsigned_area()).sum();
        let area = cell.unsigned_area();
        if num(p, "detection_sensitivity") >= target {
            assert!(gap < 1e-4 * area, "{p}");
        } else if land > 0.999 * area {
            // A sliver of a second area that meets none of the cell's 25 sub-points is no land of it.
            assert!(gap > 0.95 * area, "{p}: {gap}");
        }
    }
}

// The same again.

const UNTIMED: [&str; 2] = ["started", "finished"];

/// The manifest without clock readings and without the number of threads, which is the machine's affair.
fn timeless(run: &Run) -> Value {
    let mut m = run.json("manifest.json");
    let map = m.as_object_mut().unwrap();
    UNTIMED.iter().chain(&["seconds"]).for_each(|k| {
        map.remove(*k).unwrap();
    });
    map["parameters"]["run"].as_object_mut().unwrap().remove("threads").unwrap();
    m
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_any_number_of_threads() {
    let (two, one) = (base(), fresh(|_| (), &["--threads", "1"]));
    for name in files_below(&two.result()) {
        if name != "manifest.json" {
            assert!(two.bytes(&name) == one.bytes(&name), "{name} depends on the number of threads");
        }
    }
    assert_eq!(timeless(two), timeless(&one));
}

#[test]
fn another_seed_gives_other_figures_of_the_same_records() {
    let other = fresh(|_| (), &["--seed", "2"]);
    for name in ["cells.geojson", "positives.geojson", "tables/hazard.parquet"] {
        assert!(base().bytes(name) != other.bytes(name), "{name} does not depend on the seed");
    }
    assert_eq!(base().bytes("findings.csv"), other.bytes("findings.csv"));
    assert_eq!(num(&other.json("manifest.json"), "seed"), 2.0);
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let turned = fresh(
        |folder| {
            let path = folder.join("study/pigs.csv");
            let text = fs::read_to_string(&path).unwrap();
            let mut lines: Vec<&str> = text.lines().collect();
            lines[1..].reverse();
            fs::write(&path, lines.join("\n") + "\n").unwrap();
        },
        &["--threads", "2"],
    );
    for name in LAYERS {
        let by_id = |run: &Run| -> BTreeMap<String, Value> {
            run.features(name).into_iter().map(|f| (f["id"].to_string(), f)).collect()
        };
        let (a, b) = (by_id(base()), by_id(&turned));
        assert!(a.keys().eq(b.keys()), "{name}");
        for (id, f) in &a {
            let other = &b[id];
            assert_eq!(f["geometry"], other["geometry"], "{name} {id}");
            same(&f["properties"], &other["properties"], &format!("{name} {id}"));
        }
    }
}

/// Equal but for the last of six digits, which the order of a sum may turn.
fn same(a: &Value, b: &Value, what: &str) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            assert!(close(x.as_f64().unwrap(), y.as_f64().unwrap(), ROUNDING_REL), "{what}: {x} {y}")
        }
        (Value::Object(x), Value::Object(y)) => {
            assert!(x.keys().eq(y.keys()), "{what}");
            x.iter().for_each(|(k, v)| same(v, &y[k], &format!("{what} {k}")));
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len(), "{what}");
            x.iter().zip(y).for_each(|(v, w)| same(v, w, what));
        }
        _ => assert_eq!(a, b, "{what}"),
    }
}

// Other programs.

fn answers(program: &str, args: &[&str]) -> bool {
    Command::new(program).args(args).output().is_ok_and(|o| o.status.success())
}

/// GDAL (`ogrinfo`, `gdaltransform`): opens each layer without a warning and finds the cells where we put them.
#[test]
fn gdal_opens_the_layers() {
    if !answers("ogrinfo", &["--version"]) {
        println!("skipped: ogrinfo is not on PATH (apt-get install gdal-bin)");
        return;
    }
    for name in LAYERS {
        let out = Command::new("ogrinfo")
            .args(["-ro", "-so", "-al", "--config", "CPL_DEBUG", "OFF"])
            .arg(base().result().join(name))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        assert!(out.status.success(), "{name}");
        assert_eq!(String::from_utf8_lossy(&out.stderr), "", "{name}");
        assert!(!said.contains("Warning"), "{name}: {said}");
        let count = base().features(name).len();
        assert!(said.contains(&format!("Feature Count: {count}\n")), "{name}: {said}");
        assert!(said.contains("WGS 84"), "{name}: {said}");
    }
    if !answers("gdaltransform", &["--version"]) {
        println!("skipped in part: gdaltransform is not on PATH");
        return;
    }
    let crs = word(&base().json("manifest.json"), "crs").to_string();
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cells = base().features("cells.geojson");
    for i in [0, cells.len() / 2, cells.len() - 1] {
        // The south-west corner, half a cell from the centre.
        let corner = rings(&cells[i]["geometry"])[0].1[0];
        let out = Command::new("bash")
            .args([
                "-c",
                &format!(
                    "echo {} {} | gdaltransform -s_srs EPSG:4326 -t_srs {crs} -output_xy",
                    corner[0], corner[1]
                ),
            ])
            .env_remove("PROJ_DATA")
            .env_remove("PROJ_LIB")
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        let at: Vec<f64> = said.split_whitespace().map(|v| v.parse().unwrap()).collect();
        let half = num(&base().json("manifest.json"), "cell_m") / 2.0;
        // 1e-7 of a degree is 11 mm.
        const CORNER_M: f64 = 0.02;
        assert!((at[0] + half - easting[i]).abs() < CORNER_M, "{said}");
        assert!((at[1] + half - northing[i]).abs() < CORNER_M, "{said}");
    }
}

/// GeoTIFF 1.1 (OGC 19-008r4), by its tags: where there is no GDAL, each raster is still read back, cell by cell.
#[test]
fn rasters_hold_the_cells_from_the_north_west() {
    use tiff::decoder::{Decoder, DecodingResult};
    use tiff::tags::Tag;
    let manifest = base().json("manifest.json");
    let [west, south, cell] = ["west_m", "south_m", "cell_m"].map(|n| num(&manifest["grid"], n));
    let [rows, cols] = ["rows", "cols"].map(|n| num(&manifest["grid"], n) as usize);
    let cells = base().features("cells.geojson");
    let code: u16 = word(&manifest, "crs").trim_start_matches("EPSG:").parse().unwrap();
    for name in RASTERS {
        let mut file = Decoder::new(std::io::Cursor::new(base().bytes(name))).unwrap();
        assert_eq!(file.dimensions().unwrap(), (cols as u32, rows as u32), "{name}");
        let scale = file.get_tag_f64_vec(Tag::ModelPixelScaleTag).unwrap();
        assert_eq!(scale, [cell, cell, 0.0], "{name}");
        let tie = file.get_tag_f64_vec(Tag::ModelTiepointTag).unwrap();
        assert_eq!(tie, [0.0, 0.0, 0.0, west, south + rows as f64 * cell, 0.0], "{name}");
        let keys = file.get_tag_u16_vec(Tag::GeoKeyDirectoryTag).unwrap();
        // Key 3072 is the code of the projected system, 1025 = 1 says that a pixel is an area.
        assert!(
            keys.chunks(4).any(|k| *k == [3072, 0, 1, code]) && keys.chunks(4).any(|k| *k == [1025, 0, 1, 1])
        );
        let DecodingResult::F32(pixels) = file.read_image().unwrap() else {
            panic!("{name} is not of single precision")
        };
        let figure = name.trim_start_matches("rasters/").trim_end_matches(".tif");
        for (i, feature) in cells.iter().enumerate() {
            let p = &feature["properties"];
            let (row, col) = (num(p, "row") as usize, num(p, "col") as usize);
            assert_eq!(row * cols + col, i);
            let value = f64::from(pixels[(rows - 1 - row) * cols + col]);
            match figure.strip_suffix("_year") {
                None => {
                    let wanted = num(p, figure);
                    assert!(
                        (value - wanted).abs() <= ROUNDING_REL * wanted.abs() + 1e-9,
                        "{name} {value} {wanted}"
                    );
                }
                Some(date) => match p.get(date).map(|d| d.as_str().unwrap()[..4].parse::<f64>().unwrap()) {
                    None => assert_eq!(value, -9999.0, "{name}"),
                    Some(year) => {
                        assert!((year - 1e-3..=year + 1.0).contains(&value), "{name} {value} {year}")
                    }
                },
            }
        }
    }
}

/// GDAL (`gdalinfo`, `gdallocationinfo`): each raster lies where the grid does and holds the cells' figures.
#[test]
fn gdal_opens_the_rasters() {
    if !answers("gdalinfo", &["--version"]) {
        println!("skipped: gdalinfo is not on PATH (apt-get install gdal-bin)");
        return;
    }
    let manifest = base().json("manifest.json");
    let (grid, crs) = (&manifest["grid"], word(&manifest, "crs"));
    let [west, south, cell] = ["west_m", "south_m", "cell_m"].map(|n| num(grid, n));
    let [rows, cols] = ["rows", "cols"].map(|n| num(grid, n));
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cells = base().features("cells.geojson");
    let places: String = easting.iter().zip(&northing).map(|(e, n)| format!("{e} {n}\n")).collect();
    for name in RASTERS {
        let path = base().result().join(name);
        let out = Command::new("gdalinfo").arg("-json").arg(&path).output().unwrap();
        assert!(
            out.status.success() && out.stderr.is_empty(),
            "{name}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        let facts: Value = serde_json::from_slice(&out.stdout).unwrap();
        assert_eq!(facts["size"], serde_json::json!([cols as u64, rows as u64]), "{name}");
        let corner: Vec<f64> =
            facts["geoTransform"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(corner, [west, cell, 0.0, south + rows * cell, 0.0, -cell], "{name}");
        let system = word(&facts["coordinateSystem"], "wkt");
        assert!(
            system.trim_end().ends_with(&format!("ID[\"EPSG\",{}]]", crs.trim_start_matches("EPSG:"))),
            "{system}"
        );
        assert_eq!(
            (num(&facts["bands"][0], "noDataValue"), word(&facts["bands"][0], "type")),
            (-9999.0, "Float32")
        );
        // Every cell, by the place of its centre.
        let mut child = Command::new("gdallocationinfo")
            .args(["-valonly", "-geoloc"])
            .arg(&path)
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        let mut input = child.stdin.take().unwrap();
        let asked = places.clone();
        let writing =
            std::thread::spawn(move || std::io::Write::write_all(&mut input, asked.as_bytes()).unwrap());
        let said = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
        writing.join().unwrap();
        let values: Vec<f64> = said.lines().map(|l| l.trim().parse().unwrap()).collect();
        assert_eq!(values.len(), cells.len(), "{name}");
        let figure = name.trim_start_matches("rasters/").trim_end_matches(".tif");
        let mut held = 0;
        for (cell, value) in cells.iter().zip(&values) {
            let properties = &cell["properties"];
            let wanted = match figure.strip_suffix("_year") {
                None => Some(num(properties, figure)),
                Some(date) => properties.get(date).map(|d| {
                    let d: jiff::civil::Date = d.as_str().unwrap().parse().unwrap();
                    f64::from(d.year()) + f64::from(d.day_of_year() - 1) / f64::from(d.days_in_year())
                }),
            };
            match wanted {
                None => assert_eq!(*value, -9999.0, "{name} {cell}"),
                Some(wanted) => {
                    held += 1;
                    // Single precision; a day of a year where only the day is written in the layer.
                    let room = if figure.ends_with("_year") {
                        1.2 / 365.0
                    } else {
                        ROUNDING_REL * wanted.abs() + 1e-9
                    };
                    assert!((value - wanted).abs() <= room, "{name} {value} {wanted}");
                }
            }
        }
        assert!(held > 0, "{name} holds no figure at all");
    }
}

/// GeoParquet 1.1.0 (OGC): the key `geo`, and squares as well-known binary (ISO 13249-3), anticlockwise from the grid.
#[test]
fn the_cells_table_is_geoparquet() {
    let file = fs::File::open(base().result().join("tables/cells.parquet")).unwrap();
    let mut reader = ParquetReader::new(file);
    let facts = reader.get_metadata().unwrap().key_value_metadata().clone().unwrap();
    let geo = facts.iter().find(|k| k.key == "geo").and_then(|k| k.value.clone()).expect("the key \"geo\"");
    let geo: Value = serde_json::from_str(&geo).unwrap();
    let manifest = base().json("manifest.json");
    assert_eq!((word(&geo, "version"), word(&geo, "primary_column")), ("1.1.0", "geometry"));
    let column = &geo["columns"]["geometry"];
    assert_eq!(
        (word(column, "encoding"), &column["geometry_types"]),
        ("WKB", &serde_json::json!(["Polygon"]))
    );
    assert_eq!(word(column, "orientation"), "counterclockwise");
    let id = &column["crs"]["id"];
    assert_eq!(format!("{}:{}", word(id, "authority"), id["code"]), word(&manifest, "crs"));
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cell = num(&manifest["grid"], "cell_m");
    let squares = table.column("geometry").unwrap().binary().unwrap();
    let mut bbox = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    for (i, (x, y)) in easting.iter().zip(&northing).enumerate() {
        let binary = squares.get(i).unwrap();
        // Little-endian, a polygon, one ring, five positions.
        assert_eq!(binary[..13], [1, 3, 0, 0, 0, 1, 0, 0, 0, 5, 0, 0, 0]);
        let values: Vec<f64> =
            binary[13..].chunks(8).map(|b| f64::from_le_bytes(b.try_into().unwrap())).collect();
        let ring: Vec<[f64; 2]> = values.chunks(2).map(|p| [p[0], p[1]]).collect();
        assert_eq!((ring.len(), ring[0], signed(&ring)), (5, ring[4], 2.0 * cell * cell));
        for at in &ring {
            assert_eq!(((at[0] - x).abs(), (at[1] - y).abs()), (cell / 2.0, cell / 2.0));
            bbox = [bbox[0].min(at[0]), bbox[1].min(at[1]), bbox[2].max(at[0]), bbox[3].max(at[1])];
        }
    }
    assert_eq!(column["bbox"], serde_json::json!(bbox));
}

/// geopandas, as an analyst would open the layers; `PIGNUT_PYTHON` names another interpreter.
#[test]
fn geopandas_opens_the_layers() {
    let python = std::env::var("PIGNUT_PYTHON").unwrap_or_else(|_| "python3".into());
    if !answers(&python, &["-c", "import geopandas"]) {
        println!("skipped: {python} has no geopandas (pip install geopandas)");
        return;
    }
    let script = "import sys, geopandas, warnings\n\
        warnings.simplefilter('error')\n\
        warnings.filterwarnings('ignore', message='Geometry is in a geographic CRS')\n\
        for f in sys.argv[1:]:\n\
        \x20   g = geopandas.read_file(f)\n\
        \x20   assert g.crs.to_epsg() == 4326, f\n\
        \x20   assert g.geometry.is_valid.all() and not g.geometry.is_empty.any(), f\n\
        \x20   print(len(g), *[round(float(v), 7) for v in g.total_bounds])\n\
        import pathlib, importlib.util\n\
        if importlib.util.find_spec('pyarrow'):\n\
        \x20   folder = pathlib.Path(sys.argv[1]).parent\n\
        \x20   g, layer = geopandas.read_parquet(folder / 'tables/cells.parquet'), geopandas.read_file(sys.argv[1])\n\
        \x20   assert g.geometry.is_valid.all() and (g.cell_id == layer.cell_id).all()\n\
        \x20   back = g.to_crs(4326).geometry.centroid.distance(layer.geometry.centroid)\n\
        \x20   assert back.max() < 1e-6, back.max()\n";
    let out = Command::new(&python)
        .args(["-c", script])
        .args(LAYERS.map(|l| base().result().join(l)))
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let said = String::from_utf8_lossy(&out.stdout);
    for (line, name) in said.lines().zip(LAYERS) {
        let layer = base().json(name);
        let values: Vec<f64> = line.split(' ').map(|v| v.parse().unwrap()).collect();
        assert_eq!(values[0], layer["features"].as_array().unwrap().len() as f64, "{name}");
        let bbox: Vec<f64> = layer["bbox"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(values[1..], bbox, "{name}");
    }
    assert_eq!(said.lines().count(), LAYERS.len());
}

// Against the truth.

#[test]
fn the_result_can_be_scored_against_the_truth() {
    let folder = base().folder.path();
    let out = pignut(folder, &["score", "result", "study/truth"]);
    let table = String::from_utf8(out.stdout).unwrap();
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(table.lines().count() > 10, "{table}");
    let out = pignut(folder, &["score", "result", "study/truth", "--json"]);
    assert_eq!(out.status.code(), Some(0));
    let json: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(json["study_areas"].as_array().unwrap().len(), 1);
    assert!(json["pooled"].is_object());
    // Every year of every area is counted once, with the probability the layer states for it.
    let total = |of: &Value, list: &str, name: &str| -> f64 {
        of["freedom"][list].as_array().unwrap().iter().map(|b| num(b, name)).sum()
    };
    let zones = base().features("zones.geojson");
    let years: Vec<&Value> =
        zones.iter().flat_map(|f| f["properties"]["history"].as_array().unwrap()).collect();
    for list in ["p_free", "p_under_threshold"] {
        assert_eq!(total(&json["pooled"], list, "zone_years"), years.len() as f64);
        let stated: f64 = years.iter().map(|y| num(y, list)).sum();
        assert!(close(total(&json["pooled"], list, "prob_sum"), stated, ROUNDING_REL));
    }
    let free = total(&json["pooled"], "p_free", "free");
    assert!(free > 0.0 && free < years.len() as f64, "some years were free and some were not: {free}");
    assert!(table.contains("Probability of freedom, area-years"));
    let once = json["pooled"].clone();
    // Two pairs are pooled; a folder that is no result is an error that names it.
    let out = pignut(folder, &["score", "result", "study/truth", "result", "study/truth", "--json"]);
    let json: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(json["study_areas"].as_array().unwrap().len(), 2);
    assert_eq!(total(&json["pooled"], "p_free", "free"), 2.0 * total(&once, "p_free", "free"));
    let out = pignut(folder, &["score", "study", "study/truth"]);
    assert_eq!(out.status.code(), Some(2));
    let message = String::from_utf8_lossy(&out.stderr);
    assert!(message.starts_with("pignut: ") && message.contains("study"), "{message}");
}
