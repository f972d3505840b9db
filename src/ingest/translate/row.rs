//! One row of a sheet, read by its table's plan.

use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::memory::{Answers, answer};
use crate::ingest::phrase;
use crate::ingest::table::{Row, Table, number_text};
use crate::ingest::translate::animal::{self, AnimalWords};
use crate::ingest::translate::plan::TablePlan;
use crate::ingest::translate::read_row::{ReadCell, ReadRow, Reader};
use crate::ingest::translate::{place, row_ages, row_dates, row_findings};
use crate::ingest::values::length::length_m;
use crate::ingest::vocabulary::{self, Field};
use crate::records::Sex;

/// Reads a row; `table_index` is the table's place among those read.
pub(crate) fn read(plan: &TablePlan, table: &Table, row: &Row, table_index: usize) -> ReadRow {
    let mut out = ReadRow {
        table: table_index,
        number: row.number,
        problem: row.problem.clone(),
        ..ReadRow::default()
    };
    if row.problem.is_some() {
        out.raw.clone_from(&row.cells);
        return out;
    }
    let reader = Reader { plan, table, row };
    for (column, value) in &plan.constants {
        let cell = ReadCell {
            text: value.clone(),
            table: 0,
            column: usize::MAX,
            written: value.clone(),
            rule: "constant of the study file",
        };
        out.cells.insert(*column, cell);
    }
    let species = reader.field(Field::Species).map(|(i, text)| (i, animal::read(text)));
    let sex = reader.field(Field::Sex).map(|(i, text)| (i, animal::read(text)));
    out.left_out = left_out(&reader, species.as_ref(), sex.as_ref());
    if out.left_out.is_some() {
        id(&reader, &mut out);
        return out;
    }
    id(&reader, &mut out);
    row_dates::read(&reader, &mut out);
    out.cells.extend(place::cells(plan, row));
    radius(&reader, &mut out);
    sexes(&reader, species.as_ref(), sex.as_ref(), &mut out);
    unknown_animal(&reader, species.as_ref(), sex.as_ref(), &mut out);
    row_ages::read(&reader, species.as_ref(), sex.as_ref(), &mut out);
    row_findings::read(&reader, &mut out);
    out.cells.values_mut().for_each(|c| c.table = table_index);
    out
}

fn id(reader: &Reader, out: &mut ReadRow) {
    if let Some((index, text)) = reader.field(Field::Id) {
        out.cells.insert(Column::OccurrenceId, reader.cell(index, text, "word of the study file"));
    } else if reader.plan.numbered {
        let cell = ReadCell {
            text: format!("row {}", reader.row.number),
            table: 0,
            column: usize::MAX,
            written: String::new(),
            rule: "number of the row",
        };
        out.cells.insert(Column::OccurrenceId, cell);
    }
}

/// Refuses a row whose animal is named by a word that is not known: it may be no pig.
fn unknown_animal(
    reader: &Reader,
    species: Option<&(usize, AnimalWords)>,
    sex: Option<&(usize, AnimalWords)>,
    out: &mut ReadRow,
) {
    let sex = sex.filter(|_| reader.plan.sex_names_species);
    for (index, words) in [species, sex].into_iter().flatten() {
        let known = words.says_something() || words.rest.is_empty() || reader.plan.only.contains_key(index);
        if known || row_ages::told(reader, &words.rest.join(" "), None).is_some() {
            continue;
        }
        let name = &reader.table.column_names[*index];
        out.cells.remove(&Column::Sex);
        out.faults.push((
            Some(Column::Sex),
            reader.finding(
                Severity::Refused,
                "animal-unknown",
                *index,
                "is no animal known here",
                format!(
                    "say what it is: [records.words.{name:?}] {:?} = \"pig\" or \"other\"",
                    reader.raw(*index)
                ),
            ),
        ));
        return;
    }
}

/// Words that withdraw a row wherever they stand; results may say `error` or `rejected` and mean a test.
fn withdraws(text: &str) -> bool {
    if !text.chars().any(char::is_alphabetic) {
        return false;
    }
    thread_local! { static KEPT: Answers<bool> = Answers::default(); }
    answer(&KEPT, text, is_withdrawal)
}

fn is_withdrawal(text: &str) -> bool {
    #[rustfmt::skip]
    const STEMS: [&str; 28] = [
        "void", "voided", "withdrawn", "cancelled", "canceled", "anulado", "anulada", "annulé", "annule",
        "annulee", "annullato", "annullata", "storniert", "zuruckgezogen", "ritirato", "ritirata",
        "retirado", "retirada", "retire", "retiree", "nulo", "nula", "ungultig", "gestrichen",
        "cancelado", "cancelada", "duplicate record", "entered in error",
    ];
    let first = phrase::cell(text);
    let first = first.split([',', ';', ':', '.', '(']).next().unwrap_or("").trim();
    let first = first.split(" - ").next().unwrap_or(first);
    // "VOID double entry": a word that means nothing else, and little after it.
    #[rustfmt::skip]
    const PLAIN: [&str; 10] = [
        "void", "voided", "withdrawn", "anulado", "anulada", "annule", "annulee", "annullato", "annullata",
        "storniert",
    ];
    let words: Vec<&str> = first.split(' ').collect();
    if words.len() <= 4 && PLAIN.contains(&words[0]) {
        return true;
    }
    // "tag void" is short enough to say nothing else.
    let denied = ["not", "no", "non", "nicht", "nao", "pas"].contains(&words[0]);
    STEMS.contains(&first) || (words.len() == 2 && !denied && words.iter().any(|w| STEMS.contains(w)))
}

