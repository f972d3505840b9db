//! The guide's way from a messy sheet to a map, as a user goes it, and `init` on files of every kind.

use super::calls::{LEAST_EFFORT, refused};
use crate::common::files::{fixtures, read, root};
use crate::common::program::{pignut, run, text};
use std::fs;
use std::path::Path;

const PAGE: &str = "src/guide/your_records.md";

fn blocks(page: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let mut parts = page.split("```");
    parts.next();
    while let (Some(block), Some(_)) = (parts.next(), parts.next()) {
        let (kind, body) = block.split_once('\n').unwrap();
        out.push((kind.to_string(), body.to_string()));
    }
    out
}

fn in_folder(folder: &Path, command: &str) -> (String, String, Option<i32>) {
    let args: Vec<&str> = command.trim().split(' ').skip(1).collect();
    let out = pignut().args(args).current_dir(folder).output().unwrap();
    (text(&out.stdout).to_string(), text(&out.stderr).to_string(), out.status.code())
}

/// Every command of the chapter is run, and its output is what the chapter shows. With `PIGNUT_WRITE_GUIDE=1`
/// in the environment the outputs are written into it first.
#[test]
fn the_chapter_goes_from_a_messy_sheet_to_a_map() {
    let dir = tempfile::tempdir().unwrap();
    let sheet = "Strecke_2021.csv";
    fs::copy(fixtures("sheets/club-german").join(sheet), dir.path().join(sheet)).unwrap();
    let page = read(PAGE);
    let all = blocks(&page);
    let commands: Vec<&String> = all.iter().filter(|b| b.0 == "sh").map(|b| &b.1).collect();
    assert_eq!(commands.len(), 3);
    let (init, errors, _) = in_folder(dir.path(), commands[0]);
    assert!(init.contains("written: study.toml"), "{init}{errors}");
    let proposed = fs::read_to_string(dir.path().join("study.toml")).unwrap();
    let (check, errors, code) = in_folder(dir.path(), commands[1]);
    assert!(code.is_some_and(|c| c < 2), "{errors}");
    let start: String = check.lines().take(5).map(|l| format!("{l}\n")).collect();
    let shown: Vec<&String> = all.iter().filter(|b| b.0 == "text" || b.0 == "toml").map(|b| &b.1).collect();
    let real = [init, proposed, start];
    if std::env::var_os("PIGNUT_WRITE_GUIDE").is_some() {
        let mut new = page.clone();
        for (shown, real) in shown.iter().zip(&real) {
            new = new.replacen(shown.as_str(), real, 1);
        }
        fs::write(root().join(PAGE), new).unwrap();
        return;
    }
    for (shown, real) in shown.iter().zip(&real) {
        assert_eq!(*shown, real, "run the tests with PIGNUT_WRITE_GUIDE=1 and commit {PAGE}");
    }
    let run = format!("{} {}", commands[2].trim(), LEAST_EFFORT.join(" "));
    let (_, errors, code) = in_folder(dir.path(), &run);
    assert!(code.is_some_and(|c| c < 2), "{errors}");
    let result = dir.path().join("result");
    assert!(result.join("report.html").is_file());
    let account = fs::read_to_string(result.join("records_read.csv")).unwrap();
    assert!(account.starts_with("file,row,occurrence_id,status,reason,field,value,column,text,rule\n"));
    assert!(
        account.contains("09.01.21") && account.contains("2021-01-09"),
        "the text and what it was read as"
    );
}

/// A proposed study file with every line taken up that pins what is read.
fn pinned(proposed: &str) -> String {
    let mut keys = std::collections::BTreeSet::new();
    let mut table = String::new();
    let mut out = String::new();
    for line in proposed.lines() {
        if line.starts_with('[') {
            table = line.to_string();
        }
        let pin = line.strip_prefix("# ").filter(|l| table.starts_with("[records") && l.contains(" = "));
        let pin = pin.filter(|l| !l.starts_with("not settled") && !l.contains("= \"\""));
        match pin {
            // Words that are not known have no meaning yet.
            Some(pin) if !pin.starts_with('[') && !pin.starts_with('"') => {
                let key = pin.split(" = ").next().unwrap();
                assert!(keys.insert(format!("{table} {key}")), "{key} is proposed twice in\n{proposed}");
                out += &format!("{pin}\n");
            }
            _ => out += &format!("{line}\n"),
        }
    }
    out
}

