//! Ages as people write them: `2-3 y`, `<6 m`, `24+`, `1 Jahr 3 Monate`, `3 y ± 1`.
//!
//! A cell is cut into numbers and words, signs being words too. Words at either end that bound or soften
//! the age come off, and what is left must be one amount or two. Anything else is not an age.

use crate::ingest::phrase;
use crate::ingest::values::number::number;
use crate::ingest::vocabulary::{EITHER, HARMLESS, Quantity, UNITS};
use std::ops::Range;

/// Oldest age believed, months: 20 years. Own choice: the oldest breeding sow on record in
/// northern South Island, New Zealand, was 14 (Dzieciolowski 1992).
pub(crate) const OLDEST_AGE_MONTHS: f64 = 240.0;

/// Ages in months as a cell says them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WrittenAge {
    /// Least age.
    pub min_months: f64,
    /// Greatest age; `None`: open above.
    pub max_months: Option<f64>,
    /// Whether the cell itself names the unit.
    pub unit_written: bool,
}

/// Words before an age that make it the greatest one.
const UNDER: &str = "<|under|less than|younger than|below|up to|at most|max|maximum|menos de|menor de|\
    hasta|como maximo|maximo|moins de|jusqu a|au plus|unter|junger als|bis|bis zu|hochstens|maximal|\
    meno di|fino a|massimo|ate|no maximo";
/// Words before an age that make it the least one.
const OVER: &str = ">|over|more than|older than|above|at least|min|minimum|mas de|mayor de|al menos|\
    minimo|a partir de|plus de|au moins|uber|ueber|mehr als|alter als|ab|mindestens|piu di|oltre|almeno|\
    a partire da|mais de|pelo menos|no minimo";
/// Words after an age that make it the greatest one.
const OR_UNDER: &str = "max|maximum|and under|or under|or less|and younger|or younger|y menos|o menos|\
    et moins|ou moins|und junger|oder junger|oder weniger|e meno|o meno|ou menos";
/// Words after an age that make it the least one.
const OR_OVER: &str = "+|plus|min|minimum|and over|or over|and older|or older|and above|or above|\
    and more|or more|and up|y mas|o mas|et plus|ou plus|und mehr|oder mehr|und alter|oder alter|e piu|\
    o piu|e oltre|o oltre|e mais|ou mais";
/// Words at either end that leave an age as it is.
const ROUGHLY: &str = "~|≈|∼|?|ca|circa|approx|approximately|about|around|roughly|est|estimated|aprox|\
    aproximadamente|unos|alrededor de|environ|env|etwa|ungefahr|rund|cerca de";
const BETWEEN: &str = "between|entre|zwischen|tra|fra";
const FROM: &str = "from|de|desde|von|da|dai";
const TO: &str = "-|to|a|until|till|hasta|bis|ate|au";
const AND: &str = "and|y|et|und|e|,|&";
/// Units that may stand before their number. Others may be teeth or ordinals (`M3`, `Year 2`).
const PLURALS: &str = "months|mths|mos|meses|mois|mesi|monate|years|yrs|anos|ans|anni|jahre|weeks|wks|\
    semanas|semaines|wochen|settimane|days|dias|jours|tage|giorni";
/// Units after which `y` before the number is rather the Spanish "and".
const SPANISH: &str = "mes|meses|semana|semanas|sem|dia|dias";

enum AgeToken {
    Number(f64),
    /// A word or a sign, and whether it touches a number before it.
    Word(String, bool),
}
use AgeToken::{Number, Word};

