//! Record sheets as keepers hold them, read as they are and compared with the truth beside them.
//!
//! The sheets and their truth are invented and written by `scripts/make-practice-sheets` and
//! `scripts/make-more-practice-sheets`; the truth is made by the generator, not by the reader. `study.toml`
//! in each folder holds what an informed user adds. The table of figures in the guide is made here: with
//! `PIGNUT_WRITE_GUIDE=1` in the environment this test writes it anew.

use crate::common::files::{fixtures, read as read_text, root};
use jiff::civil::date;
use pignut::internals::geography::coordinates::projector::Projector;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::values::date::date_span;
use pignut::internals::ingest::{Account, read_study_on};
use pignut::internals::records::{CIRCLE_95, Pig, Sex};
use pignut::internals::study::study_file::Study;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

const PAGE: &str = "src/guide/practice_sheets.md";

/// Sheets made without knowledge of the reader, whose faults were then mended by kind.
#[rustfmt::skip]
const MENDED: [&str; 16] = [
    "agency-us", "block-operator-nz", "control-brazil", "culler-australia", "district-german",
    "estate-spanish", "hunter-returns-nz", "hunters-patagonian", "lims-spanish", "overseas-french",
    "province-italian", "ranger-pacific", "researcher-tidy", "tenant-german", "trust-irish",
    "vet-school-portuguese",
];
/// Sheets made when the reader was finished.
const LAST: [&str; 5] =
    ["community-spanish", "district-italian", "government-australian", "park-french", "state-us"];

/// A line of truth.csv, by column.
type Truth = BTreeMap<String, String>;

/// What became of the rows of one sheet.
#[derive(Default)]
struct Tally {
    usable: usize,
    used: usize,
    right: usize,
    /// Values of the truth that are not read.
    missing: usize,
    /// Values used that are not those of the truth, and rows used that stand for no pig.
    wrong: Vec<String>,
    lines: usize,
    kind: String,
}

fn truth(folder: &std::path::Path) -> Vec<Truth> {
    let mut reader = csv::Reader::from_path(folder.join("truth.csv")).unwrap();
    let names: Vec<String> =
        reader.headers().unwrap().iter().map(|h| h.trim_start_matches('\u{feff}').to_string()).collect();
    let row = |r: csv::StringRecord| names.iter().cloned().zip(r.iter().map(str::to_string)).collect();
    reader.records().map(|r| row(r.unwrap())).collect()
}

/// Whether a pig says anything: seen or not seen by eye, or an answer that is not open.
fn is_usable(t: &Truth) -> bool {
    !t["grossLesion"].is_empty() || ["positive", "negative"].contains(&t["labResult"].as_str())
}

fn nodes(text: &str) -> BTreeSet<String> {
    text.split(';').map(|n| n.trim().to_string()).filter(|n| !n.is_empty() && n != "none").collect()
}

fn same_number(a: &str, b: &str) -> bool {
    match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => (a - b).abs() < 0.06,
        _ => a.is_empty() && b.is_empty(),
    }
}

