//! `records_read.csv`: what became of every row of the record files, field by field.

use crate::contract::documents::RECORDS_READ;
use crate::contract::error::ContractError;
use crate::ingest::account::{FieldRead, RowAccount};

/// The account as CSV with a row of column names; absent values are empty cells.
///
/// # Errors
/// [`ContractError`] for a column that is declared and not known here.
pub(crate) fn csv(rows: &[RowAccount]) -> Result<Vec<u8>, ContractError> {
    let failed = |e: csv::Error| ContractError::file(RECORDS_READ.path, e.to_string());
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(RECORDS_READ.columns.iter().map(|c| c.name)).map_err(failed)?;
    for row in rows {
        let fields: Vec<Option<&FieldRead>> =
            if row.fields.is_empty() { vec![None] } else { row.fields.iter().map(Some).collect() };
        for field in fields {
            let cells = RECORDS_READ.columns.iter().map(|c| cell(row, field, c.name));
            out.write_record(cells.collect::<Result<Vec<_>, _>>()?).map_err(failed)?;
        }
    }
    out.into_inner().map_err(|e| ContractError::file(RECORDS_READ.path, e.to_string()))
}

fn cell(row: &RowAccount, field: Option<&FieldRead>, column: &str) -> Result<String, ContractError> {
    let of_field = |get: fn(&FieldRead) -> &str| field.map(get).unwrap_or_default().to_string();
    Ok(match column {
        "file" => row.file.clone(),
        "row" => row.row.to_string(),
        "occurrence_id" => row.id.clone(),
        "status" => row.status.to_string(),
        "reason" => row.reason.clone(),
        "field" => of_field(|f| f.field),
        "value" => of_field(|f| &f.value),
        "column" => of_field(|f| &f.column),
        "text" => of_field(|f| &f.text),
        "rule" => of_field(|f| f.rule),
        _ => return Err(ContractError::column(RECORDS_READ.path, column, "is not made")),
    })
}