/// What is proposed is what is read: pinning every line changes no value of any row.
#[test]
fn lines_that_are_pinned_change_nothing() {
    use pignut::internals::ingest::errors::IngestError;
    use pignut::internals::ingest::{Account, read_study_on};
    use pignut::internals::study::study_file::Study;
    let read = |text: &str, folder: &Path| -> Account {
        let mut study = Study::parse(text, "study.toml").unwrap_or_else(|e| panic!("{e}\n{text}"));
        study.folder = folder.to_path_buf();
        match read_study_on(&study, jiff::civil::date(2025, 1, 1)) {
            Ok(read) => read.account,
            Err(IngestError::NoUsablePig { account }) => *account,
            Err(other) => panic!("{other}\n{text}"),
        }
    };
    for (folder, proposed) in proposals() {
        if proposed.contains("# crs = \"EPSG:…\"") {
            continue;
        }
        let (plain, pinned) = (read(&proposed, folder.path()), read(&pinned(&proposed), folder.path()));
        for (a, b) in plain.rows.iter().zip(&pinned.rows) {
            let values = |r: &pignut::internals::ingest::RowAccount| {
                r.fields.iter().map(|f| (f.field, f.value.clone())).collect::<Vec<_>>()
            };
            assert_eq!((a.status, values(a)), (b.status, values(b)), "{} row {}", a.file, a.row);
        }
        assert_eq!(plain.counts, pinned.counts);
    }
}

/// Every practice sheet in a folder of its own, with the study file proposed for it.
fn proposals() -> Vec<(tempfile::TempDir, String)> {
    let folders = fs::read_dir(fixtures("sheets")).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_dir());
    let propose = |entry: std::path::PathBuf| {
        let dir = tempfile::tempdir().unwrap();
        let mut command = pignut();
        command.arg("init").current_dir(dir.path());
        for file in fs::read_dir(&entry).unwrap().map(|e| e.unwrap()) {
            let name = file.file_name().to_string_lossy().into_owned();
            if !["truth.csv", "keeper.md", "study.toml"].contains(&name.as_str()) {
                fs::copy(file.path(), dir.path().join(&name)).unwrap();
                command.arg(&name);
            }
        }
        let out = command.output().unwrap();
        assert!(out.status.code().is_some_and(|c| c < 2), "{}: {}", entry.display(), text(&out.stderr));
        let proposed = fs::read_to_string(dir.path().join("study.toml")).unwrap();
        (dir, proposed)
    };
    folders.map(propose).collect()
}

#[test]
fn init_says_what_a_file_is_that_holds_no_table() {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, bytes: &[u8]| {
        let path = dir.path().join(name);
        fs::write(&path, bytes).unwrap();
        path.display().to_string()
    };
    let out = dir.path().join("study.toml").display().to_string();
    refused(&["init", &put("empty.csv", b""), "--out", &out], &["empty.csv: holds nothing"]);
    // The mark of a PNG file: ISO/IEC 15948, 5.2.
    let photo = put("photo.csv", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR");
    refused(&["init", &photo, "--out", &out], &["photo.csv", "it is a picture"]);
    refused(&["init", &dir.path().join("none.csv").display().to_string(), "--out", &out], &["none.csv"]);
    assert!(!Path::new(&out).exists());
    // What is there is left as it is.
    let there = put("there.toml", b"mine");
    refused(&["init", &photo, "--out", &there], &["is not overwritten", "--out"]);
    assert_eq!(fs::read(&there).unwrap(), b"mine");
    // A table of something else: the study is proposed, and what is missing is said.
    let other = put("other.csv", b"moon,tide,wind\n1,2,3\n2,3,4\n");
    let said = run(&["init", &other, "--out", &out]);
    assert_eq!(said.status.code(), Some(1), "{}", text(&said.stderr));
    assert!(text(&said.stdout).contains("has no column for eventDate"), "{}", text(&said.stdout));
}

#[test]
fn init_on_records_in_our_own_columns_has_nothing_to_ask() {
    let dir = tempfile::tempdir().unwrap();
    let records = dir.path().join("pigs.csv");
    fs::copy(fixtures("cli").join("clean.csv"), &records).unwrap();
    let out = dir.path().join("study.toml");
    let said = run(&["init", records.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert_eq!(said.status.code(), Some(0), "{}", text(&said.stdout));
    let proposed = fs::read_to_string(&out).unwrap();
    assert!(proposed.contains("pigs = \"pigs.csv\""), "{proposed}");
    let checked = run(&["check", out.to_str().unwrap()]);
    assert_eq!(checked.status.code(), Some(0));
}

#[test]
fn a_day_may_be_written_as_a_date_of_toml() {
    use pignut::internals::study::study_file::Study;
    let text = |day: &str| {
        format!("[study]\nname = \"x\"\ncrs = \"EPSG:2193\"\nas_of = {day}\n[records]\npigs = \"p\"\n")
    };
    let parse = |day: &str| Study::parse(&text(day), "study.toml");
    // TOML 1.0, local date.
    let day = jiff::civil::date(2024, 12, 31);
    assert_eq!(parse("2024-12-31").unwrap().study.as_of, Some(day));
    assert_eq!(parse("\"2024-12-31\"").unwrap().study.as_of, Some(day));
    for wrong in ["\"last Monday\"", "2024-12-31T10:00:00Z"] {
        let error = parse(wrong).unwrap_err().to_string();
        assert!(error.contains("as_of") && error.contains("2024-12-31"), "{error}");
    }
    // A key with a word that is not one of its own names those it has.
    let text = "[study]\nname = \"x\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"p\"\ndates = \"dmy\"\n";
    let error = Study::parse(text, "study.toml").unwrap_err().to_string();
    assert!(error.contains("dates") && error.contains("day first"), "{error}");
}
