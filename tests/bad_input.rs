//! The gallery of bad input: one tiny file per fault, and what must be said of it.
//!
//! What counts as a fault, and what becomes of its row, is the project's own contract
//! (data-preparation guide), not an outside standard.

use crate::common::files;
use crate::common::files::fixtures;
use Severity::{Note, Refused, Warning};
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::findings::{Finding, Severity};
use pignut::internals::ingest::{Ingested, read_study_on};
use pignut::internals::study::study_file::Study;
use std::collections::BTreeSet;
use std::path::PathBuf;

const LAT: Option<&str> = Some("decimalLatitude");
const LON: Option<&str> = Some("decimalLongitude");
const RADIUS: Option<&str> = Some("coordinateUncertaintyInMeters");

/// File stem, code, severity, row (0: the file), column.
#[rustfmt::skip]
const GALLERY: &[(&str, &str, Severity, usize, Option<&str>)] = &[
    ("id-repeated", "id-repeated", Refused, 5, Some("occurrenceID")),
    ("id-missing", "id-missing", Refused, 5, Some("occurrenceID")),
    ("date-missing", "date-missing", Refused, 5, Some("eventDate")),
    ("date-unreadable", "date-unreadable", Refused, 5, Some("eventDate")),
    ("date-not-iso", "date-unreadable", Refused, 5, Some("eventDate")),
    ("date-ambiguous", "date-ambiguous", Refused, 5, Some("eventDate")),
    ("date-reversed", "date-reversed", Refused, 5, Some("eventDate")),
    ("date-in-future", "date-in-future", Refused, 5, Some("eventDate")),
    ("date-after-as-of", "date-in-future", Refused, 5, Some("eventDate")),
    ("date-cut", "date-cut", Note, 5, Some("eventDate")),
    ("date-too-old", "date-too-old", Refused, 5, Some("eventDate")),
    ("date-coarse", "date-coarse", Note, 5, Some("eventDate")),
    ("released-after-killed", "released-after-killed", Refused, 5, Some("releasedOn")),
    ("release-date-coarse", "release-date-coarse", Refused, 5, Some("releasedOn")),
    ("release-date-unreadable", "release-date-unreadable", Refused, 5, Some("releasedOn")),
    ("age-below-release", "age-below-release", Warning, 5, Some("releasedOn")),
    ("position-missing", "position-missing", Refused, 5, None),
    ("position-half", "position-half", Refused, 5, LAT),
    ("position-not-a-number", "position-not-a-number", Refused, 5, LAT),
    ("position-swapped-over-90", "position-swapped", Refused, 5, LAT),
    ("position-swapped-near", "position-swapped", Refused, 5, LAT),
    ("position-swapped-metres", "position-swapped", Refused, 5, Some("northing")),
    ("position-wrong-hemisphere", "position-wrong-hemisphere", Refused, 5, LAT),
    ("position-wrong-hemisphere-west", "position-wrong-hemisphere", Refused, 5, LON),
    ("position-outside-area", "position-outside-area", Refused, 5, LAT),
    ("position-far-away", "position-far-away", Warning, 5, LAT),
    ("position-edge-of-area", "position-edge-of-area", Warning, 5, LAT),
    ("position-zero", "position-zero", Refused, 5, LAT),
    ("position-off-globe-latitude", "position-off-globe", Refused, 5, LAT),
    ("position-off-globe-longitude", "position-off-globe", Refused, 5, LON),
    ("position-has-no-place", "position-has-no-place", Refused, 5, Some("northing")),
    ("position-unreadable", "position-unreadable", Refused, 5, Some("verbatimCoordinates")),
    ("positions-disagree", "positions-disagree", Warning, 5, Some("easting")),
    ("datum-unknown", "datum-unknown", Refused, 5, Some("geodeticDatum")),
    ("datum-not-geographic", "datum-unknown", Refused, 5, Some("geodeticDatum")),
    ("crs-unknown", "crs-unknown", Refused, 5, Some("crs")),
    ("crs-not-in-register", "crs-unknown", Refused, 5, Some("crs")),
    ("uncertainty-not-a-number", "uncertainty-not-a-number", Warning, 5, RADIUS),
    ("uncertainty-negative", "uncertainty-negative", Warning, 5, RADIUS),
    ("uncertainty-zero", "uncertainty-zero", Warning, 5, RADIUS),
    ("uncertainty-large", "uncertainty-large", Warning, 5, RADIUS),
    ("age-not-a-number", "age-not-a-number", Refused, 5, Some("ageMinMonths")),
    ("age-ambiguous", "age-not-a-number", Refused, 5, Some("ageMaxMonths")),
    ("age-negative", "age-negative", Refused, 5, Some("ageMinMonths")),
    ("age-bounds-reversed", "age-bounds-reversed", Refused, 5, Some("ageMinMonths")),
    ("age-too-old", "age-too-old", Refused, 5, Some("ageMaxMonths")),
    ("age-over-limit", "age-over-limit", Warning, 5, Some("ageMaxMonths")),
    ("age-upper-missing", "age-upper-missing", Warning, 5, Some("ageMinMonths")),
    ("age-lower-missing", "age-lower-missing", Warning, 5, Some("ageMaxMonths")),
    ("age-unknown", "age-unknown", Warning, 5, None),
    ("dentition-not-read", "dentition-not-read", Warning, 5, Some("dentition")),
    ("dentition-small-letter", "dentition-not-read", Warning, 5, Some("dentition")),
    ("dentition-contradictory", "dentition-contradictory", Warning, 5, Some("dentition")),
    ("dentition-says-nothing", "dentition-says-nothing", Warning, 5, Some("dentition")),
    ("dentition-top-open", "dentition-top-open", Warning, 5, Some("dentition")),
    ("age-against-dentition", "age-against-dentition", Warning, 5, Some("dentition")),
    ("sex-unknown", "sex-unknown", Warning, 5, Some("sex")),
    ("node-pair-unknown", "node-pair-unknown", Warning, 5, Some("nodePairsExamined")),
    ("lesion-without-nodes", "lesion-without-nodes", Warning, 5, Some("nodePairsExamined")),
    ("lesion-word-unknown", "lesion-word-unknown", Refused, 5, Some("grossLesion")),
    ("lab-result-unknown", "lab-result-unknown", Refused, 5, Some("labResult")),
    ("lab-method-unknown", "lab-method-unknown", Warning, 5, Some("labMethod")),
    ("lab-method-missing", "lab-method-missing", Warning, 5, Some("labResult")),
    ("lab-result-missing", "lab-result-missing", Warning, 5, Some("labMethod")),
    ("result-pending-only", "result-pending-only", Refused, 5, Some("labResult")),
    ("result-missing", "result-missing", Refused, 5, None),
    ("lesion-not-confirmed", "lesion-not-confirmed", Note, 5, Some("labResult")),
    ("infection-without-lesion", "infection-without-lesion", Note, 5, Some("labResult")),
    ("negative-while-pending", "negative-while-pending", Note, 5, Some("labResult")),
    ("positive-awaits-laboratory", "positive-awaits-laboratory", Note, 5, Some("labResult")),
    ("same-place-date-age", "same-place-date-age", Note, 5, Some("occurrenceID")),
    ("position-repeated", "position-repeated", Note, 5, Some("occurrenceID")),
    ("far-from-its-day", "far-from-its-day", Note, 5, Some("occurrenceID")),
    ("months-without-records", "months-without-records", Note, 0, None),
    ("columns-not-used", "columns-not-used", Note, 0, None),
    ("row-too-short", "row-too-short", Refused, 5, None),
    ("row-too-long", "row-too-long", Refused, 5, None),
    ("quote-not-closed", "quote-not-closed", Refused, 3, None),
    ("rows-empty", "rows-empty", Note, 3, None),
    ("encoding-not-utf-8", "encoding-not-utf-8", Warning, 4, None),
    ("file-empty", "file-empty", Refused, 0, None),
    ("file-without-rows", "file-without-rows", Refused, 0, None),
    ("geometry-not-a-point", "geometry-not-a-point", Refused, 2, None),
    ("geometry-unreadable", "geometry-unreadable", Refused, 2, None),
    ("column-type-not-read", "column-type-not-read", Warning, 0, Some("teeth")),
    ("area-id-missing", "area-id-missing", Refused, 2, None),
    ("area-id-repeated", "area-id-repeated", Refused, 2, Some("zoneID")),
    ("boundary-unusable", "boundary-unusable", Refused, 2, None),
    ("area-not-a-polygon", "boundary-unusable", Refused, 2, None),
    ("area-number-unusable", "area-number-unusable", Warning, 1, Some("priorFree")),
    ("feasible-unknown", "feasible-unknown", Warning, 1, Some("feasible")),
    ("cover-missing", "cover-missing", Refused, 2, None),
    ("risk-class-unknown", "risk-class-unknown", Warning, 0, Some("cover")),
    ("cover-class-unknown", "cover-class-unknown", Warning, 2, Some("cover")),
    ("method-unknown", "method-unknown", Warning, 1, Some("possumMethod")),
    ("operation-after-as-of", "operation-after-as-of", Note, 3, Some("startDate")),
    ("operation-block-unknown", "operation-block-unknown", Refused, 3, Some("blockID")),
    ("operation-host-unknown", "operation-host-unknown", Refused, 3, Some("vector")),
    ("operation-date-unreadable", "operation-date-unreadable", Refused, 3, Some("startDate")),
    ("operation-dates-reversed", "operation-dates-reversed", Refused, 3, Some("endDate")),
    ("operation-efficacy-unusable", "operation-efficacy-unusable", Warning, 3, Some("efficacy")),
    ("operation-repeated", "operation-repeated", Refused, 3, Some("blockID")),
    ("operation-overlap", "operation-overlap", Warning, 3, Some("blockID")),
    ("operation-row-broken", "operation-row-broken", Refused, 3, None),
    ("cell-without-column-name", "cell-without-column-name", Warning, 5, None),
    ("sheets-not-read", "sheets-not-read", Note, 0, None),
    ("age-not-read", "age-not-read", Warning, 5, Some("Age")),
    ("age-unit-unknown", "age-unit-unknown", Refused, 5, Some("Age")),
    ("animal-not-found", "animal-not-found", Refused, 5, Some("tag")),
    ("animal-unknown", "animal-unknown", Refused, 5, Some("species")),
    ("column-read-as", "column-read-as", Note, 0, Some("Shot")),
    ("cell-corrected", "cell-corrected", Note, 4, Some("sex")),
    ("column-undecided", "column-undecided", Warning, 0, Some("Accuracy")),
    ("lesion-against-nodes", "lesion-against-nodes", Warning, 5, Some("grossLesion")),
    ("node-word-unknown", "node-word-unknown", Refused, 5, Some("L submand")),
    ("numbers-start-again", "numbers-start-again", Note, 0, None),
    ("other-species", "other-species", Note, 5, Some("species")),
    ("row-not-asked-for", "row-not-asked-for", Note, 5, Some("block")),
    ("row-withdrawn", "row-withdrawn", Note, 5, Some("status")),
    ("rows-disagree", "rows-disagree", Warning, 5, Some("sex")),
    ("rows-no-records", "rows-no-records", Note, 6, None),
    ("uncertainty-not-read", "uncertainty-not-read", Warning, 5, Some("Accuracy (m)")),
    ("formula-without-value", "formula-without-value", Warning, 4, None),
    ("geometry-without-numbers", "geometry-unreadable", Refused, 2, None),
    ("boundary-empty", "boundary-unusable", Refused, 2, None),
    ("areas-overlap", "areas-overlap", Warning, 0, None),
    ("area-far-away", "area-far-away", Warning, 0, None),
    ("area-columns-not-used", "columns-not-used", Note, 0, None),
    ("file-holds-none", "file-holds-none", Warning, 0, None),
];

