//! The officer's forms: one record on one printed page, and a page for a telephone that works offline.
//!
//! Both are single files that fetch nothing and send nothing. The telephone's form keeps its entries on the
//! device and exports a CSV that `check` takes as it is; the names of its columns are those of
//! [`crate::ingest::columns`].

pub(crate) mod drawings;

use crate::ageing::schedule::{Bounds, Schedule, bounds};
use crate::ageing::statements::Dentition;
use minijinja::{Environment, Value, context};

/// Why a form cannot be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub(crate) enum FormError {
    /// A template is broken: a fault of the program, not of what was asked.
    #[error("the form cannot be made from its template: {0}")]
    Template(#[from] minijinja::Error),
}

/// What is printed at the head of a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct FormHeading {
    /// Title, such as the name of the place.
    pub title: String,
    /// First letters of the specimen numbers that the telephone's form counts up.
    pub prefix: String,
}

/// The form to print: one record, one A4 page.
///
/// # Errors
/// [`FormError::Template`].
pub(crate) fn record_sheet(heading: &FormHeading) -> Result<String, FormError> {
    render(heading, "record.html", include_str!("style/record.css"), "")
}

/// The form for a telephone.
///
/// # Errors
/// [`FormError::Template`].
pub(crate) fn field_form(heading: &FormHeading) -> Result<String, FormError> {
    let script = include_str!("script/field.js");
    render(heading, "field.html", include_str!("style/field.css"), script)
}

fn render(heading: &FormHeading, name: &str, style: &str, script: &str) -> Result<String, FormError> {
    let mut env = Environment::new();
    env.add_template("record.html", include_str!("template/record.html"))?;
    env.add_template("field.html", include_str!("template/field.html"))?;
    env.add_template("cautions.html", include_str!("template/cautions.html"))?;
    let safe = |text: &str| Value::from_safe_string(text.to_string());
    let table = Schedule::built_in();
    let classes: Vec<Value> = table
        .classes
        .keys()
        .map(|letter| {
            context! {
                letter => letter, picture => safe(&drawings::jaw(table, letter)),
                words => words(letter), months => months(table, letter),
            }
        })
        .collect();
    let wear: Vec<Value> =
        WEAR.iter().map(|(class, words)| context! { class => *class, words => *words }).collect();
    let page = context! {
        title => heading.title.clone(), prefix => heading.prefix.clone(),
        version => env!("CARGO_PKG_VERSION"),
        style => safe(style), script => safe(script), classes => classes, wear => wear,
        head => safe(drawings::HEAD), legend => safe(&drawings::legend()),
    };
    Ok(env.get_template(name)?.render(page)?)
}

/// Wear classes in words, from memory.
const WEAR: [(u8, &str); 4] = [
    (1, "last molar unworn, or only its first cusps"),
    (2, "last molar worn in front; dentine of the first molar joined"),
    (3, "first molar flat, last molar worn all over"),
    (4, "first molar hollowed or down to its roots, second flat"),
];

/// What to look for in a class of the table that comes along.
fn words(letter: &str) -> &'static str {
    match letter {
        "A" => "milk teeth only",
        "B" => "first molar through",
        "C" => "tusk and outer incisor replaced; no second molar",
        "D" => "second molar through; premolars still milk",
        "E" => "premolars replaced; lower second incisor still milk",
        "F" => "lower second incisor replaced; no third molar",
        "G" => "lower third molar coming through",
        "H" => "all through, above and below",
        _ => "",
    }
}

/// The ages a class allows, in words.
fn months(table: &Schedule, letter: &str) -> String {
    let claims =
        table.classes.get(letter).and_then(|t| Dentition::read(t, table).ok()).unwrap_or_default().claims;
    let all: Vec<Bounds> = claims.iter().filter_map(|c| bounds(table, c)).collect();
    let low = all.iter().filter_map(|b| b.0).reduce(f64::max);
    let high = all.iter().filter_map(|b| b.1).reduce(f64::min);
    match (low, high) {
        (Some(a), Some(b)) => format!("{a} to {b} months"),
        (None, Some(b)) => format!("up to {b} months"),
        (Some(a), None) => format!("{a} months or more"),
        (None, None) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hostile_title_shows_as_text_and_nothing_is_fetched() {
        let heading =
            FormHeading { title: "<script>alert(1)</script>".into(), prefix: "\"><img src=x>".into() };
        for page in [record_sheet(&heading).unwrap(), field_form(&heading).unwrap()] {
            assert!(!page.contains("<script>alert") && !page.contains("<img src=x"));
            assert!(page.contains("&lt;script&gt;alert"));
            for word in [
                "http:",
                "https:",
                "src=\"",
                "@import",
                "fetch(",
                "XMLHttpRequest",
                "sendBeacon",
                "WebSocket",
            ] {
                assert!(!page.contains(word), "{word}");
            }
        }
    }

    #[test]
    fn every_class_has_a_picture_words_and_ages() {
        let table = Schedule::built_in();
        assert_eq!(table.classes.len(), 8);
        for letter in table.classes.keys() {
            assert!(!words(letter).is_empty() && months(table, letter).contains("months"), "{letter}");
            assert!(drawings::jaw(table, letter).contains("<svg"));
        }
        assert_eq!(months(table, "D"), "10 to 18 months");
    }
}
