//! What a result folder holds against what is declared of it, and the guide's page of files and columns.

use pignut::internals::contract::files::files;
use pignut::internals::contract::guide_page::page;
use pignut::internals::contract::{ColumnKind, ColumnSpec, FileKind, FileSpec, Written, members};
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use polars::prelude::{DataFrame, DataType, ParquetReader, SerReader};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// With `PIGNUT_WRITE_GUIDE` set the page is written anew first.
#[test]
fn the_guide_shows_what_is_declared() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/guide/files_and_columns.md");
    if std::env::var_os("PIGNUT_WRITE_GUIDE").is_some() {
        fs::write(&path, page()).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap();
    assert!(kept == page(), "run the tests with PIGNUT_WRITE_GUIDE=1 and commit {}", path.display());
    for file in files() {
        assert!(kept.contains(file.path), "{}", file.path);
    }
}

/// Words that readers are spared, or that mean two things.
const AVOIDED: [&str; 9] =
    ["hazard", "draw", "vector", "kill ", "worth", "mend ", "knife", "look-alike", "district"];

fn reads_well(file: &FileSpec, columns: &[ColumnSpec]) {
    let names: Vec<String> = members(columns).into_iter().map(|m| m.name).collect();
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len(), "{}: {names:?}", file.path);
    for c in columns {
        let said = format!("{}, {}: {}", file.path, c.name, c.meaning);
        assert!(c.meaning.ends_with('.') && c.meaning.split_whitespace().count() <= 18, "{said}");
        assert!(!c.meaning.contains('|') && !c.meaning.contains('\n'), "{said}");
        let lower = c.meaning.to_lowercase();
        assert!(!AVOIDED.iter().any(|w| lower.contains(w)), "{said}");
        assert!(c.name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'), "{said}");
        if let ColumnKind::Rows(inner) = c.kind {
            reads_well(file, inner);
        }
    }
}

#[test]
fn every_file_and_column_is_declared_once_and_says_what_it_means() {
    let paths: Vec<&str> = files().map(|f| f.path).collect();
    assert_eq!(paths.iter().collect::<BTreeSet<_>>().len(), paths.len(), "{paths:?}");
    for file in files() {
        assert!(file.meaning.ends_with('.'), "{}: {}", file.path, file.meaning);
        reads_well(file, file.columns);
    }
}

/// A small study run with everything that can be asked for, and the places of more pigs.
fn result(folder: &Path) -> PathBuf {
    let scenario = Scenario { pigs_target: 120, extent_km: 12.0, years: 4, ..Scenario::fresh(3) };
    write(&simulate(&scenario).unwrap(), &folder.join("study")).unwrap();
    let study = folder.join("study/study.toml");
    let effort = "\n[run]\nchains = 2\nwarmup = 20\ntrajectories = 24\nposterior_samples = 40\n";
    fs::write(&study, fs::read_to_string(&study).unwrap() + effort).unwrap();
    let pignut = |args: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_pignut")).current_dir(folder).args(args).output().unwrap();
        // So short a run ends with warnings.
        let messages = String::from_utf8_lossy(&out.stderr);
        assert!(matches!(out.status.code(), Some(0 | 1)), "{args:?}: {messages}");
    };
    let all = ["--sensitivity", "--hold-out", "--generalise", "2000", "--threads", "2"];
    pignut(&[&["run", "study/study.toml", "--out", "result"][..], &all].concat());
    pignut(&["sample", "study/study.toml", "--pigs", "3", "--out", "result/samples.geojson"]);
    folder.join("result")
}

fn names_below(folder: &Path, before: &str) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{before}{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            out.extend(names_below(&path, &format!("{name}/")));
        } else {
            out.insert(name);
        }
    }
    out
}

fn is_of(kind: ColumnKind, value: &Value) -> bool {
    match kind {
        ColumnKind::Text => value.is_string(),
        ColumnKind::Number | ColumnKind::Single => value.is_number(),
        ColumnKind::Whole | ColumnKind::Year => value.is_i64(),
        ColumnKind::Flag => value.is_boolean(),
        // ISO 8601.
        ColumnKind::Date => value.as_str().is_some_and(|d| d.len() == 10 && d.as_bytes()[4] == b'-'),
        ColumnKind::Object => value.is_object(),
        ColumnKind::List | ColumnKind::Rows(_) => value.is_array(),
        _ => false,
    }
}

