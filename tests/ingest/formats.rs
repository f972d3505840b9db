//! The same records in each format.

use super::reading::{read, same_six, study_of, without_source};
use jiff::civil::date;
use pignut::internals::ingest::Ingested;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::records::{Age, Sex};

#[test]
fn six_formats_give_the_same_six_pigs() {
    let csv = read(&study_of(&same_six(), &["six.csv"])).unwrap();
    assert_eq!(
        (csv.account.counts.read, csv.account.counts.used, csv.account.counts.refused),
        (6, 6, 0),
        "{:?}",
        csv.account.findings
    );
    let first = &csv.records.pigs[0];
    assert_eq!((first.id.as_str(), first.sex, first.source.row), ("1001", Sex::Female, 2));
    assert_eq!(first.age, Age::Interval { min_months: 12.0, max_months: 20.5 });
    assert_eq!(first.killed.first, date(2021, 3, 4));
    // The circle that holds 95 %: 1 − exp(−r²/2σ²) = 0.95.
    let inside = 1.0 - (-50.0f64.powi(2) / (2.0 * first.position_sd_m.powi(2))).exp();
    assert!((inside - 0.95).abs() < 1e-12, "{inside}");
    assert_eq!(csv.records.pigs[3].released_on, Some(date(2020, 1, 15)));
    assert_eq!(csv.as_of, date(2022, 1, 31));
    assert!(
        csv.account.projection_note.contains("6 position(s) from EPSG:4326"),
        "{}",
        csv.account.projection_note
    );
    for file in ["six-semicolon.csv", "six.xlsx", "six.parquet", "six.geojson", "six.gpkg"] {
        let other = read(&study_of(&same_six(), &[file])).unwrap_or_else(|e| panic!("{file}: {e}"));
        assert_eq!(without_source(&other.records.pigs), without_source(&csv.records.pigs), "{file}");
        assert_eq!(other.account.counts, csv.account.counts, "{file}");
        // The workbook has another sheet, which is said to be left alone.
        let of_rows = |f: &&pignut::internals::ingest::findings::Finding| f.code != "sheets-not-read";
        let codes =
            |i: &Ingested| i.account.findings.iter().filter(of_rows).map(|f| f.code).collect::<Vec<_>>();
        assert_eq!(codes(&other), codes(&csv), "{file}");
        assert_eq!(
            other.account.findings.len() - codes(&other).len(),
            usize::from(file == "six.xlsx"),
            "{file}"
        );
        assert_eq!(other.account.inputs[0].rows, Some(6));
    }
}

/// As a GIS saves points that it promotes: the same six pigs.
#[test]
fn a_multi_point_of_one_point_is_that_point() {
    let dir = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(same_six().join("six.geojson")).unwrap();
    let mut layer: serde_json::Value = serde_json::from_str(&text).unwrap();
    for feature in layer["features"].as_array_mut().unwrap() {
        let at = feature["geometry"]["coordinates"].take();
        feature["geometry"] = serde_json::json!({ "type": "MultiPoint", "coordinates": [at] });
    }
    let put = |layer: &serde_json::Value| {
        std::fs::write(dir.path().join("six.geojson"), layer.to_string()).unwrap()
    };
    put(&layer);
    let one = read(&study_of(dir.path(), &["six.geojson"])).unwrap();
    let points = read(&study_of(&same_six(), &["six.geojson"])).unwrap();
    assert_eq!(without_source(&one.records.pigs), without_source(&points.records.pigs));
    // Two points are no place.
    let second = serde_json::json!([172.96, -39.92]);
    layer["features"][0]["geometry"]["coordinates"].as_array_mut().unwrap().push(second);
    put(&layer);
    let two = read(&study_of(dir.path(), &["six.geojson"])).unwrap();
    assert_eq!((two.account.counts.used, two.account.counts.refused), (5, 1));
    assert!(
        two.account
            .findings
            .iter()
            .any(|f| f.code == "geometry-not-a-point" && f.message.contains("MultiPoint"))
    );
}

#[test]
fn several_files_are_read_in_order_and_share_one_set_of_ids() {
    let both = read(&study_of(&same_six(), &["six.csv", "six.geojson"])).unwrap();
    assert_eq!((both.account.counts.read, both.account.counts.used, both.account.counts.joined), (12, 6, 6));
    assert!(both.records.pigs.iter().all(|p| p.source.file == "six.csv"));
    let joined: Vec<_> =
        both.account.rows.iter().filter(|r| r.status == "part of another row").map(|r| &r.file).collect();
    assert!(joined.len() == 6 && joined.iter().all(|f| *f == "six.geojson"));
}

#[test]
fn inputs_carry_their_fingerprint() {
    let read = read(&study_of(&same_six(), &["six.csv"])).unwrap();
    let input = &read.account.inputs[0];
    assert_eq!((input.path.as_str(), input.role, input.bytes), ("six.csv", "pigs", 616));
    // As printed by GNU coreutils sha256sum.
    assert_eq!(input.sha256, "bcdfa071f571684109f807e44607eade687d4215297135ee245972055b4aa5e0");
}

#[test]
fn what_cannot_go_on_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &[u8]| std::fs::write(dir.path().join(name), text).unwrap();
    write(
        "twice.csv",
        b"occurrenceID,Occurrence ID,eventDate,easting,northing,grossLesion\n1,2,2021,1,2,no\n",
    );
    write("not.xlsx", b"PK not a workbook");
    write("not.parquet", b"PAR1 not parquet");
    write("not.gpkg", b"SQLite format 2");
    write("not.geojson", b"{\"type\": \"FeatureCollection\", \"features\": [");
    write("pigs.dbf", b"x");
    for (file, part) in [
        ("absent.csv", "cannot be read"),
        ("twice.csv", "both stand for occurrenceID"),
        ("not.xlsx", "is not a workbook"),
        ("not.parquet", "is not Parquet"),
        ("not.geojson", "is not GeoJSON"),
        ("not.gpkg", "is not a GeoPackage"),
        ("pigs.dbf", "\".dbf\""),
    ] {
        let text = read(&study_of(dir.path(), &[file])).unwrap_err().to_string();
        assert!(text.contains(file) && text.contains(part), "{text}");
    }
    let mut study = study_of(&same_six(), &["six.xlsx"]);
    study.records.sheet = Some("Kills".into());
    let text = read(&study).unwrap_err().to_string();
    assert!(text.contains("Kills") && text.contains("pigs, notes"), "{text}");
    study.records.sheet = Some("pigs".into());
    assert!(read(&study).is_ok());
    study.study.crs = "EPSG:4326".into();
    assert!(matches!(read(&study), Err(IngestError::Projection(_))));
}
