//! Exit codes 0, 1 and 2, and the message that goes with each.

use super::calls::{clean, fixture, least_run, refused, study, tree};
use crate::common::program::{pignut, run, text};
use serde_json::Value;
use std::fs;
use std::path::Path;

#[test]
fn check_of_a_clean_study_ends_with_0() {
    let out = run(&["check", &clean()]);
    assert_eq!(out.status.code(), Some(0));
    assert_eq!(text(&out.stderr), "");
    let said = text(&out.stdout);
    assert!(said.contains("6 rows read: 6 used, 0 used with a warning, 0 refused"), "{said}");
    assert!(said.contains("1 confirmed, 0 suspect, 5 negative"), "{said}");
}

#[test]
fn check_of_a_study_with_a_refused_row_ends_with_1_and_says_which() {
    let study = fixture("refused.toml").display().to_string();
    let out = run(&["check", &study]);
    assert_eq!(out.status.code(), Some(1));
    let said = text(&out.stdout);
    for part in ["7 rows read: 6 used", "1 refused", "refused.csv row 8", "ageMinMonths", "6x"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let out = run(&["check", &study, "--json"]);
    assert_eq!(out.status.code(), Some(1));
    let json: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((&json["records"]["read"], &json["pigs"]), (&Value::from(7), &Value::from(6)));
    assert_eq!(json["findings"][0]["row"], 8);
}

/// `--json` prints JSON or nothing: a program reads it.
#[test]
fn check_of_a_study_without_a_usable_pig_ends_with_2() {
    let dir = tempfile::tempdir().unwrap();
    let study = study(dir.path(), |t| t.replace("clean.csv", "none.csv"));
    let records = fs::read_to_string(fixture("clean.csv")).unwrap();
    fs::write(dir.path().join("none.csv"), records.replace("-39.9", "-139.9")).unwrap();
    let out = run(&["check", &study]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).starts_with("pignut: no pig record can be used"));
    assert!(text(&out.stdout).contains("6 refused") && text(&out.stdout).contains("-139.9"));
    let out = run(&["check", &study, "--json"]);
    assert_eq!(out.status.code(), Some(2));
    let said = text(&out.stdout);
    assert!(said.is_empty() || serde_json::from_str::<Value>(said).is_ok(), "{said}");
}

#[test]
fn a_run_that_converges_ends_with_0_and_lists_what_it_wrote() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("result");
    let ended = pignut().args(["run", &clean(), "--out"]).arg(&out).output().unwrap();
    let (said, messages) = (text(&ended.stdout), text(&ended.stderr));
    assert_eq!(ended.status.code(), Some(0), "{messages}");
    assert!(!messages.contains("warning: "), "{messages}");
    let listed: Vec<&str> = said.lines().skip_while(|l| *l != "written:").skip(1).map(str::trim).collect();
    let files = tree(&out).into_keys().filter(|p| p.is_file()).count();
    assert_eq!(listed.len(), files, "{said}");
    assert!(listed.iter().all(|f| Path::new(f).is_file()), "{said}");
    // Nothing is left beside the result.
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn a_run_with_a_refused_row_or_too_few_trajectories_ends_with_1_and_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let study = fixture("refused.toml").display().to_string();
    let out = least_run(&study, &dir.path().join("r"), &[]);
    assert_eq!(out.status.code(), Some(1));
    let messages = text(&out.stderr);
    assert!(messages.contains("pignut: warning: 1 row was refused"), "{messages}");
    assert!(messages.contains("effective sample size is "), "{messages}");
    // 20 trajectories of 4 chains give 80 posterior samples: it is not memory that was short.
    assert!(messages.contains("80 posterior samples"), "{messages}");
    assert!(!messages.contains("memory"), "{messages}");
    // A second run replaces the first as a whole.
    let stale = dir.path().join("r/stale.txt");
    let manifest = dir.path().join("r/manifest.json");
    let listed = fs::read_to_string(&manifest).unwrap().replacen("report.html", "stale.txt", 1);
    fs::write(&manifest, listed).unwrap();
    fs::rename(dir.path().join("r/report.html"), &stale).unwrap();
    least_run(&study, &dir.path().join("r"), &[]);
    assert!(!stale.exists() && dir.path().join("r/report.html").exists());
    // What somebody keeps beside it is not replaced.
    fs::write(&stale, "mine").unwrap();
    let out = dir.path().join("r").display().to_string();
    refused(&["run", &study, "--out", &out], &["holds stale.txt", "would be lost"]);
    assert_eq!(fs::read_to_string(&stale).unwrap(), "mine");
}

