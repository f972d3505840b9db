//! Seasons with their year.
//!
//! A season with its year is three whole months:
//!
//! | written | north | south |
//! | --- | --- | --- |
//! | `autumn 2020` | September to November 2020 | March to May 2020 |
//! | `summer 2020/21` | not read | December 2020 to February 2021 |
//! | `winter 2021` | not read: two winters touch 2021 | June to August 2021 |

use crate::ingest::phrase::{cell, words};
use crate::ingest::values::date_setting::{DateSetting, two_digit_year};
use crate::ingest::vocabulary::{SEASONS, Season};
use crate::records::DateSpan;
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
