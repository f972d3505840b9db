//! Ingest and projection: against published check points, across formats, under corruption.

use geo::{Area, Coord};
use jiff::civil::date;
use pignut::internals::geography::coordinates::environment::{clean_command, environment_is_clean};
use pignut::internals::geography::coordinates::held::ProjectionError;
use pignut::internals::geography::coordinates::projector::Projector;
use pignut::internals::geography::coordinates::register::facts;
use pignut::internals::geography::coordinates::transform::Transform;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::findings::Severity;
use pignut::internals::ingest::values::angle::degrees_minutes_seconds;
use pignut::internals::ingest::{Ingested, read_study_on};
use pignut::internals::records::{Age, Pig, Sex};
use pignut::internals::study::study_file::{OneOrMany, Study};
use proptest::prelude::*;
use std::io::Write;
use std::path::Path;

/// One millimetre: what the published points are printed to.
const MILLIMETRE: f64 = 0.001;
/// Half a unit of the ninth decimal of a degree, with room for the 0.05 mm of the forward rounding.
const DEGREE_REL: f64 = 1e-8;

fn dms(d: f64, m: f64, s: f64) -> f64 {
    d.signum() * (d.abs() + m / 60.0 + s / 3600.0)
}

fn convert(from: &str, to: &str, x: f64, y: f64) -> Coord {
    Transform::new(from, to).unwrap().convert(Coord { x, y }).unwrap()
}

#[test]
fn nztm2000_meets_the_agencys_self_test_points() {
    // Self-test points of the national agency's own NZTM2000 code, seen in two ports of it:
    // easting, northing, latitude, longitude (printed to 1 mm and 9 decimals).
    for (e, n, lat, lon) in [
        (1_576_041.150, 6_188_574.240, -34.444065991, 172.739193967),
        (1_576_542.010, 5_515_331.050, -40.512408980, 172.723105968),
        (1_307_103.220, 4_826_464.860, -46.651295012, 169.172062008),
    ] {
        // NZGD2000 is the points' own datum, so no datum step comes between.
        let at = convert("EPSG:4167", "EPSG:2193", lon, lat);
        assert!((at.x - e).abs() < MILLIMETRE && (at.y - n).abs() < MILLIMETRE, "{at:?}");
        let back = convert("EPSG:2193", "EPSG:4167", e, n);
        assert!((back.x - lon).abs() < DEGREE_REL && (back.y - lat).abs() < DEGREE_REL, "{back:?}");
        // WGS 84 and NZGD2000 are one to about a metre; the register's operation is the identity.
        let p = Projector::new("EPSG:2193").unwrap();
        let wgs = p.from_wgs84(&[Coord { x: lon, y: lat }]).unwrap()[0];
        assert!((wgs.x - e).abs() < MILLIMETRE && (wgs.y - n).abs() < MILLIMETRE, "{wgs:?}");
        let back = p.to_wgs84(&[Coord { x: e, y: n }]).unwrap()[0];
        assert!((back.x - lon).abs() < DEGREE_REL && (back.y - lat).abs() < DEGREE_REL, "{back:?}");
    }
}

