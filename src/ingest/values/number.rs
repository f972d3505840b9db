//! Numbers as people type them: decimal comma, thousands grouped, a long minus sign.
//!
//! A comma is read as a decimal comma only where nothing else can be meant: `41,5034` is
//! 41.5034, `1,576,041.15` is 1 576 041.15, but `5,515` could be either and is refused.

/// Why a text is not a number.
#[derive(Debug, Clone, PartialEq)]
pub enum NotANumber {
    /// Not a number in any reading; a number at its start, if there is one (`6` and `m` in `6m`).
    Unreadable {
        /// The number the text starts with, and what follows it.
        start: Option<(f64, String)>,
    },
    /// A comma that may be a decimal comma or group thousands.
    Ambiguous {
        /// Read as a decimal comma.
        decimal: f64,
        /// Read as thousands.
        grouped: f64,
    },
}

/// Reads a number.
///
/// # Errors
/// [`NotANumber`]; infinite and undefined values are not numbers.
///
/// ```
/// use pignut::internals::ingest::values::number::{NotANumber, number};
/// assert_eq!(number("-41.29"), Ok(-41.29));
/// assert_eq!(number("41,5034"), Ok(41.5034));
/// assert_eq!(number("1,576,041.15"), Ok(1_576_041.15));
/// assert_eq!(number("1 576 041,15"), Ok(1_576_041.15));
/// assert_eq!(number("5,515"), Err(NotANumber::Ambiguous { decimal: 5.515, grouped: 5515.0 }));
/// assert_eq!(number("6m"), Err(NotANumber::Unreadable { start: Some((6.0, "m".into())) }));
/// ```
pub fn number(text: &str) -> Result<f64, NotANumber> {
    let tidy = tidy(text);
    let unreadable = || NotANumber::Unreadable { start: leading_number(&tidy) };
    let (sign, body) = match tidy.strip_prefix(['-', '+']) {
        Some(rest) => (if tidy.starts_with('-') { -1.0 } else { 1.0 }, rest),
        None => (1.0, tidy.as_str()),
    };
    let body = ungroup_spaces(body).ok_or_else(unreadable)?;
    let value = |s: &str| plain_number(s).map(|v| sign * v);
    let commas = body.matches(',').count();
    let dots = body.matches('.').count();
    let read = match (commas, dots) {
        (0, 0 | 1) => value(&body),
        (1, 0) => {
            let (whole, fraction) = body.split_once(',').unwrap_or((&body, ""));
            let decimal = value(&body.replace(',', "."));
            let grouped = value(&body.replace(',', ""));
            let either = fraction.len() == 3 && is_grouped(&body, ',') && !whole.starts_with('0');
            if let (true, Some(decimal), Some(grouped)) = (either, decimal, grouped) {
                return Err(NotANumber::Ambiguous { decimal, grouped });
            }
            decimal
        }
        (_, 0) if is_grouped(&body, ',') => value(&body.replace(',', "")),
        (0, _) if is_grouped(&body, '.') => value(&body.replace('.', "")),
        (_, 1) if body.find('.') > body.rfind(',') => match body.split_once('.') {
            Some((whole, _)) if is_grouped(whole, ',') => value(&body.replace(',', "")),
            _ => None,
        },
        (1, _) if body.find(',') > body.rfind('.') => match body.split_once(',') {
            Some((whole, _)) if is_grouped(whole, '.') => value(&body.replace('.', "").replace(',', ".")),
            _ => None,
        },
        _ => None,
    };
    read.ok_or_else(unreadable)
}

/// Reads a number of degrees: as [`number`], and a comma that could be either is a decimal
/// comma, since no angle reaches a thousand.
///
/// # Errors
/// As [`number`], never ambiguous.
pub(crate) fn degrees(text: &str) -> Result<f64, NotANumber> {
    match number(text) {
        Err(NotANumber::Ambiguous { decimal, .. }) => Ok(decimal),
        other => other,
    }
}

/// Trims, and writes the long minus and the no-break spaces as the plain ones.
fn tidy(text: &str) -> String {
    text.trim()
        .chars()
        .map(|c| match c {
            '\u{2212}' | '\u{2013}' => '-',
            '\u{a0}' | '\u{2009}' | '\u{202f}' => ' ',
            c => c,
        })
        .collect()
}

/// Digits, one point at most, perhaps an exponent; finite.
fn plain_number(text: &str) -> Option<f64> {
    let looks = text.bytes().next().is_some_and(|b| b.is_ascii_digit() || b == b'.')
        && text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'E' | b'+' | b'-'));
    looks.then(|| text.parse::<f64>().ok()).flatten().filter(|v| v.is_finite())
}

/// Whether a separator stands before every third digit from the right, and only there.
fn is_grouped(text: &str, separator: char) -> bool {
    let mut groups = text.split(separator);
    let digits = |g: &str| g.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().unwrap_or("");
    (1..=3).contains(&first.len()) && digits(first) && groups.all(|g| g.len() == 3 && digits(g))
}

