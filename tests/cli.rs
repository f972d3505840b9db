//! The command line as a user meets it: exit codes, messages, what is written and what is left alone.
//!
//! Exit codes, the prefix of messages and the behaviour towards pipes and folders are the project's
//! own contract; `NO_COLOR` is that of no-color.org, `CLICOLOR_FORCE` that of bixense.com/clicolors.
//!
//! The help texts are compared with `fixtures/cli/*-help.txt`. After a wanted change, write them anew:
//!
//! ```text
//! PIGNUT_REFRESH=1 cargo test --release --test main cli
//! ```

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::process::{Output, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_pignut");
const SUBCOMMANDS: [&str; 11] =
    ["demo", "check", "run", "choose", "simulate", "score", "sample", "power", "age", "forms", "schema"];
/// The least effort a run accepts: enough to write every file, too little to converge.
const LEAST_EFFORT: [&str; 4] = ["--warmup", "20", "--trajectories", "20"];
/// Variables that change what is printed or which register is read.
const UNSET: [&str; 5] = ["NO_COLOR", "CLICOLOR_FORCE", "CLICOLOR", "PROJ_DATA", "PROJ_LIB"];

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cli").join(name)
}

fn pignut() -> Command {
    let mut command = Command::new(PROGRAM);
    // The width at which help is folded.
    command.env("COLUMNS", "100");
    UNSET.iter().for_each(|v| {
        command.env_remove(v);
    });
    command
}

fn run(args: &[&str]) -> Output {
    pignut().args(args).output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("what is printed is UTF-8")
}

/// Checks that a command could not run: code 2, nothing on standard output, one prefixed message.
fn refused(args: &[&str], says: &[&str]) -> String {
    let out = run(args);
    let message = text(&out.stderr);
    assert_eq!(out.status.code(), Some(2), "{args:?}: {message}");
    assert_eq!(text(&out.stdout), "", "{args:?}");
    assert!(message.starts_with("pignut: "), "{args:?}: {message}");
    assert_eq!(message.matches("pignut: ").count(), 1, "{message}");
    for part in says {
        assert!(message.contains(part), "{args:?} does not say {part}: {message}");
    }
    message.to_string()
}

/// A study file beside the clean records, changed by `change`.
fn study(folder: &Path, change: impl Fn(&str) -> String) -> String {
    let text = fs::read_to_string(fixture("clean.toml")).unwrap();
    fs::copy(fixture("clean.csv"), folder.join("clean.csv")).unwrap();
    let path = folder.join("study.toml");
    let changed = change(&text);
    assert_ne!(changed, text, "the change was made");
    fs::write(&path, changed).unwrap();
    path.display().to_string()
}

/// Every file below a folder with its bytes.
fn tree(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut out = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.insert(path.clone(), Vec::new());
            out.extend(tree(&path));
        } else {
            out.insert(path.clone(), fs::read(&path).unwrap());
        }
    }
    out
}

fn clean() -> String {
    fixture("clean.toml").display().to_string()
}

/// `run` with the least effort on a study, and the folder it wrote.
fn least_run(study: &str, out: &Path, more: &[&str]) -> Output {
    let out = pignut().args(["run", study, "--out"]).arg(out).args(LEAST_EFFORT).args(more).output().unwrap();
    let code = out.status.code();
    assert!(code == Some(0) || code == Some(1), "{}", text(&out.stderr));
    out
}

// Exit codes.

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
    for part in ["7 rows read: 6 used", "1 refused", "refused.csv row 8", "ageMinMonths", "6m"] {
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
        r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{"zoneID":"Z9"}},"geometry":{{"type":"Polygon","coordinates":{square}}}}}]}}"#
    );
    fs::write(dir.path().join("far.geojson"), layer).unwrap();
    let study = dir.path().join("study.toml");
    let text_of = "[study]\nname = \"far\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"good.csv\"\n[areas]\nzones = \"far.geojson\"\n";
    fs::write(&study, text_of).unwrap();
    let out = run(&["check", study.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stdout).contains("area-far-away"), "{}", text(&out.stdout));
    let messages = text(&out.stderr);
    assert!(messages.contains("farthest from the rest lies far.geojson, area Z9"), "{messages}");
}

