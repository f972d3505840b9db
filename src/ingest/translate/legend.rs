//! What the notes on a sheet say of its words: `wnr = weaner, 2-6 months`, `n.e. = non examiné`.
//!
//! A legend is used only for a cell that says nothing by itself. An age may be told as `adult 24 mo and over`
//! as well as by an equals sign.

use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::verdict;
use crate::ingest::values::written_age::{WrittenAge, written_age};
use crate::ingest::vocabulary;
use std::collections::BTreeMap;

/// Most words before the span of an age that are its class.
const LONGEST_CLASS: usize = 4;

/// Words explained in the notes of one sheet.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Legend {
    /// Age classes with their spans.
    pub ages: BTreeMap<String, WrittenAge>,
    /// Other words with their meaning.
    pub meanings: BTreeMap<String, String>,
    /// All notes as words, for what they say of the whole table.
    pub notes: Vec<String>,
}

impl Legend {
    /// The legend of a table: from the texts above its header row, among its rows and on other sheets.
    pub(crate) fn of(table: &Table) -> Legend {
        let mut legend = Legend::default();
        let asides = table.passed_over.iter().filter(|p| matches!(p.what, "note" | "total"));
        for text in table.preamble.iter().chain(asides.map(|p| &p.text)) {
            legend.notes.push(text.clone());
            legend.read(text);
        }
        legend
    }

    fn read(&mut self, text: &str) {
        for sentence in text.split([';', '\n', '|']).flat_map(|s| s.split(". ")) {
            let equals = sentence.matches('=').count();
            let parts: Vec<&str> =
                if equals == 1 { vec![sentence] } else { sentence.split([',', '/']).collect() };
            for part in parts {
                self.part(part);
            }
        }
    }

    /// One explanation.
    fn part(&mut self, part: &str) {
        let part = part.trim().trim_end_matches('.');
        if let Some((word, meaning)) = part.split_once('=') {
            // "Teeth: p = present": what stands before the colon is the heading of the list.
            let word = word.rsplit(':').next().unwrap_or(word);
            let key = phrase::cell(word);
            if key.is_empty() || key.split(' ').count() > LONGEST_CLASS {
                return;
            }
            if let Some((class, age)) = age_at_the_end(meaning) {
                // "1 = Juv (under 8 mo)": the number and the word stand for one class.
                if !class.is_empty() {
                    self.ages.entry(phrase::words(&class)).or_insert(age);
                }
                self.ages.insert(key, age);
            } else if !meaning.trim().is_empty() {
                self.meanings.insert(key, meaning.trim().to_string());
            }
            return;
        }
        for sign in [" - ", " – ", ": "] {
            if let Some((word, meaning)) = part.split_once(sign)
                && word.split_whitespace().count() <= LONGEST_CLASS
                && let Some((class, age)) = age_at_the_end(meaning)
            {
                // "Classes: weaner 2-6 months": the word is the heading of the list.
                let class = if class.is_empty() { word.to_string() } else { class };
                self.class(&class, age);
                return;
            }
        }
        let part = part.rsplit(':').next().unwrap_or(part);
        let words: Vec<&str> = part.split_whitespace().collect();
        // "X not looked at": a short sign and what it says.
        if let [sign, meaning @ ..] = &words[..]
            && sign.chars().count() <= 3
            && let meaning = meaning.join(" ")
            && (vocabulary::says(&meaning).is_some() || verdict::not_done(&meaning))
        {
            self.meanings.entry(phrase::cell(sign)).or_insert(meaning);
            return;
        }
        for class in 1..=LONGEST_CLASS.min(words.len().saturating_sub(1)) {
            let span = words[class..].join(" ").replace(['(', ')'], " ");
            let is_class = words[..class].iter().all(|w| w.chars().all(|c| c.is_alphabetic() || c == '-'));
            if is_class && let Some(age) = written_age(&span, None) {
                self.class(&words[..class].join(" "), age);
                return;
            }
        }
    }
}

impl Legend {
    /// Keeps a class as it is written; "W weaner" explains the capitals before it as well. The word alone is
    /// left: "sub adult" is no adult.
    fn class(&mut self, class: &str, age: WrittenAge) {
        self.ages.entry(phrase::cell(class)).or_insert(age);
        self.ages.entry(phrase::words(class)).or_insert(age);
        if let Some((code, _)) = class.split_once(' ')
            && code.chars().count() <= 3
            && code.chars().all(char::is_uppercase)
        {
            self.ages.entry(phrase::cell(code)).or_insert(age);
        }
    }
}

/// The age that a meaning ends with, such as `weaner, 2-6 months`, and the words before it; nothing else in
/// it may be a number.
fn age_at_the_end(meaning: &str) -> Option<(String, WrittenAge)> {
    let meaning = meaning.replace(['(', ')'], " ");
    if let Some(age) = written_age(&meaning, None) {
        return Some((String::new(), age));
    }
    let words: Vec<&str> = meaning.split_whitespace().collect();
    (1..words.len()).find_map(|start| {
        let before = words[..start].join(" ");
        let plain = !before.chars().any(|c| c.is_ascii_digit());
        let age = written_age(&words[start..].join(" "), None).filter(|_| plain)?;
        Some((before, age))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Legend {
        Legend::of(&Table { preamble: vec![text.to_string()], ..Table::default() })
    }

    #[test]
    fn ages_and_words_of_a_legend() {
        let legend = of("leitão = 0 a 6 meses; adulto = mais de 18 meses; s/l = sem lesões");
        assert_eq!(legend.ages["leitao"].max_months, Some(6.0));
        assert_eq!((legend.ages["adulto"].min_months, legend.ages["adulto"].max_months), (18.0, None));
        assert_eq!(legend.meanings["s/l"], "sem lesões");
        let legend = of("Ages from the jaw: weaner 2-6 mo, juvenile 6-12 mo, adult 24 mo and over");
        assert_eq!(legend.ages["weaner"].max_months, Some(6.0));
        assert_eq!(legend.ages["adult"].max_months, None);
        let legend = of("Dents : lait = moins de 5 mois ; M1 en éruption = 5-6 mois");
        assert_eq!(legend.ages["lait"].max_months, Some(5.0));
        assert_eq!(legend.ages["m1 en eruption"].min_months, 5.0);
        assert_eq!(of("wnr = weaner, 2-6 months").ages["wnr"].max_months, Some(6.0));
    }

    #[test]
    fn capitals_before_a_class_stand_for_it() {
        let legend = of("Age class: W weaner <6 mo, SA sub-adult 12-24 mo, A adult >24 mo");
        assert_eq!(legend.ages["w"].max_months, Some(6.0));
        assert_eq!(legend.ages["sa"].min_months, 12.0);
        assert_eq!((legend.ages["a"].min_months, legend.ages["a"].max_months), (24.0, None));
        // "sub adult" does not say how old an adult is.
        let legend = of("sub adult 12-24 mo, adult 24 mo and over");
        assert_eq!(legend.ages["adult"].max_months, None);
    }

    #[test]
    fn a_note_without_a_span_explains_no_age() {
        assert!(of("Heads examined 2019; 12 hunters took part").ages.is_empty());
    }
}
