//! GeoPackages: layers, codes, row numbers, files that are being written.

use super::reading::{read, same_six, study_of};
use geo::Area;

/// Both GeoPackages are written by GDAL's `ogr2ogr` (`scripts/make-ingest-fixtures`).
#[test]
fn a_layer_of_a_geopackage_is_chosen_by_name() {
    let mut study = study_of(&same_six(), &["layers.gpkg"]);
    let text = read(&study).unwrap_err().to_string();
    assert!(text.contains("heads, Blocks, ranges, operations") && text.contains("records.sheet"), "{text}");
    study.records.sheet = Some("Heads ".into());
    let metres = read(&study).unwrap();
    let degrees = read(&study_of(&same_six(), &["six.geojson"])).unwrap();
    assert_eq!(metres.account.counts, degrees.account.counts);
    for (a, b) in metres.records.pigs.iter().zip(&degrees.records.pigs) {
        // GDAL brought them into metres with a PROJ of its own.
        assert!(
            (a.easting_m - b.easting_m).abs() < 1e-3 && (a.northing_m - b.northing_m).abs() < 1e-3,
            "{a:?} {b:?}"
        );
        assert_eq!((&a.id, a.killed, a.age, a.sex), (&b.id, b.killed, b.age, b.sex));
    }
    // Areas and the table of operations: the layers that bear the roles' names; `ranges` is not asked for.
    study.areas.blocks = Some("layers.gpkg".into());
    study.areas.operations = Some("layers.gpkg".into());
    let all = read(&study).unwrap();
    let ids: Vec<&str> = all.records.blocks.iter().map(|b| b.id.as_str()).collect();
    assert_eq!((ids, all.records.operations.len()), (vec!["K1", "K2"], 1), "{:?}", all.account.findings);
    // K1 as the GeoJSON file it was made from draws it, 0.1 of a degree wide.
    let mut plain = study.clone();
    plain.areas.operations = None;
    plain.areas.blocks = Some("../../bad-input/blocks.geojson".into());
    let plain = read(&plain).unwrap();
    for (a, b) in all.records.blocks.iter().zip(&plain.records.blocks) {
        let (a, b) = (a.boundary.unsigned_area(), b.boundary.unsigned_area());
        assert!((a - b).abs() < 1e-6 * b && b > 9e7, "{a} {b}");
    }
    study.areas.zones = Some("layers.gpkg".into());
    let text = read(&study).unwrap_err().to_string();
    assert!(text.contains("no layer \"zones\"") && text.contains("this name"), "{text}");
}

/// Positions of a system without an EPSG code could lie anywhere.
#[test]
fn a_layer_without_a_code_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("six.gpkg");
    std::fs::copy(same_six().join("six.gpkg"), &path).unwrap();
    let file = rusqlite::Connection::open(&path).unwrap();
    file.execute("UPDATE gpkg_spatial_ref_sys SET organization = 'NONE' WHERE srs_id = 4326", []).unwrap();
    drop(file);
    let text = read(&study_of(dir.path(), &["six.gpkg"])).unwrap_err().to_string();
    assert!(text.contains("six.gpkg") && text.contains("records") && text.contains("no EPSG code"), "{text}");
}

/// A layer whose row numbers are the specimens' numbers keeps them.
#[test]
fn row_numbers_named_as_the_specimens_are_their_ids() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("six.gpkg");
    std::fs::copy(same_six().join("six.gpkg"), &path).unwrap();
    let file = rusqlite::Connection::open(&path).unwrap();
    let mut names = file.prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'").unwrap();
    let triggers: Vec<String> = names.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect();
    // The triggers of the spatial index call functions that only a GIS has.
    triggers.iter().for_each(|t| file.execute_batch(&format!("DROP TRIGGER \"{t}\"")).unwrap());
    let rename = "ALTER TABLE records RENAME COLUMN occurrenceID TO spare; \
                  ALTER TABLE records RENAME COLUMN fid TO occurrenceID";
    file.execute_batch(rename).unwrap();
    drop(names);
    drop(file);
    let read = read(&study_of(dir.path(), &["six.gpkg"])).unwrap();
    let ids: Vec<&str> = read.records.pigs.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(ids, ["1", "2", "3", "4", "5", "6"]);
}

/// What another program has written beside the file and not yet into it would be missed in silence.
#[test]
fn a_geopackage_that_is_being_written_is_not_read() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::copy(same_six().join("six.gpkg"), dir.path().join("six.gpkg")).unwrap();
    let study = study_of(dir.path(), &["six.gpkg"]);
    std::fs::write(dir.path().join("six.gpkg-wal"), b"").unwrap();
    assert_eq!(read(&study).unwrap().account.counts.used, 6, "an empty log holds nothing back");
    std::fs::write(dir.path().join("six.gpkg-wal"), b"pages").unwrap();
    let text = read(&study).unwrap_err().to_string();
    assert!(text.contains("six.gpkg-wal") && text.contains("close"), "{text}");
    // A file kept with a write-ahead log says so in its header.
    std::fs::remove_file(dir.path().join("six.gpkg-wal")).unwrap();
    let mut bytes = std::fs::read(dir.path().join("six.gpkg")).unwrap();
    (bytes[18], bytes[19]) = (2, 2);
    std::fs::write(dir.path().join("six.gpkg"), bytes).unwrap();
    assert_eq!(read(&study).unwrap().account.counts.used, 6);
}
