//! Coordinates against published check points, and the register that they depend on.

use super::reading::{MILLIMETRE, read, study_of};
use geo::Coord;
use jiff::civil::date;
use pignut::internals::geography::coordinates::environment::{clean_command, environment_is_clean};
use pignut::internals::geography::coordinates::held::ProjectionError;
use pignut::internals::geography::coordinates::projector::Projector;
use pignut::internals::geography::coordinates::register::facts;
use pignut::internals::geography::coordinates::transform::Transform;
use pignut::internals::ingest::read_study_on;
use pignut::internals::ingest::values::angle::degrees_minutes_seconds;
use pignut::internals::study::study_file::Study;
use std::io::Write;
use std::path::Path;

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

#[test]
fn every_form_of_a_position_leads_to_the_same_place() {
    let dir = tempfile::tempdir().unwrap();
    let mut f = std::fs::File::create(dir.path().join("pigs.csv")).unwrap();
    // The second self-test point of NZTM2000 (see above), in four forms; New Zealand Map Grid is not among
    // them, as its datum step alone is good to 4 m.
    writeln!(
        f,
        "occurrenceID,eventDate,decimalLatitude,decimalLongitude,geodeticDatum,easting,northing,crs,\
         verbatimCoordinates,ageMinMonths,ageMaxMonths,grossLesion"
    )
    .unwrap();
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

/// Web Mercator at 40 degrees south stretches by 1.3 (Snyder 1987, p. 44): a range of 2 km would be one of
/// 1.5.
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
