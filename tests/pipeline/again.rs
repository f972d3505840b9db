//! The same study run again: threads, seed and order of rows.

use super::study_run::{LAYERS, ROUNDING_REL, Run, base, files_below, fresh};
use crate::common::result::{close, num};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;

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
    for name in ["cells.geojson", "positives.geojson", "tables/force_of_infection.parquet"] {
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