/// Reads the age or ages of a cell; with no `months_per_unit`, numbers without a unit are not read.
pub(crate) fn written_age(text: &str, months_per_unit: Option<f64>) -> Option<WrittenAge> {
    let cell = phrase::cell(text);
    // Without its dot, `c` before a number may be a canine.
    let mut tokens = tokens(&without_remarks(cell.strip_prefix("c.").unwrap_or(&cell))?)?;
    let peel_roughly = |tokens: &mut _| (peel(tokens, ROUGHLY, false), peel(tokens, ROUGHLY, true));
    peel_roughly(&mut tokens);
    let (under, over) = (peel(&mut tokens, UNDER, false), peel(&mut tokens, OVER, false));
    let (or_under, or_over) = (peel(&mut tokens, OR_UNDER, true), peel(&mut tokens, OR_OVER, true));
    peel_roughly(&mut tokens);
    let inner_plus = matches!(&tokens[..], [Number(_), Word(sign, _), Word(..), ..] if sign == "+");
    if inner_plus {
        tokens.remove(1);
    }
    let bounds = [under, over, or_under, or_over, inner_plus].into_iter().filter(|b| *b).count();
    let between = peel(&mut tokens, BETWEEN, false);
    let from = !between && peel(&mut tokens, FROM, false);
    let before = words_of(tokens.get(..1)?).filter(|w| among(PLURALS, w)).and_then(|w| unit(&w));
    let (low, low_unit, rest) = amount(&tokens[usize::from(before.is_some())..], between)?;
    let (mut joiner, mut high, mut high_unit, mut left) = ("", None, None, rest);
    if let [Word(word, _), rest @ ..] = rest {
        joiner = word;
        (high, high_unit, left) = amount(rest, between).map(|(high, unit, left)| (Some(high), unit, left))?;
    }
    let (one, written) = (high.is_none(), low_unit.or(high_unit));
    let excess = !left.is_empty() || bounds > usize::from(one) || before.and(written).is_some();
    if excess || one && (between || from) {
        return None;
    }
    let unit_written = before.or(written).is_some();
    let fallback = before.or(months_per_unit);
    let months = low * written.or(fallback)?;
    let (min_months, max_months) = match high {
        None if under || or_under => (0.0, Some(months)),
        None => (months, Some(months).filter(|_| bounds == 0)),
        Some(spread) if joiner == "±" && !between && !from => {
            let spread = spread * high_unit.or(written).or(fallback)?;
            (months - spread, Some(months + spread))
        }
        Some(high) if joins(joiner, between) && (low_unit.is_none() || high_unit.is_some()) => {
            // Numbers such as `02-03` may be a date; `2 a 6 m` may be two years and six months.
            let padded = cell.split([' ', '-']).any(|n| n.len() == 2 && n.starts_with('0'));
            let year = high_unit.is_some_and(|u| u < 12.0 && high * u < 12.0) && low_unit.is_none();
            let spelt = from || tokens.iter().any(|t| matches!(t, Word(word, _) if word.len() > 3));
            if !unit_written && padded || joiner == "a" && year && !spelt && !text.contains(['à', 'À']) {
                return None;
            }
            (months, Some(high * high_unit.or(fallback)?))
        }
        Some(_) => return None,
    };
    let last = max_months.unwrap_or(min_months);
    let holds = 0.0 <= min_months && min_months <= last && last <= OLDEST_AGE_MONTHS;
    holds.then_some(WrittenAge { min_months, max_months, unit_written })
}

/// Months to the unit that a word names as a unit of time; `m` is months.
pub(crate) fn months_per(word: &str) -> Option<f64> {
    unit(&phrase::words(word))
}

/// As [`months_per`], of a phrase in normal form.
fn unit(phrase: &str) -> Option<f64> {
    let name = if phrase == EITHER { "month" } else { phrase };
    let name = if name == "d" { "day" } else { name };
    UNITS.iter().find_map(|(quantity, names)| match quantity {
        Quantity::Months(months) if names.contains(&name) => Some(*months),
        _ => None,
    })
}

/// The largest number of an age without a unit, to tell a column of months from one of years.
pub(crate) fn bare_number(text: &str) -> Option<f64> {
    let age = written_age(text, Some(1.0)).filter(|age| !age.unit_written)?;
    Some(age.max_months.unwrap_or(age.min_months))
}

/// Takes out bracketed remarks that say nothing; bracketed units and bounds lose their brackets.
fn without_remarks(cell: &str) -> Option<String> {
    let lists = [UNDER, OVER, OR_UNDER, OR_OVER, ROUGHLY, BETWEEN, FROM, TO, AND];
    let matters = |w: &str| unit(w).is_some() || lists.iter().any(|list| among(list, w));
    let (mut out, mut rest) = (String::new(), cell);
    while let Some((before, tail)) = rest.split_once(['(', '[']) {
        let (inner, after) = tail.split_once([')', ']'])?;
        let (sign, words) = (inner.trim(), phrase::words(inner));
        out += before;
        out.push(' ');
        match [sign, &words].into_iter().find(|w| matters(w)) {
            Some(word) => out += word,
            None if HARMLESS.contains(&words.as_str()) => {}
            None => return None,
        }
        rest = after;
    }
    Some(out + rest)
}