/// Why a row does not count.
fn left_out(
    reader: &Reader,
    species: Option<&(usize, AnimalWords)>,
    sex: Option<&(usize, AnimalWords)>,
) -> Option<Finding> {
    let out = |index: usize, code, message: &str, fix: String| {
        Some(reader.finding(Severity::Note, code, index, message, fix))
    };
    let name = |index: usize| format!("{:?}", reader.table.column_names[index]);
    for (index, values) in &reader.plan.only {
        if !values.contains(&phrase::cell(reader.raw(*index))) {
            return out(
                *index,
                "row-not-asked-for",
                "is not among the values of records.where, and the row is left out",
                "add the value there if the row counts".into(),
            );
        }
    }
    let filtered = |index: &usize| reader.plan.only.contains_key(index);
    for (index, words) in [species, sex].into_iter().flatten() {
        if words.pig == Some(false) && !filtered(index) {
            return out(
                *index,
                "other-species",
                "is another animal than a pig, and the row is left out",
                format!("if it counts, list the words that do: [records.where] {} = [...]", name(*index)),
            );
        }
    }
    if let Some(index) = reader.plan.index(Field::Status).filter(|i| !filtered(i)) {
        let raw = reader.raw(index);
        let header = phrase::header(&reader.table.column_names[index]);
        let named_void = vocabulary::stands(&header) == Some(false);
        let yes = crate::ingest::translate::findings::yes_no(raw)
            .or_else(|| (raw == "1").then_some(true))
            .or_else(|| (raw == "0").then_some(false));
        let stands = match yes {
            // "void: yes" and "valid: no" say the same.
            Some(yes) => {
                Some(yes != named_void).filter(|_| named_void || vocabulary::stands(&header).is_some())
            }
            None => vocabulary::stands(raw),
        };
        if stands == Some(false) {
            return out(
                index,
                "row-withdrawn",
                "withdraws the row, which is left out",
                format!("if it counts, list the words that do: [records.where] {} = [...]", name(index)),
            );
        }
    }
    let index = (0..reader.row.cells.len())
        .find(|i| withdraws(reader.raw(*i)) && !filtered(i) && !reader.plan.names.contains(i))?;
    out(index, "row-withdrawn", "withdraws the row, which is left out", "reword the cell if it counts".into())
}

fn radius(reader: &Reader, out: &mut ReadRow) {
    let Some((index, text)) = reader.field(Field::Radius) else { return };
    let name = &reader.table.column_names[index];
    // Our own column is read by its own reader, with its own words on what is wrong.
    let own = Column::of_column_name(name).is_some();
    if own && (text.chars().all(|c| !c.is_alphabetic()) || length_m(text, reader.plan.radius_unit).is_none())
    {
        out.cells.insert(Column::CoordinateUncertainty, reader.cell(index, text, "as written"));
        return;
    }
    match length_m(text, reader.plan.radius_unit) {
        Some(metres) => {
            // Feet and yards have factors with no finite binary form: millimetres are enough.
            let metres = (metres * 1000.0).round() / 1000.0;
            let cell = reader.cell(index, number_text(metres), "length in metres");
            out.cells.insert(Column::CoordinateUncertainty, cell);
        }
        // A number without a unit is said once for the column.
        None if reader.plan.radius_unit.is_none() && text.chars().all(|c| !c.is_alphabetic()) => {}
        None => {
            out.faults.push((
                None,
                reader.finding(
                    Severity::Warning,
                    "uncertainty-not-read",
                    index,
                    "is no length known here; the study's default radius is used",
                    "write metres, such as 25, or leave it empty",
                ),
            ));
        }
    }
}

fn sexes(
    reader: &Reader,
    species: Option<&(usize, AnimalWords)>,
    sex: Option<&(usize, AnimalWords)>,
    out: &mut ReadRow,
) {
    let told = [sex, species].into_iter().flatten().find_map(|(i, words)| Some((*i, words.sex?)));
    match told {
        Some((index, sex)) => {
            let word = match sex {
                Sex::Female => "female",
                Sex::Male => "male",
                Sex::Unknown => "unknown",
            };
            let raw = reader.raw(index);
            let own = raw.eq_ignore_ascii_case(word);
            let text = if own { raw } else { word };
            out.cells.insert(Column::Sex, reader.cell(index, text, "word for the sex"));
        }
        None => {
            if let Some((index, text)) = reader.field(Field::Sex)
                && sex.is_none_or(|(_, words)| words.pig.is_none())
            {
                out.cells.insert(Column::Sex, reader.cell(index, text, "as written"));
            }
        }
    }
}
