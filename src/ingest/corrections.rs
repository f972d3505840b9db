//! Corrections by hand, kept in a table of their own so that the sheet stays as it came.
//!
//! | column | meaning |
//! | --- | --- |
//! | `file` | file as the study names it, or a part of it that names one; blank where there is one table |
//! | `row`, `id` | the row by its number, or by the number of the animal |
//! | `field` | a column name of the sheet, or a name of `[records.columns]` |
//! | `value` | what the cell is to hold; blank empties it |
//! | `who`, `why` | who corrected it, and the reason; `why` must be given |

use crate::ingest::account::Correction;
use crate::ingest::columns::plain;
use crate::ingest::errors::IngestError;
use crate::ingest::find_table::read_table;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::input_file::InputFile;
use crate::ingest::table::{Row, Table, headed};
use crate::ingest::translate::plan::{TablePlan, field_named};
use crate::ingest::vocabulary::Field;
use crate::study::study_file::Study;

/// Reads the corrections of a study and writes them into its tables.
///
/// # Errors
/// [`IngestError::Correction`] for one that names no cell or gives no reason: none may be lost.
pub(crate) fn apply(
    study: &Study,
    tables: &mut [Table],
    plans: &[TablePlan],
    inputs: &mut Vec<InputFile>,
) -> Result<(Vec<Correction>, Vec<Finding>), IngestError> {
    let Some(name) = &study.records.corrections else { return Ok((Vec::new(), Vec::new())) };
    let (list, input) = read_table(&study.path(name), name, None, "corrections")?;
    inputs.push(input);
    let (mut done, mut notes) = (Vec::new(), Vec::new());
    for row in &list.rows {
        let wrong = |reason: String| IngestError::Correction { file: name.clone(), row: row.number, reason };
        let cell = |column: &str| {
            let at = list.column_names.iter().position(|c| plain(c) == column);
            at.and_then(|i| row.cells.get(i)).map_or("", |c| c.trim())
        };
        let (field, value, why) = (cell("field"), cell("value"), cell("why"));
        if row.problem.is_some() || field.is_empty() {
            return Err(wrong(
                "names no field; its columns are file, row, id, field, value, who, why".into(),
            ));
        }
        if why.is_empty() {
            return Err(wrong("gives no reason; fill in why".into()));
        }
        let (table, index) = place(tables, plans, cell("file"), field, &wrong)?;
        let target = target(&tables[table], &plans[table], cell("row"), cell("id"), &wrong)?;
        let Some(held) = tables[table].rows[target].cells.get_mut(index) else {
            return Err(wrong(format!(
                "row {} has no cell under \"{field}\"",
                tables[table].rows[target].number
            )));
        };
        let before = std::mem::replace(held, value.to_string());
        let correction = Correction {
            file: tables[table].file.clone(),
            row: tables[table].rows[target].number,
            column: tables[table].column_names[index].clone(),
            before,
            value: value.to_string(),
            who: cell("who").to_string(),
            why: why.to_string(),
        };
        notes.push(Place { file: &correction.file, row: Some(correction.row) }.cell(
            Severity::Note,
            "cell-corrected",
            Some(&correction.column),
            Some(&correction.before),
            format!("is read as \"{value}\" by {name} row {}: {why}", row.number),
            "nothing to do",
        ));
        done.push(correction);
    }
    Ok((done, notes))
}

/// The table and the column that a correction means.
fn place(
    tables: &[Table],
    plans: &[TablePlan],
    file: &str,
    field: &str,
    wrong: &dyn Fn(String) -> IngestError,
) -> Result<(usize, usize), IngestError> {
    let column = |k: usize| match &headed(&tables[k], field)[..] {
        [one] => Some(*one),
        _ => field_named(field).and_then(|f| plans[k].index(f)),
    };
    let named = |k: &usize| file.is_empty() || tables[*k].file.contains(file);
    let meant: Vec<(usize, usize)> =
        (0..tables.len()).filter(named).filter_map(|k| Some((k, column(k)?))).collect();
    match meant[..] {
        [one] => Ok(one),
        [] => Err(wrong(format!("names \"{field}\", which is no column of {}", or_any(file)))),
        _ => Err(wrong(format!("names \"{field}\", which several tables have; fill in file"))),
    }
}

fn or_any(file: &str) -> String {
    if file.is_empty() { "any file".into() } else { format!("a file called {file}") }
}

/// The row that a correction means.
fn target(
    table: &Table,
    plan: &TablePlan,
    number: &str,
    id: &str,
    wrong: &dyn Fn(String) -> IngestError,
) -> Result<usize, IngestError> {
    let of_id =
        |row: &Row| plan.index(Field::Id).and_then(|i| row.cells.get(i)).is_some_and(|c| c.trim() == id);
    let meant: Vec<usize> = match (number.parse::<usize>(), id.is_empty()) {
        (Ok(number), _) => (0..table.rows.len()).filter(|k| table.rows[*k].number == number).collect(),
        (Err(_), false) => (0..table.rows.len()).filter(|k| of_id(&table.rows[*k])).collect(),
        (Err(_), true) => return Err(wrong("names neither a row nor an id".into())),
    };
    match meant[..] {
        [one] => Ok(one),
        [] => Err(wrong(format!("names row \"{number}\" id \"{id}\", which {} does not have", table.file))),
        _ => Err(wrong(format!("names id \"{id}\", which several rows have; fill in row"))),
    }
}
