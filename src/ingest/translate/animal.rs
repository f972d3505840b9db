//! Species, sex and age class, which sheets often keep in one cell: `jabalí hembra`, `gilt yrl`, `possum`.

use crate::ingest::memory::{Answers, answer};
use crate::ingest::phrase;
use crate::ingest::vocabulary;
use crate::records::Sex;

/// What a cell says of the animal.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct AnimalWords {
    /// Whether it names a pig (true) or another animal (false).
    pub pig: Option<bool>,
    /// The sex it names; unknown where it names both.
    pub sex: Option<Sex>,
    /// The words that say neither.
    pub rest: Vec<String>,
}

impl AnimalWords {
    /// Whether it names a species or a sex.
    pub(crate) fn says_something(&self) -> bool {
        self.pig.is_some() || self.sex.is_some()
    }
}

/// Most words of a phrase that names a species or a sex.
const LONGEST: usize = 4;

/// Reads a cell from left to right, the longest phrases first.
pub(crate) fn read(text: &str) -> AnimalWords {
    thread_local! { static KEPT: Answers<AnimalWords> = Answers::default(); }
    answer(&KEPT, text, words_of_animal)
}

fn words_of_animal(text: &str) -> AnimalWords {
    let mut out = AnimalWords::default();
    // A question mark is a word for an unknown sex.
    let spaced = phrase::cell(text).replace('?', " ? ");
    let words: Vec<String> = spaced
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, '?' | '+' | '<' | '>' | '½' | '-' | '.')))
        .filter(|w| !w.is_empty())
        .map(str::to_string)
        .collect();
    if words.is_empty() {
        return out;
    }
    let mut at = 0;
    while at < words.len() {
        let longest = LONGEST.min(words.len() - at);
        let found = (1..=longest).rev().find_map(|length| {
            let phrase = words[at..at + length].join(" ");
            let phrase = phrase.trim_matches(['.', '-']);
            let pig = vocabulary::is_pig(phrase);
            // A lone letter beside other words is as likely a unit as a sex.
            let letter = phrase::words(phrase).chars().count() == 1 && at > 0;
            let sex = vocabulary::sex(phrase).filter(|_| !letter);
            (pig.is_some() || sex.is_some()).then_some((length, pig, sex))
        });
        match found {
            Some((length, pig, sex)) => {
                out.pig = match (out.pig, pig) {
                    // "wild pig dog": one word for another animal outweighs one for a pig.
                    (Some(false), _) | (_, Some(false)) => Some(false),
                    (held, new) => new.or(held),
                };
                out.sex = match (out.sex, sex) {
                    (Some(held), Some(new)) if held != new && new != Sex::Unknown => Some(Sex::Unknown),
                    (held, new) => held.or(new),
                };
                at += length;
            }
            None => {
                out.rest.push(words[at].clone());
                at += 1;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn species_sex_and_the_rest_are_told_apart() {
        let (female, male) = (Some(Sex::Female), Some(Sex::Male));
        for (text, pig, sex, rest) in [
            ("jabalí hembra", Some(true), female, ""),
            ("jabalí macho", Some(true), male, ""),
            ("cerf, femelle", Some(false), female, ""),
            ("sanglier mâle", Some(true), male, ""),
            ("gilt yrl", None, female, "yrl"),
            ("boar 16mo", Some(true), male, "16mo"),
            ("M castré", None, male, ""),
            ("maschio castrato", None, male, ""),
            ("possum", Some(false), None, ""),
            ("Überläufer weiblich", Some(true), female, ""),
            ("F", None, female, ""),
            ("? juv", None, Some(Sex::Unknown), "juv"),
            ("fallow deer", Some(false), None, ""),
            ("xyz", None, None, "xyz"),
        ] {
            let read = read(text);
            assert_eq!(read.sex, sex, "{text}");
            assert_eq!(read.rest.join(" "), rest, "{text}");
            // A word such as sow tells the sex, and that it is no other animal.
            assert!(
                read.pig == pig || (read.pig != Some(false) && read.sex.is_some()),
                "{text}: {:?}",
                read.pig
            );
        }
    }
}