/// The guard that no input can reach: each missing part has a refusal of its own.
const UNREACHABLE: &[&str] = &["row-incomplete"];

fn folder() -> PathBuf {
    fixtures("bad-input")
}

fn read(stem: &str) -> Result<Ingested, IngestError> {
    let toml = folder().join(format!("{stem}.toml"));
    let study = if toml.exists() {
        Study::read(&toml).expect("the gallery's studies are sound")
    } else {
        let file = ["csv", "geojson", "gpkg", "parquet", "xlsx"]
            .iter()
            .map(|e| format!("{stem}.{e}"))
            .find(|f| folder().join(f).exists())
            .unwrap_or_else(|| panic!("no file for {stem}"));
        let mut study = Study::minimal("gallery", "EPSG:2193", &file);
        study.folder = folder();
        study
    };
    read_study_on(&study, jiff::civil::date(2025, 1, 1))
}

fn findings(stem: &str) -> Vec<Finding> {
    match read(stem) {
        Ok(ingested) => {
            assert!(ingested.account.counts.check(), "{stem}: {:?}", ingested.account.counts);
            assert_eq!(
                ingested.records.pigs.len(),
                ingested.account.counts.used + ingested.account.counts.used_with_warning,
                "{stem}"
            );
            ingested.account.findings
        }
        Err(IngestError::NoUsablePig { account }) => {
            let (counts, findings) = (account.counts, account.findings);
            assert!(counts.check() && counts.used + counts.used_with_warning == 0, "{stem}: {counts:?}");
            findings
        }
        Err(e) => panic!("{stem}: {e}"),
    }
}

