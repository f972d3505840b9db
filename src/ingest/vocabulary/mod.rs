//! The words of record sheets in six languages, looked up in their normal form.
//!
//! Lists hold phrases as [`crate::ingest::phrase`] writes them. They are common practice; no source lists
//! them. A word that stands for two things in one list is taken by the first entry.

mod diseases;
mod headers;
mod headers_animal;
mod headers_findings;
mod headers_other;
mod headers_when;
mod headers_where;
mod months;
mod nodes;
mod results;
mod systems;
mod units;
mod words;

use crate::ingest::memory::{Answers, answer};
use crate::ingest::phrase;
use crate::records::{LabMethod, NodePair, Sex};
use std::collections::HashMap;
use std::sync::LazyLock;

pub(crate) use diseases::{of_an_analysis, of_another_disease};
pub(crate) use headers::{Field, HEADERS};
pub(crate) use months::{MONTHS, SEASONS, Season};
pub(crate) use results::Says;
pub(crate) use systems::{grid_named, zoned};
pub(crate) use units::{EITHER, HARMLESS, Quantity, UNITS};
pub(crate) use words::{NOTES, TOTALS};

type Lookup<T> = LazyLock<HashMap<&'static str, T>>;

fn index<T: Copy>(lists: impl IntoIterator<Item = (T, &'static [&'static str])>) -> HashMap<&'static str, T> {
    let mut map = HashMap::new();
    for (meaning, phrases) in lists {
        for phrase in phrases {
            map.entry(*phrase).or_insert(meaning);
        }
    }
    map
}

/// A field with the place of the phrase in its list: the lower, the surer.
static FIELDS: Lookup<(Field, usize)> = LazyLock::new(|| {
    let mut map = HashMap::new();
    for (field, phrases) in HEADERS {
        for (rank, phrase) in phrases.iter().enumerate() {
            let entry = map.entry(*phrase).or_insert((*field, rank));
            if rank < entry.1 {
                *entry = (*field, rank);
            }
        }
    }
    map
});
static RESULT_WORDS: Lookup<Says> = LazyLock::new(|| index(results::RESULTS.iter().copied()));
static METHOD_WORDS: Lookup<LabMethod> = LazyLock::new(|| index(words::METHODS.iter().copied()));
static GLAND_WORDS: Lookup<NodePair> = LazyLock::new(|| index(nodes::GLANDS.iter().copied()));
static OTHER_GLANDS: Lookup<()> = LazyLock::new(|| index([((), nodes::OTHER_GLANDS)]));
static NODE_FILLERS: Lookup<()> = LazyLock::new(|| index([((), nodes::FILLERS)]));
static BLANK_WORDS: Lookup<()> = LazyLock::new(|| index([((), words::BLANKS)]));
static SIDE_WORDS: Lookup<Side> = LazyLock::new(|| {
    index([(Side::Both, nodes::BOTH), (Side::Left, nodes::LEFT), (Side::Right, nodes::RIGHT)])
});
static SEX_WORDS: Lookup<Sex> = LazyLock::new(|| {
    index([(Sex::Female, words::FEMALE), (Sex::Male, words::MALE), (Sex::Unknown, words::SEX_UNKNOWN)])
});
static SPECIES_WORDS: Lookup<bool> =
    LazyLock::new(|| index([(true, words::PIGS), (false, words::OTHER_SPECIES)]));
static STATUS_WORDS: Lookup<bool> = LazyLock::new(|| index([(false, words::VOID), (true, words::VALID)]));

/// A side of the head.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Side {
    Left,
    Right,
    Both,
}

/// Looks a cell up as it is written, in words only, and without the points of abbreviations.
fn look<T: Copy>(map: &HashMap<&'static str, T>, text: &str) -> Option<T> {
    let cell = phrase::cell(text);
    let found = map.get(cell.as_str()).or_else(|| map.get(phrase::words(&cell).as_str()));
    let dotted = || cell.contains('.').then(|| map.get(cell.replace(['.', ' '], "").as_str())).flatten();
    found.or_else(dotted).copied()
}

