//! Dates as people write them, by what is settled for their column.
//!
//! | written | setting | read as |
//! | --- | --- | --- |
//! | `2021-03-04`, `2021/3/4`, `3 Feb 2021`, `22 août 2020 14h30` | any | that day |
//! | `04/11/2019` | day first | 4 November 2019 |
//! | `04/11/2019` | no order | not read: two days may be meant |
//! | `25/04/2021` | no order, or day first | 25 April 2021 |
//! | `25/04/2021` | month first | not read |
//! | `09-01-21` | day first, latest year 2024 | 9 January 2021 |
//! | `octubre de 2020`, `03/2021` | any | the month |
//! | `3 Feb`, `16.2.` | year 2021 | that day of 2021 |
//! | `3-5 Feb 2021`, `03.02.–05.02.2021` | any; day first | first day to last day |
//! | `44260` | serial days | 5 March 2021 |
//!
//! No setting is guessed here, and nothing is read that the setting leaves open.

use crate::ingest::memory::{Answers, answer};
use crate::ingest::values::date::date_span;
use crate::ingest::values::date_pieces::Item::{self, Long, Month, Short, Tick};
use crate::ingest::values::date_pieces::{ARTICLES, Piece, day, items, pieces, undressed, without};
use crate::ingest::values::date_setting::{DateForm, DateOrder, DateSetting, one_of};
use crate::ingest::values::written_season::written_season;
use crate::records::DateSpan;
use jiff::civil::Date;

const FROM: &str = "from del du de vom von dal desde";
const BETWEEN: &str = "between entre zwischen tra fra";
const TO: &str = "to bis al au a ate until till through";
const AND: &str = "and und y e et";

/// The days of a text and its form.
pub(crate) type ReadDays = (DateSpan, DateForm);

/// Reads a text by the setting. None: not readable so.
pub(crate) fn written_date(text: &str, setting: &DateSetting) -> Option<ReadDays> {
    let text = text.trim();
    let read = if setting.serials && is_serial(text) {
        let day = jiff::Span::new().days(serial_day(text)?);
        (DateSpan::day(jiff::civil::date(1899, 12, 30).checked_add(day).ok()?), DateForm::Serial)
    } else if let Ok(span) = date_span(text) {
        (span, DateForm::Iso)
    } else if let Some(span) = written_season(text, setting) {
        (span, DateForm::Season)
    } else {
        let pieces = pieces(text)?;
        single(&pieces, setting).or_else(|| interval(&pieces, setting))?
    };
    (read.0.first.year() >= 1900 && read.0.last.year() <= 2100).then_some(read)
}

/// What a text says about the order of its column's numbers.
///
/// For each order, whether the text is a date in it; all false unless it is three numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OrderVote {
    /// A date as day, month, year.
    pub day_first: bool,
    /// A date as month, day, year.
    pub month_first: bool,
    /// A date as year, month, day.
    pub year_first: bool,
}

/// The orders in which a text of three numbers is a date.
pub(crate) fn order_vote(text: &str) -> OrderVote {
    thread_local! { static KEPT: Answers<OrderVote> = Answers::default(); }
    answer(&KEPT, text, vote)
}

fn vote(text: &str) -> OrderVote {
    // Year 2099 as the latest makes "00" a leap year, as in every column of living memory.
    let read = pieces(text).and_then(|p| items(undressed(&p)?)).and_then(|i| triple(&i, 2099));
    let [day_first, month_first, year_first] = read.unwrap_or_default().map(|date| date.is_some());
    OrderVote { day_first, month_first, year_first }
}

/// Whether the text is a bare number in the range of serial days, 1950 to 2100; a fraction is allowed.
pub(crate) fn is_serial(text: &str) -> bool {
    serial_day(text).is_some_and(|day| (18_264..=73_051).contains(&day))
}

fn serial_day(text: &str) -> Option<i32> {
    let (whole, fraction) = text.trim().split_once(['.', ',']).unwrap_or((text.trim(), "0"));
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    (digits(whole) && digits(fraction)).then(|| whole.parse().ok()).flatten()
}

/// Whether the text is a date of day and month without a year.
pub(crate) fn lacks_year(text: &str) -> bool {
    thread_local! { static KEPT: Answers<bool> = Answers::default(); }
    answer(&KEPT, text, without_year)
}

fn without_year(text: &str) -> bool {
    [None, Some(DateOrder::DayFirst), Some(DateOrder::MonthFirst)].into_iter().any(|order| {
        // A leap year, so that the 29th of February counts.
        let setting = DateSetting { order, year: Some(2020), latest_year: 2099, ..DateSetting::default() };
        written_date(text, &setting).is_some_and(|(_, form)| form == DateForm::WithoutYear)
    })
}