/// The members of an object are those declared, in order, each of its kind.
fn object_is_as_declared(place: &str, columns: &[ColumnSpec], object: &Map<String, Value>) {
    let declared = members(columns);
    let there: Vec<&str> = object.keys().map(String::as_str).collect();
    let wanted: Vec<&str> = declared
        .iter()
        .filter(|m| !m.optional || object.contains_key(&m.name))
        .map(|m| m.name.as_str())
        .collect();
    assert_eq!(there, wanted, "{place}");
    for m in declared.iter().filter(|m| object.contains_key(&m.name)) {
        let value = &object[&m.name];
        assert!(is_of(m.kind, value), "{place}, {}: {value} is not {:?}", m.name, m.kind);
        if let ColumnKind::Rows(inner) = m.kind {
            for row in value.as_array().unwrap() {
                object_is_as_declared(&format!("{place}, {}", m.name), inner, row.as_object().unwrap());
            }
        }
    }
}

fn table_is_as_declared(file: &FileSpec, table: &DataFrame) {
    let declared = members(file.columns);
    let wanted: Vec<&str> = declared.iter().map(|m| m.name.as_str()).collect();
    let there: Vec<&str> = table.columns().iter().map(|c| c.name().as_str()).collect();
    assert_eq!(there, wanted, "{}", file.path);
    for (m, column) in declared.iter().zip(table.columns()) {
        let kind = match m.kind {
            ColumnKind::Text => DataType::String,
            ColumnKind::Number => DataType::Float64,
            ColumnKind::Single => DataType::Float32,
            ColumnKind::Whole => DataType::Int64,
            ColumnKind::Year => DataType::Int32,
            ColumnKind::Flag => DataType::Boolean,
            ColumnKind::Date => DataType::Date,
            ColumnKind::Geometry => DataType::Binary,
            other => panic!("{}: {other:?} is no column of a table", file.path),
        };
        assert_eq!(column.dtype(), &kind, "{}, {}", file.path, m.name);
        assert!(m.optional || column.null_count() == 0, "{}, {}", file.path, m.name);
    }
}

#[test]
fn a_result_holds_what_is_declared_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let result = result(folder.path());
    let declared: BTreeSet<String> = files().map(|f| f.path.to_string()).collect();
    assert_eq!(names_below(&result, ""), declared);
    let mut rows_seen = 0;
    for file in files() {
        let bytes = fs::read(result.join(file.path)).unwrap();
        assert!(!bytes.is_empty(), "{}", file.path);
        match file.kind {
            FileKind::Layer => {
                let layer: Value = serde_json::from_slice(&bytes).unwrap();
                for feature in layer["features"].as_array().unwrap() {
                    object_is_as_declared(
                        file.path,
                        file.columns,
                        feature["properties"].as_object().unwrap(),
                    );
                    rows_seen += 1;
                }
            }
            FileKind::Table => {
                let table = ParquetReader::new(std::io::Cursor::new(bytes)).finish().unwrap();
                table_is_as_declared(file, &table);
                rows_seen += table.height();
            }
            FileKind::Csv => {
                let names: Vec<String> = members(file.columns).into_iter().map(|m| m.name).collect();
                let text = String::from_utf8(bytes).unwrap();
                assert_eq!(text.lines().next(), Some(names.join(",").as_str()), "{}", file.path);
            }
            FileKind::Json => {
                let value: Value = serde_json::from_slice(&bytes).unwrap();
                object_is_as_declared(file.path, file.columns, value.as_object().unwrap());
            }
            FileKind::Raster => assert!(bytes.starts_with(b"II"), "{}: a TIFF", file.path),
            FileKind::Page => assert!(file.columns.is_empty(), "{}", file.path),
        }
    }
    assert!(rows_seen > 1000, "{rows_seen}");
    assert!(files().any(|f| f.written == Written::BySample));
}
