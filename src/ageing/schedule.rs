//! The table of eruption: when each tooth comes through, as data with sources.

use crate::ageing::teeth::{Claim, Jaw, MILK_SET, TEETH, ToothState, WEAR};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;

/// Oldest age a table may speak of, months: 20 years, as for recorded ages.
pub(crate) const OLDEST_MONTHS: f64 = 240.0;

/// Why a table of eruption cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScheduleError {
    /// The file cannot be read.
    #[error("{path}: cannot be read: {reason}; check ageing.table and the file's permissions")]
    Unreadable {
        /// File asked for.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// Not TOML, or a key that is not known.
    #[error("{path}: {message}")]
    Malformed {
        /// File read.
        path: String,
        /// Parser's message, with line and key.
        message: String,
    },
    /// An entry that cannot be.
    #[error("{path}: {entry}: {wrong}; {suggested_correction}")]
    Impossible {
        /// File read.
        path: String,
        /// Event or class.
        entry: String,
        /// What is wrong with it.
        wrong: String,
        /// What to write.
        suggested_correction: String,
    },
}

/// One tooth, or several that come together, coming through.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Permanent teeth (`I1` to `M3`), `milk set`, or `wear 2` to `wear 4`.
    pub teeth: Vec<String>,
    /// The one jaw meant; both when left out.
    #[serde(default)]
    pub jaw: Option<Jaw>,
    /// Age by which one pig in twenty has come to it, months.
    pub earliest_months: f64,
    /// Age by which nineteen pigs in twenty have, months.
    pub latest_months: f64,
    /// Latest age at which it is only part through, months; `latest_months` when left out.
    #[serde(default)]
    pub part_until_months: Option<f64>,
    /// The source's own range, months.
    #[serde(default)]
    pub published_months: Option<[f64; 2]>,
    /// Teeth of the event that many pigs never have: to find them absent says nothing.
    #[serde(default)]
    pub absence_says_nothing: Vec<String>,
    /// Where the ages come from.
    pub source: String,
}

impl Event {
    /// Latest age at which it is only part through, months.
    pub fn part_until(&self) -> f64 {
        self.part_until_months.unwrap_or(self.latest_months)
    }
    /// Mean and s.d. over pigs of the age at which it comes, months: the normal whose middle 90 % is the
    /// range.
    pub fn mean_and_sd_months(&self) -> (f64, f64) {
        const Z95: f64 = 1.644_853_626_951_472_2;
        let sd = (self.latest_months - self.earliest_months) / (2.0 * Z95);
        (0.5 * (self.earliest_months + self.latest_months), sd)
    }
}

/// A table of eruption.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Schedule {
    /// What it describes.
    pub name: String,
    /// Where it comes from as a whole.
    pub source: String,
    /// Share of pigs under 48 months before the jaw is looked at; ages fall off exponentially.
    pub share_under_48_months: f64,
    /// Where that share comes from.
    #[serde(default)]
    pub share_source: String,
    /// Events in the order of the table.
    #[serde(rename = "event")]
    pub events: Vec<Event>,
    /// What each class letter says of the teeth, in the words of the `dentition` column.
    #[serde(default)]
    pub classes: BTreeMap<String, String>,
}