#[test]
fn other_systems_meet_their_published_points() {
    // from, to, longitude, latitude, easting, northing, tolerance (m), source.
    for (from, to, lon, lat, e, n, tolerance, source) in [
        (
            "EPSG:4277",
            "EPSG:27700",
            dms(1.0, 43.0, 4.5177),
            dms(52.0, 39.0, 27.2531),
            651_409.903,
            313_177.270,
            MILLIMETRE,
            "Ordnance Survey, A guide to coordinate systems in Great Britain, annex C",
        ),
        (
            "EPSG:4277",
            "EPSG:27700",
            dms(1.0, 20.0, 21.1080),
            dms(52.0, 34.0, 26.8915),
            626_238.248,
            302_646.412,
            MILLIMETRE,
            "Ordnance Survey, worked example of the station at Framingham",
        ),
        (
            "EPSG:4277",
            "EPSG:27700",
            0.5,
            50.5,
            577_274.99,
            69_740.50,
            0.01,
            "IOGP guidance note 7-2, Transverse Mercator (printed to 1 cm)",
        ),
        (
            "EPSG:4258",
            "EPSG:3035",
            5.0,
            50.0,
            3_962_799.45,
            2_999_718.85,
            0.01,
            "IOGP guidance note 7-2, Lambert Azimuthal Equal Area (printed to 1 cm)",
        ),
        (
            "EPSG:4269",
            "EPSG:26985",
            -dms(77.0, 9.0, 15.14805),
            dms(39.0, 0.0, 38.66215),
            386_644.192,
            149_209.682,
            MILLIMETRE,
            "National Geodetic Survey data sheet, mark JV7114",
        ),
        (
            "EPSG:4171",
            "EPSG:2154",
            3.0,
            46.5,
            700_000.0,
            6_600_000.0,
            MILLIMETRE,
            "IGN, definition of Lambert-93: false origin",
        ),
    ] {
        let at = convert(from, to, lon, lat);
        assert!((at.x - e).abs() < tolerance && (at.y - n).abs() < tolerance, "{source}: {at:?}");
        let back = convert(to, from, e, n);
        // A degree is at most 111 km, so this is the same tolerance seen from the other side.
        let deg = tolerance / 60_000.0;
        assert!((back.x - lon).abs() < deg && (back.y - lat).abs() < deg, "{source}: {back:?}");
    }
}

#[test]
fn a_study_system_must_be_projected_in_metres_to_the_east_and_north() {
    let error = |code: &str| Projector::new(code).err().unwrap_or_else(|| panic!("{code} was taken"));
    assert!(matches!(error("EPSG:4326"), ProjectionError::NotProjected { .. }));
    // New York Long Island in US survey feet; Lo29, westing and southing (EPSG register).
    assert!(matches!(error("EPSG:2263"), ProjectionError::NotMetres { .. }));
    assert!(matches!(error("EPSG:2053"), ProjectionError::AxesNotEastNorth { .. }));
    assert!(matches!(error("EPSG:999999"), ProjectionError::UnknownCode { .. }));
    assert!(matches!(error("somewhere"), ProjectionError::BadCode { .. }));
    // A vertical system.
    assert!(matches!(error("EPSG:5703"), ProjectionError::NotProjected { .. }));
    for code in ["EPSG:4326", "EPSG:2263", "EPSG:2053", "EPSG:999999", "EPSG:5703"] {
        let text = error(code).to_string();
        assert!(text.contains(code) && (text.contains("; c") || text.contains("register")), "{text}");
    }
}

#[test]
fn the_way_and_its_accuracy_can_be_told() {
    let p = Projector::new("EPSG:2193").unwrap();
    // New Zealand Map Grid: the datum step without a grid file is the seven-parameter one, 4 m
    // (EPSG register, NZGD49 to NZGD2000 (2)).
    let way = p.from_crs("EPSG:27200").unwrap();
    way.convert(Coord { x: 2_510_000.0, y: 6_023_150.0 }).unwrap();
    let operation = way.operation();
    assert_eq!(operation.accuracy_m, Some(4.0), "{operation}");
    let area = p.area_of_use().unwrap();
    assert!(area.contains(173.0, -40.0, 0.0) && !area.contains(173.0, 40.0, 0.0));
    assert_eq!(facts("epsg: 2193").unwrap().unit, "metre");
}

#[test]
fn one_projector_per_thread() {
    let expected =
        Projector::new("EPSG:2193").unwrap().from_wgs84(&[Coord { x: 173.0, y: -40.0 }]).unwrap()[0];
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for _ in 0..5 {
                    let p = Projector::new("EPSG:2193").unwrap();
                    assert_eq!(p.from_wgs84(&[Coord { x: 173.0, y: -40.0 }]).unwrap()[0], expected);
                }
            });
        }
    });
}