#[test]
fn every_fault_is_found_where_it_is() {
    for &(stem, code, severity, row, column) in GALLERY {
        let all = findings(stem);
        let shown = || all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n  ");
        let found: Vec<&Finding> = all.iter().filter(|f| f.code == code).collect();
        assert_eq!(found.len(), 1, "{stem}: {code} wanted once among\n  {}", shown());
        let f = found[0];
        assert_eq!(f.severity, severity, "{stem}: {f}");
        assert_eq!(f.row.unwrap_or(0), row, "{stem}: {f}");
        assert_eq!(f.column.as_deref(), column, "{stem}: {f}");
        assert!(f.file.starts_with(stem), "{stem}: {f}");
        assert!(!f.message.is_empty() && !f.suggested_correction.is_empty(), "{stem}: {f}");
        let text = f.to_string();
        if let Some(value) = &f.value {
            assert!(text.contains(&format!("\"{value}\"")), "{stem}: {f}");
        } else {
            // What a column is read as is said of the whole column.
            let empty = f.message.contains("is empty") || f.code.starts_with("column-");
            assert!(column.is_none() || empty, "{stem}: a cell with a value must be quoted: {f}");
        }
    }
}

#[test]
fn nothing_else_is_found_in_the_gallery() {
    // A fault must not set off others: the rest of each file is sound.
    for &(stem, code, ..) in GALLERY {
        for f in findings(stem) {
            // What a column with a name of its own is read as is said beside every fault.
            let said =
                f.code == "column-read-as" || (stem == "age-unit-unknown" && f.code == "column-undecided");
            let unused = stem == "row-not-asked-for" && f.code == "columns-not-used";
            let with_it = f.code == code
                || said
                || unused
                // An empty cell of a pair leaves no usable pig in a file of one bad row; none here.
                || (stem == "file-empty" && f.code == "file-empty");
            assert!(with_it, "{stem}: also found {}: {f}", f.code);
        }
    }
}

