//! The age of a row: bounds, one cell, a class, or what the teeth show.

use crate::ingest::columns::Column;
use crate::ingest::findings::Severity;
use crate::ingest::phrase;
use crate::ingest::table::number_text;
use crate::ingest::translate::animal::AnimalWords;
use crate::ingest::translate::read_row::{ReadRow, Reader};
use crate::ingest::values::number::number;
use crate::ingest::values::written_age::{WrittenAge, bare_number, written_age};
use crate::ingest::vocabulary::{self, Field};
use itertools::Itertools as _;

/// Reads the age.
pub(crate) fn read(
    reader: &Reader,
    species: Option<&(usize, AnimalWords)>,
    sex: Option<&(usize, AnimalWords)>,
    out: &mut ReadRow,
) {
    teeth(reader, out);
    let bounds = [
        bound(reader, Field::AgeMin, Column::AgeMin, out),
        bound(reader, Field::AgeMax, Column::AgeMax, out),
    ];
    if bounds.contains(&true) {
        return;
    }
    for field in [Field::Age, Field::AgeClass] {
        if let Some((index, text)) = reader.field(field) {
            let text = text.to_string();
            if one_cell(reader, field, index, &text, out) {
                return;
            }
        }
    }
    // "gilt yrl": the age stands beside the sex.
    for (index, words) in [sex, species].into_iter().flatten() {
        let rest = words.rest.join(" ");
        let found = told(reader, &rest, None).or_else(|| class_within(reader, reader.text(*index)?));
        if let Some((age, rule)) = found {
            write(reader, *index, age, rule, out);
            return;
        }
    }
}

/// Reads one bound; whether its column has something in this row.
fn bound(reader: &Reader, field: Field, column: Column, out: &mut ReadRow) -> bool {
    let Some((index, text)) = reader.field(field) else { return false };
    let unit = reader.plan.age_unit.get(&field).copied();
    let own = Column::of_column_name(&reader.table.column_names[index]) == Some(column);
    if own && number(text).is_ok() || own && bare_number(text).is_none() && written_age(text, unit).is_none()
    {
        out.cells.insert(column, reader.cell(index, text, "as written"));
        return true;
    }
    match written_age(text, unit) {
        Some(age) => {
            // An age of several units in a column of lower bounds gives its lower one.
            let months = match (column, age.max_months) {
                (Column::AgeMax, Some(max)) => max,
                (Column::AgeMax, None) => return true,
                _ => age.min_months,
            };
            out.cells.insert(column, reader.cell(index, number_text(tidy(months)), rule(&age)));
        }
        None => not_read(reader, index, text, out),
    }
    true
}

/// Reads an age in one cell; whether it was one.
fn one_cell(reader: &Reader, field: Field, index: usize, text: &str, out: &mut ReadRow) -> bool {
    let unit = reader.plan.age_unit.get(&field).copied();
    if let Some((age, rule)) = told(reader, text, unit) {
        write(reader, index, age, rule, out);
        return true;
    }
    if names_a_tooth(text) && !out.cells.contains_key(&Column::Dentition) {
        out.cells.insert(Column::Dentition, reader.cell(index, text, "as written"));
        return true;
    }
    // A cell of sex and species under the name of an age says no age.
    if field == Field::AgeClass && vocabulary::sex(text).is_some() {
        return false;
    }
    not_read(reader, index, text, out);
    true
}

/// The age a text tells, by itself or by the legend of the sheet.
pub(crate) fn told(reader: &Reader, text: &str, unit: Option<f64>) -> Option<(WrittenAge, &'static str)> {
    if text.is_empty() {
        return None;
    }
    let legend = &reader.plan.legend.ages;
    if let Some(age) = legend.get(&phrase::cell(text)).or_else(|| legend.get(&phrase::words(text))) {
        return Some((*age, "age class by the legend of the sheet"));
    }
    // With its unit or without: a bare number counts once for each.
    let age = written_age(text, unit).or_else(|| written_age(&in_figures(text)?, unit))?;
    Some((age, rule(&age)))
}