/// Run by hand it checks that a clean environment works; [`a_foreign_register_is_seen_and_cleaned`]
/// runs it in others and reads what it prints.
#[test]
fn report_on_the_environment() {
    let clean = environment_is_clean();
    let error = Projector::new("EPSG:2193").err().map_or_else(String::new, |e| e.to_string());
    let mut command = std::process::Command::new("none");
    clean_command(&mut command);
    let change =
        |name: &str| command.get_envs().find(|(k, _)| *k == name).map(|(_, v)| v.map(|v| v.to_owned()));
    println!("clean={clean} error=[{error}] data={:?} lib={:?}", change("PROJ_DATA"), change("PROJ_LIB"));
    assert!(!clean || error.is_empty(), "{error}");
}

#[test]
fn a_foreign_register_is_seen_and_cleaned() {
    let dir = tempfile::tempdir().unwrap();
    let (foreign, grids) = (dir.path().join("foreign"), dir.path().join("grids"));
    std::fs::create_dir_all(&foreign).unwrap();
    std::fs::create_dir_all(&grids).unwrap();
    std::fs::write(foreign.join("proj.db"), "another PROJ's register").unwrap();
    let both = std::env::join_paths([&foreign, &grids]).unwrap();
    let child = |data: Option<&std::ffi::OsStr>, lib: Option<&std::ffi::OsStr>| {
        let mut command = std::process::Command::new(std::env::current_exe().unwrap());
        command.args(["report_on_the_environment", "--nocapture"]);
        for (name, value) in [("PROJ_DATA", data), ("PROJ_LIB", lib)] {
            match value {
                Some(v) => command.env(name, v),
                None => command.env_remove(name),
            };
        }
        let out = command.output().unwrap();
        String::from_utf8_lossy(&out.stdout).lines().find(|l| l.contains("clean=")).unwrap_or("").to_string()
    };
    // A register of another PROJ breaks every code, and the error says where it lies.
    let spoilt = child(Some(&both), Some(foreign.as_os_str()));
    assert!(spoilt.contains("clean=false") && spoilt.contains("not in the EPSG register"), "{spoilt}");
    assert!(spoilt.contains(&*foreign.join("proj.db").to_string_lossy()), "{spoilt}");
    // The folder with grids stays, the other goes, PROJ_LIB goes altogether.
    let kept = format!("data=Some(Some({:?})) lib=Some(None)", grids.as_os_str());
    assert!(spoilt.contains(&kept), "{spoilt}\n{kept}");
    let cleaned = child(Some(grids.as_os_str()), None);
    assert!(cleaned.contains("clean=true error=[]"), "{cleaned}");
}

#[test]
fn degrees_minutes_seconds_meet_outside_pairs() {
    // Darwin Core quick reference: examples of verbatimLatitude and decimalLatitude, of
    // verbatimLongitude and decimalLongitude (the degrees from memory).
    let at = degrees_minutes_seconds("41 05 54.03S 121d 10' 34\" W").unwrap();
    assert!((at.y + 41.0983423).abs() < 1e-6 && (at.x + 121.1761111).abs() < 1e-6, "{at:?}");
    // Darwin Core, example of verbatimCoordinates.
    let at = degrees_minutes_seconds("41 05 54S 121 05 34W").unwrap();
    assert!((at.y + dms(41.0, 5.0, 54.0)).abs() < 1e-12 && (at.x + dms(121.0, 5.0, 34.0)).abs() < 1e-12);
    // Apple Core guide to herbarium data, "Ranges": one corner and its decimal degrees.
    let at = degrees_minutes_seconds("46° 32' N 70° 08' W").unwrap();
    assert!((at.y - 46.5333333).abs() < 1e-7 && (at.x + 70.1333333).abs() < 1e-7);
    // A pair of an agency's online converter, quoted in a question-and-answer post; seconds
    // are printed to 0.001, that is 3 cm, and a recomputation differs by 3 mm.
    let at = degrees_minutes_seconds("38 09 22.691 S, 176 25 48.538 E").unwrap();
    let metres = convert("EPSG:4167", "EPSG:2193", at.x, at.y);
    assert!((metres.x - 1_900_560.5).abs() < 0.1 && (metres.y - 5_771_280.5).abs() < 0.1, "{metres:?}");
}

