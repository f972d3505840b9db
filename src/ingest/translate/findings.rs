//! What was found in a head: cells of nodes, of lesions and of the laboratory, in the words of sheets.

use crate::ingest::memory::{self, Answers};
use crate::ingest::phrase;
use crate::ingest::translate::node_list;
use crate::ingest::translate::verdict::{not_done, says_nothing, verdict};
use crate::ingest::vocabulary::{self, Says};
use crate::records::{LabMethod, LabResult};

/// What a cell of one node says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NodeSays {
    Lesion,
    NoLesion,
    Examined,
    NotExamined,
    /// The side or sides that were examined, as bits.
    Sides(u8),
    /// The side or sides that were examined, and whether a lesion was seen there.
    SidesFound(u8, bool),
    /// Yes, no: of the lesion or of the examination, as the column has it.
    Yes,
    No,
}

/// Words for yes and no in six languages, and ticks.
const YES: [&str; 14] = ["yes", "y", "true", "t", "si", "s", "oui", "o", "ja", "j", "sim", "x", "✓", "✔"];
const NO: [&str; 8] = ["no", "n", "false", "f", "non", "nein", "nao", "✗"];
/// Words for a node that was opened.
#[rustfmt::skip]
const EXAMINED: [&str; 14] = [
    "examined", "inspected", "opened", "cut", "checked", "done", "seen", "examinado", "examine",
    "untersucht", "esaminato", "visto", "inspeccionado", "inspecionado",
];

/// Yes or no in six languages.
pub(crate) fn yes_no(text: &str) -> Option<bool> {
    let cell = phrase::cell(text);
    let cell = cell.trim_end_matches('.');
    if YES.contains(&cell) {
        return Some(true);
    }
    NO.contains(&cell).then_some(false)
}

/// Reads the cell of a node; `signed`: a `-` is no lesion, because a `+` stands in such cells too.
pub(crate) fn node_cell(text: &str, signed: bool) -> Option<NodeSays> {
    thread_local! {
        static SIGNED: Answers<Option<NodeSays>> = Answers::default();
        static PLAIN: Answers<Option<NodeSays>> = Answers::default();
    }
    memory::answer(if signed { &SIGNED } else { &PLAIN }, text, |text| node_says(text, signed))
}

fn node_says(text: &str, signed: bool) -> Option<NodeSays> {
    let cell = phrase::cell(text);
    if cell == "-" {
        return Some(if signed { NodeSays::NoLesion } else { NodeSays::NotExamined });
    }
    if vocabulary::is_blank_word(&cell) {
        return Some(NodeSays::NotExamined);
    }
    // "✓ L": a tick with the side it stands for.
    let unticked = cell.trim_start_matches(['✓', '✔', '√', 'x']).trim();
    if let Some(side) = vocabulary::side(&phrase::words(unticked)) {
        return Some(NodeSays::Sides(node_list::bits(Some(side))));
    }
    if let Some(yes) = yes_no(&cell) {
        return Some(if yes { NodeSays::Yes } else { NodeSays::No });
    }
    if EXAMINED.contains(&cell.as_str()) {
        return Some(NodeSays::Examined);
    }
    if cell.starts_with('+') && cell.chars().all(|c| c == '+') {
        return Some(NodeSays::Lesion);
    }
    // A lone question mark is a blank; beside a word it is a doubt that only the keeper can settle.
    if cell.contains('?') {
        return None;
    }
    // Lesion scores are small whole numbers; 0 is none.
    if let Ok(score) = cell.parse::<u8>() {
        return (score < 10).then_some(if score == 0 { NodeSays::NoLesion } else { NodeSays::Lesion });
    }
    // "B NVL", "L lesion": a letter for the side before the finding. Longer words may begin a phrase: "sin".
    if let Some((side @ ("b" | "l" | "r"), found)) = cell.split_once(' ')
        && lesion(text).is_none()
        && let Some(says @ (NodeSays::Lesion | NodeSays::NoLesion)) = node_says(found, signed)
    {
        let bits = node_list::bits(vocabulary::side(side));
        return Some(NodeSays::SidesFound(bits, says == NodeSays::Lesion));
    }
    match lesion(text)? {
        Says::LesionYes => Some(NodeSays::Lesion),
        Says::LesionNo => Some(NodeSays::NoLesion),
        _ => Some(NodeSays::NotExamined),
    }
}

