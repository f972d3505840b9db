//! What a column name says: a field, a node and its side, or a tooth.

use crate::ingest::columns::Column;
use crate::ingest::phrase;
use crate::ingest::values::length::metres_per;
use crate::ingest::values::written_age::months_per;
use crate::ingest::vocabulary::{self, Field, Side};
use crate::records::NodePair;

/// Between the names of two header rows that stand above one another.
pub(crate) const ABOVE: &str = " / ";

/// Words at the end of a column name that leave its field as it is.
#[rustfmt::skip]
const QUALIFIERS: [&str; 30] = [
    "est", "estimated", "approx", "gps", "wgs84", "y n", "dd", "decimal", "dec", "months", "code", "text",
    "nztm", "utm", "estimada", "estimado", "stimata", "geschatzt", "visible", "macro", "macroscopic",
    "tb", "btb", "bovine", "final", "total", "recorded", "field", "head", "pig",
];

/// What a column name says.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Meaning {
    /// One of our own column names.
    Ours(Column),
    /// A field, with the place of its phrase among those of the field: the lower, the surer.
    Field(Field, usize),
    /// A node pair of the head; the side where the name tells one.
    Node(NodePair, Option<Side>),
    /// A node elsewhere in the body.
    OtherNode,
    /// A tooth by its symbol, capital letters for permanent ones.
    Tooth(String),
}

/// What a column name says; `None` where it says nothing known here.
pub(crate) fn meaning(name: &str) -> Option<Meaning> {
    let name = name.trim();
    if name.is_empty() {
        return None;
    }
    if let Some(column) = Column::of_column_name(name) {
        return Some(Meaning::Ours(column));
    }
    if let Some(tooth) = tooth(name) {
        return Some(Meaning::Tooth(tooth));
    }
    if let Some((upper, lower)) = name.rsplit_once(ABOVE) {
        // The sides of a node stand below its name; other names below say more than those above.
        let alone = Some(lower).filter(|l| l.trim().chars().count() > 1);
        return node(&phrase::header(name)).or_else(|| meaning(alone?)).or_else(|| meaning(upper));
    }
    if vocabulary::of_another_disease(&phrase::header(name)) {
        return None;
    }
    // "GPS +/- m" is how far off the position may be.
    let plain = plain_name(name);
    let forms = forms(&plain);
    // The fullest spelling first: "mandibular / E" is a node on the left, though E alone is an easting.
    let exact = |f: &String| vocabulary::field(f).map(|(field, rank)| Meaning::Field(field, rank));
    if let Some(found) = forms.iter().find_map(|f| exact(f).or_else(|| node(f))) {
        return Some(found);
    }
    if let Some(field) = forms.iter().find_map(|f| grid_axis(f)) {
        return Some(Meaning::Field(field, 900));
    }
    let later = |found: Option<(Field, usize)>, by: usize| found.map(|(f, rank)| (f, rank + by));
    let (field, rank) = later(forms.iter().find_map(|f| vocabulary::field_in_any_order(f)), 1000)
        .or_else(|| later(forms.iter().find_map(|f| shortened(f)), 2000))
        .or_else(|| forms.iter().find_map(|f| vocabulary::field_by_a_word(f)).map(|f| (f, 3000)))?;
    Some(Meaning::Field(field, rank))
}

/// A name with the words for its signs: an error, a number.
pub(crate) fn plain_name(name: &str) -> String {
    name.replace("+/-", " error ").replace("+-", " error ").replace('±', " error ").replace('#', " no ")
}