/// Takes out spaces that group thousands; `None` when a space stands anywhere else.
fn ungroup_spaces(text: &str) -> Option<String> {
    if !text.contains(' ') {
        return Some(text.to_string());
    }
    let whole = text.split(['.', ',']).next().unwrap_or("");
    (is_grouped(whole, ' ') && !text[whole.len()..].contains(' ')).then(|| text.replace(' ', ""))
}

/// The number a text starts with and what follows it, for the suggested correction.
fn leading_number(text: &str) -> Option<(f64, String)> {
    let sign = usize::from(text.starts_with('-'));
    let digits = text[sign..].find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len() - sign);
    let (number, rest) = text.split_at(sign + digits);
    let number = number.trim_end_matches('.').parse().ok().filter(|v: &f64| v.is_finite())?;
    Some((number, rest.trim().to_lowercase()))
}

/// Words that may follow a number, and by what it is then multiplied to be in our unit.
pub(crate) type Units = [(&'static [&'static str], f64)];
/// Ages, in months.
pub(crate) const MONTHS: &Units = &[
    (&["+", "?", "m", "mo", "mos", "mth", "mths", "month", "months"], 1.0),
    (&["y", "yr", "yrs", "year", "years"], 12.0),
];
/// Lengths, in metres.
pub(crate) const METRES: &Units =
    &[(&["?", "m", "metre", "metres", "meter", "meters"], 1.0), (&["km"], 1000.0)];
/// Shares, 0 to 1.
pub(crate) const SHARE: &Units = &[(&["?"], 1.0), (&["%", "percent", "per cent"], 0.01)];
/// Money an area.
pub(crate) const MONEY: &Units = &[(&["?", "/ha", "per ha", "a ha"], 1.0)];

/// What is wrong with a text that is not a number, and the suggested correction: the number meant only where
/// what follows it is a unit.
pub(crate) fn complaint(problem: &NotANumber, units: &Units, otherwise: &str) -> (String, String) {
    match problem {
        NotANumber::Unreadable { start } => {
            let meant = start.as_ref().and_then(|(v, rest)| {
                let times = units.iter().find(|(words, _)| words.contains(&rest.as_str()))?.1;
                // Twelve digits, so that 0.9 is not 0.9000000000000001.
                format!("{:.12e}", v * times).parse::<f64>().ok()
            });
            let write = meant.map_or("a number such as 12 or 12.5".to_string(), |v| v.to_string());
            ("is not a number".into(), format!("write {write}, or {otherwise}"))
        }
        NotANumber::Ambiguous { decimal, grouped } => (
            "may be read with a decimal comma or with thousands grouped".into(),
            format!("write {decimal} or {grouped}"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_is_clear_and_refuses_the_rest() {
        for (text, expected) in [
            ("0", 0.0),
            (" 12.50 ", 12.5),
            ("\u{2212}41,25", -41.25),
            ("0,515", 0.515),
            ("41234,567", 41234.567),
            ("1.576.041,15", 1_576_041.15),
            ("1,576,041", 1_576_041.0),
            ("1.576.041", 1_576_041.0),
            ("5\u{a0}515\u{a0}331", 5_515_331.0),
            ("1e3", 1000.0),
            (".5", 0.5),
        ] {
            assert_eq!(number(text), Ok(expected), "{text}");
        }
        for text in [
            "",
            "-",
            "inf",
            "NaN",
            "1e999",
            "1,2,3",
            "12 5",
            "--4",
            "1.2.3",
            "4-5",
            "e5",
            "1,57,041.2",
            "0x10",
        ] {
            assert!(number(text).is_err(), "{text}");
        }
        assert_eq!(degrees("41,503"), Ok(41.503));
        // A correction never changes the value: years are not months, kilometres are not metres.
        let suggested_correction =
            |text: &str, units| complaint(&number(text).unwrap_err(), units, "leave it out").1;
        assert_eq!(suggested_correction("1.5 years", MONTHS), "write 18, or leave it out");
        assert_eq!(suggested_correction("6 m", MONTHS), "write 6, or leave it out");
        assert_eq!(suggested_correction("5 km", METRES), "write 5000, or leave it out");
        assert_eq!(suggested_correction("90%", SHARE), "write 0.9, or leave it out");
        for (text, units) in
            [("2021-06-09", MONTHS), ("12-20", MONTHS), ("5 miles", METRES), ("6 days", MONTHS)]
        {
            assert_eq!(
                suggested_correction(text, units),
                "write a number such as 12 or 12.5, or leave it out",
                "{text}"
            );
        }
        assert_eq!(number("24+"), Err(NotANumber::Unreadable { start: Some((24.0, "+".into())) }));
    }
}
