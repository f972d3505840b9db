//! Columns by their column names, and rows that suggested correction others.

use super::reading::{read, same_six, study_of, without_source};
use jiff::civil::date;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::read_study_on;
use pignut::internals::records::Reading;
use pignut::internals::study::study_file::{OneOrMany, Study};

#[test]
fn a_column_map_reads_a_sheet_with_headings_of_its_own() {
    let dir = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(same_six().join("six.csv")).unwrap();
    let renamed = text
        .replacen("occurrenceID", "Ear tag", 1)
        .replacen("eventDate", "Date shot", 1)
        .replacen("sex", "SEX", 1);
    std::fs::write(dir.path().join("pigs.csv"), &renamed).unwrap();
    let mut study = study_of(dir.path(), &["pigs.csv"]);
    // Names that officers use are known by themselves, and said once.
    let known = read(&study).unwrap();
    let said = |column: &str| {
        known
            .account
            .inferences
            .iter()
            .filter(|i| i.column == column)
            .map(|i| i.read_as.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!((said("Ear tag"), said("Date shot")), (vec!["occurrenceID".into()], vec!["eventDate".into()]));
    // A table that says nothing of when lacks what no row can do without.
    std::fs::write(dir.path().join("pigs.csv"), text.replacen("eventDate", "moon", 1)).unwrap();
    let error = read(&study).unwrap_err();
    assert!(matches!(&error, IngestError::MissingColumns { .. }), "{error}");
    assert!(
        error.to_string().contains("no column for eventDate") && error.to_string().contains("moon"),
        "{error}"
    );
    std::fs::write(dir.path().join("pigs.csv"), &renamed).unwrap();
    study.records.columns.insert("occurrenceID".into(), "Ear tag".into());
    study.records.columns.insert("eventdate".into(), " date SHOT".into());
    let mapped = read(&study).unwrap();
    let plain = read(&study_of(&same_six(), &["six.csv"])).unwrap();
    assert_eq!(without_source(&mapped.records.pigs), without_source(&plain.records.pigs));
    study.records.columns.insert("sex".into(), "Gender".into());
    // The column name "SEX" names the column by itself, but the map may mean another column, misspelt.
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

/// A column name mapped wrongly must not send the reader to another column, nor two column names be taken for
/// one.
#[test]
fn a_map_of_columns_is_followed_or_refused() {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    put(
        "a.csv",
        "Tag,eventDate,decimalLatitude,decimalLongitude,ageMinMonths,ageMaxMonths,\
         Age max corrected,Result,Result\n\
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
        study.records.columns = map.iter().map(|(a, b)| (a.to_string(), OneOrMany::from(*b))).collect();
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
    // Of several files one may have the column name named and another ours.
    let both = read(&["a.csv", "b.csv"], &[tag, ("labResult", "Age max corrected")]);
    assert!(both.is_ok_and(|r| r.account.counts.read == 2
        && r.account.counts.used == 0
        && r.account.counts.used_with_warning == 1));
    put(
        "c.csv",
        "Heads of the north,,,,\noccurrenceID,eventDate,decimalLatitude,decimalLongitude,grossLesion\n",
    );
    // The title above the column names is passed over; there is no record below them.
    let text = said(&["c.csv"], &[]);
    assert!(text.contains("c.csv: has column names and no record"), "{text}");
}

/// The rows of one specimen are put together: a date that can be read, and the answer that decides.
#[test]
fn rows_of_one_specimen_are_put_together() {
    let dir = tempfile::tempdir().unwrap();
    let head = "occurrenceID,eventDate,decimalLatitude,decimalLongitude,ageMinMonths,ageMaxMonths,\
                grossLesion,labMethod,labResult\n";
    let rows = "A1,2021-03-44,-39.91,172.95,6,9,no,,\nA1,2021-03-04,-39.91,172.95,6,9,no,,\n\
                A2,2021-03-04,-39.92,172.96,6,9,yes,culture,pending\n\
                A2,2021-03-04,-39.92,172.96,6,9,yes,culture,positive\n";
    std::fs::write(dir.path().join("p.csv"), format!("{head}{rows}")).unwrap();
    let mut study = Study::minimal("twice", "EPSG:2193", "p.csv");
    study.folder = dir.path().to_path_buf();
    let read = read_study_on(&study, date(2025, 1, 1)).unwrap();
    let used: Vec<(usize, &str)> = read.records.pigs.iter().map(|p| (p.source.row, p.id.as_str())).collect();
    assert_eq!(used, [(2, "A1"), (4, "A2")]);
    assert_eq!(read.records.pigs[0].killed.first, date(2021, 3, 4));
    // A positive is not hidden by what was written before it.
    assert_eq!(read.records.pigs[1].reading, Reading::Confirmed);
    assert_eq!(read.account.counts.joined, 2);
}