/// What a text says of lesions: [`Says::LesionYes`], [`Says::LesionNo`] or [`Says::NotInspected`].
pub(crate) fn lesion(text: &str) -> Option<Says> {
    let of_lesions = |says: Says| match says {
        Says::Positive => Some(Says::LesionYes),
        Says::Negative => Some(Says::LesionNo),
        Says::LesionYes | Says::LesionNo | Says::NotInspected => Some(says),
        Says::NotTested => Some(Says::NotInspected),
        _ => None,
    };
    if let Some(says) = vocabulary::says(text) {
        return of_lesions(says);
    }
    if not_done(text) {
        return Some(Says::NotInspected);
    }
    let cell = phrase::cell(text);
    if !cell.is_empty() && cell.chars().all(|c| c == '+') {
        return Some(Says::LesionYes);
    }
    // "lesion gr. 3 mandibular left": a known phrase, and after it only where and how large.
    let words = phrase::words(text);
    let words: Vec<&str> = words.split(' ').collect();
    for length in (1..words.len()).rev() {
        let phrase = words[..length].join(" ");
        // A letter or two may begin another abbreviation.
        let Some(says) = vocabulary::says(&phrase).filter(|_| phrase.len() > 2).and_then(of_lesions) else {
            continue;
        };
        let rest = &words[length..];
        // "NVL; lung TB" takes back what it says: beside none only places in the head may stand.
        let in_head = |w: &&str| vocabulary::side(w).is_some() || vocabulary::gland(w).is_some();
        let fits = match says {
            Says::LesionYes => rest.iter().all(|w| places_or_sizes(w)),
            _ => rest.iter().all(in_head),
        };
        return fits.then_some(says);
    }
    None
}

/// As [`lesion`], with a remark after the word: `NVL. Old wound on the ear`, `yes (parotid left)`.
pub(crate) fn lesion_and_remark(text: &str) -> Option<Says> {
    thread_local! { static KEPT: Answers<Option<Says>> = Answers::default(); }
    memory::answer(&KEPT, text, lesion_before_remark)
}

fn lesion_before_remark(text: &str) -> Option<Says> {
    if text.contains('?') {
        return None;
    }
    let yes = |t: &str| yes_no(t).map(|y| if y { Says::LesionYes } else { Says::LesionNo });
    let read = |t: &str| yes(t).or_else(|| lesion(t));
    if let Some(says) = read(text) {
        return Some(says);
    }
    let end = text.find(['.', ',', ';', '(', ':']).or_else(|| text.find(" - "))?;
    let (first, rest) = text.split_at(end);
    let says = read(first.trim())?;
    // The remark must not take back what was said.
    let words = phrase::words(rest);
    let contrary = |w: &str| match vocabulary::says(w) {
        Some(Says::LesionYes | Says::Positive) => says == Says::LesionNo,
        Some(Says::LesionNo | Says::Negative | Says::NotInspected) => says == Says::LesionYes,
        _ => matches!(w, "not" | "but" | "except" | "lesion" | "suspect" | "tb"),
    };
    (!words.split(' ').any(contrary)).then_some(says)
}

/// Whether a word tells where a lesion was or how large.
fn places_or_sizes(word: &str) -> bool {
    #[rustfmt::skip]
    const SIZES: [&str; 26] = [
        "gr", "grade", "grad", "grado", "grau", "score", "small", "large", "one", "several", "multiple",
        "mm", "cm", "size", "pequena", "grande", "petite", "gross", "klein", "piccola", "both", "single",
        "typical", "pus", "caseous", "calcified",
    ];
    word.chars().all(|c| c.is_ascii_digit())
        || SIZES.contains(&word)
        || vocabulary::side(word).is_some()
        || vocabulary::node_filler(word)
        || vocabulary::gland(word).is_some()
        || vocabulary::other_gland(word)
}

