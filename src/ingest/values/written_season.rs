//! The words of written dates: seasons, intervals, and the pieces of any other date.
//!
//! A season with its year is three whole months:
//!
//! | written | north | south |
//! | --- | --- | --- |
//! | `autumn 2020` | September to November 2020 | March to May 2020 |
//! | `summer 2020/21` | not read | December 2020 to February 2021 |
//! | `winter 2021` | not read: two winters touch 2021 | June to August 2021 |

use crate::ingest::phrase::{cell, words};
use crate::ingest::values::written_date::{DateForm, DateOrder, DateSetting, Reading, single};
use crate::ingest::vocabulary::{MONTHS, SEASONS, Season};
use crate::records::DateSpan;
use Item::{Long, Month, Short, Tick};
use jiff::civil::Date;

/// Words between a season and its year.
const LINKS: [&str; 8] = ["of", "de", "del", "dell", "di", "do", "da", "des"];

/// Reads a season and its year by the hemisphere of the setting. None: not readable so.
pub(crate) fn written_season(text: &str, setting: &DateSetting) -> Option<DateSpan> {
    let known = |c: char| c.is_alphanumeric() || c.is_whitespace() || "/-\u{2013}.,'\u{2019}".contains(c);
    if !text.chars().all(known) {
        return None;
    }
    let phrase = words(text);
    let is_number = |w: &str| w.bytes().all(|b| b.is_ascii_digit());
    let (years, name): (Vec<&str>, Vec<&str>) = phrase.split(' ').partition(|w| is_number(w));
    let name: Vec<&str> = name.into_iter().filter(|w| !LINKS.contains(w)).collect();
    let name = name.join(" ");
    let season = SEASONS.iter().find(|(_, names)| names.contains(&name.as_str()))?.0;
    let start = first_month(season, setting.southern?);
    let (from, to) = match years[..] {
        [year] => (one_year(year, setting)?, one_year(year, setting)?),
        [from, to] => {
            let compact = cell(text).replace([' ', '\''], "");
            let joined = ["/", "-"].iter().any(|sign| compact.contains(&format!("{from}{sign}{to}")));
            if !joined {
                return None;
            }
            two_years(from, to, setting)?
        }
        _ => return None,
    };
    // Two seasons across the turn of the year touch each single year: neither is preferred.
    let across = start == 12;
    if across != (to == from + 1) {
        return None;
    }
    let last = Date::new(to, if across { 2 } else { start + 2 }, 1).ok()?.last_of_month();
    Some(DateSpan { first: Date::new(from, start, 1).ok()?, last })
}

/// First month of a season.
fn first_month(season: Season, southern: bool) -> i8 {
    match (season, southern) {
        (Season::Spring, false) | (Season::Autumn, true) => 3,
        (Season::Summer, false) | (Season::Winter, true) => 6,
        (Season::Autumn, false) | (Season::Spring, true) => 9,
        (Season::Winter, false) | (Season::Summer, true) => 12,
    }
}

/// A year of two or four digits.
fn one_year(digits: &str, setting: &DateSetting) -> Option<i16> {
    let year = digits.parse().ok()?;
    match digits.len() {
        2 => Some(two_digit_year(year, setting.latest_year)),
        4 => Some(year),
        _ => None,
    }
}

/// A double year such as `2020/21`: the same year twice, or two that follow each other.
fn two_years(from: &str, to: &str, setting: &DateSetting) -> Option<(i16, i16)> {
    let (first, last): (i16, i16) = (from.parse().ok()?, to.parse().ok()?);
    let (first, last) = match (from.len(), to.len()) {
        (4, 4) => (first, last),
        (4, 2) => (first, [first, first + 1].into_iter().find(|y| y % 100 == last)?),
        (2, 2) => {
            let last = two_digit_year(last, setting.latest_year);
            ([last - 1, last].into_iter().find(|y| y % 100 == first)?, last)
        }
        _ => return None,
    };
    (last == first || last == first + 1).then_some((first, last))
}

/// The latest year with these last two digits that is not after `latest`.
fn two_digit_year(digits: i16, latest: i16) -> i16 {
    latest - (latest - digits).rem_euclid(100)
}

/// A day of the years 1900 to 2100.
pub(super) fn day(year: i16, month: i16, day: i16) -> Option<Date> {
    let believed = (1900..=2100).contains(&year);
    Date::new(year, month.try_into().ok()?, day.try_into().ok()?).ok().filter(|_| believed)
}

/// Whether a word is in a list of words between blanks.
pub(super) fn one_of(list: &str, word: &str) -> bool {
    list.split(' ').any(|w| w == word)
}

/// A number or a word, with the signs before it.
#[derive(Debug)]
pub(super) struct Piece {
    /// The signs before it.
    pub gap: String,
    /// The number or word.
    pub text: String,
}

