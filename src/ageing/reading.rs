//! A `dentition` cell read with the classes of a table.

use crate::ageing::faults::ReadingError;
use crate::ageing::schedule::Schedule;
use crate::ageing::statements::Dentition;

impl Dentition {
    /// Reads a cell; class letters are those of the table.
    ///
    /// # Errors
    /// [`ReadingError`]; its `suggested_correction` says what to write.
    ///
    /// # Example
    /// ```
    /// use pignut::internals::ageing::statements::Dentition;
    /// use pignut::internals::ageing::schedule::Schedule;
    /// use pignut::internals::ageing::teeth::ToothState;
    /// let d = Dentition::read("M1 M2 through; lower I2 milk", Schedule::built_in())?;
    /// assert_eq!(d.claims.len(), 3);
    /// assert_eq!((d.claims[2].tooth.as_str(), d.claims[2].state), ("I2", ToothState::Absent));
    /// # Ok::<(), pignut::internals::ageing::faults::ReadingError>(())
    /// ```
    pub fn read(text: &str, table: &Schedule) -> Result<Dentition, ReadingError> {
        let mut claims = Vec::new();
        let mut rest = Vec::new();
        for statement in text.split([';', '\n']).map(str::trim).filter(|s| !s.is_empty()) {
            let words: Vec<&str> = statement.split_whitespace().collect();
            let bare = |w: &str| w.len() == 1 && w.bytes().all(|b| b.is_ascii_alphabetic());
            let (letter, more) = match words.as_slice() {
                [class, letter, more @ ..] if class.eq_ignore_ascii_case("class") => (*letter, more),
                [letter, more @ ..]
                    if bare(letter) && (more.is_empty() || more[0].eq_ignore_ascii_case("wear")) =>
                {
                    if letter.eq_ignore_ascii_case("c") {
                        return Err(ReadingError::ClassOrCanine);
                    }
                    (*letter, more)
                }
                _ => {
                    rest.push(statement.to_string());
                    continue;
                }
            };
            let letter = letter.trim_end_matches([',', '.']).to_uppercase();
            let Some(meaning) = table.classes.get(&letter) else {
                return Err(ReadingError::NoSuchClass { letter: crate::ageing::faults::cut(&letter) });
            };
            claims.extend(Dentition::read_teeth(meaning)?.claims);
            if !more.is_empty() {
                rest.push(more.join(" "));
            }
        }
        if !rest.is_empty() {
            claims.extend(Dentition::read_teeth(&rest.join(";"))?.claims);
        }
        let mut out = Dentition::default();
        for claim in claims {
            if !out.claims.contains(&claim) {
                out.claims.push(claim);
            }
        }
        Ok(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vec<String>, ReadingError> {
        Dentition::read(text, Schedule::built_in())
            .map(|d| d.claims.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn statements_are_read_as_they_are_meant() {
        for (text, wanted) in [
            ("M2 through", vec!["M2 is through"]),
            ("M1, M2; lower I2 milk", vec!["M1 is through", "M2 is through", "lower I2 is not through"]),
            ("M2 M3 absent", vec!["M2 is not through", "M3 is not through"]),
            ("no M3", vec!["M3 is not through"]),
            ("M3 not through", vec!["M3 is not through"]),
            (
                "lower: M1 in; M2 erupting; upper: M2 absent",
                vec!["lower M1 is through", "lower M2 is part through", "upper M2 is not through"],
            ),
            ("M2; lower jaw only", vec!["lower M2 is through"]),
            (
                "upper jaw missing; P2-4 in",
                vec!["lower P2 is through", "lower P3 is through", "lower P4 is through"],
            ),
            ("di2, dp3", vec!["I2 is not through", "P3 is not through"]),
            ("I3 broken; M1", vec!["M1 is through"]),
            ("complete", vec!["upper M3 is through", "lower M3 is through"]),
            ("complete; lower only", vec!["lower M3 is through"]),
            ("lower complete", vec!["lower M3 is through"]),
            ("milk incomplete", vec!["milk set is not complete"]),
            ("milk set complete", vec!["milk set is complete"]),
            ("wear 2", vec!["lower M3 is through", "wear is of class 2 or more", "wear is under class 3"]),
            (
                "class H wear 4",
                vec!["upper M3 is through", "lower M3 is through", "wear is of class 4 or more"],
            ),
            ("D", vec!["M2 is through", "P2 is not through", "P3 is not through", "P4 is not through"]),
        ] {
            assert_eq!(read(text).unwrap(), wanted, "{text}");
        }
    }

    #[test]
    fn what_may_mean_two_things_is_not_read() {
        for (text, says, suggested_correction) in [
            ("i2", "holds \"i2\" without a state", "I2 milk"),
            ("C", "is \"C\"", "class C"),
            ("M1 through I2 milk", "two states, \"through\" and \"milk\"", "put a ;"),
            ("M1 milk", "milk M1", "M1 absent"),
            ("class Q", "class \"Q\"", "a class of the table"),
            ("wear 9", "wear without a class", "wear 1"),
            ("old boar", "holds \"old\"", "M1 M2 through"),
            ("the", "names no tooth", "which teeth"),
        ] {
            let error = read(text).unwrap_err();
            assert!(
                error.to_string().contains(says)
                    && error.suggested_correction().contains(suggested_correction),
                "{text}: {error}; {}",
                error.suggested_correction()
            );
        }
        // A small letter with a state, or nothing known, is plain.
        assert!(read("i2 milk").is_ok() && read("m1 in").is_ok() && read("i2 broken").is_ok());
    }
}
