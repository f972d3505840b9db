//! Columns by their column names, and rows that suggested correction others.

use super::reading::{read, same_six, study_of, without_source};
use jiff::civil::date;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::read_study_on;
use pignut::internals::study::study_file::{OneOrMany, Study};

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
    // Of several files one may have the column name named and another ours.
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

/// The row that corrects a refused one is used; of two sound rows of one specimen it is said in what they
/// differ.
#[test]
fn a_corrected_row_takes_the_place_of_the_one_it_corrects() {
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
    assert_eq!(used, [(3, "A1"), (4, "A2")]);
    let twice: Vec<String> =
        read.account.findings.iter().filter(|f| f.code == "id-repeated").map(ToString::to_string).collect();
    assert_eq!(twice.len(), 1);
    assert!(
        twice[0].contains("row 5")
            && twice[0].contains("is the specimen of p.csv row 4 already, with another result")
    );
    assert!(
        twice[0].ends_with(
            "keep the correct row if it is the same pig, or give every specimen a number of its own"
        )
    );
}