/// The field that a name names but for one slip of the hand; both have at least seven letters.
pub(crate) fn nearly(name: &str) -> Option<(Field, &'static str)> {
    let wanted = phrase::header(name);
    if wanted.chars().count() < 7 {
        return None;
    }
    let near = |known: &str| known.chars().count() >= 7 && strsim::damerau_levenshtein(known, &wanted) == 1;
    let mut all: Vec<(Field, &'static str)> =
        vocabulary::field_phrases().filter(|(p, _)| near(p)).map(|(p, f)| (f, p)).collect();
    all.sort_unstable();
    let first = *all.first()?;
    all.iter().all(|(f, _)| *f == first.0).then_some(first)
}

/// The spellings under which a name is looked up, the fullest first.
fn forms(name: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut add = |text: &str| {
        let words = phrase::header(text);
        // The ordinal sign of "N.º" is left out by the normal form; lists hold both spellings.
        let numbered = words.strip_prefix("n ").map(|rest| format!("no {rest}"));
        let alone = (words == "n" && text.chars().count() > 1).then(|| "no".to_string());
        for form in alone.into_iter().chain([words]).chain(numbered) {
            // "Lat S deg": the hemisphere stands between the words that name the column.
            let angle = form.split(' ').any(|w| w.starts_with("lat") || w.starts_with("lon"));
            let letters = |w: &&str| !matches!(*w, "n" | "s" | "e" | "w" | "o");
            let without = angle.then(|| form.split(' ').filter(letters).collect::<Vec<_>>().join(" "));
            for form in [form].into_iter().chain(without) {
                if !form.is_empty() && !out.contains(&form) {
                    out.push(form);
                }
            }
        }
    };
    let outside = without_brackets(name);
    add(name);
    add(&outside);
    if let Some((before, _)) = outside.split_once([',', ';', ':']) {
        add(before);
    }
    out
}

/// A name without what stands in brackets.
pub(crate) fn without_brackets(name: &str) -> String {
    let mut depth = 0;
    let mut out = String::new();
    for c in name.chars() {
        match c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth -= 1,
            c if depth <= 0 => out.push(c),
            _ => {}
        }
    }
    out.trim().to_string()
}

/// The field of a name of which words at the end say a unit, a hemisphere or nothing.
fn shortened(form: &str) -> Option<(Field, usize)> {
    let mut rest: Vec<&str> = form.split(' ').collect();
    while rest.len() > 1 {
        let last = rest.pop()?;
        let drop = months_per(last).is_some()
            || metres_per(last).is_some()
            || QUALIFIERS.contains(&last)
            || matches!(last, "n" | "s" | "e" | "w" | "o" | "north" | "south" | "east" | "west");
        if !drop {
            return None;
        }
        if let Some(found) = vocabulary::field(&rest.join(" ")) {
            return Some(found);
        }
    }
    None
}

/// A node of the head with its side, or a node elsewhere, when every word of a name is accounted for.
fn node(form: &str) -> Option<Meaning> {
    let words: Vec<&str> = form.split(' ').collect();
    for length in (1..=words.len()).rev() {
        for start in 0..=words.len() - length {
            let phrase = words[start..start + length].join(" ");
            let pair = vocabulary::gland(&phrase);
            if pair.is_none() && !vocabulary::other_gland(&phrase) {
                continue;
            }
            let mut side = None;
            for word in words[..start].iter().chain(&words[start + length..]) {
                match vocabulary::side(word) {
                    Some(s) if side.is_none() => side = Some(s),
                    _ if vocabulary::node_filler(word) => {}
                    _ => return None,
                }
            }
            return Some(pair.map_or(Meaning::OtherNode, |p| Meaning::Node(p, side)));
        }
    }
    None
}

/// The axis of a grid that a letter beside the name of the grid names: `ITM X`, `Coord. Y ETRS89 H30`.
fn grid_axis(form: &str) -> Option<Field> {
    let words: Vec<&str> = form.split(' ').collect();
    let grid = |w: &&str| {
        w.starts_with("coord")
            || w.starts_with("koord")
            || w.starts_with("etrs")
            || w.starts_with("gda")
            || matches!(
                *w,
                "utm" | "itm" | "nztm" | "mga" | "grid" | "epsg" | "gk" | "lambert" | "l93" | "tm"
            )
    };
    if !words.iter().any(grid) {
        return None;
    }
    match (words.contains(&"x"), words.contains(&"y")) {
        (true, false) => Some(Field::X),
        (false, true) => Some(Field::Y),
        _ => None,
    }
}

