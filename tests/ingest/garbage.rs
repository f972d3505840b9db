//! Garbage and changed bytes: no record is lost, no count is wrong.

use super::reading::{read, same_six, study_of};
use pignut::internals::ingest::Ingested;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::findings::Severity;
use proptest::prelude::*;

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

const COLUMN_NAMES: [&str; 17] = [
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
    let mut row = vec![String::new(); COLUMN_NAMES.len()];
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
        Err(IngestError::NoUsablePig { account }) => (account.counts, account.findings, vec![]),
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
        spoilt in prop::collection::vec((0usize..9, 0usize..COLUMN_NAMES.len(), garbage()), 0..12),
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
        writer.write_record(COLUMN_NAMES).unwrap();
        for row in &table {
            writer.write_record(row).unwrap();
        }
        writer.flush().unwrap();
        accounts(read(&study_of(dir.path(), &["pigs.csv"])), Some(full))?;
    }

    #[test]
    fn bytes_changed_anywhere_never_stop_the_count(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..10),
        file in prop::sample::select(vec![
            "six.csv", "six-semicolon.csv", "six.geojson", "six.xlsx", "six.parquet", "six.gpkg",
        ]),
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
