//! `age`: one jaw.

use super::calls::{json, said};
use crate::common::program::run as pignut;
use serde_json::Value;
use std::fs;
use std::path::Path;

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