/// The field that a phrase names as a column name, and its place in the field's list.
pub(crate) fn field(phrase: &str) -> Option<(Field, usize)> {
    FIELDS.get(phrase).copied()
}

/// Words of column names that may stand in any order or be left out.
#[rustfmt::skip]
const STOPS: [&str; 26] = [
    "of", "the", "de", "del", "la", "le", "el", "los", "las", "du", "des", "der", "die", "das", "di",
    "da", "do", "dos", "l", "d", "in", "en", "im", "at", "by", "for",
];

/// The words of a phrase in the order of the alphabet, without those that tie others.
fn bag(phrase: &str) -> String {
    let mut words: Vec<&str> = phrase.split(' ').filter(|w| !STOPS.contains(w)).collect();
    words.sort_unstable();
    words.join(" ")
}

/// Phrases of two words or more, whatever their order.
static BAGS: LazyLock<HashMap<String, (Field, usize)>> = LazyLock::new(|| {
    let mut map: HashMap<String, (Field, usize)> = HashMap::new();
    for (phrase, (field, rank)) in FIELDS.iter().filter(|(p, _)| p.contains(' ')) {
        let entry = map.entry(bag(phrase)).or_insert((*field, *rank));
        if (*rank, *field) < (entry.1, entry.0) {
            *entry = (*field, *rank);
        }
    }
    map
});

/// The field that a phrase names with its words in another order.
pub(crate) fn field_in_any_order(phrase: &str) -> Option<(Field, usize)> {
    phrase.contains(' ').then(|| BAGS.get(&bag(phrase)).copied()).flatten()
}

/// Words that name a field in whatever company, but for words that make it another thing.
const TELLING: &[(Field, &[&str])] = &[
    (Field::Date, &["date", "fecha", "data"]),
    (Field::Latitude, &["latitude", "lat", "latitud", "latitudine", "breite", "breitengrad"]),
    (
        Field::Longitude,
        &["longitude", "long", "lon", "lng", "longitud", "longitudine", "lange", "langengrad"],
    ),
    (Field::Easting, &["easting", "eastings", "ostwert", "rechtswert"]),
    (Field::Northing, &["northing", "northings", "nordwert", "hochwert"]),
    (Field::Sex, &["sex", "sexe", "sexo", "geschlecht", "sesso"]),
    (Field::Age, &["age", "edad", "alter", "idade", "eta"]),
    (Field::Species, &["species", "especie", "espece", "wildart", "tierart", "specie"]),
    (Field::Culture, &["culture", "cultivo", "kultur", "coltura", "cultura", "cult"]),
    (Field::Pcr, &["pcr", "qpcr"]),
    (Field::Histology, &["histology", "histologia", "histologie", "istologia", "histo", "histopathology"]),
    (
        Field::Result,
        &[
            "result",
            "results",
            "resultado",
            "resultados",
            "resultat",
            "ergebnis",
            "esito",
            "befund",
            "finding",
            "findings",
            "outcome",
            "risultato",
        ],
    ),
    (
        Field::Lesion,
        &[
            "lesion", "lesions", "lesiones", "lesao", "lesoes", "lasion", "lasionen", "lesione", "lesioni",
            "nvl",
        ],
    ),
];

/// Words that make another thing of a telling word: a culture date, the place of a lesion.
#[rustfmt::skip]
const ANOTHER_THING: [&str; 62] = [
    "birth", "received", "receipt", "reported", "report", "test", "tested", "testing", "results", "sent",
    "entered", "entry", "exam", "examined", "laboratorio", "labor", "laboratoire", "release", "released",
    "eingang", "recepcion", "reception", "base", "source", "entrada", "no", "nr", "number", "numero",
    "id", "code", "ref", "site", "location", "where", "place", "photo", "size", "type", "comment",
    "comments", "notes", "note", "lab", "name", "by", "degrees", "deg", "min", "sec", "minutes",
    "seconds", "grad", "grados", "grade", "count", "n", "sample", "weight", "class", "method", "zone",
];

