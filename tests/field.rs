//! The officer's first mile on the command line: one jaw, the forms, stock of the records, what is published.
//!
//! Figures of ages are those of `tests/ageing.rs`; what the forms do in a browser is checked by
//! `scripts/browser-test`. Counts below five are masked by common practice, no source.

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::process::Output;

fn pignut(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pignut"));
    command.env_remove("PROJ_DATA").env_remove("PROJ_LIB").args(args).output().unwrap()
}

fn said(out: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr))
}

fn json(out: &Output) -> Value {
    assert_eq!(out.status.code(), Some(0), "{}", said(out));
    serde_json::from_slice(&out.stdout).unwrap()
}

// One jaw.

#[test]
fn age_answers_with_interval_probability_and_reason() {
    let out = pignut(&["age", "M2 through; lower I2 milk"]);
    let text = said(&out);
    assert_eq!(out.status.code(), Some(0), "{text}");
    for part in [
        "age 10 to 22 months",
        "% likely",
        "because M2 is through: 10 months or more; lower I2 is not through: 22 months or less",
        "Matschke (1967)",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let answer = json(&pignut(&["age", "class", "D", "--json"]));
    assert_eq!((&answer["min_months"], &answer["max_months"]), (&Value::from(10.0), &Value::from(18.0)));
    assert!(answer["probability"].as_f64().unwrap() > 0.8);
    assert_eq!(answer["open_top"], false);
}

#[test]
fn age_of_a_jaw_that_cannot_be_says_which_teeth() {
    for (jaw, says) in [
        ("M3 through; M1 absent", "M3 is through: 19 months or more and M1 is not through: 5 months or less"),
        ("old boar", "holds \"old\""),
        ("i2", "write \"I2 through\" or \"I2 milk\""),
    ] {
        let out = pignut(&["age", jaw]);
        let text = String::from_utf8_lossy(&out.stderr).to_string();
        assert_eq!(out.status.code(), Some(2), "{text}");
        assert!(text.starts_with("pignut: dentition ") && text.contains(says), "{text}");
    }
}

#[test]
fn age_by_another_table_and_by_the_birth_season() {
    let dir = tempfile::tempdir().unwrap();
    let own = dir.path().join("early.toml");
    let text =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/ageing/eruption.toml")).unwrap();
    // Domestic stock: the second molar at 9 months (Craig's historic table).
    let changed =
        text.replace("earliest_months = 10\nlatest_months = 15", "earliest_months = 9\nlatest_months = 15");
    assert_ne!(changed, text);
    fs::write(&own, changed).unwrap();
    let answer = json(&pignut(&["age", "class D", "--json", "--table", own.to_str().unwrap()]));
    assert_eq!(answer["min_months"], 9.0);
    let births = "0,0,0,0,0,0,0,0,1,0,0,0";
    let answer = json(&pignut(&["age", "class D", "--json", "--killed", "2021-03-10", "--births", births]));
    assert!(answer["min_months"].as_f64().unwrap() > 17.0, "{answer}");
    for (births, says) in [("1,2", "twelve numbers"), ("0,0,0,0,0,0,0,0,0,0,0,0", "not all 0")] {
        let out = pignut(&["age", "class D", "--killed", "2021-03-10", "--births", births]);
        assert!(out.status.code() == Some(2) && said(&out).contains(says), "{}", said(&out));
    }
    fs::write(&own, "name = 3").unwrap();
    let out = pignut(&["age", "class D", "--table", own.to_str().unwrap()]);
    assert!(out.status.code() == Some(2) && said(&out).contains("early.toml"), "{}", said(&out));
}

// Stock of the records.

fn study_of(folder: &Path, rows: &str, more: &str) -> String {
    fs::write(folder.join("pigs.csv"), rows).unwrap();
    let text =
        format!("[study]\nname = \"Stock\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"pigs.csv\"\n{more}");
    fs::write(folder.join("study.toml"), text).unwrap();
    folder.join("study.toml").display().to_string()
}

const HEADING: &str = "occurrenceID,eventDate,decimalLatitude,decimalLongitude,dentition,nodePairsExamined,grossLesion,labMethod,labResult\n";

#[test]
fn check_takes_stock_and_prices_the_gaps() {
    let dir = tempfile::tempdir().unwrap();
    let rows = format!(
        "{HEADING}\
         A1,2021-03-04,-39.9101,172.9502,class D,all,no,,\n\
         A2,2021-03-05,-39.9203,172.9604,class C,mandibular,no,,\n\
         A3,2021-03-06,-39.9305,172.9706,,mandibular one side,no,,\n\
         A4,2022-05-06,-39.9407,172.9808,M1 M2 through; I2 milk,,yes,culture,pending\n"
    );
    let study = study_of(dir.path(), &rows, "");
    let h = &json(&pignut(&["check", &study, "--json"]))["data_summary"];
    assert_eq!(
        (&h["ages"]["from_jaw"], &h["ages"]["unknown"], &h["ages"]["recorded"]),
        (&3.into(), &1.into(), &0.into())
    );
    assert_eq!((&h["years"][1]["suspect"], &h["years"][1]["awaiting"]), (&1.into(), &1.into()));
    // March 2021 and May 2022 hold records: nine months of the first year and four of the second hold none.
    let silent: Vec<&Value> =
        h["years"].as_array().unwrap().iter().map(|y| &y["months_without_records"]).collect();
    assert_eq!(silent, [&Value::from(9), &Value::from(4)]);
    let cost = |problem: &str| {
        let list = h["costs"].as_array().unwrap();
        list.iter().find(|c| c["problem"] == problem).unwrap_or_else(|| panic!("{problem}: {h}"))["complete_records_lost"]
            .as_f64()
            .unwrap()
    };
    // By hand: shares of all pairs 1, 0.9/0.95325, 0.675/0.95325 and 0.95 (not recorded).
    let by_hand = (1.0 - 0.9 / 0.95325) + (1.0 - 0.675 / 0.95325) + 0.05;
    assert!((cost("node pairs not opened or not recorded") - by_hand).abs() < 1e-9);
    // An unknown age costs half, a lesion without an answer half.
    assert_eq!((cost("no age"), cost("lesions without a laboratory result")), (0.5, 0.5));
    // Ages 10 to 18, 5 to 15 and 10 to 26 months: (w/6)/(a + w/2).
    let wide: f64 =
        [(10.0, 8.0), (5.0, 10.0), (10.0, 16.0)].iter().map(|(a, w)| (w / 6.0) / (a + w / 2.0)).sum();
    assert!((cost("wide age intervals") - wide).abs() < 1e-9, "{} {wide}", cost("wide age intervals"));
    assert!(h["equivalent_complete_records"].as_f64().unwrap() < 4.0);
    assert_eq!(h["ways"].as_array().unwrap().len(), 15);
    let text = said(&pignut(&["check", &study]));
    for part in [
        "3 from the jaw, 1 unknown",
        "mandibular (one side)",
        "all three",
        "pigs for 100",
        "what gaps and doubts cost",
        "positive-awaits-laboratory",
    ] {
        assert!(text.to_lowercase().contains(&part.to_lowercase()), "{part}: {text}");
    }
}

#[test]
fn a_study_names_its_own_table_and_birth_season() {
    let dir = tempfile::tempdir().unwrap();
    let rows = format!(
        "{HEADING}A1,2021-03-04,-39.9101,172.9502,class D,all,no,,\nA2,2021-03-05,-39.9203,172.9604,class D,all,no,,\n"
    );
    let births = "[ageing]\nbirths_by_month = [0,0,0,0,0,0,0,0,1,0,0,0]\n";
    let width = |more: &str| {
        let study = study_of(dir.path(), &rows, more);
        json(&pignut(&["check", &study, "--json"]))["data_summary"]["ages"]["median_width_months"]
            .as_f64()
            .unwrap()
    };
    assert_eq!(width(""), 8.0);
    assert!(width(births) < 1.5);
    let study = study_of(dir.path(), &rows, "[ageing]\ntable = \"mine.toml\"\n");
    let out = pignut(&["check", &study]);
    assert!(
        out.status.code() == Some(2) && said(&out).contains("mine.toml: cannot be read"),
        "{}",
        said(&out)
    );
    fs::write(dir.path().join("mine.toml"), "name = \"x\"\n").unwrap();
    let out = pignut(&["check", &study]);
    assert!(out.status.code() == Some(2) && said(&out).contains("ageing.table: mine.toml"), "{}", said(&out));
}

/// The guide's table of what opening a head is worth is what the program computes.
#[test]
fn the_guides_table_of_heads_is_the_programs() {
    let list = pignut::internals::kernel::inspections::ways(
        &pignut::internals::study::model_keys::Detection::default(),
    );
    let guide = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/guide/head.md")).unwrap();
    let mut rows = 0;
    for line in guide.lines().filter(|l| l.starts_with("| ")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let name = if cells[0] == "all three pairs" { "all three" } else { cells[0] };
        let Some(way) = list.iter().find(|w| w.words() == name).filter(|_| cells.len() == 5) else {
            continue;
        };
        let figures = [
            way.gross_inspection,
            way.gross_inspection_by_months_since[1],
            way.lesion_sent[0],
            way.pigs_for_100.unwrap(),
        ];
        for (figure, (cell, half)) in
            figures.iter().zip(cells[1..].iter().zip([0.0051, 0.0051, 0.0051, 0.51]))
        {
            assert!((figure - cell.parse::<f64>().unwrap()).abs() < half, "{line}: {figure}");
        }
        rows += 1;
    }
    assert_eq!(rows, 8);
}

// The forms.

#[test]
fn forms_writes_two_pages_and_leaves_foreign_files_alone() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("forms");
    let folder = out.to_str().unwrap();
    for _ in 0..2 {
        let ended = pignut(&["forms", "--out", folder, "--title", "Tern & Gull", "--prefix", "KT"]);
        assert_eq!(ended.status.code(), Some(0), "{}", said(&ended));
    }
    for name in ["record-sheet.html", "field-form.html"] {
        let page = fs::read_to_string(out.join(name)).unwrap();
        assert!(page.contains("Tern &amp; Gull") && page.len() < 200_000);
        assert!(page.contains("two bags") && page.contains("cold"), "{name} says how to keep a sample");
    }
    fs::write(out.join("field-form.html"), "mine").unwrap();
    let ended = pignut(&["forms", "--out", folder]);
    assert_eq!(ended.status.code(), Some(2));
    assert_eq!(fs::read_to_string(out.join("field-form.html")).unwrap(), "mine");
    let ended = pignut(&["forms", "--out", folder, "--prefix", " "]);
    assert!(ended.status.code() == Some(2) && said(&ended).contains("--prefix"));
}

// What is published, and the truth.

fn district(folder: &Path) -> PathBuf {
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
    let study = district(dir.path());
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
    let heading = reader.headers().unwrap().clone();
    let at = |name: &str| heading.iter().position(|h| h == name).unwrap_or_else(|| panic!("{name}"));
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
    // By distance: no vertex within ten metres of a fix (1e-4 degrees are about ten).
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

fn json_file(path: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn a_truth_or_a_side_that_cannot_be_is_said_before_the_long_work() {
    let dir = tempfile::tempdir().unwrap();
    let study = district(dir.path());
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
    // Another district's truth.
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