/// Three numbers as dates in each of the orders.
fn triple(items: &[(Item, String)], latest: i16) -> Option<[Option<Date>; 3]> {
    let [(a, _), (b, g), (c, h)] = items else { return None };
    let plain = |gap: &str| gap.replace('\'', "");
    let loose = plain(h).is_empty() && matches!(c, Long(_)) && (g == "/" || g == ".");
    if !one_of("/ . - ", g) || (plain(h) != *g && !loose) {
        return None;
    }
    Some(match (*a, *b, *c) {
        (Short(x, _), Short(y, _), year @ (Long(_) | Tick(_))) => {
            let year = year.year(latest)?;
            [day(year, y, x), day(year, x, y), None]
        }
        (Long(_) | Tick(_), Short(y, _), Short(z, _)) => [None, None, day(a.year(latest)?, y, z)],
        (Short(x, _), Short(y, _), Short(z, _)) => {
            let last = c.year(latest);
            let first = a.year(latest).and_then(|year| day(year, y, z));
            [last.and_then(|year| day(year, y, x)), last.and_then(|year| day(year, x, y)), first]
        }
        _ => return None,
    })
}

/// The date in the order that is settled, or the only date there is.
fn chosen(dates: [Option<Date>; 3], order: Option<DateOrder>) -> Option<Date> {
    if let Some(order) = order {
        return dates[order as usize];
    }
    let mut found = dates.into_iter().flatten();
    let first = found.next()?;
    found.all(|other| other == first).then_some(first)
}

/// One date, month or day without year.
fn single(pieces: &[Piece], setting: &DateSetting) -> Option<ReadDays> {
    let pieces = undressed(pieces)?;
    let latest = setting.latest_year;
    if let [Piece { text, .. }] = pieces {
        return compact(text, setting).map(|date| (DateSpan::day(date), DateForm::Numbers));
    }
    let items = items(pieces)?;
    let dash = |i: usize| items.get(i).is_some_and(|(_, gap)| gap.contains('-'));
    let gap = items.get(1).map_or("", |(_, gap)| gap.as_str());
    let bare: Vec<Item> = items.iter().map(|(item, _)| *item).collect();
    let named = |date: Option<Date>| Some((DateSpan::day(date?), DateForm::MonthName));
    let whole = |year: i16, month: i16| {
        let first = day(year, month, 1)?;
        Some((DateSpan { first, last: first.last_of_month() }, DateForm::MonthAndYear))
    };
    match bare[..] {
        [Month(m), year @ (Long(_) | Tick(_))] | [year @ (Long(_) | Tick(_)), Month(m)] => {
            whole(year.year(latest)?, m.into())
        }
        [Month(m), Short(d, _)] | [Short(d, _), Month(m)] => {
            Some((DateSpan::day(day(setting.year?, m.into(), d)?), DateForm::WithoutYear))
        }
        [Short(m, _), Long(year)] if one_of("/ . - ", gap) => whole(year, m),
        // "2011/12" may be the hunting season 2011 to 2012.
        [Long(year), Short(m, _)] if one_of("/ . - ", gap) && m != (year + 1) % 100 => whole(year, m),
        [Short(x, _), Short(y, _)] if one_of("/ . -", gap) => {
            let year = setting.year?;
            let month_first = day(year, x, y);
            let date = chosen([day(year, y, x), month_first, month_first], setting.order)?;
            Some((DateSpan::day(date), DateForm::WithoutYear))
        }
        [Long(year), Month(m), Short(d, _)] | [Long(year), Short(d, _), Month(m)] => {
            named(day(year, m.into(), d))
        }
        [Short(d, _), Month(m), y @ (Long(_) | Tick(_))]
        | [Month(m), Short(d, _), y @ (Long(_) | Tick(_))] => named(day(y.year(latest)?, m.into(), d)),
        // With one dash of two, the last number may end an interval of days.
        [Month(m), Short(d, _), year @ Short(_, true)] if dash(1) == dash(2) => {
            named(day(year.year(latest)?, m.into(), d))
        }
        [first @ Short(d, _), Month(m), last @ Short(e, true)] if dash(1) == dash(2) => {
            let day_first = day(last.year(latest)?, m.into(), d);
            let year_first = first.year(latest).and_then(|year| day(year, m.into(), e));
            let open = setting.order == Some(DateOrder::YearFirst);
            named(if open { chosen([day_first, year_first, None], None) } else { day_first })
        }
        [_, _, _] => {
            let dates = triple(&items, latest)?;
            // Four digits at the front leave no doubt, whatever the column's order.
            let order = setting.order.filter(|_| !matches!(bare[0], Long(_)));
            Some((DateSpan::day(chosen(dates, order)?), DateForm::Numbers))
        }
        _ => None,
    }
}