/// The field that one word of a phrase tells, when no other word makes it another thing.
pub(crate) fn field_by_a_word(phrase: &str) -> Option<Field> {
    let words: Vec<&str> = phrase.split(' ').collect();
    if words.len() < 2 || words.iter().any(|w| ANOTHER_THING.contains(w)) {
        return None;
    }
    let told: Vec<Field> =
        TELLING.iter().filter(|(_, list)| words.iter().any(|w| list.contains(w))).map(|(f, _)| *f).collect();
    match told[..] {
        [one] => Some(one),
        // "culture result" is the answer of the culture; the date of a result is none of a kill.
        [one, Field::Result] | [Field::Result, one] if one != Field::Date => Some(one),
        _ => None,
    }
}

/// Every phrase that names a field.
pub(crate) fn field_phrases() -> impl Iterator<Item = (&'static str, Field)> {
    FIELDS.iter().map(|(phrase, (field, _))| (*phrase, *field))
}

/// What a word of a result cell says.
pub(crate) fn says(text: &str) -> Option<Says> {
    look(&RESULT_WORDS, text)
}

/// The laboratory method a text names.
pub(crate) fn method(text: &str) -> Option<LabMethod> {
    look(&METHOD_WORDS, text)
}

/// The method of a cell that holds nothing else, one among other words: `MTC qPCR`, `Histopath (ZN)`.
pub(crate) fn method_among(text: &str) -> Option<LabMethod> {
    let words = phrase::words(text);
    let mut found: Vec<LabMethod> = words.split(' ').filter_map(|w| METHOD_WORDS.get(w).copied()).collect();
    found.dedup();
    match found[..] {
        [one] => method(text).or(Some(one)),
        _ => method(text),
    }
}

/// The node pair of the head that a phrase names.
pub(crate) fn gland(phrase: &str) -> Option<NodePair> {
    GLAND_WORDS.get(phrase).copied()
}

/// Whether a phrase names a node outside the three pairs of the head.
pub(crate) fn other_gland(phrase: &str) -> bool {
    OTHER_GLANDS.contains_key(phrase)
}

/// Whether a word says nothing beside the name of a node.
pub(crate) fn node_filler(word: &str) -> bool {
    NODE_FILLERS.contains_key(word)
}

/// The side that a phrase names.
pub(crate) fn side(phrase: &str) -> Option<Side> {
    SIDE_WORDS.get(phrase).copied()
}

/// The sex a text names.
pub(crate) fn sex(text: &str) -> Option<Sex> {
    look(&SEX_WORDS, text)
}

/// Whether a text names a pig (true) or another animal (false).
pub(crate) fn is_pig(text: &str) -> Option<bool> {
    look(&SPECIES_WORDS, text)
}

/// Whether a text says that the row stands (true) or was withdrawn (false).
pub(crate) fn stands(text: &str) -> Option<bool> {
    look(&STATUS_WORDS, text)
}

/// Whether a cell says that nothing is known.
pub(crate) fn is_blank_word(text: &str) -> bool {
    let text = text.trim();
    // A number is no blank, and most cells are numbers.
    if text.parse::<f64>().is_ok_and(f64::is_finite) {
        return false;
    }
    thread_local! { static KEPT: Answers<bool> = Answers::default(); }
    answer(&KEPT, text, blank)
}

fn blank(text: &str) -> bool {
    // A sign alone is looked up as it is; in words only it would be nothing.
    if text.is_empty() || text.chars().all(|c| !c.is_alphanumeric()) {
        return text.is_empty() || BLANK_WORDS.contains_key(phrase::cell(text).as_str());
    }
    look(&BLANK_WORDS, text).is_some()
}
