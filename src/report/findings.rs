//! `findings.csv`: everything found in the input, one row each.

use crate::contract::documents::FINDINGS;
use crate::contract::error::ContractError;
use crate::ingest::findings::Finding;

/// The findings as CSV with a row of column names; absent values are empty cells.
///
/// # Errors
/// [`ContractError`] for a column that is declared and not known here.
pub(crate) fn csv(findings: &[Finding]) -> Result<Vec<u8>, ContractError> {
    let failed = |e: csv::Error| ContractError::file(FINDINGS.path, e.to_string());
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(FINDINGS.columns.iter().map(|c| c.name)).map_err(failed)?;
    for f in findings {
        let cells = FINDINGS.columns.iter().map(|c| cell(f, c.name)).collect::<Result<Vec<_>, _>>()?;
        out.write_record(cells).map_err(failed)?;
    }
    out.into_inner().map_err(|e| ContractError::file(FINDINGS.path, e.to_string()))
}

fn cell(f: &Finding, column: &str) -> Result<String, ContractError> {
    Ok(match column {
        "severity" => f.severity.word().to_string(),
        "code" => f.code.to_string(),
        "file" => f.file.clone(),
        "row" => f.row.map(|r| r.to_string()).unwrap_or_default(),
        "column" => f.column.clone().unwrap_or_default(),
        "value" => f.value.clone().unwrap_or_default(),
        "message" => f.message.clone(),
        "suggested_correction" => f.suggested_correction.clone(),
        _ => return Err(ContractError::column(FINDINGS.path, column, "is not made")),
    })
}