/// Cuts a cell; `None` where a number is none.
fn tokens(cell: &str) -> Option<Vec<AgeToken>> {
    let mut cell = cell.to_string();
    for (sign, meant) in [("+/-", "±"), ("+-", "±"), ("<=", "<"), ("≤", "<"), (">=", ">"), ("≥", ">")] {
        cell = cell.replace(sign, meant);
    }
    let (mut tokens, mut slash) = (Vec::new(), false);
    let (mut rest, mut last) = (cell.as_str(), ' ');
    while let Some(c) = rest.chars().next() {
        let digit_at = |i: usize| rest.as_bytes().get(i).is_some_and(u8::is_ascii_digit);
        let mut length = c.len_utf8();
        if let Some((written, part)) = fraction(rest) {
            length = written.len();
            match tokens.last_mut() {
                Some(Number(whole)) if whole.fract() == 0.0 => *whole += part,
                _ if written.contains('/') && part != 0.5 => return None,
                _ => tokens.push(Number(part)),
            }
            slash |= written.contains('/') && matches!(tokens[..], [.., Number(0.5)]);
        } else if digit_at(0) || c == '.' && !last.is_alphabetic() && digit_at(1) {
            let inside = |(i, c): &(usize, char)| digit_at(*i) || matches!(c, '.' | ',') && digit_at(i + 1);
            length = rest.char_indices().find(|at| !inside(at)).map_or(rest.len(), |(i, _)| i);
            tokens.push(Number(number(&rest[..length]).ok()?));
        } else if c.is_alphabetic() {
            length = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
            tokens.push(Word(rest[..length].to_string(), last.is_ascii_digit()));
        } else {
            // Inside a phrase the hyphen, the apostrophe and the dot only part its words (`2-year-old`).
            let goes_on = rest[length..].starts_with(char::is_alphabetic) && last.is_alphanumeric();
            if c != ' ' && !(c == '.' && last.is_alphabetic() || matches!(c, '-' | '\'') && goes_on) {
                tokens.push(Word(c.to_string(), false));
            }
        }
        last = rest[..length].chars().next_back().unwrap_or(' ');
        rest = &rest[length..];
    }
    // Beside anything but a unit, `1/2` may be one to two.
    let alone = || tokens.len() == 1 || words_of(&tokens[1..]).and_then(|w| unit(&w)).is_some();
    (!slash || alone()).then_some(tokens)
}

/// The fraction that a text starts with, as written and as a number.
fn fraction(text: &str) -> Option<(&'static str, f64)> {
    let fractions = [("½", 0.5), ("¼", 0.25), ("¾", 0.75), ("1/2", 0.5), ("1/4", 0.25), ("3/4", 0.75)];
    let found = fractions.into_iter().find(|(written, _)| text.starts_with(written))?;
    let goes_on = |c: char| c.is_ascii_digit() || matches!(c, '/' | '.' | ',');
    (!text[found.0.len()..].starts_with(goes_on)).then_some(found)
}

/// Reads an amount at the start: a number and its unit, or a sum of such in months; also the rest.
fn amount(tokens: &[AgeToken], between: bool) -> Option<(f64, Option<f64>, &[AgeToken])> {
    let [Number(value), rest @ ..] = tokens else { return None };
    if let [Word(word, false), Number(_), tail @ ..] = rest {
        // `1 a 2`: one to two, not one year and two.
        if joins(word, between) {
            return Some((*value, None, rest));
        }
        if word == "y" && matches!(tail, [Word(word, _), ..] if among(SPANISH, word)) {
            return None;
        }
    }
    let named = |n: usize| Some((unit(&words_of(rest.get(..n)?)?)?, &rest[n..]));
    let Some((unit, rest)) = (1..=3).rev().find_map(named) else { return Some((*value, None, rest)) };
    let skip = matches!(rest, [Word(word, _), ..] if !between && among(AND, word));
    let sum = amount(&rest[usize::from(skip)..], between).and_then(|(part, smaller, left)| {
        let part = part * smaller.filter(|smaller| *smaller < unit)?;
        (part < unit && value.fract() == 0.0).then_some((value * unit + part, Some(1.0), left))
    });
    Some(sum.unwrap_or((*value, Some(unit), rest)))
}

/// Whether a list with bars between its phrases holds this one.
fn among(list: &str, phrase: &str) -> bool {
    list.split('|').any(|listed| listed == phrase)
}

/// Whether a word stands between the two ends of a range.
fn joins(word: &str, between: bool) -> bool {
    word == "-" || among(if between { AND } else { TO }, word)
}

/// Words with a blank between; `None` when a number is among them.
fn words_of(tokens: &[AgeToken]) -> Option<String> {
    let words = tokens.iter().map(|t| if let Word(word, _) = t { Some(word.as_str()) } else { None });
    Some(words.collect::<Option<Vec<_>>>()?.join(" "))
}