#[test]
fn files_that_are_not_ours_are_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let good = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bad-input/good.csv");
    let (pigs, study) = (dir.path().join("pigs.csv"), dir.path().join("study.toml"));
    fs::copy(&good, &pigs).unwrap();
    fs::write(&study, "[study]\nname = \"a\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"pigs.csv\"\n")
        .unwrap();
    let says = ["is no layer of samples"];
    refused(&["sample", study.to_str().unwrap(), "--out", pigs.to_str().unwrap()], &says);
    assert_eq!(fs::read(&pigs).unwrap(), fs::read(&good).unwrap());
    // Its own layer it may replace.
    let layer = dir.path().join("samples.geojson").display().to_string();
    for _ in 0..2 {
        assert_eq!(run(&["sample", &clean(), "--pigs", "2", "--out", &layer]).status.code(), Some(0));
    }
    // The demo leaves a study that is there, though it be its own, edited.
    let demo = dir.path().join("demo");
    fs::create_dir_all(demo.join("study")).unwrap();
    fs::write(demo.join("study/pigs.csv"), "mine").unwrap();
    refused(
        &["demo", "--out", demo.to_str().unwrap()],
        &["pigs.csv is not as the demo writes it", "would be lost"],
    );
    assert_eq!(fs::read_dir(&demo).unwrap().count(), 1);
    assert_eq!(fs::read_dir(demo.join("study")).unwrap().count(), 1);
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

// What is printed.

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
            "{args:?} differs from {}; if that is wanted: PIGNUT_REFRESH=1 cargo test --release --test main cli\n{said}",
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