#[test]
fn sound_rows_beside_a_fault_are_used() {
    for &(stem, _, severity, row, _) in GALLERY {
        let Ok(ingested) = read(stem) else {
            assert!(stem.starts_with("file-"), "{stem} left no pig");
            continue;
        };
        let c = ingested.account.counts;
        let pigs = ingested.account.inputs.iter().filter(|i| i.role == "pigs");
        let pigs: Vec<&str> = pigs.map(|i| i.path.as_str()).collect();
        let of_row = |f: &Finding| pigs.contains(&f.file.as_str()) && f.row == Some(row);
        let of_pigs = row > 0 && ingested.account.findings.iter().any(of_row);
        let of_the_file = ["rows-empty", "rows-no-records", "encoding-", "cell-without-", "formula-"]
            .iter()
            .any(|s| stem.starts_with(s));
        if of_pigs && !of_the_file {
            assert_eq!(c.refused, usize::from(severity == Refused), "{stem}: {c:?}");
            assert_eq!(c.used_with_warning, usize::from(severity == Warning), "{stem}: {c:?}");
        } else {
            assert_eq!((c.refused, c.used_with_warning), (0, 0), "{stem}: {c:?}");
        }
    }
}

#[test]
fn every_code_in_the_source_has_a_file_in_the_gallery() {
    let listed: BTreeSet<&str> = GALLERY.iter().map(|g| g.1).chain(UNREACHABLE.iter().copied()).collect();
    let mut seen = BTreeSet::new();
    for file in files::files("src/ingest") {
        // Words of sheets are no codes.
        if file.to_string_lossy().contains("vocabulary") {
            continue;
        }
        let text = files::read(&file.to_string_lossy());
        // Findings are made before the unit tests of a file.
        let text = text.split("#[cfg(test)]").next().unwrap().to_string();
        for line in text.lines().map(str::trim_start).filter(|l| !l.starts_with("//")) {
            for literal in line.split('"').skip(1).step_by(2).filter(|l| *l != "year-month-day") {
                let words: Vec<&str> = literal.split('-').collect();
                let kebab = words.len() >= 2
                    && words.iter().all(|w| {
                        !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
                    });
                if kebab {
                    seen.insert(literal.to_string());
                }
            }
        }
    }
    let missing: Vec<_> = seen.iter().filter(|c| !listed.contains(c.as_str())).collect();
    assert!(missing.is_empty(), "codes without a file: {missing:?}");
    let gone: Vec<_> = listed.iter().filter(|c| !seen.contains(**c)).collect();
    assert!(gone.is_empty(), "codes no longer made: {gone:?}");
}

