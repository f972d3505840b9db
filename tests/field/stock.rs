//! Stock of the records: what gaps cost, and what opening a head is worth.

use super::calls::{json, said};
use crate::common::program::run as pignut;
use serde_json::Value;
use std::fs;
use std::path::Path;

fn study_of(folder: &Path, rows: &str, more: &str) -> String {
    fs::write(folder.join("pigs.csv"), rows).unwrap();
    let text =
        format!("[study]\nname = \"Stock\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"pigs.csv\"\n{more}");
    fs::write(folder.join("study.toml"), text).unwrap();
    folder.join("study.toml").display().to_string()
}

const HEADING: &str = "occurrenceID,eventDate,decimalLatitude,decimalLongitude,dentition,\
     nodePairsExamined,grossLesion,labMethod,labResult\n";

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
        let one = list.iter().find(|c| c["problem"] == problem);
        one.unwrap_or_else(|| panic!("{problem}: {h}"))["equivalent_complete_records_lost"].as_f64().unwrap()
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
        "{HEADING}A1,2021-03-04,-39.9101,172.9502,class D,all,no,,\n\
         A2,2021-03-05,-39.9203,172.9604,class D,all,no,,\n"
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
