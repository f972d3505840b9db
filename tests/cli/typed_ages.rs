//! `--age`: an age typed instead of the recorded one.

use super::calls::{clean, fixture, least_run, refused, study};
use serde_json::Value;
use std::fs;
use std::path::Path;

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
