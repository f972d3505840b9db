//! What is settled for a column of dates, and the forms a date may have.

use crate::ingest::phrase::words;

/// Order of day, month and year in dates of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(clippy::enum_variant_names, reason = "the variants are said as words")]
pub(crate) enum DateOrder {
    /// Day, month, year.
    DayFirst,
    /// Month, day, year.
    MonthFirst,
    /// Year, month, day.
    YearFirst,
}

impl DateOrder {
    /// The order in words.
    pub(crate) fn word(self) -> &'static str {
        match self {
            DateOrder::DayFirst => "day first",
            DateOrder::MonthFirst => "month first",
            DateOrder::YearFirst => "year first",
        }
    }

    /// The one order that a text names, such as a header with `dd.mm.yy` in it.
    pub(crate) fn parse(text: &str) -> Option<DateOrder> {
        const ORDERS: [DateOrder; 3] = [DateOrder::DayFirst, DateOrder::MonthFirst, DateOrder::YearFirst];
        let text = words(text);
        // Only at the end: "day first seen" names no order.
        let ends = |o: &DateOrder| format!(" {text}").ends_with(&format!(" {}", o.word()));
        if let Some(order) = ORDERS.into_iter().find(ends) {
            return Some(order);
        }
        let runs: Vec<&str> = text.split(' ').flat_map(runs).collect();
        let is_day = |w: &str| one_of("d dd j jj t tt g gg day dia jour tag giorno", w);
        let is_month = |w: &str| one_of("m mm mmm month mes mois monat mese", w);
        let is_year = |w: &str| one_of("y yy yyyy a aa aaaa j jj jjjj year ano annee jahr anno", w);
        let mut named = ORDERS.into_iter().filter(|order| {
            runs.windows(3).any(|w| match order {
                DateOrder::DayFirst => is_day(w[0]) && is_month(w[1]) && is_year(w[2]),
                DateOrder::MonthFirst => is_month(w[0]) && is_day(w[1]) && is_year(w[2]),
                // A lone "a" before other letters is an article more often than a year.
                DateOrder::YearFirst => w[0] != "a" && is_year(w[0]) && is_month(w[1]) && is_day(w[2]),
            })
        });
        named.next().filter(|_| named.next().is_none())
    }
}

/// `ddmmyyyy` and `dmy` in their three parts, any other word whole.
fn runs(word: &str) -> Vec<&str> {
    let parts: Vec<&str> =
        word.as_bytes().chunk_by(|a, b| a == b).filter_map(|r| str::from_utf8(r).ok()).collect();
    let joined = parts.len() == 3 && (one_of("dmy mdy ymd", word) || parts.iter().all(|p| p.len() > 1));
    if joined { parts } else { vec![word] }
}

/// What is settled for a column of dates.
#[derive(Debug, Clone, Default)]
pub(crate) struct DateSetting {
    /// Order of dates of numbers. None: only dates with one reading are read.
    pub order: Option<DateOrder>,
    /// Year of dates written without one.
    pub year: Option<i16>,
    /// Last year believed: two-digit years are the latest year not after it.
    pub latest_year: i16,
    /// Whether seasons are those of the southern hemisphere. None: not known.
    pub southern: Option<bool>,
    /// Whether bare numbers are spreadsheet serial days.
    pub serials: bool,
}

/// How a text is a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum DateForm {
    /// As ISO 8601 has it.
    Iso,
    /// Day, month and year in numbers.
    Numbers,
    /// With the name of a month.
    MonthName,
    /// A spreadsheet's day number.
    Serial,
    /// Day and month only.
    WithoutYear,
    /// A season.
    Season,
    /// Month and year only.
    MonthAndYear,
}

impl DateForm {
    /// The form in words.
    pub(crate) fn rule(self) -> &'static str {
        match self {
            DateForm::Iso => "year-month-day",
            DateForm::Numbers => "day, month and year in numbers",
            DateForm::MonthName => "day, name of the month and year",
            DateForm::Serial => "day number of a spreadsheet",
            DateForm::WithoutYear => "day and month, in the year stated for them",
            DateForm::Season => "season and year, as three whole months",
            DateForm::MonthAndYear => "month and year, as the whole month",
        }
    }
}

/// The latest year with these last two digits that is not after `latest`.
pub(crate) fn two_digit_year(digits: i16, latest: i16) -> i16 {
    latest - (latest - digits).rem_euclid(100)
}

/// Whether a word is in a list of words between blanks.
pub(crate) fn one_of(list: &str, word: &str) -> bool {
    list.split(' ').any(|w| w == word)
}