fn study_of(folder: &Path, files: &[&str]) -> Study {
    let mut study = Study::minimal("test", "EPSG:2193", files[0]);
    study.records.pigs = OneOrMany::Many(files.iter().map(|f| f.to_string()).collect());
    study.folder = folder.to_path_buf();
    study
}

fn read(study: &Study) -> Result<Ingested, IngestError> {
    read_study_on(study, date(2025, 1, 1))
}

fn without_source(pigs: &[Pig]) -> Vec<Pig> {
    let mut pigs = pigs.to_vec();
    for p in &mut pigs {
        p.source.file.clear();
        p.source.row = 0;
    }
    pigs
}

fn same_six() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/studies/same-six")
}

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
    let inside = 1.0 - (-50.0f64.powi(2) / (2.0 * first.fix_sd_m.powi(2))).exp();
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
        let (a, b) = (a.outline.unsigned_area(), b.outline.unsigned_area());
        assert!((a - b).abs() < 1e-6 * b && b > 9e7, "{a} {b}");
    }
    study.areas.zones = Some("layers.gpkg".into());
    let text = read(&study).unwrap_err().to_string();
    assert!(text.contains("no layer \"zones\"") && text.contains("this name"), "{text}");
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

#[test]
fn several_files_are_read_in_order_and_share_one_set_of_ids() {
    let both = read(&study_of(&same_six(), &["six.csv", "six.geojson"])).unwrap();
    assert_eq!((both.account.counts.read, both.account.counts.used, both.account.counts.refused), (12, 6, 6));
    assert!(both.records.pigs.iter().all(|p| p.source.file == "six.csv"));
    let refused: Vec<_> = both.account.findings.iter().filter(|f| f.code == "id-repeated").collect();
    assert_eq!(refused.len(), 6);
    assert!(refused.iter().all(|f| f.file == "six.geojson" && f.message.contains("six.csv row")));
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
fn a_column_map_reads_a_sheet_with_headings_of_its_own() {
    let dir = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(same_six().join("six.csv")).unwrap();
    let renamed = text
        .replacen("occurrenceID", "Ear tag", 1)
        .replacen("eventDate", "Date shot", 1)
        .replacen("sex", "SEX", 1);
    std::fs::write(dir.path().join("pigs.csv"), renamed).unwrap();
    let mut study = study_of(dir.path(), &["pigs.csv"]);
    let error = read(&study).unwrap_err();
    assert!(matches!(&error, IngestError::MissingColumns { .. }), "{error}");
    let message = error.to_string();
    assert!(message.contains("occurrenceID, eventDate") && message.contains("Ear tag"), "{message}");
    study.records.columns.insert("occurrenceID".into(), "Ear tag".into());
    study.records.columns.insert("eventdate".into(), " date SHOT".into());
    let mapped = read(&study).unwrap();
    let plain = read(&study_of(&same_six(), &["six.csv"])).unwrap();
    assert_eq!(without_source(&mapped.records.pigs), without_source(&plain.records.pigs));
    study.records.columns.insert("sex".into(), "Gender".into());
    // The heading "SEX" names the column by itself, but the map may mean another column, misspelt.
    assert!(matches!(read(&study), Err(IngestError::NoSuchHeading { .. })));
    study.records.columns.insert("sex".into(), "SEX".into());
    assert!(read(&study).is_ok());
    study.records.columns.insert("labMethod".into(), "Test".into());
    std::fs::write(
        dir.path().join("pigs.csv"),
        text.replacen("labMethod", "Assay", 1).replacen("occurrenceID", "Ear tag", 1).replacen(
            "eventDate",
            "Date shot",
            1,
        ),
    )
    .unwrap();
    let message = read(&study).unwrap_err().to_string();
    assert!(message.contains("\"Test\"") && message.contains("Assay"), "{message}");
    study.records.columns.insert("shoeSize".into(), "Test".into());
    assert!(matches!(
        read(&study),
        Err(IngestError::NoSuchHeading { .. } | IngestError::UnknownColumnName { .. })
    ));
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
        ("twice.csv", "both name occurrenceID"),
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

#[test]
fn every_form_of_a_position_leads_to_the_same_place() {
    let dir = tempfile::tempdir().unwrap();
    let mut f = std::fs::File::create(dir.path().join("pigs.csv")).unwrap();
    // The second self-test point of NZTM2000 (see above), in four forms; New Zealand Map Grid is not among
    // them, as its datum step alone is good to 4 m.
    writeln!(f, "occurrenceID,eventDate,decimalLatitude,decimalLongitude,geodeticDatum,easting,northing,crs,verbatimCoordinates,ageMinMonths,ageMaxMonths,grossLesion").unwrap();
    for row in [
        "1,2021-01-01,-40.512408980,172.723105968,,,,,,1,2,no",
        "2,2021-01-01,-40.512408980,172.723105968,NZGD2000,,,,,1,2,no",
        "3,2021-01-01,,,,1576542.010,5515331.050,,,1,2,no",
        "4,2021-01-01,,,,\"1,576,542.01\",5 515 331.05,EPSG:2193,,1,2,no",
        "5,2021-01-01,,,,,,,\"40°30'44.672328\"\"S 172°43'23.181485\"\"E\",1,2,no",
        "6,2021-01-01,-40.512408980,172.723105968,,1576542.010,5515331.050,,,1,2,no",
    ] {
        writeln!(f, "{row}").unwrap();
    }
    drop(f);
    let read = read(&study_of(dir.path(), &["pigs.csv"])).unwrap();
    assert_eq!((read.account.counts.read, read.account.counts.used), (6, 6), "{:?}", read.account.findings);
    for p in &read.records.pigs {
        let off = (p.easting_m - 1_576_542.010).hypot(p.northing_m - 5_515_331.050);
        assert!(off < MILLIMETRE, "{}: {off} m", p.id);
    }
}

#[test]
fn areas_arrive_in_metres() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::copy(same_six().join("six.csv"), dir.path().join("pigs.csv")).unwrap();
    let mut study = study_of(dir.path(), &["pigs.csv"]);
    let p = Projector::new("EPSG:2193").unwrap();
    // A square of 10 km in the study's system, written out as RFC 7946 wants it.
    let corners = [
        (1_590_000.0, 5_570_000.0),
        (1_600_000.0, 5_570_000.0),
        (1_600_000.0, 5_580_000.0),
        (1_590_000.0, 5_580_000.0),
    ];
    let ring: Vec<String> = corners
        .iter()
        .chain(&corners[..1])
        .map(|&(x, y)| {
            let at = p.to_wgs84(&[Coord { x, y }]).unwrap()[0];
            format!("[{:.9},{:.9}]", at.x, at.y)
        })
        .collect();
    let square = format!("{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}", ring.join(","));
    let file = |name: &str, properties: &str, crs: &str, geometry: &str| {
        std::fs::write(
            dir.path().join(name),
            format!("{{\"type\":\"FeatureCollection\",{crs}\"features\":[{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{geometry}}}]}}"),
        )
        .unwrap();
    };
    file("zones.geojson", r#"{"zone_id": 7, "priorFree": "0,9", "introductionPerYear": 0.05}"#, "", &square);
    let projected: Vec<String> =
        corners.iter().chain(&corners[..1]).map(|(x, y)| format!("[{x},{y}]")).collect();
    file(
        "blocks.geojson",
        r#"{"blockID": "K1", "name": "West", "possumCostPerHa": 25, "feasible": false}"#,
        r#""crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::2193"}},"#,
        &format!("{{\"type\":\"MultiPolygon\",\"coordinates\":[[[{}]]]}}", projected.join(",")),
    );
    file("cover.geojson", r#"{"cover": "forest"}"#, "", &square);
    std::fs::write(
        dir.path().join("operations.csv"),
        "blockID;vector;startDate;endDate;efficacy\nK1;Possum;2019-06;2019-07;85%\nK1;ferret;2020-02-03;;\n",
    )
    .unwrap();
    study.areas.zones = Some("zones.geojson".into());
    study.areas.blocks = Some("blocks.geojson".into());
    study.areas.cover = Some("cover.geojson".into());
    study.areas.operations = Some("operations.csv".into());
    let read = read(&study).unwrap();
    assert!(read.account.findings.iter().all(|f| f.file == "pigs.csv"), "{:?}", read.account.findings);
    use geo::Area;
    let r = &read.records;
    for outline in [&r.zones[0].outline, &r.blocks[0].outline, &r.cover[0].outline] {
        // 100 km² to a square metre per corner: nine decimals of a degree are 0.1 mm.
        assert!((outline.unsigned_area() - 1e8).abs() < 10.0, "{}", outline.unsigned_area());
    }
    assert_eq!((r.zones[0].id.as_str(), r.zones[0].name.as_str()), ("7", "7"));
    assert_eq!((r.zones[0].prior_free, r.zones[0].introduction_per_year), (Some(0.9), Some(0.05)));
    assert_eq!((r.blocks[0].name.as_str(), r.blocks[0].feasible), ("West", false));
    assert_eq!((r.blocks[0].possum_cost_per_ha, r.blocks[0].ferret_cost_per_ha), (Some(25.0), None));
    let o = &r.operations;
    assert_eq!((o[0].start, o[0].end, o[0].efficacy), (date(2019, 6, 1), date(2019, 7, 31), Some(0.85)));
    assert_eq!((o[1].start, o[1].end, o[1].efficacy), (date(2020, 2, 3), date(2020, 2, 3), None));
    let roles: Vec<_> = read.account.inputs.iter().map(|i| (i.role, i.rows)).collect();
    assert_eq!(
        roles,
        vec![
            ("pigs", Some(6)),
            ("zones", Some(1)),
            ("blocks", Some(1)),
            ("cover", Some(1)),
            ("operations", Some(2))
        ]
    );
}

/// Cells that have broken readers before, or look like something they are not.
fn garbage() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[ -~]{0,12}",
        "\\PC{0,8}",
        "[0-9.,+-]{1,9}",
        "[0-9]{1,4}[-/][0-9]{1,2}[-/][0-9]{1,4}",
        prop::sample::select(vec![
            "NaN",
            "inf",
            "-inf",
            "1e308",
            "1e-320",
            "0x10",
            "2021-02-30",
            "9999-12-31",
            "-0",
            "\"",
            "\"\"",
            "a\nb",
            "all;all",
            "EPSG:0",
            "99999999999999999999",
            "٣",
            "\u{feff}",
            "=1+1",
            "90",
            "180",
            "-180",
            "1e9",
            "41°24'12.3\"S 172°10'05\"E",
            "° ' \"",
            "yes",
            "positive",
            "2021-03-04/05",
        ])
        .prop_map(str::to_string),
    ]
}

const HEADINGS: [&str; 17] = [
    "occurrenceID",
    "eventDate",
    "decimalLatitude",
    "decimalLongitude",
    "geodeticDatum",
    "easting",
    "northing",
    "verbatimCoordinates",
    "coordinateUncertaintyInMeters",
    "sex",
    "ageMinMonths",
    "ageMaxMonths",
    "nodePairsExamined",
    "grossLesion",
    "labMethod",
    "labResult",
    "releasedOn",
];

fn sound_row(i: usize) -> Vec<String> {
    let mut row = vec![String::new(); HEADINGS.len()];
    let set = [
        (0, format!("P{i}")),
        (1, format!("2021-03-{:02}", i % 28 + 1)),
        (2, format!("-39.9{i:02}")),
        (3, format!("172.9{i:02}")),
        (9, "female".into()),
        (10, "6".into()),
        (11, "12".into()),
        (12, "all".into()),
        (13, "no".into()),
    ];
    for (k, v) in set {
        row[k] = v;
    }
    row
}

/// Counts, refusals and rows must account for each other, whatever was read.
fn accounts(result: Result<Ingested, IngestError>, rows: Option<usize>) -> Result<(), TestCaseError> {
    let (counts, findings, used) = match result {
        Ok(r) => (
            r.account.counts,
            r.account.findings,
            r.records.pigs.iter().map(|p| p.source.row).collect::<Vec<_>>(),
        ),
        Err(IngestError::NoUsablePig { findings, counts }) => (counts, findings, vec![]),
        Err(_) => return Ok(()),
    };
    prop_assert!(counts.check());
    prop_assert_eq!(counts.used + counts.used_with_warning, used.len());
    let mut refused: Vec<usize> =
        findings.iter().filter(|f| f.severity == Severity::Refused).filter_map(|f| f.row).collect();
    refused.sort_unstable();
    refused.dedup();
    prop_assert_eq!(refused.len(), counts.refused);
    prop_assert!(used.iter().all(|r| refused.binary_search(r).is_err()));
    prop_assert!(used.windows(2).all(|w| w[0] < w[1]));
    if let Some(rows) = rows {
        prop_assert_eq!(counts.read, rows);
    }
    for f in &findings {
        prop_assert!(!f.message.is_empty() && !f.suggested_correction.is_empty());
        prop_assert!(f.value.as_ref().is_none_or(|v| v.chars().count() <= 60));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn garbage_in_any_cell_never_loses_a_record(
        rows in 1usize..9,
        spoilt in prop::collection::vec((0usize..9, 0usize..HEADINGS.len(), garbage()), 0..12),
    ) {
        let dir = tempfile::tempdir().unwrap();
        let mut table: Vec<Vec<String>> = (0..rows).map(sound_row).collect();
        for (r, c, text) in spoilt {
            table[r % rows][c] = text;
        }
        // A row with nothing in it is no record; a cell that holds whole rows is a quotation
        // mark that ran away. Neither is meant here.
        let full = table.iter().filter(|r| r.iter().any(|c| !c.trim().is_empty())).count();
        let mut writer = csv::Writer::from_path(dir.path().join("pigs.csv")).unwrap();
        writer.write_record(HEADINGS).unwrap();
        for row in &table {
            writer.write_record(row).unwrap();
        }
        writer.flush().unwrap();
        accounts(read(&study_of(dir.path(), &["pigs.csv"])), Some(full))?;
    }

    #[test]
    fn bytes_changed_anywhere_never_stop_the_count(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..10),
        file in prop::sample::select(vec!["six.csv", "six-semicolon.csv", "six.geojson", "six.xlsx", "six.parquet", "six.gpkg"]),
    ) {
        let dir = tempfile::tempdir().unwrap();
        let mut bytes = std::fs::read(same_six().join(file)).unwrap();
        for (at, byte) in changes {
            let i = at.index(bytes.len());
            bytes[i] = byte;
        }
        std::fs::write(dir.path().join(file), bytes).unwrap();
        accounts(read(&study_of(dir.path(), &[file])), None)?;
    }
}

/// A heading mapped wrongly must not send the reader to another column, nor two headings be taken for one.
#[test]
fn a_map_of_columns_is_followed_or_refused() {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    put(
        "a.csv",
        "Tag,eventDate,decimalLatitude,decimalLongitude,ageMinMonths,ageMaxMonths,Age max corrected,Result,Result\n\
         A1,2021-03-04,-39.91,172.95,6,9,12,negative,positive\n",
    );
    put(
        "b.csv",
        "occurrenceID,eventDate,decimalLatitude,decimalLongitude,ageMinMonths,ageMaxMonths,labResult\n\
         B1,2021-03-05,-39.92,172.96,6,9,negative\n",
    );
    let read = |files: &[&str], map: &[(&str, &str)]| {
        let mut study = Study::minimal("map", "EPSG:2193", files[0]);
        study.records.pigs = OneOrMany::Many(files.iter().map(|f| f.to_string()).collect());
        study.folder = dir.path().to_path_buf();
        study.records.columns = map.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect();
        read_study_on(&study, date(2025, 1, 1))
    };
    let said = |files: &[&str], map: &[(&str, &str)]| read(files, map).unwrap_err().to_string();
    let tag = ("occurrenceID", "Tag");
    let text = said(&["a.csv"], &[tag, ("ageMaxMonths", "Age max corected")]);
    assert!(
        text.contains("a.csv: has no column \"Age max corected\"") && text.contains("Age max corrected"),
        "{text}"
    );
    let text = said(&["a.csv"], &[tag, ("labResult", "Result")]);
    assert!(text.contains("columns \"Result\" and \"Result\" both stand for labResult"), "{text}");
    let text = said(&["a.csv"], &[tag, ("ageMaxMonths", "ageMinMonths"), ("ageMinMonths", "ageMinMonths")]);
    assert!(text.contains("\"ageMinMonths\" is named for"), "{text}");
    // Of several files one may have the heading named and another ours.
    let both = read(&["a.csv", "b.csv"], &[tag, ("labResult", "Age max corrected")]);
    assert!(both.is_ok_and(|r| r.account.counts.read == 2
        && r.account.counts.used == 0
        && r.account.counts.used_with_warning == 1));
    put(
        "c.csv",
        "Heads of the north,,,,\noccurrenceID,eventDate,decimalLatitude,decimalLongitude,grossLesion\n",
    );
    let text = said(&["c.csv"], &[]);
    assert!(text.contains("the column names seem to be in row 2: delete the rows above it"), "{text}");
}

/// The row that corrects a refused one is used; of two sound rows of one specimen it is said in what they differ.
#[test]
fn a_corrected_row_takes_the_place_of_the_one_it_corrects() {
    let dir = tempfile::tempdir().unwrap();
    let head = "occurrenceID,eventDate,decimalLatitude,decimalLongitude,ageMinMonths,ageMaxMonths,grossLesion,labMethod,labResult\n";
    let rows = "A1,2021-03-44,-39.91,172.95,6,9,no,,\nA1,2021-03-04,-39.91,172.95,6,9,no,,\n\
                A2,2021-03-04,-39.92,172.96,6,9,yes,culture,pending\nA2,2021-03-04,-39.92,172.96,6,9,yes,culture,positive\n";
    std::fs::write(dir.path().join("p.csv"), format!("{head}{rows}")).unwrap();
    let mut study = Study::minimal("twice", "EPSG:2193", "p.csv");
    study.folder = dir.path().to_path_buf();
    let read = read_study_on(&study, date(2025, 1, 1)).unwrap();
    let used: Vec<(usize, &str)> = read.records.pigs.iter().map(|p| (p.source.row, p.id.as_str())).collect();
    assert_eq!(used, [(3, "A1"), (4, "A2")]);
    let twice: Vec<String> =
        read.account.findings.iter().filter(|f| f.code == "id-repeated").map(ToString::to_string).collect();
    assert_eq!(twice.len(), 1);
    assert!(
        twice[0].contains("row 5")
            && twice[0].contains("is the specimen of p.csv row 4 already, with another result")
    );
    assert!(twice[0].ends_with(
        "keep the row that is right if it is the same pig, or give every specimen a number of its own"
    ));
}

/// Web Mercator at 40 degrees south stretches by 1.3 (Snyder 1987, p. 44): a range of 2 km would be one of 1.5.
#[test]
fn a_system_that_stretches_distances_is_refused_with_one_that_does_not() {
    let mut study = Study::minimal("stretched", "EPSG:3857", "good.csv");
    study.folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bad-input");
    let text = read_study_on(&study, date(2025, 1, 1)).unwrap_err().to_string();
    assert!(
        text.contains("EPSG:3857 makes distances 1.31 times too long") && text.contains("EPSG:32759"),
        "{text}"
    );
    study.study.crs = "EPSG:32759".into();
    assert!(read_study_on(&study, date(2025, 1, 1)).is_ok());
}
