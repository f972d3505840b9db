//! Lengths as people write them, and the units that column names tell.

use crate::ingest::phrase;
use crate::ingest::values::number::number;
use crate::ingest::values::written_age::months_per;
use crate::ingest::vocabulary::{EITHER, HARMLESS, Quantity, UNITS};

/// What a column name says of the unit of its numbers.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum HeaderUnit {
    /// Time: so many months to the unit.
    Months(f64),
    /// Length: so many metres to the unit.
    Metres(f64),
    /// Nothing.
    None,
    /// A unit that is not known, or of another kind than wanted; as the column name writes it.
    Unknown(String),
}

/// Words before a length that leave its greatest value as it is.
#[rustfmt::skip]
const BEFORE: &[&str] = &[
    "±", "+/-", "+-", "<=", "≤", "<", "~", "≈", "approximately", "approx", "circa", "ca.", "c.",
    "ca", "about", "around",
    "within", "up to", "under", "less than", "max", "environ", "env", "moins de", "etwa", "ungefahr", "bis",
    "unter", "aprox", "unos", "menos de", "hasta", "cerca de", "meno di", "ate",
];
/// What stands between the two ends of a range.
const BETWEEN: &[&str] = &["-", " to ", " a ", " bis ", " ate "];
/// Words after the unit in a column name that do not change it.
const AFTER: &[&str] = &["min", "max", "minimum", "maximum", "est", "estimated", "approx"];

/// Metres to the unit that a word names; `m` is metres.
pub(crate) fn metres_per(word: &str) -> Option<f64> {
    let phrase = phrase::words(word);
    let name = if phrase == EITHER { "metre" } else { phrase.as_str() };
    UNITS.iter().find_map(|(quantity, names)| match quantity {
        Quantity::Metres(metres) if names.contains(&name) => Some(*metres),
        _ => None,
    })
}

/// Reads a length in metres; of a range the larger end.
///
/// `metres_per_unit` is for numbers without a unit; with `None` such numbers are not read.
pub(crate) fn length_m(text: &str, metres_per_unit: Option<f64>) -> Option<f64> {
    let cell = phrase::cell(text);
    let body = BEFORE.iter().find_map(|before| {
        let rest = cell.strip_prefix(before)?;
        match before.ends_with(char::is_alphabetic) {
            true if rest.starts_with(char::is_alphabetic) => None,
            true => Some(rest.strip_prefix('.').unwrap_or(rest)),
            false => Some(rest),
        }
    });
    let body = body.unwrap_or(&cell);
    let (low, high) = match BETWEEN.iter().find_map(|between| body.split_once(between)) {
        Some((low, high)) => (Some(piece(low)?), piece(high)?),
        None => (None, piece(body)?),
    };
    let metres = high.0 * high.1.or(metres_per_unit)?;
    match low {
        Some((_, Some(_))) if high.1.is_none() => return None,
        Some((low, unit)) if low * unit.or(high.1).or(metres_per_unit)? > metres => return None,
        _ => {}
    }
    metres.is_finite().then_some(metres)
}

/// A number and the metres to the unit after it, if there is one.
fn piece(text: &str) -> Option<(f64, Option<f64>)> {
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ');
    let (digits, unit) = text.split_at(text.find(|c| !is_number(c)).unwrap_or(text.len()));
    let value = number(digits).ok()?;
    match unit {
        "" => Some((value, None)),
        _ if unit.chars().all(|c| c.is_alphabetic() || matches!(c, '.' | ' ')) => {
            Some((value, Some(metres_per(unit)?)))
        }
        _ => None,
    }
}