#[test]
fn the_suggested_correction_says_what_to_write() {
    let suggested_correction = |stem: &str, code: &str| {
        findings(stem)
            .into_iter()
            .find(|f| f.code == code)
            .map(|f| f.suggested_correction)
            .unwrap_or_default()
    };
    assert_eq!(
        suggested_correction("date-ambiguous", "date-ambiguous"),
        "write 2021-04-03 or 2021-03-04, whichever is meant"
    );
    assert_eq!(
        suggested_correction("age-not-read", "age-not-read"),
        "say what it means: [records.words.\"Age\"] \"quite old\" = \"12-24 months\""
    );
    assert_eq!(
        suggested_correction("age-not-a-number", "age-not-a-number"),
        "write a number such as 12 or 12.5, or leave it empty if unknown"
    );
    assert_eq!(suggested_correction("age-ambiguous", "age-not-a-number"), "write 1.4 or 1400");
    assert_eq!(
        suggested_correction("dentition-small-letter", "dentition-not-read"),
        "write \"I2 through\" or \"I2 milk\""
    );
    assert_eq!(
        suggested_correction("dentition-top-open", "dentition-top-open"),
        "add the wear class, such as \"wear 2\""
    );
    assert_eq!(
        suggested_correction("position-swapped-over-90", "position-swapped"),
        "swap them: decimalLatitude -39.9407, decimalLongitude 172.9808"
    );
    assert_eq!(
        suggested_correction("position-wrong-hemisphere", "position-wrong-hemisphere"),
        "write decimalLatitude -39.9407, decimalLongitude 172.9808"
    );
    assert_eq!(
        suggested_correction("operation-efficacy-unusable", "operation-efficacy-unusable"),
        "write 0.85 or 85%"
    );
}