/// An age with its words for numbers in figures: `1 ano e meio`, `two years`, `+3 anos`.
fn in_figures(text: &str) -> Option<String> {
    #[rustfmt::skip]
    const HALVES: [&str; 9] = [
        " e meio", " e meia", " y medio", " et demi", " and a half", " e mezzo", " einhalb",
        " und ein halbes", " y media",
    ];
    const NUMBERS: [(&[&str], &str); 6] = [
        (&["one", "un", "uno", "una", "um", "uma", "une", "ein", "eine", "einem", "a"], "1"),
        (&["two", "dos", "dois", "duas", "deux", "zwei", "due"], "2"),
        (&["three", "tres", "trois", "drei", "tre"], "3"),
        (&["four", "cuatro", "quatro", "quatre", "vier", "quattro"], "4"),
        (&["five", "cinco", "cinq", "funf", "cinque"], "5"),
        (&["six", "seis", "sechs", "sei"], "6"),
    ];
    let mut cell = phrase::cell(text);
    if let Some(rest) = cell.strip_prefix('+') {
        let rest = rest.trim();
        cell = format!("> {}", rest.strip_prefix("de ").unwrap_or(rest));
    }
    let half = HALVES.iter().find(|h| cell.contains(**h));
    if let Some(half) = half {
        cell = cell.replace(half, "");
    }
    let mut words: Vec<String> = cell.split(' ').map(str::to_string).collect();
    // A number word stands first; elsewhere "a" or "un" is no number.
    if let Some(first) = words.first_mut()
        && let Some((_, figure)) = NUMBERS.iter().find(|(names, _)| names.contains(&first.as_str()))
    {
        *first = (*figure).to_string();
    }
    if half.is_some() {
        let number = words.iter_mut().find(|w| w.chars().all(|c| c.is_ascii_digit()))?;
        number.push_str(".5");
    }
    let out = words.join(" ");
    (out != phrase::cell(text)).then_some(out)
}

/// The one age class of the legend among the words of a cell: `Adult sow`.
fn class_within(reader: &Reader, text: &str) -> Option<(WrittenAge, &'static str)> {
    let words = format!(" {} ", phrase::words(text));
    let legend = &reader.plan.legend.ages;
    let named = |key: &&String| !key.is_empty() && words.contains(&format!(" {} ", phrase::words(key)));
    // "adult" stands within "sub adult" too: the longer name is meant.
    let longest = legend.keys().filter(named).max_by_key(|k| k.len())?;
    Some((*legend.get(longest)?, "age class by the legend of the sheet"))
}

fn rule(age: &WrittenAge) -> &'static str {
    if age.unit_written { "age with its unit" } else { "age in the unit of its column" }
}

fn write(reader: &Reader, index: usize, age: WrittenAge, rule: &'static str, out: &mut ReadRow) {
    let cell = |months: f64| reader.cell(index, number_text(tidy(months)), rule);
    out.cells.insert(Column::AgeMin, cell(age.min_months));
    if let Some(max) = age.max_months {
        out.cells.insert(Column::AgeMax, cell(max));
    }
}

/// Months to a hundredth: a third of a year has no end.
fn tidy(months: f64) -> f64 {
    (months * 100.0).round() / 100.0
}

fn not_read(reader: &Reader, index: usize, text: &str, out: &mut ReadRow) {
    let name = &reader.table.column_names[index];
    let finding = if bare_number(text).is_some() {
        reader.finding(
            Severity::Refused,
            "age-unit-unknown",
            index,
            "is a number without a unit",
            "set records.age_unit to months or years",
        )
    } else {
        reader.finding(
            Severity::Warning,
            "age-not-read",
            index,
            "is no age known here; the age counts as unknown",
            format!("say what it means: [records.words.{name:?}] {text:?} = \"12-24 months\""),
        )
    };
    out.faults.push((Some(Column::AgeMin), finding));
}

/// Whether a text speaks of a tooth by its symbol.
fn names_a_tooth(text: &str) -> bool {
    phrase::words(text).split(' ').any(|w| {
        let mut chars = w.chars();
        let (letter, digit, end) = (chars.next(), chars.next(), chars.next());
        matches!(letter, Some('i' | 'p' | 'm' | 'c')) && matches!(digit, Some('1'..='4')) && end.is_none()
    })
}

/// Puts the columns of teeth into the words of the dentition column.
fn teeth(reader: &Reader, out: &mut ReadRow) {
    if let Some((index, text)) = reader.field(Field::Dentition) {
        out.cells.insert(Column::Dentition, reader.cell(index, text, "word of the study file"));
        return;
    }
    let mut said = Vec::new();
    let mut first = None;
    for (index, tooth) in &reader.plan.teeth {
        // Small letters stand for milk teeth, which other teeth outlast.
        if tooth.starts_with(char::is_lowercase) {
            continue;
        }
        let raw = reader.raw(*index);
        let map = reader.plan.words.get(index).and_then(|m| m.get(&phrase::cell(raw))).map(String::as_str);
        let text = map.or_else(|| reader.meaning(raw)).unwrap_or(raw);
        let Some(state) = tooth_state(text) else { continue };
        said.push(format!("{tooth} {state}"));
        first = first.or(Some(*index));
    }
    if let Some(index) = first {
        out.cells.insert(Column::Dentition, reader.cell(index, said.iter().join("; "), "teeth in columns"));
    }
}

/// The word of the dentition column for the state of a tooth.
fn tooth_state(text: &str) -> Option<&'static str> {
    let words = phrase::words(text);
    match words.split(' ').next()? {
        "p" | "present" | "in" | "through" | "full" | "erupted" | "x" | "1" | "yes" | "y" => Some("in"),
        "e" | "erupting" | "er" | "part" | "partial" | "half" | "emerging" => Some("erupting"),
        "a" | "absent" | "0" | "no" | "n" | "unerupted" | "not" => Some("absent"),
        _ => None,
    }
}
