//! Past control operations: a table of block, host, days and measured efficacy.
//!
//! | column | meaning |
//! | --- | --- |
//! | `blockID` | a block of the blocks file |
//! | `vector` | `possum` or `ferret` |
//! | `startDate`, `endDate` | ISO 8601; a month or a year is its first to its last day; no end: one day |
//! | `efficacy` | share of the host removed, 0 to 1 or with a `%` sign, if measured |
//!
//! Column names are matched as those of pig records are; the file may be CSV, XLSX or Parquet.

use crate::ingest::columns::{is_blank, plain};
use crate::ingest::errors::IngestError;
use crate::ingest::find_table;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::input_file::InputFile;
use crate::ingest::values::date;
use crate::ingest::values::number::{SHARE, complaint, number};
use crate::records::{Block, DateSpan, Operation, Source, WildlifeHost};
use crate::study::study_file::Study;
use jiff::civil::Date;
use std::collections::BTreeMap;

const COLUMN_NAMES: [&str; 5] = ["blockID", "vector", "startDate", "endDate", "efficacy"];
/// The column names a table of operations must have, among [`COLUMN_NAMES`].
const REQUIRED: usize = 3;

/// Reads the operations; one that starts after `as_of` is noted.
///
/// # Errors
/// [`IngestError`] when the file is unreadable or lacks a column.
pub(crate) fn read(
    study: &Study,
    name: &str,
    blocks: &[Block],
    as_of: Date,
) -> Result<(Vec<Operation>, Vec<Finding>, InputFile), IngestError> {
    let (table, input) = find_table::read_table(&study.path(name), name, None, "operations")?;
    let at: Vec<Option<usize>> =
        COLUMN_NAMES.iter().map(|h| table.column_names.iter().position(|t| plain(t) == plain(h))).collect();
    let missing: Vec<&str> = (0..REQUIRED).filter(|&k| at[k].is_none()).map(|k| COLUMN_NAMES[k]).collect();
    if !missing.is_empty() && !table.column_names.is_empty() {
        return Err(IngestError::MissingColumns {
            file: name.to_string(),
            missing: missing.join(", "),
            present: table.column_names.join(", "),
            suggested_correction: "give the columns these names".into(),
        });
    }
    for (k, ours) in COLUMN_NAMES.iter().enumerate() {
        let same = |t: &&String| plain(t) == plain(ours);
        if let [first, second, ..] = &table.column_names.iter().filter(same).collect::<Vec<_>>()[..] {
            return Err(IngestError::DoubleHeading {
                file: name.to_string(),
                column: COLUMN_NAMES[k].into(),
                first: first.to_string(),
                second: second.to_string(),
            });
        }
    }
    let index: BTreeMap<&str, usize> = blocks.iter().enumerate().map(|(i, b)| (b.id.as_str(), i)).collect();
    let mut findings = table.notes.clone();
    findings.extend(crate::ingest::file_notes::unused(name, &table.column_names, &COLUMN_NAMES));
    if table.rows.is_empty() {
        findings.push(crate::ingest::file_notes::holds_none(name, "operation"));
    }
    let mut operations: Vec<Operation> = Vec::new();
    for row in &table.rows {
        let place = Place { file: name, row: Some(row.number) };
        if row.problem.is_some() {
            findings.push(place.whole(
                Severity::Refused,
                "operation-row-broken",
                "does not fit the column names",
                "give the row one cell per column, between quotation marks where a cell holds the delimiter",
            ));
            continue;
        }
        let cell = |k: usize| {
            let text = row.cells.get(at[k]?)?.trim();
            (!is_blank(text)).then_some(text)
        };
        match operation(&place, &cell, &index, blocks, as_of) {
            Ok((operation, mut warnings)) => {
                findings.append(&mut warnings);
                match overlap(&place, &cell, &operation, &operations) {
                    Some(f) if f.severity == Severity::Refused => findings.push(f),
                    other => {
                        findings.extend(other);
                        operations.push(operation);
                    }
                }
            }
            Err(finding) => findings.push(*finding),
        }
    }
    Ok((operations, findings, input))
}

