//! Cells that a careful person would not use, or would use in one way only: what is in doubt is refused or
//! warned of, never read as something else. The words are common practice, no source.

use jiff::civil::date;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::{Account, RowAccount, read_study_on};
use pignut::internals::study::study_file::Study;
use std::fmt::Write as _;

/// The account of a sheet with one column of cells beside tag, day, place and, where asked for, a lesion.
fn account(column: &str, cells: &[&str], lesion: bool) -> Account {
    let mut sheet = format!("Tag,Shot,Lat,Long,{column}{}\n", if lesion { ",Lesion" } else { "" });
    for (k, cell) in cells.iter().enumerate() {
        let day = 1 + k % 28;
        let _ = write!(sheet, "T{k},2021-03-{day:02},-41.{},172.{},\"{cell}\"", 500 + k, 100 + k);
        sheet += if lesion { ",no\n" } else { "\n" };
    }
    read(&sheet)
}

fn read(sheet: &str) -> Account {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("sheet.csv"), sheet).unwrap();
    let mut study = Study::minimal("doubts", "EPSG:2193", "sheet.csv");
    study.folder = dir.path().to_path_buf();
    match read_study_on(&study, date(2025, 1, 1)) {
        Ok(read) => read.account,
        Err(IngestError::NoUsablePig { account }) => *account,
        Err(other) => panic!("{other}\n{sheet}"),
    }
}

fn value<'a>(row: &'a RowAccount, field: &str) -> &'a str {
    row.fields.iter().find(|f| f.field == field).map_or("", |f| &f.value)
}

#[test]
fn answers_of_a_laboratory_that_are_none_are_refused() {
    let doubtful = [
        "positive?",
        "ND",
        "n.d.",
        "PCR neg culture pos",
        "TB neg / Brucella pos",
        "neg (pos control ok)",
        "pending - was positive",
        "1",
        "0",
        "yes",
        "no",
        "suspicious node",
        "found",
        "see letter",
    ];
    let read = account("Lab result", &doubtful, true);
    for (row, cell) in read.rows.iter().zip(doubtful) {
        assert_eq!(row.status, "refused", "{cell}: {row:?}");
    }
}

#[test]
fn answers_that_deny_a_positive_are_none() {
    let negative = [
        "M. bovis, negative",
        "M. bovis: negative",
        "neg M bovis",
        "not M. bovis",
        "M. bovis not detected",
        "negative (M. bovis)",
        "no M. bovis isolated",
        "culture positive for MAC",
        "M. avium, not M. bovis",
    ];
    let read = account("Lab result", &negative, true);
    for (row, cell) in read.rows.iter().zip(negative) {
        assert_eq!(value(row, "labResult"), "negative", "{cell}: {row:?}");
    }
}

#[test]
fn lesions_in_doubt_are_refused() {
    let doubtful = [
        "lesion?",
        "tb?",
        "possible lesion",
        "no obvious lesion",
        "NVL but abscess",
        "NVL; lung TB",
        "none (one lump liver)",
        "nil except lump",
        "abscess, not TB",
        "2 nodes",
        "healed",
    ];
    let read = account("Lesion", &doubtful, false);
    for (row, cell) in read.rows.iter().zip(doubtful) {
        assert_eq!(row.status, "refused", "{cell}: {row:?}");
    }
}

#[test]
fn nodes_in_doubt_count_as_not_recorded() {
    let doubtful =
        ["both", "left", "all but RP", "SM L, not RP", "RP x2", "SM & RP not examined", "mesenteric"];
    let read = account("Nodes examined", &doubtful, true);
    for (row, cell) in read.rows.iter().zip(doubtful) {
        assert!(row.reason.contains("counted as not recorded"), "{cell}: {row:?}");
    }
}

/// The answer of another disease is none of tuberculosis, whatever stands beside it.
#[test]
fn other_diseases_are_not_used() {
    let names =
        ["Trichinella", "ASF PCR", "Brucella culture", "KSP", "Aujeszky result", "Triquina", "CSF test"];
    for name in names {
        let read = account(name, &["pos", "pos", "neg", "pos", "pos"], true);
        assert!(read.rows.iter().all(|r| value(r, "labResult").is_empty()), "{name}");
    }
}

/// A column of answers that does not say of which disease is asked about, and not used.
#[test]
fn answers_under_a_name_that_is_not_known_are_asked_about() {
    let read = account("came back", &["pos", "neg", "neg", "pending"], true);
    assert!(read.rows.iter().all(|r| value(r, "labResult").is_empty()));
    assert!(read.inferences.iter().any(|i| i.undecided && i.column == "came back"), "{:?}", read.inferences);
    // Yes and no, all and none stand in columns of any kind.
    for (name, cells) in [("Dogs", ["no", "yes", "no", "no"]), ("Meat taken", ["all", "none", "all", "all"])]
    {
        let read = account(name, &cells, true);
        assert!(read.inferences.iter().all(|i| i.column != name), "{name}: {:?}", read.inferences);
    }
}

/// The second column of answers may hold the positive.
#[test]
fn a_second_column_of_answers_is_read() {
    let sheet = "Tag,Shot,Lat,Long,Lesion,1st analysis,2nd analysis\n\
                 A,2021-03-01,-41.5,172.1,no,neg,pos\nB,2021-03-02,-41.6,172.2,no,neg,\n\
                 C,2021-03-03,-41.7,172.3,no,neg,neg\nD,2021-03-04,-41.8,172.4,no,neg,pending\n";
    let read = read(sheet);
    let answers: Vec<&str> = read.rows.iter().map(|r| value(r, "labResult")).collect();
    assert_eq!(answers, ["positive", "negative", "negative", "pending"]);
}

/// Only words that withdraw a record leave it out, and none in the columns of people and places.
#[test]
fn rows_are_not_left_out_by_chance() {
    let sheet = "Tag,Shot,Lat,Long,Lesion,Hunter,Place,Remarks\n\
                 A,2021-03-01,-41.5,172.1,no,M. Void,Void Creek,\nB,2021-03-02,-41.6,172.2,no,,,not void\n\
                 C,2021-03-03,-41.7,172.3,no,,,cancelled trip earlier\nNote 1,2021-03-04,-41.8,172.4,no,,,\n\
                 Summary 6,2021-03-05,-41.9,172.5,no,,,\nE,2021-03-06,-41.5,172.5,no,,,VOID double entry\n";
    let read = read(sheet);
    let statuses: Vec<bool> = read.rows.iter().map(|r| r.status == "left out").collect();
    assert_eq!(statuses, [false, false, false, false, false, true]);
}