/// Six or eight digits without signs between, in the settled order only.
fn compact(text: &str, setting: &DateSetting) -> Option<Date> {
    let order = setting.order?;
    let (i, j) = match (text.len(), order) {
        (8, DateOrder::YearFirst) => (4, 6),
        (6 | 8, _) => (2, 4),
        _ => return None,
    };
    let signed = format!("{}/{}/{}", text.get(..i)?, text.get(i..j)?, text.get(j..)?);
    triple(&items(&pieces(&signed)?)?, setting.latest_year)?[order as usize]
}

fn bare(pieces: &[Piece]) -> Option<Vec<Item>> {
    Some(items(pieces)?.into_iter().map(|(item, _)| item).collect())
}

/// First day to last day, where one parting of the text alone can be read so.
fn interval(pieces: &[Piece], setting: &DateSetting) -> Option<ReadDays> {
    let between = pieces.first()?.is(BETWEEN);
    let pieces = without(without(without(pieces, FROM), BETWEEN), ARTICLES);
    let mut found = (1..pieces.len()).filter_map(|i| {
        let by_word = pieces[i].is(TO) || between && pieces[i].is(AND);
        let right = match pieces.get(i + usize::from(by_word)..) {
            Some(right @ [_, ..]) if by_word || pieces[i].has_dash() => without(right, ARTICLES),
            _ => return None,
        };
        ends(&pieces[..i], right, setting)
    });
    found.next().filter(|_| found.next().is_none())
}

