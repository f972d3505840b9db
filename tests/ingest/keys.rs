//! Keys of `[records]` pin or overrule what is inferred from a sheet.

use jiff::civil::{Date, date};
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::{Account, Ingested, read_study_on};
use pignut::internals::records::{LabMethod, LabResult};
use pignut::internals::study::study_file::Study;

/// Reads a sheet with the lines given under `[records]`.
fn read(sheet: &str, keys: &str) -> Result<Ingested, IngestError> {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("sheet.csv"), sheet).unwrap();
    let text =
        format!("[study]\nname = \"keys\"\ncrs = \"EPSG:2193\"\n\n[records]\npigs = \"sheet.csv\"\n{keys}");
    let mut study = Study::parse(&text, "study.toml").unwrap();
    study.folder = dir.path().to_path_buf();
    read_study_on(&study, date(2025, 1, 1))
}

fn account(result: Result<Ingested, IngestError>) -> Account {
    match result {
        Ok(read) => read.account,
        Err(IngestError::NoUsablePig { account }) => *account,
        Err(other) => panic!("{other}"),
    }
}

fn days(result: Result<Ingested, IngestError>) -> Vec<Date> {
    result.unwrap().records.pigs.iter().map(|p| p.killed.first).collect()
}

const DATES: &str = "Tag,Shot,Lat,Long,Lesion\nA,03/04/2021,-41.5,172.1,no\nB,05/04/2021,-41.6,172.2,no\n\
                     C,06/04/2021,-41.7,172.3,no\n";

#[test]
fn the_order_of_dates_is_asked_for_and_taken_from_the_key() {
    let asked = account(read(DATES, ""));
    assert_eq!((asked.counts.used, asked.counts.refused), (0, 3));
    let question = asked.inferences.iter().find(|i| i.undecided).unwrap();
    assert!(question.column == "Shot" && question.key.contains("dates = "), "{question:?}");
    let april = [date(2021, 4, 3), date(2021, 4, 5), date(2021, 4, 6)];
    assert_eq!(days(read(DATES, "dates = \"day first\"\n")), april);
    let first = [date(2021, 3, 4), date(2021, 5, 4), date(2021, 6, 4)];
    assert_eq!(days(read(DATES, "dates = \"month first\"\n")), first);
}

/// The year is the key's where the dates have none.
#[test]
fn a_year_is_asked_for_and_taken_from_the_key() {
    let sheet = "Tag,Shot,Lat,Long,Lesion\nA,3 Feb,-41.5,172.1,no\nB,16 Mar,-41.6,172.2,no\n";
    assert_eq!(account(read(sheet, "")).counts.refused, 2);
    assert_eq!(days(read(sheet, "year = 2019\n")), [date(2019, 2, 3), date(2019, 3, 16)]);
}

#[test]
fn units_are_never_guessed() {
    let sheet = "Tag,Shot,Lat,Long,Accuracy,Age,Lesion\nA,2021-03-04,-41.5,172.1,30,2,no\n\
                 B,2021-03-05,-41.6,172.2,60,3,no\n";
    // A radius without a unit is the study's; an age without one is refused.
    let asked = account(read(sheet, ""));
    assert_eq!(asked.counts.refused, 2);
    assert_eq!(asked.inferences.iter().filter(|i| i.undecided).count(), 2);
    let told = read(sheet, "age_unit = \"years\"\nradius_unit = \"ft\"\n").unwrap();
    let value = |field: &str| {
        let first = &told.account.rows[0].fields;
        first.iter().find(|f| f.field == field).map(|f| f.value.clone()).unwrap()
    };
    // A foot is 0.3048 m by the international agreement of 1959.
    assert_eq!(value("coordinateUncertaintyInMeters"), "9.144");
    assert_eq!((value("ageMinMonths"), value("ageMaxMonths")), ("24".into(), "24".into()));
}

#[test]
fn degrees_without_signs_lie_where_the_key_says() {
    let sheet = "Tag,Shot,Lat,Long,Lesion\nA,2021-03-04,41.5,172.1,no\nB,2021-03-05,41.6,172.2,no\n";
    // With so few rows nothing is turned: each is refused, and says what is probably meant.
    assert_eq!(account(read(sheet, "")).counts.refused, 2);
    assert_eq!(read(sheet, "hemisphere = \"south east\"\n").unwrap().records.pigs.len(), 2);
}

#[test]
fn words_constants_and_rows_that_count() {
    let sheet = "Tag,Shot,Lat,Long,Lesion,Lab,Block\nA,2021-03-04,-41.5,172.1,no,ND,north\n\
                 B,2021-03-05,-41.6,172.2,yes,found,north\nC,2021-03-06,-41.6,172.3,no,,south\n";
    let asked = account(read(sheet, ""));
    assert_eq!((asked.counts.used, asked.counts.used_with_warning, asked.counts.refused), (0, 1, 2));
    let keys = "[records.words.Lab]\nND = \"negative\"\nfound = \"PCR positive\"\n\
                [records.constants]\nlabMethod = \"culture\"\n[records.where]\nBlock = \"north\"\n";
    let told = read(sheet, keys).unwrap();
    let answers: Vec<_> =
        told.records.pigs.iter().map(|p| (p.inspection.lab_result, p.inspection.lab_method)).collect();
    let negative = (Some(LabResult::Negative), Some(LabMethod::Culture));
    assert_eq!(answers, [negative, (Some(LabResult::Positive), Some(LabMethod::Pcr))]);
    assert_eq!(told.account.counts.left_out, 1);
}

#[test]
fn the_header_row_is_where_the_key_says() {
    let sheet = "Tag,Shot,Lat,Long,Lesion\nold list,,,,\nno,killed,latitude,longitude,lesion\n\
                 A,2021-03-04,-41.5,172.1,no\n";
    let read = read(sheet, "header_row = 3\n").unwrap();
    assert_eq!(read.records.pigs.len(), 1);
    assert_eq!(read.records.pigs[0].source.row, 4);
    assert!(read.account.inferences.iter().any(|i| i.column == "killed"));
}

#[test]
fn whole_columns_under_each_others_name_are_said_once_and_pinned() {
    let mut sheet = String::from("Tag,Shot,Lat,Long,Lesion\n");
    for k in 0..8 {
        sheet += &format!("A{k},2021-03-0{},172.1{k},-41.5{k},no\n", k + 1);
    }
    let turned = read(&sheet, "").unwrap();
    assert_eq!(turned.records.pigs.len(), 8);
    let said: Vec<_> =
        turned.account.inferences.iter().filter(|i| i.read_as.contains("each other's")).collect();
    assert!(said.len() == 1 && said[0].evidence.contains("8 of 8"), "{said:?}");
    let lines = said[0].key.strip_prefix("[records.columns]\n").unwrap();
    let pinned = read(&sheet, &format!("[records.columns]\n{lines}\n")).unwrap();
    let at = |r: &Ingested| r.records.pigs.iter().map(|p| (p.easting_m, p.northing_m)).collect::<Vec<_>>();
    assert_eq!(at(&pinned), at(&turned));
}
