//! Numbers, dates and lists as words: one way of writing each on the whole page.

use crate::records::date_of_day;
use jiff::civil::Date;

/// What is written where a figure does not exist.
pub(crate) fn not_estimated(reason: &str) -> String {
    format!("not estimated: {reason}")
}

/// A positive number with two significant digits: a hazard, a count of expected infections.
pub(crate) fn two_digits(v: f64) -> String {
    if !v.is_finite() {
        return not_estimated("no draws");
    }
    if v.abs() < 0.0005 {
        return if v == 0.0 { "0".into() } else { "under 0.001".into() };
    }
    let decimals = (1 - v.abs().log10().floor() as i32).clamp(0, 3) as usize;
    let text = format!("{v:.decimals$}");
    if decimals == 0 { grouped(v) } else { text }
}

/// An area in hectares with at most three significant digits.
pub(crate) fn hectares(ha: f64) -> String {
    if !ha.is_finite() {
        return not_estimated("no draws");
    }
    let step = 10f64.powf((ha.abs().max(1.0).log10().floor() - 2.0).max(0.0));
    grouped((ha / step).round() * step)
}

/// A share as a whole percentage; the ends in words.
pub(crate) fn percent(share: f64) -> String {
    match share {
        s if !s.is_finite() => not_estimated("no area"),
        s if s > 0.0 && s < 0.005 => "under 1 %".into(),
        s if s < 1.0 && s > 0.995 => "over 99 %".into(),
        s => format!("{:.0} %", 100.0 * s),
    }
}

/// Month and year of a day number, `March 2021`.
pub(crate) fn month(day: f64) -> String {
    month_of(date_of_day(day))
}

/// Month and year of a date.
pub(crate) fn month_of(d: Date) -> String {
    const NAMES: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    format!("{} {}", NAMES[(d.month() - 1) as usize], d.year())
}

/// Year and month of a day number, `2021-03`.
pub(crate) fn year_month(day: f64) -> String {
    let d = date_of_day(day);
    format!("{:04}-{:02}", d.year(), d.month())
}

/// First to last month of the period from `first` to the day before `next`, `Jul–Dec 2019`.
pub(crate) fn period(first: f64, next: f64) -> String {
    let (a, b) = (date_of_day(first), date_of_day(next - 1.0));
    let short = |d: Date| month_of(d).chars().take(3).collect::<String>();
    if a.month() == b.month() && a.year() == b.year() {
        format!("{} {}", short(a), a.year())
    } else {
        format!("{}–{} {}", short(a), short(b), b.year())
    }
}

/// `one`, `one and two`, `one, two and three`; after `most` names, `… and n more`.
pub(crate) fn list(names: &[String], most: usize) -> String {
    let shown: Vec<&str> = names.iter().take(most).map(String::as_str).collect();
    let more = names.len().saturating_sub(most);
    if more > 0 {
        return format!("{} and {more} more", shown.join(", "));
    }
    match shown.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_string(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// `1 pig`, `2 pigs`.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{} {}", grouped(n as f64), if n == 1 { one } else { many })
}

/// Months as `12 months`, `1 month`.
pub(crate) fn months(m: f64) -> String {
    if m == 1.0 { "month".into() } else { format!("{m} months") }
}

/// A whole number, thousands set apart by a narrow space.
pub(crate) fn grouped(v: f64) -> String {
    let digits = format!("{:.0}", v.abs());
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(c);
    }
    if v <= -0.5 { format!("−{out}") } else { out }
}

/// A probability with two decimals; the ends in words, for a sampler cannot prove 0 or 1.
pub(crate) fn prob(p: f64) -> String {
    match p {
        p if !p.is_finite() => "not estimated: no draws".into(),
        p if p < 0.01 => "under 0.01".into(),
        p if p > 0.99 => "over 0.99".into(),
        p => format!("{p:.2}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_in_one_way() {
        assert_eq!([prob(0.004), prob(0.5), prob(0.999)], ["under 0.01", "0.50", "over 0.99"]);
        assert_eq!(
            [two_digits(0.0341), two_digits(0.3), two_digits(1.26), two_digits(123.0)],
            ["0.034", "0.30", "1.3", "123"]
        );
        assert_eq!([two_digits(0.0), two_digits(0.0001)], ["0", "under 0.001"]);
        assert_eq!(
            [hectares(12_345.0), hectares(7.4), hectares(999_999.0)],
            ["12\u{202f}300", "7", "1\u{202f}000\u{202f}000"]
        );
        assert_eq!(
            [percent(0.0), percent(0.001), percent(0.42), percent(0.999), percent(1.0)],
            ["0 %", "under 1 %", "42 %", "over 99 %", "100 %"]
        );
        assert!(prob(f64::NAN).starts_with("not estimated"));
    }

    #[test]
    fn dates_and_lists_read_as_words() {
        // Day 18 322 is 2020-03-01: 50 years and 12 leap days of 365 days, 18 262, then 60 days.
        assert_eq!((month(18_322.0), year_month(18_322.0)), ("March 2020".into(), "2020-03".into()));
        assert_eq!(period(18_262.0, 18_444.0), "Jan–Jun 2020");
        let names: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(
            [list(&names[..1], 3), list(&names[..2], 3), list(&names, 3), list(&names, 1)],
            ["a", "a and b", "a, b and c", "a and 2 more"]
        );
    }
}