/// The fields of a pig that differ from the truth, and how many of the truth are not read.
fn differences(
    t: &Truth,
    fields: &BTreeMap<&str, &str>,
    pig: &Pig,
    projector: &Projector,
) -> (Vec<String>, usize) {
    let held = |field: &str| fields.get(field).copied().unwrap_or("");
    let (mut out, mut missing) = (Vec::new(), 0);
    let mut compare = |name: &str, same: bool, read: String, meant: &str| {
        if !same && (read.is_empty() || read == "{}") {
            missing += 1;
        } else if !same {
            out.push(format!("{name}: read {read}, meant {meant}"));
        }
    };
    compare("number", pig.id == t["occurrenceID"], pig.id.clone(), &t["occurrenceID"]);
    let day = date_span(&t["eventDate"]).unwrap();
    compare("date", pig.killed == day, format!("{:?}", pig.killed), &t["eventDate"]);
    let at = projector.to_wgs84(&[geo::Coord { x: pig.easting_m, y: pig.northing_m }]).unwrap()[0];
    let meant = (t["longitude"].parse::<f64>().unwrap(), t["latitude"].parse::<f64>().unwrap());
    // Two metres: datums of one place differ by less than that, and two forms of one position may.
    let near = (at.x - meant.0).abs() < 2e-5 && (at.y - meant.1).abs() < 2e-5;
    compare("position", near, format!("{at:?}"), &format!("{meant:?}"));
    let radius = held("coordinateUncertaintyInMeters");
    compare("radius", same_number(radius, &t["radius_m"]), radius.into(), &t["radius_m"]);
    if !radius.is_empty() {
        assert!((pig.position_sd_m * CIRCLE_95 - radius.parse::<f64>().unwrap()).abs() < 1e-6);
    }
    let sex = match pig.sex {
        Sex::Female => "female",
        Sex::Male => "male",
        Sex::Unknown => "",
    };
    compare("sex", sex == t["sex"], sex.into(), &t["sex"]);
    // Ages told by teeth are those of the table of eruption, which the sheet's own key need not share.
    if held("dentition").is_empty() {
        for (field, name) in [("ageMinMonths", "lower age"), ("ageMaxMonths", "upper age")] {
            compare(name, same_number(held(field), &t[field]), held(field).into(), &t[field]);
        }
    }
    let pairs = nodes(held("nodePairsExamined"));
    compare("nodes", pairs == nodes(&t["nodePairsExamined"]), format!("{pairs:?}"), &t["nodePairsExamined"]);
    for field in ["grossLesion", "labResult"] {
        compare(field, held(field) == t[field], held(field).into(), &t[field]);
    }
    if !t["labResult"].is_empty() {
        // A word for a method that is not known is shown as it stands, with a warning, and counts as none.
        let known = ["culture", "pcr", "histology"].contains(&held("labMethod"));
        let method = if known { held("labMethod") } else { "" };
        compare("method", method == t["labMethod"], method.into(), &t["labMethod"]);
    }
    (out, missing)
}

fn tally(name: &str) -> Tally {
    let folder = fixtures("sheets").join(name);
    let study = Study::read(&folder.join("study.toml")).unwrap();
    let projector = Projector::new(&study.study.crs).unwrap();
    let text = std::fs::read_to_string(folder.join("study.toml")).unwrap();
    let keeper = std::fs::read_to_string(folder.join("keeper.md")).unwrap();
    let kind = keeper.lines().find(|l| l.starts_with("Kept by")).unwrap_or("").trim_end_matches('.');
    let kind = kind.split(" Animals in").next().unwrap().trim_start_matches("Kept by ").trim_end_matches('.');
    let (pigs, account): (Vec<Pig>, Account) = match read_study_on(&study, date(2025, 1, 1)) {
        Ok(read) => (read.records.pigs, read.account),
        Err(IngestError::NoUsablePig { account }) => (Vec::new(), *account),
        Err(other) => panic!("{name}: {other}"),
    };
    assert!(account.counts.check(), "{name}: {:?}", account.counts);
    assert_eq!(account.rows.len(), account.counts.read, "{name}: a row is not accounted for");
    let mut tally = Tally {
        // What the user writes besides the name, the system and the file.
        lines: text.lines().skip_while(|l| !l.starts_with("pigs")).skip(1).filter(|l| !l.is_empty()).count(),
        kind: kind.to_string(),
        ..Tally::default()
    };
    let truths = truth(&folder);
    let mut meant: BTreeSet<(String, usize)> = BTreeSet::new();
    for t in &truths {
        let row: usize = t["row"].parse().unwrap();
        let label = format!("{}, sheet {}", t["file"], t["sheet"]);
        meant.extend([(t["file"].clone(), row), (label.clone(), row)]);
        if !is_usable(t) {
            continue;
        }
        tally.usable += 1;
        let account = account.rows.iter().find(|r| r.row == row && (r.file == t["file"] || r.file == label));
        let Some(account) = account.filter(|r| r.status.starts_with("used")) else { continue };
        tally.used += 1;
        let pig = pigs.iter().find(|p| p.source.file == account.file && p.source.row == row).unwrap();
        let fields: BTreeMap<&str, &str> =
            account.fields.iter().map(|f| (f.field, f.value.as_str())).collect();
        let (wrong, missing) = differences(t, &fields, pig, &projector);
        tally.right += usize::from(wrong.is_empty() && missing == 0);
        tally.missing += missing;
        tally.wrong.extend(wrong.iter().map(|w| format!("{name} row {row}: {w}")));
    }
    for pig in pigs.iter().filter(|p| !meant.contains(&(p.source.file.clone(), p.source.row))) {
        tally.wrong.push(format!("{name} row {}: is used and stands for no pig", pig.source.row));
    }
    tally
}