/// Takes the longest phrase of a list off one end.
fn peel(tokens: &mut Vec<AgeToken>, phrases: &str, at_back: bool) -> bool {
    let all = tokens.len();
    let mut ends = (1..=all.min(3)).rev().map(|n| if at_back { all - n..all } else { 0..n });
    let listed = |end: &Range<usize>| words_of(&tokens[end.clone()]).is_some_and(|w| among(phrases, &w));
    ends.find(listed).is_some_and(|end| tokens.drain(end).count() > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ages as `text=least..greatest`, with bars between; each has its unit.
    const WITH_UNIT: &str = "2-3 y=24..36|<6 m=0..6|under 6 months=0..6|≤6mo=0..6|menos de 6 meses=0..6\
        |moins de 6 mois=0..6|unter 6 Monaten=0..6|meno di 6 mesi=0..6|más de 2 años=24..|½ y=6..6\
        |plus de 2 ans=24..|über 24 Monate=24..|24 months and over=24..|18mo=18..18|26 mois et plus=26..\
        |mais de 18 meses=18..|più di 2 anni=24..|ab 24 Monate=24..|1 1/2 y=18..18|1/2 y=6..6|1.5 y=18..18\
        |1,5 J.=18..18|2y6m=30..30|2 y 6 mo=30..30|2a6m=30..30|max 6 m=0..6|2y?=24..24|6 m - 1 y=6..12\
        |1 Jahr 3 Monate=15..15|2 años y 6 meses=30..30|1 to 2 y=12..24|1 a 2 años=12..24|1a-2a=12..24\
        |de 1 à 2 ans=12..24|6 bis 12 Monate=6..12|between 6 and 12 m=6..12|2 à 6 m=2..6|~18 mo=18..18\
        |entre 6 y 12 meses=6..12|ca. 2 J.=24..24|c. 2 y=24..24|24+ m=24..|2 y (?)=24..24|3 y ± 1=24..48\
        |3 ± 1 y=24..48|3 y +/- 6 m=30..42|min 24 m=24..|24 m (min)=24..|2-3 y (jaw)=24..36\
        |2 (years)=24..24|months 6-12=6..12|2-year-old=24..24|24 m o más=24..|6 mesi d'età=6..6\
        |between 1 year and 18 months=12..18|2 a 6 meses=2..6";
    const IN_MONTHS: &str = "24+=24..|>24=24..|>= 24=24..|≥ 24=24..|<= 6=0..6|≤ 6=0..6|18=18..18|0=0..0\
        |24 y mas=24..|6-12=6..12|1 y=12..12|<½=0..0.5|6 - 12?=6..12|6,5=6.5..6.5";
    const IN_YEARS: &str = "1½=18..18|½=6..6|1/2=6..6|1-1½=12..18|18 m=18..18|2 a 3=24..36|1 ± 0.5=6..18";
    const REFUSED: &str = "|3-2|-3|2/3 y|3/4|1/2 - 1 y|241|21 y|over 30 y|45 kg|03-Feb|2021-02-03|M3|C2|y\
        |M3 erupting|2 y (moons)|2 y (|2 y and|2 - 3 - 4|2 y 18 m|6 m - 2|1 y 6|02-03|2 y 6 meses|<2-3 y|<\
        |over 24+|1,500|1/2/21|1 1/2/21|±2 y|2 y ± 3|2 y y|from 2 y|Year 2|1 y (6 m)|5 m2|--2|2--3|1.5½\
        |2 3|3.2.2021|between 3 ± 1|months 6 y|2 + 3|2 a 6 m|Mon 3|~1/2|2021";

    #[test]
    fn reads_ages_and_refuses_what_is_not_quite_one() {
        for (rows, per_unit) in [(WITH_UNIT, None), (IN_MONTHS, Some(1.0)), (IN_YEARS, Some(12.0))] {
            for (text, ages) in rows.split('|').map(|row| row.rsplit_once('=').unwrap()) {
                let age = written_age(text, per_unit).unwrap_or_else(|| panic!("{text}"));
                let (min, max) = ages.split_once("..").unwrap();
                let ends = (min.parse().unwrap(), max.parse().ok());
                assert_eq!((age.min_months, age.max_months), ends, "{text}");
                assert!(per_unit.is_some() || age.unit_written, "{text}");
            }
        }
        for text in REFUSED.split('|') {
            assert_eq!(written_age(text, Some(1.0)), None, "{text}");
        }
        assert!(["18", "24+", "<½", "1/2", "2-3"].iter().all(|text| written_age(text, None).is_none()));
    }

    #[test]
    fn tells_units_and_bare_numbers() {
        let units = [("months", 1.0), ("yrs", 12.0), ("J.", 12.0), ("ans", 12.0), ("m", 1.0), ("a", 12.0)];
        assert!(units.iter().all(|(word, months)| months_per(word) == Some(*months)));
        assert!(["kg", "km", ""].iter().all(|word| months_per(word).is_none()));
        assert_eq!((months_per("d"), months_per("w")), (months_per("days"), months_per("weeks")));
        let bare = [("6-18", Some(18.0)), ("24+", Some(24.0)), ("<½", Some(0.5)), ("2 y", None)];
        assert!(bare.iter().all(|(text, number)| bare_number(text) == *number));
    }
}