/// An answer of the laboratory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LabAnswer {
    /// `None`: not tested.
    pub result: Option<LabResult>,
    pub method: Option<LabMethod>,
}

/// What a word says as an answer of the laboratory.
fn answer(says: Says) -> Option<Option<LabResult>> {
    Some(match says {
        Says::Positive => Some(LabResult::Positive),
        Says::Negative | Says::OtherMycobacterium => Some(LabResult::Negative),
        Says::Pending | Says::Inconclusive => Some(LabResult::Pending),
        Says::NotTested | Says::NotInspected => None,
        Says::LesionYes | Says::LesionNo => return None,
    })
}

/// Reads a cell of the laboratory, with a method where it names one: `PCR+`, `culture neg`, `M. bovis +`.
pub(crate) fn lab(text: &str, signed: bool) -> Option<LabAnswer> {
    let cell = phrase::cell(text);
    if let Some(says) = sign(&cell, signed) {
        return Some(LabAnswer { result: answer(says)?, method: None });
    }
    // A method in the cell first: "PCR-" is a word for a negative as well.
    // Signs are words of their own: "pcr+" is "pcr +".
    let spaced = cell.replace('+', " + ").replace(['(', ')', ':', ',', '='], " ");
    let spaced = match spaced.trim().strip_suffix('-') {
        Some(before) => format!("{before} -"),
        None => spaced,
    };
    let words: Vec<&str> = spaced.split_whitespace().collect();
    for length in (1..words.len()).rev() {
        let at_start = (&words[..length], &words[length..]);
        let at_end = (&words[words.len() - length..], &words[..words.len() - length]);
        for (method, rest) in [at_start, at_end] {
            let Some(method) = vocabulary::method(&method.join(" ")) else { continue };
            let rest = rest.join(" ");
            let says = sign(&rest, true).or_else(|| vocabulary::says(&rest)).or_else(|| verdict(&rest));
            if let Some(result) = says.and_then(answer) {
                return Some(LabAnswer { result, method: Some(method) });
            }
        }
    }
    // The method may stand between: "inconclusive, culture overgrown".
    let between = (1..words.len().saturating_sub(1)).find_map(|at| {
        let method = vocabulary::method(words[at])?;
        let rest = format!("{} {}", words[..at].join(" "), words[at + 1..].join(" "));
        Some((method, verdict(&rest)?))
    });
    if let Some((method, says)) = between {
        return Some(LabAnswer { result: answer(says)?, method: Some(method) });
    }
    let says = vocabulary::says(&cell).or_else(|| verdict(&cell))?;
    Some(LabAnswer { result: answer(says)?, method: None })
}

/// Reads a cell with one answer or several: `PCR neg / culture pos`, `PCR neg; then culture pending`.
pub(crate) fn labs(text: &str, signed: bool) -> Option<Vec<LabAnswer>> {
    thread_local! {
        static SIGNED: Answers<Option<Vec<LabAnswer>>> = Answers::default();
        static PLAIN: Answers<Option<Vec<LabAnswer>>> = Answers::default();
    }
    memory::answer(if signed { &SIGNED } else { &PLAIN }, text, |text| answers(text, signed))
}

