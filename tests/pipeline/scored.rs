//! The result against the truth.

use super::study_run::{ROUNDING_REL, base};
use crate::common::program::run_in as pignut;
use crate::common::result::{close, num};
use serde_json::Value;

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