/// An area that is missing from the result is told like a row that is: by the exit code too.
#[test]
fn a_refused_area_is_a_warning() {
    let study = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bad-input/boundary-empty.toml");
    let study = study.display().to_string();
    assert_eq!(run(&["check", &study]).status.code(), Some(1));
    let dir = tempfile::tempdir().unwrap();
    let out = least_run(&study, &dir.path().join("r"), &[]);
    let messages = text(&out.stderr);
    assert!(messages.contains("warning: 1 area or operation was refused and missing"), "{messages}");
}

/// What would stop a run for the place of an area stops the check, and names it.
#[test]
fn a_grid_too_large_is_said_by_check_with_what_makes_it_so() {
    let dir = tempfile::tempdir().unwrap();
    let bad = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bad-input");
    fs::copy(bad.join("good.csv"), dir.path().join("good.csv")).unwrap();
    let square = "[[[0.0,51.0],[0.1,51.0],[0.1,51.1],[0.0,51.1],[0.0,51.0]]]";
    let layer = format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[{{\"type\":\"Feature\",\
         \"properties\":{{\"zoneID\":\"Z9\"}},\
         \"geometry\":{{\"type\":\"Polygon\",\"coordinates\":{square}}}}}]}}"
    );
    fs::write(dir.path().join("far.geojson"), layer).unwrap();
    let study = dir.path().join("study.toml");
    let text_of = "[study]\nname = \"far\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"good.csv\"\n\
                   [areas]\nzones = \"far.geojson\"\n";
    fs::write(&study, text_of).unwrap();
    let out = run(&["check", study.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stdout).contains("area-far-away"), "{}", text(&out.stdout));
    let messages = text(&out.stderr);
    assert!(messages.contains("farthest from the rest lies far.geojson, area Z9"), "{messages}");
}

#[test]
fn what_cannot_run_ends_with_2_and_one_message() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out").display().to_string();
    for first in [&["check"][..], &["run", "--out", &out]] {
        let with = |study: &str| -> Vec<String> {
            first.iter().map(|s| s.to_string()).chain([study.to_string()]).collect()
        };
        let refuse = |study: &str, says: &[&str]| {
            let args = with(study);
            refused(&args.iter().map(String::as_str).collect::<Vec<_>>(), says)
        };
        refuse("nowhere/study.toml", &["nowhere/study.toml", "cannot be read"]);
        let s = |change: &dyn Fn(&str) -> String| study(dir.path(), change);
        refuse(&s(&|t| t.replace("cell_m", "cell_size")), &["cell_size", "cell_m", "line "]);
        refuse(&s(&|t| t.replace("[grid]", "[mesh]")), &["mesh", "grid"]);
        refuse(
            &s(&|t| t.replace("cell_m = 2000.0", "cell_m = -5.0")),
            &["grid.cell_m = -5", "50 to 20000 metres"],
        );
        refuse(
            &s(&|t| t.replace("period_months = 12", "period_months = 5")),
            &["grid.period_months = 5", "1, 2, 3, 4, 6 or 12"],
        );
        refuse(
            &s(&|t| t.replace("period_months = 12", "period_months = \"half a year\"")),
            &["period_months", "half a year", "line "],
        );
        refuse(&s(&|t| t.replace("EPSG:2193", "NZTM")), &["study.crs", "NZTM", "EPSG code"]);
        refuse(&s(&|t| t.replace("clean.csv", "absent.csv")), &["absent.csv"]);
        refuse(&s(&|t| t.replace("2021-06-30", "30 June 2021")), &["as_of", "30 June 2021"]);
    }
    assert!(!Path::new(&out).exists());
}

#[test]
fn wrong_usage_ends_with_2_and_names_the_argument() {
    for (args, named) in [
        (&["run", "study.toml"][..], "--out"),
        (&["run", "study.toml", "--out", "x", "--sead", "3"], "--sead"),
        (&["check", "study.toml", "--most", "many"], "many"),
        (&["chek"], "chek"),
    ] {
        let out = run(args);
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert_eq!(text(&out.stdout), "");
        assert!(text(&out.stderr).contains(named), "{args:?}: {}", text(&out.stderr));
    }
    refused(&["score", "a", "b", "c"], &["truth folder is missing"]);
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("s").display().to_string();
    refused(&["simulate", "--out", &to, "--extent-km", "5"], &["extent_km = 5", "12 to 150 km"]);
    assert!(!Path::new(&to).exists());
}

/// What may not stand in the study file may not be typed either, and is not changed in silence.
#[test]
fn options_obey_the_limits_of_the_study_file() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out").display().to_string();
    for (option, value, key, allowed) in [
        ("--warmup", "5", "warmup", "20 to 100000"),
        ("--trajectories", "0", "trajectories", "20 to 1000000"),
        ("--threads", "5000", "threads", "0 to 4096"),
    ] {
        let args = ["run", &clean(), "--out", &out, "--plan", option, value];
        refused(&args, &[key, value, allowed]);
    }
}