fn answers(text: &str, signed: bool) -> Option<Vec<LabAnswer>> {
    // "positive?" is neither.
    if text.contains('?') {
        return None;
    }
    let mut cell = phrase::cell(text);
    for link in [" then ", " puis ", " luego ", " danach ", " poi "] {
        cell = cell.replace(link, ";");
    }
    let several = |signs: &[&str]| -> Option<Vec<LabAnswer>> {
        let mut parts = vec![cell.as_str()];
        for sign in signs {
            parts = parts.into_iter().flat_map(|p| p.split(sign)).collect();
        }
        let says = |p: &&str| *p == "-" || !(vocabulary::is_blank_word(p) || says_nothing(p));
        let parts: Vec<&str> = parts.into_iter().map(str::trim).filter(says).collect();
        let read: Option<Vec<LabAnswer>> = parts.iter().map(|p| lab(p, signed)).collect();
        read.filter(|r| !r.is_empty())
    };
    // "M. bovis, negative" is one answer: the name alone would be a positive.
    if cell.contains("bovis")
        && let Some(one) = lab(text, signed)
    {
        return Some(vec![one]);
    }
    // The finest parting that can be read as a whole: "PCR + / culture pending" is two answers.
    several(&[";", " / ", ", "])
        .or_else(|| several(&[";", " / "]))
        .or_else(|| lab(text, signed).map(|one| vec![one]))
        .or_else(|| several(&[";", "/", ","]))
}

/// A plus or a minus.
fn sign(cell: &str, signed: bool) -> Option<Says> {
    match cell.replace(' ', "").as_str() {
        "+" | "++" | "+++" | "(+)" | "+ve" | "pos+" => Some(Says::Positive),
        "-" | "-ve" | "neg-" if signed => Some(Says::Negative),
        "-ve" => Some(Says::Negative),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use LabMethod::{Culture, Histology, Pcr};
    use LabResult::{Negative, Pending, Positive};

    #[test]
    fn answers_of_laboratories() {
        for (text, result, method) in [
            ("PCR+", Some(Positive), Some(Pcr)),
            ("PCR-", Some(Negative), Some(Pcr)),
            ("pos culture", Some(Positive), Some(Culture)),
            ("culture neg", Some(Negative), Some(Culture)),
            ("culture pend", Some(Pending), Some(Culture)),
            ("cultura -", Some(Negative), Some(Culture)),
            ("cultura +", Some(Positive), Some(Culture)),
            ("culture inconclusive", Some(Pending), Some(Culture)),
            ("Positive - culture", Some(Positive), Some(Culture)),
            ("histo neg", Some(Negative), Some(Histology)),
            ("M. bovis +", Some(Positive), None),
            ("MAC", Some(Negative), None),
            ("neg.", Some(Negative), None),
            ("no concluyente", Some(Pending), None),
            ("négatif", Some(Negative), None),
            ("douteux", Some(Pending), None),
            ("fraglich", Some(Pending), None),
            ("pend", Some(Pending), None),
            ("not tested", None, None),
        ] {
            let read = lab(text, false).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((read.result, read.method), (result, method), "{text}");
        }
        for text in ["?x", "12", "lesion", "purple"] {
            assert_eq!(lab(text, false), None, "{text}");
        }
    }

    #[test]
    fn cells_of_nodes() {
        use NodeSays::{Lesion, NoLesion, NotExamined, Yes};
        for (text, signed, says) in [
            ("NVL", false, NoLesion),
            ("-", false, NotExamined),
            ("-", true, NoLesion),
            ("+", true, Lesion),
            ("0", false, NoLesion),
            ("2", false, Lesion),
            ("o.B.", false, NoLesion),
            ("n.u.", false, NotExamined),
            ("verändert", false, Lesion),
            ("s/l", false, NoLesion),
            ("sem lesões", false, NoLesion),
            ("RAS", false, NoLesion),
            ("n/e", false, NotExamined),
            ("n.e.", false, NotExamined),
            ("NA", false, NotExamined),
            ("x", false, Yes),
        ] {
            assert_eq!(node_cell(text, signed), Some(says), "{text}");
        }
        assert_eq!(node_cell("purple", false), None);
        assert_eq!(node_cell("B NVL", false), Some(NodeSays::SidesFound(3, false)));
        assert_eq!(node_cell("sin lesiones", false), Some(NoLesion));
        assert_eq!(lesion("lesión gr. 3 mandibular izq."), Some(Says::LesionYes));
        assert_eq!(lesion("lesion of the foot, old wound"), None);
    }
}