/// Reads the unit in a column name: in brackets, or as its last word.
///
/// `of_age`: the column holds ages, so `m` is months; otherwise lengths, so `m` is metres.
pub(crate) fn header_unit(header: &str, of_age: bool) -> HeaderUnit {
    let mut outside = String::new();
    let mut bracketed: Option<(f64, &str)> = None;
    let mut rest = header;
    while let Some((before, tail)) = rest.split_once(['(', '[']) {
        let (inner, after) = tail.split_once([')', ']']).unwrap_or((tail, ""));
        outside += before;
        outside.push(' ');
        rest = after;
        match remark(&phrase::words(inner), of_age) {
            Remark::Unit(factor) if bracketed.is_none_or(|(known, _)| known == factor) => {
                bracketed = Some((factor, inner));
            }
            Remark::Harmless => {}
            _ => return HeaderUnit::Unknown(inner.trim().to_string()),
        }
    }
    outside += rest;
    let unit = |factor| if of_age { HeaderUnit::Months(factor) } else { HeaderUnit::Metres(factor) };
    match (bracketed, trailing(&outside, of_age)) {
        (None, Trailing::Unit(factor)) => unit(factor),
        (None, Trailing::Other(word)) => HeaderUnit::Unknown(word),
        (None, Trailing::Nothing) => HeaderUnit::None,
        // Two units, and no telling which the numbers are in.
        (Some((factor, inner)), Trailing::Unit(other)) if factor != other => {
            HeaderUnit::Unknown(inner.trim().to_string())
        }
        (Some((factor, _)), _) => unit(factor),
    }
}

/// What stands in brackets.
enum Remark {
    Unit(f64),
    Harmless,
    Unknown,
}

/// Months or metres to a unit, as the column wants.
fn factor(phrase: &str, of_age: bool) -> Option<f64> {
    if of_age { months_per(phrase) } else { metres_per(phrase) }
}

/// Reads a bracket: a unit, something harmless, or both (`in months`, `yrs, est.`).
fn remark(phrase: &str, of_age: bool) -> Remark {
    let harmless = |w: &str| w.is_empty() || w == "em" || HARMLESS.contains(&w);
    let cuts = phrase.match_indices(' ').map(|(i, _)| (&phrase[..i], &phrase[i + 1..]));
    // A letter or a second unit beside the unit changes it (`n.m.` is no metre).
    let idle = |w: &str| w.len() > 1 && harmless(w) && factor(w, of_age).is_none();
    let both = cuts.into_iter().find_map(|(a, b)| match (idle(a), idle(b)) {
        (true, _) => factor(b, of_age),
        (_, true) => factor(a, of_age),
        _ => None,
    });
    match factor(phrase, of_age) {
        Some(factor) => Remark::Unit(factor),
        None if harmless(phrase) => Remark::Harmless,
        None => both.map_or(Remark::Unknown, Remark::Unit),
    }
}

/// What a column name ends in.
enum Trailing {
    Unit(f64),
    /// A unit of another kind.
    Other(String),
    Nothing,
}