impl Piece {
    pub(super) fn is_number(&self) -> bool {
        self.text.as_bytes()[0].is_ascii_digit()
    }
    pub(super) fn number(&self) -> Option<i16> {
        self.text.parse().ok()
    }
    fn month(&self) -> Option<i8> {
        MONTHS.iter().position(|names| names.contains(&self.text.as_str())).map(|i| i as i8 + 1)
    }
    fn has_dash(&self) -> bool {
        self.gap.contains('-')
    }
    fn is(&self, list: &str) -> bool {
        one_of(list, &self.text)
    }
}

const WEEKDAYS: &str = "monday mon tuesday tue tues wednesday wed thursday thu thur thurs friday fri \
    saturday sat sunday sun lunes lun martes miercoles mie jueves jue viernes vie \
    sabado sab domingo dom lundi mardi mercredi mer jeudi jeu vendredi ven samedi \
    sam dimanche dim montag mo dienstag di mittwoch mi donnerstag do freitag fr \
    samstag sonnabend sa sonntag so lunedi martedi mercoledi giovedi gio venerdi \
    sabato domenica segunda seg terca ter quarta qua quinta qui sexta sex";
const ORDINALS: &str = "st nd rd th er ere re e eme o a ter";
const FILLERS: &str = "of de del di do da d the";
const ARTICLES: &str = "the le el il on am den dia";
const CLOCK_SIGNS: &str = "h hs hr hrs uhr am pm z utc gmt";
const BEFORE_CLOCK: &str = "at um a as alle ore las t";
const FROM: &str = "from del du de vom von dal desde";
const BETWEEN: &str = "between entre zwischen tra fra";
const TO: &str = "to bis al au a ate until till through";
const AND: &str = "and und y e et";

/// Numbers and words in turn, ordinal endings left out. None: signs that no date has.
pub(super) fn pieces(text: &str) -> Option<Vec<Piece>> {
    let plain = cell(&text.replace(['\u{2019}', '\u{2018}', '`', '\u{b4}'], "'"));
    // A doubt or a comparison before or after a date is no part of it.
    if plain.contains(|c: char| !c.is_alphanumeric() && !" .-/,':+".contains(c)) {
        return None;
    }
    let plain = plain.trim_end_matches(['.', ',', ' ']).replace("a.m", "am").replace("p.m", "pm");
    let mut pieces: Vec<Piece> = Vec::new();
    let mut gap = String::new();
    let sort = |c: char| if c.is_ascii_digit() { 0 } else { 1 + usize::from(!c.is_alphanumeric()) };
    let chars: Vec<char> = plain.chars().collect();
    for run in chars.chunk_by(|a, b| sort(*a) == sort(*b)) {
        let text: String = run.iter().collect();
        let after_number = gap.is_empty() && pieces.last().is_some_and(Piece::is_number);
        if sort(run[0]) == 2 {
            gap += &text;
        } else if !(after_number && one_of(ORDINALS, &text)) {
            pieces.push(Piece { gap: std::mem::take(&mut gap), text });
        }
    }
    let starts = pieces.first().is_some_and(|p| p.gap.trim_matches('\'').is_empty());
    (starts && gap.is_empty()).then_some(pieces)
}

/// Where a time of day that starts at the first piece ends.
fn clock(pieces: &[Piece]) -> Option<usize> {
    let number_after = |i: usize, gaps: &str| {
        pieces.get(i).is_some_and(|p| p.is_number() && p.text.len() <= 2 && one_of(gaps, &p.gap))
    };
    let first = pieces.first().filter(|p| p.is_number())?;
    let sign_at = |i: usize| pieces.get(i).is_some_and(|p| p.is(CLOCK_SIGNS) && p.gap.trim().is_empty());
    let mut end = 1;
    if number_after(1, ":") {
        end = if number_after(2, ":") { 3 } else { 2 };
        let fraction = pieces.get(end).is_some_and(|p| p.is_number() && end == 3 && p.gap == ".");
        end += usize::from(fraction);
    } else if number_after(1, ".") && sign_at(2) {
        end = 2;
    } else if !sign_at(1) || pieces[1].is("z utc gmt") {
        return None;
    }
    if sign_at(end) {
        end += 1;
        let minutes = pieces.get(end).filter(|p| p.is_number() && p.gap.is_empty());
        end += usize::from(minutes.is_some());
    }
    let hours = if first.text.len() == 4 { first.number()? / 100 } else { first.number()? };
    if hours > 24 {
        return None;
    }
    // A second clock time, or an offset from universal time.
    match pieces.get(end).map(|p| p.gap.trim()) {
        Some("+") => Some(end + 1 + usize::from(number_after(end + 1, ":"))),
        Some("-") => clock(&pieces[end..]).map_or(Some(end), |more| Some(end + more)),
        _ => Some(end),
    }
}