/// How a sheet came to be.
fn set(name: &str) -> &'static str {
    if LAST.contains(&name) {
        "last"
    } else if MENDED.contains(&name) {
        "mended"
    } else {
        "first"
    }
}

/// The page of the guide.
fn page(all: &BTreeMap<String, Tally>) -> String {
    let mut out = String::from(
        "# How much of a record sheet is read\n\n\
         The practice sheets in `fixtures/sheets` are invented, each another kind of keeper and language.\n\
         Each has the truth beside it, made with the sheet and not by the reader. A row is usable when a\n\
         careful person could use it: its day, its place and a result can be told.\n\n\
         - *Missing*: values of the truth that are not read, such as an age class that no legend explains.\n\
         - *Wrong*: values used that are not the true ones, and rows used that stand for no pig. The test\n  \
         allows none.\n\
         - *Lines*: what an informed user adds to the study file besides its name, system and files.\n\n\
         The reader was built on the sheets of the *first* set. Those of the sets *mended* and *last*\n\
         were made by others who had not seen it. Their habits were then taken up by kind, in the set\n\
         *last* only where a value was wrong. So a sheet of yours may fare as the set *last* does, or\n\
         worse.\n\n\
         | set | sheets | usable | used | every field right | missing | wrong |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let percent = |n: usize, of: usize| format!("{n} ({:.1} %)", 100.0 * n as f64 / of as f64);
    for name in ["first", "mended", "last", "all"] {
        let of: Vec<&Tally> =
            all.iter().filter(|(n, _)| name == "all" || set(n) == name).map(|(_, t)| t).collect();
        let sum = |f: fn(&Tally) -> usize| of.iter().map(|t| f(t)).sum::<usize>();
        let usable = sum(|t| t.usable);
        let _ = writeln!(
            out,
            "| {name} | {} | {usable} | {} | {} | {} | {} |",
            of.len(),
            percent(sum(|t| t.used), usable),
            percent(sum(|t| t.right), usable),
            sum(|t| t.missing),
            sum(|t| t.wrong.len()),
        );
    }
    out.push_str(
        "\n| sheet | kept by | set | usable | used | every field right | missing | wrong | lines |\n\
         | --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for (name, t) in all {
        let (kind, set, wrong) = (&t.kind, set(name), t.wrong.len());
        let _ = writeln!(
            out,
            "| {name} | {kind} | {set} | {} | {} | {} | {} | {wrong} | {} |",
            t.usable, t.used, t.right, t.missing, t.lines
        );
    }
    out
}

#[test]
fn practice_sheets_are_read_and_no_value_is_wrong() {
    let mut names: Vec<String> = std::fs::read_dir(fixtures("sheets"))
        .unwrap()
        .map(|e| e.unwrap())
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert!(names.len() >= 10);
    let all: BTreeMap<String, Tally> = names.iter().map(|n| (n.clone(), tally(n))).collect();
    let wrong: Vec<&String> = all.values().flat_map(|t| &t.wrong).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let sum = |f: fn(&Tally) -> usize| all.values().map(f).sum::<usize>() as f64;
    let usable = sum(|t| t.usable);
    assert!(sum(|t| t.used) >= 0.95 * usable, "{} of {usable} used", sum(|t| t.used));
    assert!(sum(|t| t.right) >= 0.90 * usable, "{} of {usable} right", sum(|t| t.right));
    assert!(all.values().all(|t| t.lines <= 10));
    let text = page(&all);
    if std::env::var_os("PIGNUT_WRITE_GUIDE").is_some() {
        std::fs::write(root().join(PAGE), &text).unwrap();
    }
    assert!(read_text(PAGE) == text, "run the tests with PIGNUT_WRITE_GUIDE=1 and commit {PAGE}");
}
