//! Dates: ISO 8601 in, first and last possible day out.
//!
//! | written | read as |
//! | --- | --- |
//! | `2021-03-04`, `20210304`, `2021-03-04T10:20+13:00` | that day, as the clock there showed it |
//! | `2021-03` | the month, first to last day |
//! | `2021` | the year |
//! | `2021-03-04/2021-03-09`, `2021-03-04/09` | first day to last day |
//! | `2021-03/05`, `2020/2021` | first day of the first to last day of the second |
//!
//! Anything else is refused with the reading, or the two readings, that may be meant:
//! `03/04/2021` is the third of April to one reader and the fourth of March to another.

use crate::records::DateSpan;
use jiff::civil::Date;

/// Why a text is not a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotADate {
    /// Not ISO 8601; the date that must be meant, if only one can be.
    Unreadable {
        /// The one reading there is, if there is one.
        meant: Option<Date>,
    },
    /// Two readings.
    Ambiguous {
        /// Read as day, month, year.
        day_first: Date,
        /// Read as month, day, year.
        month_first: Date,
    },
    /// An interval whose end lies before its start.
    Reversed {
        /// Start as written.
        start: Date,
        /// End as written.
        end: Date,
    },
}

/// Reads a date or an interval.
///
/// # Errors
/// [`NotADate`].
///
/// ```
/// use jiff::civil::date;
/// use pignut::internals::ingest::values::date::{NotADate, date_span};
/// let span = date_span("2007-11-13/15").unwrap(); // an example of the Darwin Core term eventDate
/// assert_eq!((span.first, span.last), (date(2007, 11, 13), date(2007, 11, 15)));
/// let span = date_span("2020-02").unwrap();
/// assert_eq!((span.first, span.last), (date(2020, 2, 1), date(2020, 2, 29)));
/// assert_eq!(
///     date_span("03/04/2021"),
///     Err(NotADate::Ambiguous { day_first: date(2021, 4, 3), month_first: date(2021, 3, 4) })
/// );
/// ```
pub fn date_span(text: &str) -> Result<DateSpan, NotADate> {
    let text = text.trim();
    let unreadable = || guess(text);
    let Some((from, to)) = text.split_once('/') else {
        return part(text).map(|p| p.span()).ok_or_else(unreadable);
    };
    let start = part(from).ok_or_else(unreadable)?;
    let end = end_part(to.trim(), &start).ok_or_else(unreadable)?;
    let span = DateSpan { first: start.span().first, last: end.span().last };
    if span.last < span.first {
        return Err(NotADate::Reversed { start: span.first, end: end.span().first });
    }
    Ok(span)
}

/// A year, a month or a day.
#[derive(Debug, Clone, Copy, PartialEq)]
struct DatePart {
    year: i16,
    month: Option<i8>,
    day: Option<i8>,
    first: Date,
}

impl DatePart {
    fn new(year: i16, month: Option<i8>, day: Option<i8>) -> Option<DatePart> {
        let first = Date::new(year, month.unwrap_or(1), day.unwrap_or(1)).ok()?;
        Some(DatePart { year, month, day, first })
    }
    fn span(&self) -> DateSpan {
        let last = match (self.month, self.day) {
            (_, Some(_)) => self.first,
            (Some(_), None) => self.first.last_of_month(),
            (None, None) => jiff::civil::date(self.year, 12, 31),
        };
        DateSpan { first: self.first, last }
    }
}

