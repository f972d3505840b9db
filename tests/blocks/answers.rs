//! `choose` on a finished result, and the files it reads: the same answers as the run, and what-ifs that
//! follow.
//!
//! What is asked of the layer and the tables is the project's own contract.

use crate::common::program::run as pignut;
use crate::common::result::parquet;
use crate::common::simulated::write_study;
use pignut::internals::assess::priorities::decide;
use pignut::internals::report::reread::reread;
use pignut::internals::simulate::scenario::Scenario;
use polars::prelude::DataFrame;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

/// A small study area with disease, run with the least effort, once.
fn result() -> PathBuf {
    static RUN: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = RUN.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let scenario = Scenario { pigs_target: 250, extent_km: 16.0, ..Scenario::fresh(5) };
        write_study(&scenario, folder.path());
        let out = pignut(&[
            "run",
            &folder.path().join("study/study.toml").display().to_string(),
            "--out",
            &folder.path().join("result").display().to_string(),
            "--warmup",
            "40",
            "--trajectories",
            "60",
        ]);
        assert!(matches!(out.status.code(), Some(0 | 1)), "{}", String::from_utf8_lossy(&out.stderr));
        folder
    });
    folder.path().join("result")
}

fn choose(more: &[&str]) -> Value {
    let folder = result().display().to_string();
    let args = [&["choose", folder.as_str(), "--json"], more].concat();
    let out = pignut(&args);
    assert_eq!(out.status.code(), Some(0), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

fn ids(list: &Value) -> Vec<String> {
    list.as_array().unwrap().iter().map(|v| v.as_str().unwrap().to_string()).collect()
}

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is a number"))
}

fn table(name: &str) -> DataFrame {
    parquet(&result().join("tables").join(name))
}

#[test]
fn choosing_again_without_a_change_is_the_runs_own_answer() {
    let summary: Value = serde_json::from_slice(&fs::read(result().join("summary.json")).unwrap()).unwrap();
    let mut again = choose(&[]);
    again.as_object_mut().unwrap().retain(|k, _| k != "study" && k != "as_of");
    assert_eq!(again, summary["priorities"]);
    let folder = result().display().to_string();
    let text = pignut(&["choose", &folder]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("This is the run's own set") && text.contains("licensed operators"), "{text}");
    assert!(!text.contains("-0 "), "{text}");
}

#[test]
fn what_ifs_follow() {
    let own = choose(&[]);
    let chosen = ids(&own["chosen"]);
    assert!(!chosen.is_empty(), "the district is one with disease");
    let first = &chosen[0];
    let without = choose(&["--never", first]);
    assert!(!ids(&without["chosen"]).contains(first));
    assert!(num(&without["removed_ha"]["mean"]) <= num(&own["removed_ha"]["mean"]) * (1.0 + 1e-5));
    // A budget that was assumed follows from what may be done; one that is given stays.
    let budget = num(&own["budget"]);
    let given = |more: &[&str]| {
        let text = budget.to_string();
        choose(&[&["--budget", text.as_str()], more].concat())
    };
    assert_eq!(ids(&given(&[])["chosen"]), chosen);
    let left_out = own["operations"]
        .as_array()
        .unwrap()
        .iter()
        .find(|o| o["allowed"] == true && o["chosen"] == false && num(&o["cost"]) <= budget)
        .expect("some operation is left out");
    let id = left_out["operation"].as_str().unwrap();
    let with = given(&["--must", id]);
    assert!(ids(&with["chosen"]).contains(&id.to_string()));
    assert!(num(&with["cost"]) <= budget);
    assert!(num(&with["removed_ha"]["mean"]) <= num(&own["removed_ha"]["mean"]) * (1.0 + 1e-5));
    let none = choose(&["--budget", "0"]);
    assert!(ids(&none["chosen"]).is_empty() && num(&none["removed_ha"]["mean"]) == 0.0);
    assert_eq!(none["residual_ha"], none["active_ha"]);
    for d in [&own, &without, &with, &none] {
        let frontier = d["frontier"].as_array().unwrap();
        for w in frontier.windows(2) {
            assert!(num(&w[0]["removed_ha"]["mean"]) <= num(&w[1]["removed_ha"]["mean"]) * (1.0 + 1e-5));
        }
    }
}

#[test]
fn what_cannot_be_answered_is_refused_with_a_suggested_correction() {
    let folder = result().display().to_string();
    let refused = |args: &[&str], says: &[&str]| {
        let out = pignut(args);
        let message = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{args:?}: {message}");
        assert!(out.stdout.is_empty() && message.starts_with("pignut: "), "{message}");
        assert!(says.iter().all(|s| message.contains(s)), "{args:?}: {message}");
    };
    refused(&["choose", &folder, "--must", "Q9"], &["priorities.must", "\"Q9\"", "B01"]);
    refused(&["choose", &folder, "--budget", "-5"], &["priorities.budget = -5"]);
    refused(&["choose", &folder, "--free", "B01"], &["--free B01"]);
    refused(&["choose", &folder, "--must", "B01", "--never", "B01"], &["B01"]);
    let empty = tempfile::tempdir().unwrap();
    refused(&["choose", &empty.path().display().to_string()], &["manifest.json", "name a complete folder"]);
}

#[test]
fn a_study_that_asks_for_the_impossible_is_refused_before_sampling() {
    let folder = result().parent().unwrap().join("study");
    let text = fs::read_to_string(folder.join("study.toml")).unwrap();
    for (table, says) in [
        ("must = [\"B99\"]", "\"B99\" is no block of the study"),
        ("must = [\"B01\", \"B02\", \"B03\"]\nbudget = 1", "does not pay for what must be done"),
        ("possum_aerial_efficacy = 1.5", "priorities.possum_aerial_efficacy = 1.5"),
        ("[priorities.min_treated_share]\nA9 = 0.5", "\"A9\" is no area of the study"),
        ("[priorities.cover]\nforest = { possum = 0.9, ferret = 0.9 }", "priorities.cover.forest"),
    ] {
        let path = folder.join("impossible.toml");
        fs::write(&path, format!("{text}\n[priorities]\n{table}\n")).unwrap();
        let out = pignut(&["run", &path.display().to_string(), "--out", "nowhere", "--plan"]);
        let message = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{table}: {message}");
        // One of the first three blocks may be the closed one: then that is what is said.
        assert!(
            message.contains(says) || message.contains("no operation can be done there"),
            "{table}: {message}"
        );
    }
}

/// The tables, the layer and the summary tell one story.
#[test]
fn layer_tables_and_summary_agree() {
    let layer: Value = serde_json::from_slice(&fs::read(result().join("blocks.geojson")).unwrap()).unwrap();
    let own = choose(&[]);
    let t = table("priorities.parquet");
    let number = |name: &str| crate::common::result::perhaps(&t, name);
    let text = |name: &str| {
        t.column(name).unwrap().str().unwrap().iter().map(|v| v.unwrap().to_string()).collect::<Vec<_>>()
    };
    let (ids_, hosts) = (text("block_id"), text("host"));
    let close = |a: f64, b: f64| (a - b).abs() <= 2e-5 * a.abs().max(b.abs()) + 1e-9;
    let samples = table("block_samples.parquet");
    let active: Vec<f32> = samples.column("active_ha").unwrap().f32().unwrap().into_no_null_iter().collect();
    let n = active.len() / ids_.len();
    for (i, (id, host)) in ids_.iter().zip(&hosts).enumerate() {
        let feature = layer["features"].as_array().unwrap().iter().find(|f| f["id"] == id.as_str()).unwrap();
        let p = &feature["properties"];
        let told = &own["operations"][i];
        assert_eq!(told["operation"], format!("{id}:{host}"));
        for (property, column, key) in [
            ("cost", "cost", "cost"),
            ("expected_removed_ha", "expected_removed_ha", "expected_removed_ha"),
            ("score", "score", "score_ha_per_1000"),
            ("rank", "rank", "rank"),
            ("p_in_best_set", "p_in_best_set", "p_in_best_set"),
        ] {
            let in_layer = p.get(format!("{host}_{property}")).and_then(Value::as_f64);
            let in_table = number(column)[i];
            let in_summary = told.get(key).and_then(Value::as_f64);
            assert_eq!(in_layer.is_some(), in_table.is_some(), "{id} {host} {property}");
            if let (Some(a), Some(b), Some(c)) = (in_layer, in_table, in_summary) {
                assert!(close(a, b) && close(b, c), "{id} {host} {property}: {a} {b} {c}");
            }
        }
        assert_eq!(p[format!("{host}_chosen")], told["chosen"]);
        // Expected active area is the mean of the samples.
        let mean = active[i * n..(i + 1) * n].iter().map(|a| f64::from(*a)).sum::<f64>() / n as f64;
        assert!(
            (mean - num(&p[format!("{host}_expected_active_ha")])).abs() < 1e-3 * mean.max(1.0),
            "{id} {host}"
        );
        assert!(["active", "possible", "quiet", "unseen"].contains(&p["standing"].as_str().unwrap()));
    }
    // Ranks are 1, 2, … within each host, by falling score.
    for host in ["possum", "ferret"] {
        let mut ranked: Vec<(f64, f64)> = (0..ids_.len())
            .filter(|i| hosts[*i] == host)
            .filter_map(|i| Some((number("rank")[i]?, number("score")[i]?)))
            .collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(ranked.iter().enumerate().all(|(k, r)| r.0 == (k + 1) as f64), "{ranked:?}");
        assert!(ranked.windows(2).all(|w| w[0].1 >= w[1].1), "{ranked:?}");
    }
}

/// Reading back and deciding gives the frontier that was written, and shares of samples are shares.
#[test]
fn the_slate_read_back_decides_as_the_run_did() {
    let r = reread(&result()).unwrap();
    let d = decide(&r.slate, &r.priorities).unwrap();
    let f = table("frontier.parquet");
    assert_eq!(f.height(), d.frontier.len());
    let budgets: Vec<f64> = f.column("budget").unwrap().f64().unwrap().into_no_null_iter().collect();
    assert_eq!(budgets, d.frontier.iter().map(|p| p.budget).collect::<Vec<_>>());
    assert_eq!(r.chosen.as_deref(), Some(&d.figures.iter().map(|f| f.chosen).collect::<Vec<_>>()[..]));
    for f in &d.figures {
        assert_eq!(f.p_in_best_set.is_some(), f.allowed);
        assert!(f.p_in_best_set.is_none_or(|p| (0.0..=1.0).contains(&p)));
        assert!(f.allowed || !f.chosen);
        if let Some(l) = f.look {
            assert!(
                l.value_of_sample >= 0.0
                    && l.value_of_sample <= l.value_of_perfect_information * (1.0 + 1e-9) + 1e-6,
                "{l:?}"
            );
        }
    }
    // 40 km of shared edge cannot make more land of a block than it has.
    for area in &r.slate.areas {
        for (b, ha) in &area.blocks {
            assert!(*ha > 0.0 && *ha <= r.slate.candidates[2 * b].area_ha * 1.1 + 100.0, "{}", area.id);
        }
    }
}

/// The score compares the run's sets with plain rankings at equal budgets.
#[test]
fn the_score_says_what_treating_the_chosen_blocks_truly_removes() {
    let truth = result().parent().unwrap().join("study/truth");
    let out = pignut(&["score", &result().display().to_string(), &truth.display().to_string(), "--json"]);
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    let json: Value = serde_json::from_slice(&out.stdout).unwrap();
    let control = &json["study_areas"][0]["control"];
    let (own, knowing) = (num(&control["removed_share"]), num(&control["knowing_share"]));
    assert!(own > 0.0 && own < 1.0 && knowing < 1.0, "{control}");
    // Walking down the true list is near the best there is; no set of the same money is far above it.
    assert!(own <= knowing * 1.05, "{own} {knowing}");
    let baselines = control["baselines"].as_array().unwrap();
    // Three figures, two windows, two orders.
    assert_eq!(baselines.len(), 12, "{control}");
    assert!(baselines.iter().all(|r| (0.0..1.0).contains(&num(&r["removed_share"]))), "{control}");
    assert!(json["pooled"]["control"]["baselines"].as_array().unwrap().len() == 12);
    let text = pignut(&["score", &result().display().to_string(), &truth.display().to_string()]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(
        text.contains("true force of infection in blocks")
            && text.contains("count of positives in the block"),
        "{text}"
    );
}