fn operation<'a>(
    place: &Place,
    cell: &impl Fn(usize) -> Option<&'a str>,
    index: &BTreeMap<&str, usize>,
    blocks: &[Block],
    as_of: Date,
) -> Result<(Operation, Vec<Finding>), Box<Finding>> {
    let refuse = |k: usize, code, message: String, suggested_correction: String| {
        Box::new(place.cell(
            Severity::Refused,
            code,
            Some(COLUMN_NAMES[k]),
            cell(k),
            message,
            suggested_correction,
        ))
    };
    let Some(block_id) = cell(0) else {
        return Err(refuse(
            0,
            "operation-block-unknown",
            "is empty".into(),
            "name a block of the blocks file".into(),
        ));
    };
    let Some(&block) = index.get(block_id) else {
        let known: Vec<&str> = blocks.iter().map(|b| b.id.as_str()).take(12).collect();
        let suggested_correction = if known.is_empty() {
            "name the blocks file under areas.blocks in the study file".to_string()
        } else {
            format!("write one of {}{}", known.join(", "), if blocks.len() > 12 { ", …" } else { "" })
        };
        return Err(refuse(
            0,
            "operation-block-unknown",
            "is no block of the blocks file".into(),
            suggested_correction,
        ));
    };
    let host = match cell(1).map(str::to_lowercase).as_deref() {
        Some("possum" | "possums") => WildlifeHost::Possum,
        Some("ferret" | "ferrets") => WildlifeHost::Ferret,
        Some(_) => {
            return Err(refuse(
                1,
                "operation-host-unknown",
                "is no wildlife host known here".into(),
                "write possum or ferret".into(),
            ));
        }
        None => {
            return Err(refuse(
                1,
                "operation-host-unknown",
                "is empty".into(),
                "write possum or ferret".into(),
            ));
        }
    };
    let date = |k: usize| -> Result<Option<DateSpan>, Box<Finding>> {
        cell(k).map(date::date_span).transpose().map_err(|problem| {
            let (_, message, suggested_correction) = date::complaint(&problem);
            refuse(k, "operation-date-unreadable", message, suggested_correction)
        })
    };
    let Some(start) = date(2)? else {
        return Err(refuse(
            2,
            "operation-date-unreadable",
            "is empty".into(),
            "fill in the first day".into(),
        ));
    };
    let end = date(3)?.unwrap_or(start);
    if end.last < start.first {
        return Err(refuse(
            3,
            "operation-dates-reversed",
            format!("lies before the start, {}", start.first),
            "correct one of the two dates".into(),
        ));
    }
    let mut warnings = Vec::new();
    if start.first > as_of {
        warnings.push(place.cell(
            Severity::Note,
            "operation-after-as-of",
            Some(COLUMN_NAMES[2]),
            cell(2),
            format!("lies after {as_of}, the analysis date: it changes nothing yet"),
            "nothing to do if it is planned; correct the date if it is done",
        ));
    }
    let efficacy = cell(4).and_then(|text| match share(text) {
        Ok(v) => Some(v),
        Err((message, suggested_correction)) => {
            warnings.push(place.cell(
                Severity::Warning,
                "operation-efficacy-unusable",
                Some(COLUMN_NAMES[4]),
                Some(text),
                message + "; counted as not measured",
                suggested_correction,
            ));
            None
        }
    });
    let source = Source { file: place.file.to_string(), row: place.row.unwrap_or(0) };
    Ok((Operation { source, block, host, start: start.first, end: end.last, efficacy }, warnings))
}

/// A share, 0 to 1, or a percentage with its sign.
fn share(text: &str) -> Result<f64, (String, String)> {
    let (body, scale) = match text.strip_suffix('%') {
        Some(body) => (body, 0.01),
        None => (text, 1.0),
    };
    match number(body) {
        Ok(v) if (0.0..=1.0).contains(&(v * scale)) => Ok(v * scale),
        Ok(v) if scale == 1.0 && v <= 100.0 && v > 1.0 => {
            Err(("is above 1".into(), format!("write {} or {v}%", v / 100.0)))
        }
        Ok(_) => Err(("is no share".into(), "write 0 to 1, or a percentage with its sign".into())),
        Err(problem) => Err(complaint(&problem, SHARE, "leave it empty if it was not measured")),
    }
}

/// Whether an earlier row says the same, or overlaps in time.
fn overlap<'a>(
    place: &Place,
    cell: &impl Fn(usize) -> Option<&'a str>,
    new: &Operation,
    earlier: &[Operation],
) -> Option<Finding> {
    let same = |o: &&Operation| o.block == new.block && o.host == new.host;
    if let Some(twin) = earlier.iter().filter(same).find(|o| (o.start, o.end) == (new.start, new.end)) {
        return Some(place.cell(
            Severity::Refused,
            "operation-repeated",
            Some(COLUMN_NAMES[0]),
            cell(0),
            format!("has this operation in row {} already", twin.source.row),
            "delete one of the two rows",
        ));
    }
    let other = earlier.iter().filter(same).find(|o| o.start <= new.end && new.start <= o.end)?;
    Some(place.cell(
        Severity::Warning,
        "operation-overlap",
        Some(COLUMN_NAMES[0]),
        cell(0),
        format!(
            "has an operation against the same host at the same time in row {}; both are used",
            other.source.row
        ),
        "join the two rows if they are one operation",
    ))
}