impl Schedule {
    /// The table that comes with the program (`src/ageing/eruption.toml`).
    pub fn built_in() -> &'static Schedule {
        static TABLE: OnceLock<Schedule> = OnceLock::new();
        TABLE.get_or_init(|| {
            // Its soundness is a unit test.
            Schedule::parse(include_str!("eruption.toml"), "eruption.toml")
                .expect("the table that comes along is sound")
        })
    }

    /// Reads and checks a table.
    ///
    /// # Errors
    /// [`ScheduleError`].
    pub fn read(path: &Path) -> Result<Schedule, ScheduleError> {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path)
            .map_err(|e| ScheduleError::Unreadable { path: name.clone(), reason: e.to_string() })?;
        Schedule::parse(&text, &name)
    }

    /// Parses and checks the text of a table; `path` is used in messages only.
    ///
    /// # Errors
    /// As [`Schedule::read`].
    pub fn parse(text: &str, path: &str) -> Result<Schedule, ScheduleError> {
        let table: Schedule = toml::from_str(text).map_err(|e| ScheduleError::Malformed {
            path: path.into(),
            message: e.to_string().trim_end().into(),
        })?;
        table.check(path)?;
        Ok(table)
    }

    /// Fall-off of ages before the jaw is looked at, per month: −ln(1 − share)/48.
    pub fn falloff_per_month(&self) -> f64 {
        -(1.0 - self.share_under_48_months).ln() / 48.0
    }

    /// Events of a tooth in a jaw; in either jaw when none is named.
    pub fn events_of(&self, tooth: &str, jaw: Option<Jaw>) -> Vec<&Event> {
        let fits = |e: &&Event| {
            e.teeth.iter().any(|t| t == tooth) && (e.jaw.is_none() || jaw.is_none() || e.jaw == jaw)
        };
        self.events.iter().filter(fits).collect()
    }

    fn check(&self, path: &str) -> Result<(), ScheduleError> {
        let bad = |entry: String, wrong: String, suggested_correction: &str| {
            Err(ScheduleError::Impossible {
                path: path.into(),
                entry,
                wrong,
                suggested_correction: suggested_correction.into(),
            })
        };
        if !(self.share_under_48_months > 0.0 && self.share_under_48_months < 1.0) {
            let wrong = format!("{} is no share", self.share_under_48_months);
            return bad("share_under_48_months".into(), wrong, "write a number above 0 and below 1");
        }
        if self.events.is_empty() {
            return bad("event".into(), "there is none".into(), "add at least one [[event]]");
        }
        for e in &self.events {
            let name = || format!("event {}", e.teeth.join(", "));
            let known =
                |t: &String| TEETH.contains(&t.as_str()) || t == MILK_SET || WEAR.contains(&t.as_str());
            if e.teeth.is_empty() {
                return bad("event".into(), "names no tooth".into(), "write teeth = [\"M1\"] or the like");
            }
            if let Some(other) = e.teeth.iter().chain(&e.absence_says_nothing).find(|t| !known(t)) {
                let suggested_correction =
                    "write I1 to I3, C, P1 to P4, M1 to M3, \"milk set\" or \"wear 2\" to \"wear 4\"";
                return bad(name(), format!("\"{other}\" is no tooth known here"), suggested_correction);
            }
            let ages = [e.earliest_months, e.latest_months, e.part_until()];
            let rising = ages.windows(2).all(|w| w[0] <= w[1]) && ages[0] < ages[1];
            if !rising || ages[0] < 0.0 || !(ages[2] <= OLDEST_MONTHS) {
                let wrong = format!(
                    "earliest {}, latest {}, part through until {} months",
                    ages[0], ages[1], ages[2]
                );
                return bad(name(), wrong, "write months from 0 to 240, each later than the one before");
            }
            for tooth in &e.teeth {
                let clash = |f: &&Event| {
                    !std::ptr::eq(*f, e)
                        && f.teeth.contains(tooth)
                        && (f.jaw.is_none() || e.jaw.is_none() || f.jaw == e.jaw)
                };
                if self.events.iter().any(|f| clash(&f)) {
                    return bad(
                        name(),
                        format!("{tooth} is in another event too"),
                        "keep one, or name the jaw of each",
                    );
                }
            }
        }
        for (letter, text) in &self.classes {
            if letter.len() != 1 || !letter.bytes().all(|b| b.is_ascii_uppercase()) {
                return bad(format!("class {letter}"), "is no letter".into(), "write one capital letter");
            }
            if let Err(e) = crate::ageing::statements::Dentition::read_teeth(text) {
                return bad(
                    format!("class {letter}"),
                    e.to_string(),
                    "write it as a dentition cell would be",
                );
            }
        }
        Ok(())
    }
}

/// Ages that one claim allows, months: at least, at most.
pub(crate) type Bounds = (Option<f64>, Option<f64>);

/// What one claim allows by the table; `None` when it says nothing of the age.
pub(crate) fn bounds(table: &Schedule, claim: &Claim) -> Option<Bounds> {
    let events = table.events_of(&claim.tooth, claim.jaw);
    let least = |f: fn(&Event) -> f64| events.iter().map(|e| f(e)).reduce(f64::min);
    let most = |f: fn(&Event) -> f64| events.iter().map(|e| f(e)).reduce(f64::max);
    match claim.state {
        ToothState::Through => least(|e| e.earliest_months).filter(|v| *v > 0.0).map(|v| (Some(v), None)),
        ToothState::Part => Some((Some(least(|e| e.earliest_months)?), Some(most(Event::part_until)?))),
        ToothState::Absent => {
            let silent = events.iter().any(|e| e.absence_says_nothing.contains(&claim.tooth));
            if silent { None } else { Some((None, Some(most(|e| e.latest_months)?))) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_that_comes_along_is_sound() {
        let t = Schedule::built_in();
        assert_eq!((t.events.len(), t.classes.len()), (12, 8));
        assert_eq!(t.events_of("I2", Some(Jaw::Lower)).len(), 1);
        assert_eq!(t.events_of("I2", None).len(), 2);
        // 70 % under 48 months.
        assert!((1.0 - (-48.0 * t.falloff_per_month()).exp() - 0.7).abs() < 1e-12);
    }

    #[test]
    fn a_table_that_cannot_be_is_refused_with_a_suggested_correction() {
        let good = include_str!("eruption.toml");
        for (from, to, says) in [
            ("earliest_months = 3\n", "earliest_months = 9\n", "event M1, P1: earliest 9, latest 5"),
            ("teeth = [\"M2\", \"I1\"]", "teeth = [\"M4\", \"I1\"]", "\"M4\" is no tooth known here"),
            ("teeth = [\"M2\", \"I1\"]", "teeth = [\"M1\", \"I1\"]", "M1 is in another event too"),
            ("share_under_48_months = 0.7", "share_under_48_months = 70", "70 is no share"),
            ("G = \"lower M3 erupting\"", "G = \"lower M3 wobbly\"", "class G: holds \"wobbly\""),
            ("jaw = \"lower\"", "jaw = \"nether\"", "nether"),
        ] {
            let text = good.replacen(from, to, 1);
            assert_ne!(text, good, "{from}");
            let said = Schedule::parse(&text, "mine.toml").unwrap_err().to_string();
            assert!(said.starts_with("mine.toml") && said.contains(says), "{said}");
        }
    }
}