/// An interval by its two ends; the first may leave out what the second says.
fn ends(left: &[Piece], right: &[Piece], setting: &DateSetting) -> Option<ReadDays> {
    let joined = |first: Date, last: Date| (first <= last).then_some(DateSpan { first, last });
    let signless = |p: &Piece| !p.gap.contains(['-', '/', '.']);
    // "Feb 3-5, 2021": the month stands before both days.
    if let ([name, from], [to, rest @ ..]) = (left, right)
        && let (Some(month), [Month(_), Short(..)]) = (name.month(), &bare(left)?[..])
        && to.is_number()
        && signless(from)
        && rest.iter().all(|p| signless(p) && p.is_number())
    {
        let (year, form) = match bare(rest)?[..] {
            [] => (setting.year?, DateForm::WithoutYear),
            [Long(year)] => (year, DateForm::MonthName),
            _ => return None,
        };
        let on = |p: &Piece| day(year, month.into(), p.number()?);
        return Some((joined(on(from)?, on(to)?)?, form));
    }
    let (end, form) = single(right, setting)?;
    let months = form == DateForm::MonthAndYear;
    let year = if form == DateForm::WithoutYear { setting.year } else { Some(end.last.year()) };
    let start = match left {
        [lone] if lone.is_number() => {
            let by_name = right.iter().any(|p| p.month().is_some());
            let day_first = right[0].is_number() && right[0].number() == Some(end.first.day().into());
            let clear = right[1..].iter().all(|p| !p.has_dash());
            let ordered = by_name || setting.order != Some(DateOrder::MonthFirst);
            let fits = !months && day_first && clear && ordered && lone.text.len() <= 2;
            day(year.filter(|_| fits)?, end.last.month().into(), lone.number()?)?
        }
        [lone] if months && right[0].month().is_some() => day(year?, lone.month()?.into(), 1)?,
        _ => {
            let (start, start_form) = single(left, &DateSetting { year, ..setting.clone() })?;
            let alike = (start_form == DateForm::MonthAndYear) == months;
            // A start with its year says nothing sure about the year of the end.
            let known = form != DateForm::WithoutYear || start_form == form;
            Some(start.first).filter(|_| alike && known)?
        }
    };
    Some((joined(start, end.last)?, form))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn setting(order: Option<DateOrder>, year: Option<i16>) -> DateSetting {
        DateSetting { order, year, latest_year: 2024, southern: Some(true), serials: false }
    }

    const ORDERS: [Option<DateOrder>; 4] =
        [None, Some(DateOrder::DayFirst), Some(DateOrder::MonthFirst), Some(DateOrder::YearFirst)];

    /// A text; its reading with no order, day first, month first and year first, in the year 2021.
    /// `=` and the end repeat the reading before, `x` is none.
    #[rustfmt::skip]
    const READINGS: &[&str] = &[
        "2021-03-04|20210304", "2021-03|20210301/20210331", "20210304|20210304", "2021/3/4|20210304",
        "2021.03.04 7:05|20210304", "2021/4/25|20210425", "2021/25/4|x", "2021-03-04/09|20210304/20210309",
        "1809-02-12|x", "04/11/2019 14h30|x|20191104|20190411|x", "25/04/2021|20210425|=|x",
        "4/25/2021|20210425|x|20210425|x", "04/04/2021|20210404|=|=|x", "31/02/2021|x",
        "4. 3. 2021|x|20210304|20210403|x", "09-01-21|x|20210109|20210901|20090121",
        "09.01.21 08:50|x|20210109|20210901|20090121", "08:50, 09.01.21|x|20210109|20210901|20090121",
        "31/12/99|19991231|=|x", "04-04-04|20040404", "14 3 2021|20210314|=|x", "3/4-2021|x",
        "03/04/202|x", "03/04/2101|x", "13/04/1899|x", "13/04/'21|20210413|=|x",
        "040321|x|20210304|20210403|20040321", "04032021|x|20210304|20210403|x", "310221|x|=|=|19310221",
        "4032021|x", "Mo., 09.01.21|x|20210109|20210901|20090121",
        "segunda-feira, 15/02/2021|20210215|=|x", "mar. 16/02/2021|20210216|=|x",
        "giovedì 15/4/2021|20210415|=|x", "3 Feb 2021|20210203", "3 Feb 2021 7:05 pm|20210203",
        "Feb 3, 2021|20210203", "14-mar-21|20210314|=|=|x", "22 août 2020|20200822",
        "1º de março de 2021|20210301", "1er janvier 2021 à 8 h|20210101",
        "3. März 2021 um 08.50 Uhr|20210303", "mardi 2 mars 2021|20210302", "the 2nd of May 2021|20210502",
        "mar 2 feb 2021|20210202", "lunes 1 de febrero de 2021|20210201", "2021 March 4|20210304",
        "Mon 3-Feb-2021 10:20-11:30|20210203", "3/Feb/98|19980203", "octubre de 2020|20201001/20201031",
        "03/2021|20210301/20210331", "3-2021|20210301/20210331", "2021 March|20210301/20210331",
        "Mar '20|20200301/20200331", "2021/03|20210301/20210331", "2011/12|x", "2020/21|x", "13/2021|x",
        "3 Feb|20210203", "Mar 14|20210314", "06/01|x|20210106|20210601", "16.2.|20210216|=|x",
        "5/5|20210505", "30/02|x", "29 Feb|x", "3-5 Feb 2021|20210203/20210205",
        "3 Feb – 2 Mar 2021|20210203/20210302", "Feb 3-5, 2021|20210203/20210205",
        "Feb 28 - Mar 2, 2021|20210228/20210302",
        "3/2/2021 - 5/2/2021|x|20210203/20210205|20210302/20210502|x",
        "03.02.–05.02.2021|x|20210203/20210205|20210302/20210502|x",
        "vom 3. bis 5. Februar 2021|20210203/20210205", "du 3 au 5 février 2021|20210203/20210205",
        "del 3 al 5 de febrero de 2021|20210203/20210205",
        "between 3 Feb 2021 and 5 Feb 2021|20210203/20210205",
        "3 a 5 de fevereiro de 2021|20210203/20210205", "3-5 Feb|20210203/20210205",
        "2021-03-04 to 2021-03-09|20210304/20210309", "Oct-Nov 2020|20201001/20201130",
        "3.-5.2.2021|x|20210203/20210205|x", "5-3 Feb 2021|x", "28 Dec - 3 Jan 2021|x", "3-5-2-2021|x",
        "3 and 5 Feb 2021|x", "3-5/2021|x", "3 Feb 2021 - 5 Feb|x", "3 Feb - 2021-02-05|20210203/20210205",
        "winter 2021|20210601/20210831", "summer 2020/21|20201201/20210228", "summer 2021|x",
        "3 Feb 2021?|x", "before 3 Feb 2021|x", "from 3 Feb 2021|x", "ca. 2021|x", "March|x",
        "3 Foo 2021|x", "~3/2/2021|x", "|x", "44260|x", "14h30|x", "Mar 3 - Apr 2021|x", "3 Feb - 15|x",
        "Mar 21 - Apr 3, 2021|20210321/20210403", "Feb 3/5, 2021|x", "mar 14 2021|20210314",
        "٣/٢/٢٠٢١|x",
        "04/03/2021T10:20:00+01:00|x|20210304|20210403|x", "3:Feb:2021|x", "3 Feb 2021 Z|x",
        "Mar 14-21|20210314/20210321",
    ];

    fn shown(text: &str, setting: &DateSetting) -> String {
        match written_date(text, setting) {
            None => "x".into(),
            Some((s, _)) if s.first == s.last => s.first.to_string().replace('-', ""),
            Some((s, _)) => format!("{}/{}", s.first, s.last).replace('-', ""),
        }
    }

    #[test]
    fn texts_are_read_by_the_setting() {
        let mut wrong = Vec::new();
        for row in READINGS {
            let (text, readings) = row.split_once('|').unwrap();
            let mut before = "";
            for (reading, order) in readings.split('|').chain(["="; 3]).zip(ORDERS) {
                before = if reading == "=" { before } else { reading };
                let got = shown(text, &setting(order, Some(2021)));
                if got != before {
                    wrong.push(format!("{text}, {order:?}: {got}, not {before}"));
                }
            }
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
    }

    #[test]
    fn nothing_is_read_that_two_orders_read_differently() {
        let dates =
            |text: &str, year| ORDERS.map(|order| written_date(text, &setting(order, year)).map(|r| r.0));
        let numbers = ["01", "3", "04", "12", "13", "25", "29", "31", "99", "1999", "2021"];
        let all = numbers.len();
        for i in 0..all * all * all {
            let [a, b, c] = [i / all / all, i / all % all, i % all].map(|n| numbers[n]);
            let slashes = format!("{a}/{b}/{c}");
            for text in [&slashes, &format!("{a}-{b}-{c}"), &format!("{a}{b}{c}"), &format!("{a}.{b}.")] {
                let [open, orders @ ..] = dates(text, Some(2021));
                let alike = orders.into_iter().flatten().all(|other| Some(other) == open);
                assert!(open.is_none() || alike, "{text}");
            }
            let vote = order_vote(&slashes);
            let votes = [vote.day_first, vote.month_first, vote.year_first];
            let known = dates(&slashes, None).map(|date| date.is_some());
            assert!(a.len() == 4 || votes == known[1..], "{slashes}");
        }
    }

    #[test]
    #[rustfmt::skip]
    fn a_column_is_known_by_its_texts() {
        let [_, d, m, y] = ORDERS;
        for (header, order) in [
            ("shot (dd.mm.yy)", d), ("dd/mm/aaaa", d), ("tt.mm.jjjj", d), ("jj/mm/aaaa", d),
            ("gg.mm.aa", d), ("d/m/y", d), ("Date DDMMYYYY", d), ("dmy", d), ("mm/dd/yy", m),
            ("date, month first", m), ("mdy", m), ("aaaa-mm-dd", y), ("yyyy-mm-dd", y), ("ymd", y),
            ("day/month/year", d), ("day month", None), ("day first seen", None), ("Amt", None),
            ("Monday first", None),
            ("date", None), ("dd/mm/yy or mm/dd/yy", None), ("dd/mm", None),
        ] {
            assert_eq!(DateOrder::parse(header), order, "{header}");
        }
        for order in ORDERS.into_iter().flatten() {
            assert_eq!(DateOrder::parse(order.word()), Some(order));
        }
        for (text, serial, yearless) in [
            ("44260", true, false), ("18264", true, false), ("73051.5", true, false),
            ("44260,25", true, false), ("18263", false, false), ("73052", false, false),
            ("44260.", false, false), ("3 Feb", false, true), ("06/01", false, true),
            ("14.3.", false, true), ("29 Feb", false, true), ("30/02", false, false),
            ("3 Feb 2021", false, false), ("03/2021", false, false), ("Mar '21", false, false),
            ("2021", false, false),
        ] {
            assert_eq!((is_serial(text), lacks_year(text)), (serial, yearless), "{text}");
        }
        let serials = DateSetting { serials: true, ..setting(None, None) };
        assert_eq!(shown("44260.75", &serials), "20210305");
        for text in ["3 Feb", "06/06", "Mar 21", "3-5 Feb"] {
            assert_eq!(written_date(text, &setting(ORDERS[1], None)), None, "{text}");
        }
        assert!(!order_vote("3 Feb 2021").day_first && order_vote("2021-03-04").year_first);
    }
}