/// A whole date, month or year, perhaps with a time of day.
fn part(text: &str) -> Option<DatePart> {
    let text = text.trim();
    let (date, time) = match text.find(['T', 't', ' ']) {
        Some(i) => (&text[..i], Some(&text[i + 1..])),
        None => (text, None),
    };
    let fields: Vec<&str> = date.split('-').collect();
    let part = match fields[..] {
        [y, m, d] => DatePart::new(digits(y, 4)?, Some(digits(m, 2)? as i8), Some(digits(d, 2)? as i8)),
        [y, m] => DatePart::new(digits(y, 4)?, Some(digits(m, 2)? as i8), None),
        [all] if all.len() == 8 => DatePart::new(
            digits(all.get(..4)?, 4)?,
            Some(digits(all.get(4..6)?, 2)? as i8),
            Some(digits(all.get(6..)?, 2)? as i8),
        ),
        [y] => DatePart::new(digits(y, 4)?, None, None),
        _ => None,
    }?;
    match time {
        None => Some(part),
        Some(t) if part.day.is_some() && is_time(t) => Some(part),
        Some(_) => None,
    }
}

/// The end of an interval, which may leave out what it shares with the start.
fn end_part(text: &str, start: &DatePart) -> Option<DatePart> {
    if let Some(whole) = part(text) {
        return Some(whole);
    }
    if is_time(text) && start.day.is_some() {
        return Some(*start);
    }
    let fields: Vec<&str> = text.split('-').collect();
    match (fields.as_slice(), start.month, start.day) {
        ([d], Some(month), Some(_)) => DatePart::new(start.year, Some(month), Some(digits(d, 2)? as i8)),
        ([m, d], Some(_), Some(_)) => {
            DatePart::new(start.year, Some(digits(m, 2)? as i8), Some(digits(d, 2)? as i8))
        }
        ([m], Some(_), None) => DatePart::new(start.year, Some(digits(m, 2)? as i8), None),
        _ => None,
    }
}

fn digits(text: &str, count: usize) -> Option<i16> {
    (text.len() == count && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

/// `10:20`, `10:20:30.5`, with `Z` or an offset.
fn is_time(text: &str) -> bool {
    let t = text.trim();
    t.as_bytes().first().is_some_and(u8::is_ascii_digit)
        && t.contains(':')
        && t.bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b':' | b'.' | b',' | b'+' | b'-' | b'Z' | b'z' | b' '))
}

/// What a date that is not ISO 8601 may mean, for the suggested correction.
fn guess(text: &str) -> NotADate {
    let fields: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|f| !f.is_empty()).collect();
    let none = NotADate::Unreadable { meant: None };
    let number = |f: &str| f.parse::<i16>().ok().filter(|_| f.bytes().all(|b| b.is_ascii_digit()));
    let date = |y: i16, m: i16, d: i16| {
        // Two-digit years are read as this century's: for the suggested correction only.
        let y = if (0..100).contains(&y) { y + 2000 } else { y };
        Date::new(y, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok()
    };
    match fields[..] {
        [a, b, c] => match (number(a), number(b), number(c)) {
            (Some(y), Some(m), Some(d)) if a.len() == 4 => NotADate::Unreadable { meant: date(y, m, d) },
            // Two digits each, with hyphens: the first may be the year as well as the last.
            (Some(_), Some(_), Some(_)) if text.contains('-') && fields.iter().all(|f| f.len() == 2) => none,
            (Some(a), Some(b), Some(y)) => match (date(y, b, a), date(y, a, b)) {
                (Some(day_first), Some(month_first)) if day_first != month_first => {
                    NotADate::Ambiguous { day_first, month_first }
                }
                (one, other) => NotADate::Unreadable { meant: one.or(other) },
            },
            (Some(d), None, Some(y)) => {
                NotADate::Unreadable { meant: month_name(b).and_then(|m| date(y, m, d)) }
            }
            (None, Some(d), Some(y)) => {
                NotADate::Unreadable { meant: month_name(a).and_then(|m| date(y, m, d)) }
            }
            _ => none,
        },
        // A spreadsheet's day number: 1 is 1900-01-01, with a day too many from March 1900 on.
        [serial] if serial.len() == 5 => match number_i32(serial) {
            Some(n) => NotADate::Unreadable {
                meant: jiff::civil::date(1899, 12, 30).checked_add(jiff::Span::new().days(n)).ok(),
            },
            None => none,
        },
        _ => none,
    }
}

