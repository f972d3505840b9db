//! Numbers, chances, dates and lists as words: one way of writing each, for page and terminal.

use crate::records::date_of_day;
use jiff::civil::Date;

/// What is written where a figure does not exist.
pub(crate) fn not_estimated(reason: &str) -> String {
    format!("not estimated: {reason}")
}

/// Why a figure of the posterior does not exist.
const NO_SAMPLES: &str = "no posterior samples";

/// A positive number with two significant digits: a force of infection, a distance.
pub(crate) fn two_digits(v: f64) -> String {
    if !v.is_finite() {
        return not_estimated(NO_SAMPLES);
    }
    if v.abs() < 0.0005 {
        return if v == 0.0 { "0".into() } else { "under 0.001".into() };
    }
    let decimals = (1 - v.abs().log10().floor() as i32).clamp(0, 3) as usize;
    let text = format!("{v:.decimals$}");
    if decimals == 0 { grouped(v) } else { text }
}

/// As [`two_digits`], with a minus sign below 0.
pub(crate) fn two_digits_signed(v: f64) -> String {
    if !v.is_finite() {
        return not_estimated("no number");
    }
    let text = two_digits(v.abs());
    if v < 0.0 && text != "0" { format!("−{text}") } else { text }
}

/// An area in hectares with at most three significant digits.
pub(crate) fn hectares(ha: f64) -> String {
    if !ha.is_finite() {
        return not_estimated(NO_SAMPLES);
    }
    let step = 10f64.powf((ha.abs().max(1.0).log10().floor() - 2.0).max(0.0));
    grouped((ha / step).round() * step)
}

/// A share that was measured, as a whole percentage; near the ends in words.
pub(crate) fn share(share: f64) -> String {
    match share {
        s if !s.is_finite() => not_estimated("no area"),
        s if s > 0.0 && s < 0.005 => "under 1 %".into(),
        s if s < 1.0 && s > 0.995 => "over 99 %".into(),
        s => format!("{:.0} %", 100.0 * s),
    }
}

/// The number of [`chance`] without its sign: `84`, `under 1`, `over 99`.
pub(crate) fn per_cent(p: f64) -> String {
    match p {
        p if !p.is_finite() => not_estimated(NO_SAMPLES),
        p if p < 0.01 => "under 1".into(),
        p if p > 0.99 => "over 99".into(),
        p => format!("{:.0}", 100.0 * p),
    }
}

/// A probability as a whole percentage; the ends in words, for sampling cannot prove 0 or 1.
pub(crate) fn chance(p: f64) -> String {
    if p.is_finite() { format!("{} %", per_cent(p)) } else { per_cent(p) }
}

/// A probability or share that was chosen, not estimated, as it was given: `95 %`, `0.5 %`.
pub(crate) fn given(p: f64) -> String {
    format!("{} %", (1e8 * p).round() / 1e6)
}

/// A p value: `0.013`, `under 0.001`.
pub(crate) fn p_value(p: f64) -> String {
    if p < 0.001 { "under 0.001".into() } else { format!("{p:.3}") }
}

/// A number of pigs expected, to one decimal below ten: `3.1`, `31`.
pub(crate) fn expected(n: f64) -> String {
    match n {
        n if n > 0.0 && n < 0.05 => "under 0.1".into(),
        n if n < 9.95 => format!("{n:.1}"),
        n => grouped(n),
    }
}

/// A number of pigs expected, as whole pigs: `none`, `3 or 4`, `about 31`.
pub(crate) fn whole_pigs(n: f64) -> String {
    let (low, part) = (n.floor(), n - n.floor());
    match n {
        n if n < 0.05 => "none".into(),
        n if n < 0.5 => "probably none".into(),
        n if n < 1.0 => "about 1".into(),
        n if n < 10.0 && (0.25..=0.75).contains(&part) => format!("{low:.0} or {:.0}", low + 1.0),
        n => format!("about {}", grouped(n)),
    }
}

/// A score with its sign, one decimal: `+1.3`, `−0.2`, `0.0`.
pub(crate) fn signed(v: f64) -> String {
    let text = format!("{:.1}", v.abs());
    if text == "0.0" { text } else { format!("{}{text}", if v < 0.0 { '−' } else { '+' }) }
}

/// Low to high, each as `write` writes it.
pub(crate) fn range(low: f64, high: f64, write: fn(f64) -> String) -> String {
    format!("{} to {}", write(low), write(high))
}

/// A share's two ends with one sign: `40 to 88 %`.
pub(crate) fn chances([low, high]: [f64; 2]) -> String {
    format!("{} to {} %", per_cent(low), per_cent(high))
}

/// Of 100 pigs that live a year under a force of infection, how many are infected: 100 (1 − e^−λ).
pub(crate) fn of_100_pigs(force_per_year: f64) -> String {
    match -100.0 * (-force_per_year).exp_m1() {
        n if n < 1.0 => "fewer than 1".into(),
        n => format!("{n:.0}"),
    }
}

/// A whole sum of money, thousands apart: `NZD 231 000`.
pub(crate) fn money(currency: &str, v: f64) -> String {
    format!("{currency} {}", grouped(v))
}

fn month_of(d: Date) -> String {
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

/// Month and year of a day number, `March 2021`.
pub(crate) fn month(day: f64) -> String {
    month_of(date_of_day(day))
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

/// Months as `12 months`, `month`.
pub(crate) fn months(m: f64) -> String {
    if m == 1.0 { "month".into() } else { format!("{m} months") }
}

/// Metres as kilometres, `3 km`.
pub(crate) fn km(metres: f64) -> String {
    format!("{} km", metres / 1000.0)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_in_one_way() {
        assert_eq!(
            [chance(0.004), chance(0.5), chance(0.999), chance(0.0)],
            ["under 1 %", "50 %", "over 99 %", "under 1 %"]
        );
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
            [share(0.0), share(0.001), share(0.42), share(0.999), share(1.0)],
            ["0 %", "under 1 %", "42 %", "over 99 %", "100 %"]
        );
        assert_eq!([given(0.95), given(0.005), given(0.07)], ["95 %", "0.5 %", "7 %"]);
        assert!(chance(f64::NAN).starts_with("not estimated"));
        assert_eq!(money("NZD", 231_000.4), "NZD 231\u{202f}000");
        // 1 − e^−0.2 = 0.181, 1 − e^−0.05 = 0.049.
        assert_eq!([of_100_pigs(0.2), of_100_pigs(0.05), of_100_pigs(0.001)], ["18", "5", "fewer than 1"]);
    }

    #[test]
    fn expected_pigs_are_whole_pigs() {
        assert_eq!(
            [0.0, 0.3, 0.8, 2.1, 3.4, 54.6].map(whole_pigs),
            ["none", "probably none", "about 1", "about 2", "3 or 4", "about 55"]
        );
        assert_eq!([expected(0.0), expected(0.01), expected(3.24)], ["0.0", "under 0.1", "3.2"]);
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