/// The pieces of the date itself, without time of day, weekday and article.
pub(super) fn undressed(mut pieces: &[Piece]) -> Option<&[Piece]> {
    let apart = |p: &Piece| p.gap.contains([' ', ',']);
    if let Some(end) = clock(pieces).filter(|end| pieces.get(*end).is_some_and(apart)) {
        pieces = &pieces[end..];
    } else if let Some(start) = (1..pieces.len()).find(|i| {
        (apart(&pieces[*i]) || pieces[i - 1].is("t")) && clock(&pieces[*i..]) == Some(pieces.len() - i)
    }) {
        pieces = &pieces[..start];
        while let [rest @ .., last] = pieces
            && last.is(BEFORE_CLOCK)
        {
            pieces = rest;
        }
    }
    let [first, rest @ ..] = pieces else { return None };
    // "mar" is a Tuesday only before a date that is whole without it.
    let whole =
        rest.iter().any(|p| p.month().is_some()) || rest.iter().filter(|p| p.is_number()).count() == 3;
    if first.is(WEEKDAYS) || first.is("mar") && whole && !rest.iter().any(Piece::has_dash) {
        pieces = without(rest, "feira");
    }
    Some(without(pieces, ARTICLES))
}

fn without<'a>(pieces: &'a [Piece], list: &str) -> &'a [Piece] {
    match pieces {
        [first, rest @ ..] if first.is(list) => rest,
        _ => pieces,
    }
}

/// What a piece of a date is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Item {
    /// One or two digits, and whether two.
    Short(i16, bool),
    /// Two digits after an apostrophe: a year.
    Tick(i16),
    /// Four digits: a year.
    Long(i16),
    /// A month by its name.
    Month(i8),
}

impl Item {
    /// As a year, where it can be one.
    pub(super) fn year(self, latest: i16) -> Option<i16> {
        match self {
            Long(year) => Some(year),
            Short(digits, true) | Tick(digits) => Some(two_digit_year(digits, latest)),
            Short(_, false) | Month(_) => None,
        }
    }
}

/// The pieces of a date with the signs before each, blanks left out.
pub(super) fn items(pieces: &[Piece]) -> Option<Vec<(Item, String)>> {
    let mut gap = String::new();
    let mut items = Vec::new();
    for piece in pieces {
        gap.extend(piece.gap.chars().filter(|c| *c != ' '));
        if gap.contains([':', '+']) {
            return None;
        }
        let item = match (piece.is_number().then(|| piece.number()).flatten(), piece.text.len()) {
            (Some(n), 2) if gap.contains('\'') => Tick(n),
            (Some(n), 1 | 2) => Short(n, piece.text.len() == 2),
            (Some(n), 4) => Long(n),
            (None, _) if piece.is(FILLERS) && !items.is_empty() => continue,
            _ => Month(piece.month()?),
        };
        items.push((item, std::mem::take(&mut gap)));
    }
    Some(items)
}

fn bare(pieces: &[Piece]) -> Option<Vec<Item>> {
    Some(items(pieces)?.into_iter().map(|(item, _)| item).collect())
}

/// First day to last day, where one parting of the text alone can be read so.
pub(super) fn interval(pieces: &[Piece], setting: &DateSetting) -> Option<Reading> {
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
fn ends(left: &[Piece], right: &[Piece], setting: &DateSetting) -> Option<Reading> {
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
    use jiff::civil::date;

    #[test]
    fn seasons_are_read_by_the_hemisphere() {
        let read = |text: &str, southern| {
            let setting = DateSetting { southern, latest_year: 2024, ..DateSetting::default() };
            written_season(text, &setting).map(|s| (s.first, s.last))
        };
        let turn = Some((date(2020, 12, 1), date(2021, 2, 28)));
        let spring = Some((date(2020, 3, 1), date(2020, 5, 31)));
        let summer = Some((date(2021, 6, 1), date(2021, 8, 31)));
        let autumn = Some((date(2020, 9, 1), date(2020, 11, 30)));
        for (text, north, south) in [
            ("winter 2020/21", turn, None),
            ("inverno 2020/21", turn, None),
            ("Winter 2020 – 2021", turn, None),
            ("2020/21 hiver", turn, None),
            ("verano 2020/21", None, turn),
            ("summer 20/21", None, turn),
            ("été '20/'21", None, turn),
            ("winter 2021", None, summer),
            ("Winter '21", None, summer),
            ("verano de 2021", summer, None),
            ("autumn 2020", autumn, spring),
            ("autumn 2020/2020", autumn, spring),
            ("Frühjahr 2020", spring, autumn),
            ("2020, primavera", spring, autumn),
            ("autumn 2020/21", None, None),
            ("winter 2020/22", None, None),
            ("winter 2020 21", None, None),
            ("winter 2020/20", None, Some((date(2020, 6, 1), date(2020, 8, 31)))),
            ("winter", None, None),
            ("winter 3 2020", None, None),
            ("autumn 2020?", None, None),
            ("2020/21", None, None),
        ] {
            assert_eq!(read(text, Some(false)), north, "{text}, north");
            assert_eq!(read(text, Some(true)), south, "{text}, south");
            assert_eq!(read(text, None), None, "{text}, hemisphere unknown");
        }
    }
}
