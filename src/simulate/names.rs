//! Invented names: no place, people or brand of this world is meant by any of them.

/// Names of movement-control areas.
pub(crate) const AREAS: [&str; 6] =
    ["Hessocombe", "Oddermarl", "Tarnaveil", "Quendrop", "Vasselby Rim", "Ullermoss"];

/// Stems of block names.
const STEMS: [&str; 20] = [
    "Vellisk",
    "Orrowen",
    "Tamsile",
    "Quorrach",
    "Hadderil",
    "Pellowick",
    "Nimsker",
    "Jorrable",
    "Gressaday",
    "Wintlesey",
    "Karrowisp",
    "Dunnorel",
    "Fosselby",
    "Mirrendule",
    "Skellowad",
    "Thrapsel",
    "Yarrowfin",
    "Zeddermar",
    "Ebberlax",
    "Cobbliss",
];

/// Landforms that follow a stem.
const FORMS: [&str; 6] = ["Tops", "Basin", "Faces", "Spur", "Flats", "Gullies"];

/// Name of block `i`; distinct for the first 120.
pub(crate) fn block(i: usize) -> String {
    format!("{} {}", STEMS[i % STEMS.len()], FORMS[(i % STEMS.len() + i / STEMS.len()) % FORMS.len()])
}

/// Name of area `i`; distinct for all.
pub(crate) fn area(i: usize) -> String {
    match i / AREAS.len() {
        0 => AREAS[i].to_string(),
        round => format!("{} {}", AREAS[i % AREAS.len()], round + 1),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn names_are_distinct() {
        let mut all: Vec<String> = (0..120).map(super::block).chain((0..30).map(super::area)).collect();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), 150);
    }
}