/// `sample` writes a layer and says what each pig adds; what cannot be placed is refused.
#[test]
fn sample_places_pigs_where_they_can_be_had() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let made = run(&["simulate", "--out", &at("d"), "--pigs", "120", "--extent-km", "13", "--years", "3"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let (study, layer) = (at("d/study.toml"), at("s.geojson"));
    let out = run(&["sample", &study, "--pigs", "5", "--age", "30", "--out", &layer, "--json"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let said: Value = serde_json::from_slice(&out.stdout).unwrap();
    let kept: Value = serde_json::from_slice(&fs::read(&layer).unwrap()).unwrap();
    let (rows, features) = (said["samples"].as_array().unwrap(), kept["features"].as_array().unwrap());
    assert_eq!((rows.len(), features.len()), (5, 5));
    let mut mean = said["now"]["mean_sensitivity"].as_f64().unwrap();
    for (k, (r, f)) in rows.iter().zip(features).enumerate() {
        assert_eq!((r["rank"].as_u64(), &f["properties"]["cell_id"]), (Some(k as u64 + 1), &r["cell_id"]));
        let with = r["mean_sensitivity_with"].as_f64().unwrap();
        assert!(with > mean, "each pig adds something");
        mean = with;
    }
    // Within reach only: half of the island, and what the help says of a reach that holds no cell.
    let places = |args: &[&str]| -> Vec<[f64; 2]> {
        let out = run(&[&["sample", &study, "--pigs", "4", "--out", &layer, "--json"], args].concat());
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        let said: Value = serde_json::from_slice(&out.stdout).unwrap();
        let at = |r: &Value| ["easting", "northing"].map(|n| r[n].as_f64().unwrap());
        said["samples"].as_array().unwrap().iter().map(at).collect()
    };
    let all = places(&[]);
    let inside: Value = serde_json::from_slice(&fs::read(at("d/zones.geojson")).unwrap()).unwrap();
    let first = serde_json::json!({ "type": "FeatureCollection", "features": [inside["features"][0]] });
    fs::write(at("reach.geojson"), first.to_string()).unwrap();
    let reached = places(&["--reach", &at("reach.geojson")]);
    assert_ne!(all, reached);
    let id = inside["features"][0]["properties"]["zoneID"].as_str().unwrap();
    assert_eq!(places(&["--zone", id]).len(), 4);
    let none = serde_json::json!({ "type": "Feature", "properties": {}, "geometry": { "type": "Point", "coordinates": [170.0, -40.0] } });
    fs::write(at("point.geojson"), none.to_string()).unwrap();
    let lines = |args: &[&str]| {
        let out = run(&[&["sample", &study, "--out", &layer], args].concat());
        assert_eq!((out.status.code(), text(&out.stdout)), (Some(2), ""));
        text(&out.stderr).to_string()
    };
    assert!(lines(&["--reach", &at("point.geojson")]).contains("not a polygon"));
    assert!(lines(&["--zone", "nowhere"]).contains(id));
    assert!(lines(&["--aim", "standing"]).contains("--result"));
    assert!(lines(&["--aim", "standing", "--result", &at("d")]).contains("finished run"));
    assert!(lines(&["--age", "1"]).contains("sampling.age_months = 1"));
}

/// `power`: the same seed gives the same table; larger studies find more.
#[test]
fn power_rises_with_the_size_of_the_study() {
    let args = [
        "power",
        "--sizes",
        "40,160,20",
        "--years",
        "3",
        "--extent-km",
        "13",
        "--force-of-infection",
        "1",
        "--study-areas",
        "3",
        "--json",
    ];
    let (a, b) = (run(&args), run(&args));
    assert_eq!(a.status.code(), Some(0), "{}", text(&a.stderr));
    assert_eq!(text(&a.stdout), text(&b.stdout));
    let said: Value = serde_json::from_slice(&a.stdout).unwrap();
    let rows = said["rows"].as_array().unwrap();
    let column = |name: &str| rows.iter().map(|r| r[name].as_f64().unwrap()).collect::<Vec<f64>>();
    assert_eq!(column("pigs"), [20.0, 40.0, 160.0]);
    let found = column("found");
    assert!(found[0] < found[1] && found[1] < found[2] && found[2] <= 1.0, "{found:?}");
    assert!(column("confirmed").iter().zip(&found).all(|(c, f)| c <= f));
    refused(&["power", "--force-of-infection", "0"], &["--force-of-infection 0"]);
    // An option's old name is refused with the new one.
    for (old, now) in [("--hazard", "--force-of-infection"), ("--districts", "--study-areas")] {
        let out = run(&["power", old, "1"]);
        assert_eq!(out.status.code(), Some(2));
        assert!(text(&out.stderr).contains(now), "{}", text(&out.stderr));
    }
    refused(&["power", "--sizes", "3"], &["pigs_target = 3"]);
}

/// no-color.org: set and not empty, colour is off; with clicolors' `CLICOLOR_FORCE` it is on even in a pipe.
#[test]
fn no_color_wins_over_forced_colour() {
    let escape = |out: &Output| out.stderr.contains(&0x1b) || out.stdout.contains(&0x1b);
    for args in [&["--help"][..], &["chek"], &["check", &clean()]] {
        let plain = pignut().args(args).env("CLICOLOR_FORCE", "1").env("NO_COLOR", "1").output().unwrap();
        assert!(!escape(&plain), "{args:?}");
    }
    let forced = pignut().arg("chek").env("CLICOLOR_FORCE", "1").output().unwrap();
    assert!(escape(&forced), "colour can be had at all");
}

#[test]
fn a_closed_pipe_is_no_error() {
    for args in [&["check", &clean()][..], &["schema"], &["--help"]] {
        let mut child =
            Command::new(PROGRAM).args(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // Closed before a byte is read: every write meets a broken pipe.
        drop(child.stdout.take());
        let out = child.wait_with_output().unwrap();
        assert_eq!(out.status.code(), Some(0), "{args:?}");
        assert_eq!(text(&out.stderr), "", "{args:?}");
    }
}

#[cfg(unix)]
#[test]
fn check_into_head_is_no_error() {
    let line = format!("set -o pipefail; '{PROGRAM}' check '{}' | head -1", clean());
    let out = Command::new("bash").args(["-c", &line]).output().unwrap();
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert_eq!(text(&out.stdout), "Six at sea, analysis date 2021-06-30\n");
    assert_eq!(text(&out.stderr), "");
}

// What is written and what is left alone.

#[test]
fn a_plan_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("result");
    let args = ["run", &clean(), "--out", out.to_str().unwrap(), "--plan", "--seed", "99"];
    let ended = run(&args);
    assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
    assert!(tree(dir.path()).is_empty());
    let said = text(&ended.stdout);
    for part in ["6 rows read", "seed 99", "4 chains of 100 + 400", "cell_m = 2000.0", "would write"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn a_foreign_folder_is_refused_and_left_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let foreign = dir.path().join("photographs");
    fs::create_dir_all(foreign.join("older")).unwrap();
    fs::write(foreign.join("one.jpg"), b"not ours").unwrap();
    // A manifest of something else does not make it ours.
    fs::write(foreign.join("manifest.json"), b"{\"name\": \"a web page\"}").unwrap();
    let before = tree(dir.path());
    let out = foreign.display().to_string();
    let says = ["photographs", "did not write", "empty or new folder"];
    refused(&["run", &clean(), "--out", &out], &says);
    refused(&["run", &clean(), "--out", &out, "--plan"], &says);
    assert_eq!(tree(dir.path()), before);
    // A file of that name is no folder.
    let file = foreign.join("one.jpg").display().to_string();
    refused(&["run", &clean(), "--out", &file], &["one.jpg"]);
    assert_eq!(tree(dir.path()), before);
    // The demo says so before it simulates anything.
    fs::create_dir(dir.path().join("result")).unwrap();
    fs::write(dir.path().join("result/notes.txt"), b"not ours").unwrap();
    let before = tree(dir.path());
    refused(&["demo", "--out", dir.path().to_str().unwrap()], &["result", "did not write"]);
    assert_eq!(tree(dir.path()), before);
    // A study is not written over either.
    let study = dir.path().join("study");
    fs::create_dir(&study).unwrap();
    fs::write(study.join("study.toml"), b"mine").unwrap();
    refused(&["simulate", "--out", study.to_str().unwrap()], &["already holds a study"]);
    assert_eq!(fs::read(study.join("study.toml")).unwrap(), b"mine");
}

/// Nothing is computed for a folder that cannot be written: no line on the grid comes before the message.
#[test]
fn an_output_folder_that_cannot_be_is_refused_before_any_work() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("file"), b"not a folder").unwrap();
    let out = dir.path().join("file/result").display().to_string();
    let study = clean();
    let args = [&["run", &study, "--out", &out][..], &LEAST_EFFORT].concat();
    refused(&args, &["file", "cannot be written"]);
    // The folder one stands in cannot be renamed on every system: written, or refused at once.
    let here = dir.path().join("here");
    fs::create_dir(&here).unwrap();
    let ended = pignut()
        .current_dir(&here)
        .args(["run", &clean(), "--out", "."])
        .args(LEAST_EFFORT)
        .output()
        .unwrap();
    let messages = text(&ended.stderr);
    match ended.status.code() {
        Some(0 | 1) => assert!(here.join("manifest.json").is_file(), "{messages}"),
        _ => assert!(messages.starts_with("pignut: "), "refused after the work was done: {messages}"),
    }
}

/// No disease seen: layers without features, tables without rows, and nothing undefined written as 0.
#[test]
fn a_study_without_a_positive_writes_empty_layers() {
    let dir = tempfile::tempdir().unwrap();
    let study = study(dir.path(), |t| t.replace("clean.csv", "clear.csv"));
    let records = fs::read_to_string(fixture("clean.csv")).unwrap();
    fs::write(dir.path().join("clear.csv"), records.replace("yes,culture,positive", "no,,")).unwrap();
    let result = dir.path().join("result");
    least_run(&study, &result, &[]);
    for layer in ["positives.geojson", "origins.geojson"] {
        let json: Value = serde_json::from_slice(&fs::read(result.join(layer)).unwrap()).unwrap();
        // RFC 7946 §3.3: an empty array is allowed. §5: a box of nothing is left out.
        assert_eq!(json, serde_json::json!({ "type": "FeatureCollection", "features": [] }), "{layer}");
    }
    let cells: Value = serde_json::from_slice(&fs::read(result.join("cells.geojson")).unwrap()).unwrap();
    for f in cells["features"].as_array().unwrap() {
        assert!(f["properties"].get("window_median").is_none(), "{f}");
        assert_eq!(f["properties"]["expected_infections"], 0);
    }
    let summary: Value = serde_json::from_slice(&fs::read(result.join("summary.json")).unwrap()).unwrap();
    assert!(summary["whole_grid"].get("infection_window").is_none());
    assert!(summary["whole_grid"].get("last_positive").is_none());
    use polars::prelude::{ParquetReader, SerReader};
    for table in ["positives", "origins"] {
        let file = fs::File::open(result.join(format!("tables/{table}.parquet"))).unwrap();
        assert_eq!(ParquetReader::new(file).finish().unwrap().height(), 0, "{table}");
    }
}

/// `--age` and the same ages in the file are one analysis; only the note differs.
#[test]
fn an_age_typed_does_what_the_same_age_in_the_file_does() {
    let dir = tempfile::tempdir().unwrap();
    // A herd of young pigs: the one older pig is what reaches furthest back.
    let young = |s3: &str| {
        let records = fs::read_to_string(fixture("clean.csv")).unwrap();
        let rows: Vec<String> = records
            .lines()
            .enumerate()
            .map(|(i, line)| {
                let mut cells: Vec<&str> = line.split(',').collect();
                if i > 0 {
                    let ages = if cells[0] == "S-3" { s3 } else { "6-9" };
                    (cells[6], cells[7]) = ages.split_once('-').unwrap();
                }
                cells.join(",")
            })
            .collect();
        rows.join("\n") + "\n"
    };
    let study = study(dir.path(), |t| t.replace("lookback_years = 1.0", "lookback_years = 4.0"));
    let result = |ages: &str, more: &[&str]| {
        fs::write(dir.path().join("clean.csv"), young(ages)).unwrap();
        let out = dir.path().join("result");
        least_run(&study, &out, more);
        ["cells.geojson", "positives.geojson"].map(|f| fs::read_to_string(out.join(f)).unwrap())
    };
    let typed = result("10-14", &["--age", "S-3=40-48"]);
    assert!(typed == result("40-48", &[]), "the grid was laid out for the recorded age");
    assert!(typed != result("10-14", &[]));
}

#[test]
fn an_age_typed_instead_of_the_recorded_one_moves_the_window_and_is_noted() {
    let dir = tempfile::tempdir().unwrap();
    let window = |name: &str, more: &[&str]| {
        let folder = dir.path().join(name);
        least_run(&clean(), &folder, more);
        let layer: Value =
            serde_json::from_slice(&fs::read(folder.join("positives.geojson")).unwrap()).unwrap();
        let p = layer["features"][0]["properties"].clone();
        assert_eq!(p["occurrence_id"], "S-3");
        let findings = fs::read_to_string(folder.join("findings.csv")).unwrap();
        let start: jiff::civil::Date = p["window_start"].as_str().unwrap().parse().unwrap();
        (start, findings)
    };
    let (recorded, plain) = window("recorded", &[]);
    let (what_if, noted) = window("what-if", &["--age", "S-3=40-48"]);
    // Killed on 2020-11-26 at 10 to 14 months, or at 40 to 48: born no earlier, infected no earlier.
    // A month is the mean month, 30.44 days: two days of slack.
    let earliest = |months: i32| {
        let killed: jiff::civil::Date = "2020-11-26".parse().unwrap();
        killed - jiff::Span::new().months(months).days(2)
    };
    assert!(recorded >= earliest(14), "{recorded}");
    assert!(what_if >= earliest(48) && what_if < earliest(14), "{what_if}");
    assert!(!plain.contains("age-what-if"));
    let note = noted.lines().find(|l| l.contains("age-what-if")).expect("a note");
    for part in ["note,", "clean.csv", ",4,", "S-3", "40 to 48", "10 to 14", "--age"] {
        assert!(note.contains(part), "{part}: {note}");
    }
}

#[test]
fn an_age_for_no_pig_or_of_no_sense_is_an_error() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out").display().to_string();
    let with = |age: &str, says: &[&str]| {
        refused(&["run", &clean(), "--out", &out, "--age", age], says);
        assert!(!Path::new(&out).exists());
    };
    with("S-99=40-48", &["\"S-99\"", "no record"]);
    for nonsense in ["S-3", "S-3=40", "S-3=48-40", "S-3=a-b", "S-3=40-9999"] {
        with(nonsense, &[nonsense, "ages in months"]);
    }
}

/// PROJ reads the register it finds through these variables; one of another version makes every code fail.
#[test]
fn a_foreign_register_of_coordinate_systems_does_not_break_a_run() {
    let dir = tempfile::tempdir().unwrap();
    let foreign = dir.path().join("proj");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("proj.db"), b"not a register").unwrap();
    least_run(&clean(), &dir.path().join("plain"), &[]);
    for variable in ["PROJ_DATA", "PROJ_LIB"] {
        let out = dir.path().join(variable);
        let ended = pignut()
            .args(["run", &clean(), "--out"])
            .arg(&out)
            .args(LEAST_EFFORT)
            .env(variable, &foreign)
            .output()
            .unwrap();
        assert_eq!(ended.status.code(), Some(1), "{}", text(&ended.stderr));
        let layer = |folder: &Path| fs::read(folder.join("cells.geojson")).unwrap();
        assert!(layer(&out) == layer(&dir.path().join("plain")), "{variable}");
    }
    // The exit code and the single message pass through the restart.
    let ended = pignut().args(["check", "nowhere.toml"]).env("PROJ_DATA", &foreign).output().unwrap();
    assert_eq!(ended.status.code(), Some(2));
    assert_eq!(text(&ended.stderr).matches("pignut: ").count(), 1);
}
