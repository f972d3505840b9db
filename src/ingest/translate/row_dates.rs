//! The date of a row, from one column or from day, month and year.

use crate::ingest::columns::Column;
use crate::ingest::memory::{Answers, answer};
use crate::ingest::translate::read_row::{ReadRow, Reader};
use crate::ingest::values::date::date_span;
use crate::ingest::values::date_setting::{DateForm, DateOrder, DateSetting};
use crate::ingest::values::written_date::{lacks_year, written_date};
use crate::ingest::vocabulary::Field;
use crate::records::DateSpan;

/// Reads the day killed and the day of release.
pub(crate) fn read(reader: &Reader, out: &mut ReadRow) {
    if let Some((index, text)) = reader.field(Field::Date) {
        let above = is_ditto(text).then(|| above(reader, index)).flatten();
        let text = above.as_deref().unwrap_or(text);
        let setting = of_the_row(reader, &reader.plan.date);
        // Where the reader of our own column reads a text, it is handed on as it is.
        let own = !setting.serials && date_span(text).is_ok();
        // "10 March 2022, dusk": a remark without figures after a comma.
        let before_remark = || {
            let (date, remark) = text.rsplit_once(',')?;
            let plain =
                !remark.chars().any(|c| c.is_ascii_digit()) && date.chars().any(|c| c.is_ascii_digit());
            plain.then(|| written_date(date, &setting)).flatten()
        };
        // A column holds the same days again and again; the answer rests on the text and the setting.
        thread_local! { static KEPT: Answers<Option<(DateSpan, DateForm)>> = Answers::default(); }
        let DateSetting { order, year, latest_year, southern, serials } = &setting;
        let asked = format!("{text}\n{order:?}{year:?}{latest_year}{southern:?}{serials}");
        let read = || answer(&KEPT, &asked, |_| written_date(text, &setting).or_else(before_remark));
        let read = (!own).then(read).flatten();
        let from_parts = (!own && read.is_none() && !lacks_year(text)).then(|| parts(reader)).flatten();
        let cell = match (read, from_parts) {
            (Some((span, form)), _) => reader.cell(index, iso(span), form.rule()),
            (None, Some((_, text))) => reader.cell(index, text, "day, month and year in columns"),
            (None, None) => reader.cell(index, text, "word of the study file"),
        };
        out.cells.insert(Column::EventDate, cell);
    } else if let Some((index, text)) = parts(reader) {
        out.cells.insert(Column::EventDate, reader.cell(index, text, "day, month and year in columns"));
    }
    if let Some((index, text)) = reader.field(Field::ReleasedOn) {
        let own = date_span(text).is_ok();
        let read = (!own).then(|| written_date(text, &reader.plan.release)).flatten();
        let cell = match read {
            Some((span, form)) => reader.cell(index, iso(span), form.rule()),
            None => reader.cell(index, text, "word of the study file"),
        };
        out.cells.insert(Column::ReleasedOn, cell);
    }
}

/// Whether a cell repeats the one above it.
fn is_ditto(text: &str) -> bool {
    const MARKS: [&str; 12] =
        ["\"", "''", "\"\"", "„", "”", "dto", "dito", "ditto", "do", "idem", "id", "same"];
    MARKS.contains(&text.trim_end_matches('.').to_lowercase().as_str())
}

/// The nearest cell above that is no ditto.
fn above(reader: &Reader, index: usize) -> Option<String> {
    let here = reader.table.rows.partition_point(|r| r.number < reader.row.number);
    let before = reader.table.rows[..here].iter().rev().filter_map(|r| r.cells.get(index)).map(|c| c.trim());
    before.filter(|c| !c.is_empty()).find(|c| !is_ditto(c)).map(str::to_string)
}

/// The setting with the year that the row itself gives.
fn of_the_row(reader: &Reader, setting: &DateSetting) -> DateSetting {
    let year = reader.field(Field::Year).and_then(|(_, text)| text.parse().ok());
    DateSetting { year: year.or(setting.year), ..setting.clone() }
}

/// A date from columns of day, month, year or season, as ISO text.
fn parts(reader: &Reader) -> Option<(usize, String)> {
    let (index, year) = reader.field(Field::Year)?;
    let part = |field: Field| reader.field(field).map(|(_, text)| text.trim_end_matches('.'));
    let setting =
        DateSetting { order: Some(DateOrder::DayFirst), serials: false, ..reader.plan.date.clone() };
    let text = match (part(Field::Day), part(Field::Month), part(Field::Season)) {
        (Some(day), Some(month), _) if month.chars().any(char::is_alphabetic) => {
            format!("{day} {month} {year}")
        }
        (Some(day), Some(month), _) => format!("{day}/{month}/{year}"),
        (None, Some(month), _) if month.chars().any(char::is_alphabetic) => format!("{month} {year}"),
        (None, Some(month), _) => format!("{month}/{year}"),
        (None, None, Some(season)) => format!("{season} {year}"),
        (Some(_), None, _) => return None,
        (None, None, None) => year.to_string(),
    };
    let span = written_date(&text, &setting)?.0;
    Some((index, iso(span)))
}

/// A span as ISO 8601: a day, a month, a year, or an interval.
pub(crate) fn iso(span: DateSpan) -> String {
    let (first, last) = (span.first, span.last);
    let month = first.day() == 1 && last == first.last_of_month();
    let year = (first.month(), first.day()) == (1, 1) && (last.month(), last.day()) == (12, 31);
    if first == last {
        first.to_string()
    } else if month {
        format!("{:04}-{:02}", first.year(), first.month())
    } else if year && first.year() == last.year() {
        format!("{:04}", first.year())
    } else {
        format!("{first}/{last}")
    }
}
