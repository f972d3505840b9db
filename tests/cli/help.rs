//! Help texts and the schema of the study file.

use super::calls::{clean, fixture};
use crate::common::program::{run, text};
use serde_json::Value;
use std::fs;
use std::process::Output;

const SUBCOMMANDS: [&str; 12] = [
    "demo", "init", "check", "run", "choose", "simulate", "score", "sample", "power", "age", "forms",
    "schema",
];

#[test]
fn the_schema_names_every_table_and_key_of_the_study_file() {
    let out = run(&["schema"]);
    assert_eq!(out.status.code(), Some(0));
    let schema: Value = serde_json::from_slice(&out.stdout).unwrap();
    // JSON Schema 2020-12, §8.1.1 and §10.3.2.
    let dialect = schema["$schema"].as_str().unwrap();
    assert_eq!(dialect, "https://json-schema.org/draft/2020-12/schema");
    assert_eq!(schema["additionalProperties"], Value::Bool(false));
    let tables: Vec<&String> = schema["properties"].as_object().unwrap().keys().collect();
    // A plan prints every parameter in force: each is in the schema, with a description.
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("x");
    let plan = run(&["run", &clean(), "--out", to.to_str().unwrap(), "--plan"]);
    let plan = text(&plan.stdout);
    let parameters: toml::Table = plan.split_once("parameters:\n").unwrap().1.parse().unwrap();
    let mut keys = 0;
    for (table, values) in &parameters {
        assert!(tables.contains(&table), "{table} is not in {tables:?}");
        let named = &schema["properties"][table];
        let reference = named["$ref"].as_str().or_else(|| named["allOf"][0]["$ref"].as_str());
        let definition = schema.pointer(&reference.unwrap()[1..]).unwrap();
        assert_eq!(definition["additionalProperties"], Value::Bool(false), "{table}");
        for key in values.as_table().unwrap().keys() {
            let described = &definition["properties"][key]["description"];
            assert!(described.as_str().is_some_and(|d| d.len() > 3), "{table}.{key}");
            keys += 1;
        }
    }
    assert!(keys > 60, "{keys} parameters");
    // Each table of the schema is one the program reads: an unknown one is refused.
    for table in &tables {
        let text = fs::read_to_string(fixture("clean.toml")).unwrap();
        let has = text.contains(&format!("[{table}]"));
        let text = if has { text } else { format!("{text}\n[{table}]\n") };
        pignut::internals::study::study_file::Study::parse(&text, "study.toml").unwrap();
    }
    assert_eq!(tables.len(), 16, "{tables:?}");
}

#[test]
fn help_is_what_it_was() {
    let refresh = std::env::var_os("PIGNUT_REFRESH").is_some();
    let mut pages: Vec<(String, Vec<&str>)> =
        vec![("pignut-help.txt".into(), vec!["--help"]), ("pignut-short-help.txt".into(), vec!["-h"])];
    for sub in SUBCOMMANDS {
        pages.push((format!("{sub}-help.txt"), vec![sub, "--help"]));
    }
    for (name, args) in pages {
        let out = run(&args);
        assert_eq!(out.status.code(), Some(0), "{args:?}");
        assert_eq!(text(&out.stderr), "");
        let said = text(&out.stdout);
        let path = fixture(&name);
        if refresh {
            fs::write(&path, said).unwrap();
        }
        let kept = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == said,
            "{args:?} differs from {}; if that is wanted: \
             PIGNUT_REFRESH=1 cargo test --release --test main cli\n{said}",
            path.display()
        );
    }
    let version = run(&["--version"]);
    assert_eq!(text(&version.stdout), format!("pignut {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn every_subcommand_is_in_the_help_and_the_short_help_fits_a_screen() {
    let long = run(&["--help"]);
    let long = text(&long.stdout);
    assert!(SUBCOMMANDS.iter().all(|s| long.contains(&format!("  {s} "))));
    assert!(long.contains("Exit codes: 0 done") && long.contains("Examples:"));
    let short = run(&["-h"]);
    let lines = text(&short.stdout).lines().count();
    assert!(lines <= 24, "{lines} lines; a terminal has 24 (DEC VT100)");
}

/// Defaults told in the help are those in force.
#[test]
fn defaults_in_the_help_are_those_of_the_study_and_the_scenario() {
    use pignut::internals::simulate::scenario::Scenario;
    let squeeze = |out: Output| text(&out.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    let effort = pignut::internals::study::study_file::Study::minimal("a", "EPSG:2193", "pigs.csv").run;
    for sub in ["run", "demo"] {
        let help = squeeze(run(&[sub, "--help"]));
        for (what, value) in [
            ("Worker threads, 0 for all", effort.threads),
            ("Warm-up trajectories a chain", effort.warmup),
            ("Most trajectories a chain after warm-up", effort.trajectories),
        ] {
            let told = format!("{what} [default: the study's, {value}]");
            assert!(help.contains(&told), "{sub} --help does not say: {told}");
        }
    }
    let help = squeeze(run(&["simulate", "--help"]));
    let (fresh, demo) = (Scenario::fresh(1), Scenario::demo());
    for told in [
        format!("[default: {}; demo {}]", fresh.pigs_target, demo.pigs_target),
        format!("Years of records [default: {}]", fresh.years),
        format!("km [default: {}]", fresh.extent_km),
    ] {
        assert!(help.contains(&told), "simulate --help does not say: {told}");
    }
}