fn number_i32(text: &str) -> Option<i32> {
    text.parse().ok().filter(|_| text.bytes().all(|b| b.is_ascii_digit()))
}

/// English month names, whole or by their first three letters.
fn month_name(text: &str) -> Option<i16> {
    const NAMES: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let lower = text.to_lowercase();
    let known = lower.len() >= 3 && lower.is_ascii();
    NAMES.iter().position(|n| known && n.starts_with(&lower)).map(|i| i as i16 + 1)
}

/// What is wrong with a text that is not a date, the suggested correction, and the finding's code.
pub(crate) fn complaint(problem: &NotADate) -> (&'static str, String, String) {
    let iso = "write the date as year-month-day, such as 2021-03-04; \
               a month (2021-03) or a year (2021) alone will do";
    match problem {
        NotADate::Unreadable { meant: Some(date) } => (
            "date-unreadable",
            "is not a date as ISO 8601 writes it".into(),
            format!("write {date} if that is meant"),
        ),
        NotADate::Unreadable { meant: None } => ("date-unreadable", "is not a date".into(), iso.into()),
        NotADate::Ambiguous { day_first, month_first } => (
            "date-ambiguous",
            "may be read day first or month first".into(),
            format!("write {day_first} or {month_first}, whichever is meant"),
        ),
        NotADate::Reversed { start, end } => (
            "date-reversed",
            "ends before it starts".into(),
            format!("write the earlier date first, such as {end}/{start}"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn reads_the_examples_of_the_darwin_core_term() {
        // Darwin Core term eventDate, examples and notes (terms.tdwg.org, dwc:eventDate).
        for (text, first, last) in [
            ("1963-03-08T14:07-0600", date(1963, 3, 8), date(1963, 3, 8)),
            ("2009-02-20T08:40Z", date(2009, 2, 20), date(2009, 2, 20)),
            ("1809-02-12", date(1809, 2, 12), date(1809, 2, 12)),
            ("1906-06", date(1906, 6, 1), date(1906, 6, 30)),
            ("1971", date(1971, 1, 1), date(1971, 12, 31)),
            ("2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", date(2007, 3, 1), date(2008, 5, 11)),
            ("2007-11-13/15", date(2007, 11, 13), date(2007, 11, 15)),
            ("2009/2010", date(2009, 1, 1), date(2010, 12, 31)),
            ("2009-02/2010-01", date(2009, 2, 1), date(2010, 1, 31)),
            ("2009-02/10", date(2009, 2, 1), date(2009, 10, 31)),
            ("2009-02-12/2009-10-08", date(2009, 2, 12), date(2009, 10, 8)),
            ("2010-01-17T12:26Z/12:52:17Z", date(2010, 1, 17), date(2010, 1, 17)),
        ] {
            assert_eq!(date_span(text), Ok(DateSpan { first, last }), "{text}");
        }
    }

    #[test]
    fn refuses_the_rest_and_says_what_may_be_meant() {
        let meant = |text: &str| match date_span(text) {
            Err(NotADate::Unreadable { meant }) => meant,
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(meant("25/04/2021"), Some(date(2021, 4, 25)));
        assert_eq!(meant("04.04.2021"), Some(date(2021, 4, 4)));
        assert_eq!(meant("4-Mar-21"), Some(date(2021, 3, 4)));
        assert_eq!(meant("March 4, 2021"), Some(date(2021, 3, 4)));
        assert_eq!(meant("2021/3/4"), Some(date(2021, 3, 4)));
        // The serial number of 2025-10-13 is 45943: documentation of calamine's ExcelDateTime.
        assert_eq!(meant("45943"), Some(date(2025, 10, 13)));
        for text in ["2021-02-30", "2021-13", "yesterday", "", "/", "2021-03-04T", "٢٠٢١", "2021-3-4-5"] {
            assert!(date_span(text).is_err(), "{text}");
        }
        assert!(matches!(date_span("2021-03-09/2021-03-04"), Err(NotADate::Reversed { .. })));
    }
}
