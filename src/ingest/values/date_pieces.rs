//! The numbers and words of a written date, without its time of day and its weekday.

use crate::ingest::phrase::cell;
use crate::ingest::values::date_setting::{one_of, two_digit_year};
use crate::ingest::vocabulary::MONTHS;
use Item::{Long, Month, Short, Tick};
use jiff::civil::Date;

/// A day of the years 1900 to 2100.
pub(crate) fn day(year: i16, month: i16, day: i16) -> Option<Date> {
    let believed = (1900..=2100).contains(&year);
    Date::new(year, month.try_into().ok()?, day.try_into().ok()?).ok().filter(|_| believed)
}

/// A number or a word, with the signs before it.
#[derive(Debug)]
pub(crate) struct Piece {
    /// The signs before it.
    pub gap: String,
    /// The number or word.
    pub text: String,
}

impl Piece {
    pub(crate) fn is_number(&self) -> bool {
        self.text.as_bytes()[0].is_ascii_digit()
    }
    pub(crate) fn number(&self) -> Option<i16> {
        self.text.parse().ok()
    }
    pub(crate) fn month(&self) -> Option<i8> {
        MONTHS.iter().position(|names| names.contains(&self.text.as_str())).map(|i| i as i8 + 1)
    }
    pub(crate) fn has_dash(&self) -> bool {
        self.gap.contains('-')
    }
    pub(crate) fn is(&self, list: &str) -> bool {
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
pub(crate) const ARTICLES: &str = "the le el il on am den dia";
const CLOCK_SIGNS: &str = "h hs hr hrs uhr am pm z utc gmt";
const BEFORE_CLOCK: &str = "at um a as alle ore las t";

/// Numbers and words in turn, ordinal endings left out. None: signs that no date has.
pub(crate) fn pieces(text: &str) -> Option<Vec<Piece>> {
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
pub(crate) fn undressed(mut pieces: &[Piece]) -> Option<&[Piece]> {
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

/// The pieces without the first where it is a word of the list.
pub(crate) fn without<'a>(pieces: &'a [Piece], list: &str) -> &'a [Piece] {
    match pieces {
        [first, rest @ ..] if first.is(list) => rest,
        _ => pieces,
    }
}

/// What a piece of a date is.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Item {
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
    pub(crate) fn year(self, latest: i16) -> Option<i16> {
        match self {
            Long(year) => Some(year),
            Short(digits, true) | Tick(digits) => Some(two_digit_year(digits, latest)),
            Short(_, false) | Month(_) => None,
        }
    }
}

/// The pieces of a date with the signs before each, blanks left out.
pub(crate) fn items(pieces: &[Piece]) -> Option<Vec<(Item, String)>> {
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
