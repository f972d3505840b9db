//! `findings.csv`: everything found in the input, one row each.

use crate::ingest::findings::Finding;

/// The findings as CSV with a heading row; absent values are empty cells.
pub(crate) fn csv(findings: &[Finding]) -> Vec<u8> {
    let mut out = csv::Writer::from_writer(Vec::new());
    let heading = ["severity", "code", "file", "row", "column", "value", "message", "suggested_correction"];
    let rows = findings.iter().map(|f| {
        [
            f.severity.word().to_string(),
            f.code.to_string(),
            f.file.clone(),
            f.row.map(|r| r.to_string()).unwrap_or_default(),
            f.column.clone().unwrap_or_default(),
            f.value.clone().unwrap_or_default(),
            f.message.clone(),
            f.suggested_correction.clone(),
        ]
    });
    // Writing into memory cannot fail: there is no device that could be full.
    out.write_record(heading).expect("memory takes every record");
    for row in rows {
        out.write_record(&row).expect("memory takes every record");
    }
    out.into_inner().expect("memory can be flushed")
}