/// Reads the last words of a column name without its brackets.
fn trailing(header: &str, of_age: bool) -> Trailing {
    let phrase = phrase::header(header);
    let mut words: Vec<&str> = phrase.split(' ').collect();
    while words.last().is_some_and(|w| AFTER.contains(w)) {
        words.pop();
    }
    let ends: Vec<String> =
        (1..=words.len().min(3)).rev().map(|n| words[words.len() - n..].join(" ")).collect();
    // A letter that is the whole name is no unit.
    let named = |end: &&String| end.len() > 1 || words.len() > 1;
    if let Some(factor) = ends.iter().filter(named).find_map(|end| factor(end, of_age)) {
        return Trailing::Unit(factor);
    }
    // A lone letter (`error y`) or a part of a date (`year`) is more likely no unit at all.
    let another = |end: &&String| {
        let weight =
            UNITS.iter().any(|(q, names)| *q == Quantity::Kilograms && names.contains(&end.as_str()));
        let known = weight || factor(end, !of_age).is_some();
        end.len() > 1 && known && !HARMLESS.contains(&end.as_str())
    };
    ends.iter().find(another).map_or(Trailing::Nothing, |end| Trailing::Other(end.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[rustfmt::skip]
    fn reads_lengths_and_refuses_what_is_left_over() {
        for (text, per_unit, metres) in [
            ("25", 1.0, 25.0), ("25 m", 0.0, 25.0), ("30ft", 0.0, 9.144), ("0.5 km", 0.0, 500.0),
            ("±5 m", 0.0, 5.0), ("< 10 m", 0.0, 10.0), ("10-20 m", 0.0, 20.0), ("5,5", 1.0, 5.5),
            ("~5m", 0.0, 5.0), ("+/- 5", 1.0, 5.0), ("10 – 20", 1.0, 20.0), ("10 to 20 yd", 0.0, 18.288),
            ("500 m - 1 km", 0.0, 1000.0), ("0", 1.0, 0.0), ("ca. 5 m", 0.0, 5.0),
            ("max 50 Meter", 0.0, 50.0), ("5 m.", 0.0, 5.0), ("1 200 m", 0.0, 1200.0),
            ("10 yd", 1.0, 9.144), ("100", 0.3048, 30.48), ("approx.5 km", 0.0, 5000.0),
            ("~.5 km", 0.0, 500.0), ("1 mile", 0.0, 1609.344), ("30 pés", 0.0, 9.144),
            ("15 cm", 0.0, 0.15), ("5 a 10 metros", 0.0, 10.0),
        ] {
            let per_unit = Some(per_unit).filter(|p| *p > 0.0);
            let read = length_m(text, per_unit).unwrap_or_else(|| panic!("{text}"));
            assert!((read - metres).abs() < 1e-9, "{text}: {read}");
        }
        for text in [
            "", "m", "-5 m", "20-10 m", "5 kg", "5 y", "5 chains", "5 m2", "5 m x", "1,500 m", "> 10 m",
            "10+", "5 5", "10-20-30", "10 m - 20", "<", "camp 5", "5 m (gps)", "1e3", "inf", "10-", "r 5",
            "5 ± 2 m", "5 m?",
        ] {
            assert_eq!(length_m(text, Some(1.0)), None, "{text}");
        }
        assert_eq!((length_m("25", None), length_m("10-20", None)), (None, None));
        let units = [("m", Some(1.0)), ("Fuß", Some(0.3048)), ("Yds.", Some(0.9144)), ("kg", None)];
        assert!(units.iter().all(|(word, metres)| metres_per(word) == *metres));
    }

    #[test]
    #[rustfmt::skip]
    fn reads_units_in_column_names() {
        use HeaderUnit::{Metres, Months, None, Unknown};
        let unknown = |word: &str| Unknown(word.to_string());
        for (header, unit) in [
            ("age (yrs)", Months(12.0)), ("age months", Months(1.0)), ("Alter in Monaten", Months(1.0)),
            ("ageMonths", Months(1.0)), ("age_m", Months(1.0)), ("Edad (a)", Months(12.0)),
            ("Alter J", Months(12.0)), ("age (m)", Months(1.0)), ("Age (est, yrs)", Months(12.0)),
            ("age_months_min", Months(1.0)), ("Age", None), ("Idade (em meses)", Months(1.0)),
            ("age_months (approx)", Months(1.0)), ("age [mo]", Months(1.0)), ("Months", Months(1.0)),
            ("M", None), ("age (jaw)", None), ("Alter, Jahre", Months(12.0)), ("Age class", None),
            ("age (years", Months(12.0)), ("age (moons)", unknown("moons")), ("age kg", unknown("kg")),
            ("", None), ("age (yrs/months)", unknown("yrs/months")),
            ("age months (years)", unknown("years")), ("Âge (mois)", Months(1.0)),
            ("età (anni)", Months(12.0)), ("age at death", None),
        ] {
            assert_eq!(header_unit(header, true), unit, "{header}");
        }
        for (header, unit) in [
            ("radius_yd", Metres(0.9144)), ("gps_err_m", Metres(1.0)), ("Error (m)", Metres(1.0)),
            ("Raio (m)", Metres(1.0)), ("prec. m", Metres(1.0)), ("radiusM", Metres(1.0)),
            ("radius, km", Metres(1000.0)), ("error in yards", Metres(0.9144)), ("GPS (±m)", Metres(1.0)),
            ("accuracy (gps)", None), ("accuracy", None), ("radius (ft)", Metres(0.3048)),
            ("radius m (m)", Metres(1.0)), ("radius m (km)", unknown("km")),
            ("radius (chains)", unknown("chains")), ("accuracy (kg)", unknown("kg")),
            ("radius months", unknown("months")), ("error y", None), ("radius year", None),
            ("error (n.m.)", unknown("n.m.")), ("error (in ft)", Metres(0.3048)),
        ] {
            assert_eq!(header_unit(header, false), unit, "{header}");
        }
    }
}