/// A tooth's symbol, such as `M1` or the milk molar `m1`.
fn tooth(name: &str) -> Option<String> {
    let name = name.strip_prefix("tooth ").unwrap_or(name).trim();
    let mut chars = name.chars();
    let (letter, number, end) = (chars.next()?, chars.next()?, chars.next());
    let known = matches!(letter, 'I' | 'i' | 'C' | 'c' | 'P' | 'p' | 'M' | 'm' | 'd');
    (known && matches!(number, '1'..='4') && end.is_none()).then(|| name.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use NodePair::{Mandibular, Parotid, Retropharyngeal};

    #[test]
    fn names_of_six_languages_say_their_field() {
        for (name, field) in [
            ("shot (dd.mm.yy)", Field::Date),
            ("erlegt am", Field::Date),
            ("abbattuto (gg.mm.aa)", Field::Date),
            ("Day/month", Field::Date),
            ("Dia/mês", Field::Date),
            ("UTM E (zone 55 south)", Field::Easting),
            ("Ostwert", Field::Easting),
            ("X UTM", Field::Easting),
            ("Huso", Field::Zone),
            ("radius_yd", Field::Radius),
            ("gps_err_m", Field::Radius),
            ("GPS +/- m", Field::Radius),
            ("prec. m", Field::Radius),
            ("Error (m)", Field::Radius),
            ("Kill site / Lat S", Field::Latitude),
            ("Longitude (O)", Field::Longitude),
            ("Long W deg", Field::LongitudeDegrees),
            ("Lat min", Field::LatitudeMinutes),
            ("age (yrs)", Field::Age),
            ("Altersklasse", Field::AgeClass),
            ("Edad mín (meses)", Field::AgeMin),
            ("Âge (dents)", Field::Age),
            ("Geschlecht", Field::Sex),
            ("Wildart", Field::Species),
            ("Lésion macro.", Field::Lesion),
            ("Kultur", Field::Culture),
            ("Técnica", Field::LabMethod),
            ("N° bracelet", Field::Id),
            ("Precinto", Field::Id),
            ("N.º", Field::RowNumber),
            ("Lfd. Nr.", Field::RowNumber),
        ] {
            match meaning(name) {
                Some(Meaning::Field(found, _)) => assert_eq!(found, field, "{name}"),
                other => panic!("{name}: {other:?}"),
            }
        }
    }

    #[test]
    fn names_of_nodes_say_pair_and_side() {
        let (left, right, both) = (Some(Side::Left), Some(Side::Right), Some(Side::Both));
        for (name, pair, side) in [
            ("L submand", Mandibular, left),
            ("Submand. der", Mandibular, right),
            ("Submandibular / R", Mandibular, right),
            ("Submand pair", Mandibular, both),
            ("Unterkiefer-LK li", Mandibular, left),
            ("GL mand. D", Mandibular, right),
            ("Gânglio mandibular / E", Mandibular, left),
            ("parot sx", Parotid, left),
            ("pa_R", Parotid, right),
            ("Ohrspeichel-LK re", Parotid, right),
            ("RPLN", Retropharyngeal, None),
            ("rp_L", Retropharyngeal, left),
            ("LN_retroph", Retropharyngeal, None),
        ] {
            assert_eq!(meaning(name), Some(Meaning::Node(pair, side)), "{name}");
        }
        assert_eq!(meaning("Mediastinal LN"), Some(Meaning::OtherNode));
        assert_eq!(meaning("M1"), Some(Meaning::Tooth("M1".into())));
    }

    #[test]
    fn what_is_not_known_says_nothing() {
        for name in ["", "zzz", "moon phase", "helicopter hours"] {
            assert_eq!(meaning(name), None, "{name}");
        }
        assert_eq!(nearly("Geschlect").map(|n| n.0), Some(Field::Sex));
        assert_eq!(nearly("Ages"), None);
    }
}
