//! What a `dentition` cell says, tooth by tooth.
//!
//! Statements are separated by `;`. A statement names teeth and, if it likes, one jaw and one state:
//!
//! | words | meaning |
//! | --- | --- |
//! | `I1` to `I3`, `C`, `P1` to `P4`, `M1` to `M3`; `P2-P4` | permanent teeth |
//! | `through`, `in`, `present`, `permanent`, `erupted`, `replaced`, or none | permanent tooth through |
//! | `erupting`, `part`, `cutting` | part through |
//! | `absent`, `no`, `not through`, `unerupted` | not through |
//! | `milk`, `deciduous`; `di2`, `dp4`, `dc` | the milk tooth stands: the permanent one is not through |
//! | `broken`, `lost`, `missing`, `unseen` | nothing is known of it |
//! | `upper`, `lower`; `upper:` or `lower:` until the next | which jaw |
//! | `lower only`, `upper jaw missing` | the jaw of every statement that names none |
//! | `complete`; `milk incomplete` | all permanent teeth through; milk teeth still coming |
//! | `wear 1` to `wear 4` | wear, once the set is complete |
//! | `class D` (or `A`, `B`, `D` to `H` alone) | a class of the table |
//!
//! A small letter without a state (`i2`) is refused: it may stand for either tooth.

use crate::ageing::faults::ReadingError;
use crate::ageing::teeth::{Claim, Jaw, MILK_SET, TEETH, ToothState, WEAR};
use serde::Serialize;

/// What a jaw shows.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Dentition {
    /// Everything it says, in the order written, nothing twice.
    pub claims: Vec<Claim>,
}

/// What the jaw named for all the rest does to a claim that names none.
#[derive(Clone, Copy)]
enum Unnamed {
    /// It is of that jaw; without one, of either.
    Either,
    /// It is of that jaw; without one, of both.
    Both,
    /// It is of no jaw.
    Neither,
}

/// A word of a statement.
enum Word {
    Teeth(Vec<&'static str>),
    ToothState(ToothState),
    Milk,
    Not,
    Unknown,
    Jaw(Jaw),
    Only,
    Complete,
    Incomplete,
    Filler,
}

impl Dentition {
    /// Reads statements about teeth, without classes.
    pub(crate) fn read_teeth(text: &str) -> Result<Dentition, ReadingError> {
        let mut default = None;
        let mut sticky = None;
        let mut found: Vec<(Claim, Unnamed)> = Vec::new();
        let mut said_something = false;
        for statement in text.split([';', '\n']).map(str::trim).filter(|s| !s.is_empty()) {
            let s = Statement::read(statement)?;
            said_something |=
                !s.teeth.is_empty() || s.complete || s.incomplete || s.unknown || s.wear.is_some();
            if s.teeth.is_empty() && !s.complete && !s.incomplete && s.wear.is_none() {
                match s.jaw {
                    Some(jaw) if s.only => default = Some(jaw),
                    Some(Jaw::Upper) if s.unknown => default = Some(Jaw::Lower),
                    Some(Jaw::Lower) if s.unknown => default = Some(Jaw::Upper),
                    Some(jaw) if s.column_name => sticky = Some(jaw),
                    _ => {}
                }
                continue;
            }
            if s.column_name {
                sticky = s.jaw;
            } else if s.only && s.jaw.is_some() {
                default = s.jaw;
            }
            s.claims(s.jaw.or(sticky), &mut found);
        }
        if !said_something && default.is_none() {
            return Err(ReadingError::Nothing);
        }
        // A jaw named for all the rest holds for what stands before it too.
        let mut claims = Vec::new();
        for (claim, unnamed) in found {
            let jaws = match (claim.jaw, unnamed, default) {
                (None, Unnamed::Either | Unnamed::Both, Some(jaw)) => vec![Some(jaw)],
                (None, Unnamed::Both, None) => vec![Some(Jaw::Upper), Some(Jaw::Lower)],
                (jaw, ..) => vec![jaw],
            };
            claims.extend(jaws.into_iter().map(|jaw| Claim { jaw, ..claim.clone() }));
        }
        Ok(Dentition { claims })
    }
}

/// What stands between two semicolons.
#[derive(Default)]
struct Statement {
    teeth: Vec<&'static str>,
    state: Option<ToothState>,
    unknown: bool,
    jaw: Option<Jaw>,
    column_name: bool,
    only: bool,
    complete: bool,
    incomplete: bool,
    wear: Option<usize>,
}

impl Statement {
    fn read(text: &str) -> Result<Statement, ReadingError> {
        let mut s = Statement::default();
        let (mut milk, mut not) = (false, false);
        let mut state_word: Option<String> = None;
        let mut small = None;
        let spaced = text.replace(':', " : ").replace([',', '&', '(', ')', '+'], " ");
        let words: Vec<&str> = spaced.split_whitespace().map(|w| w.trim_end_matches('.')).collect();
        let mut i = 0;
        while i < words.len() {
            let word = words[i];
            i += 1;
            if word == ":" {
                s.column_name = s.jaw.is_some();
                continue;
            }
            let lower = word.to_lowercase();
            if lower == "wear" || lower == "worn" {
                // `wear 2`, `wear class 2`.
                i += usize::from(words.get(i).is_some_and(|w| w.eq_ignore_ascii_case("class")));
                let class =
                    words.get(i).and_then(|w| w.parse::<usize>().ok()).filter(|c| (1..=4).contains(c));
                s.wear = Some(class.ok_or(ReadingError::Wear)?);
                i += 1;
                continue;
            }
            let mut set = |state: ToothState, as_written: &str| match (&state_word, s.state) {
                (Some(first), Some(before)) if before != state => Err(ReadingError::TwoStates {
                    first: first.clone(),
                    second: crate::ageing::faults::cut(as_written),
                }),
                _ => {
                    state_word.get_or_insert_with(|| as_written.to_string());
                    s.state = Some(state);
                    Ok(())
                }
            };
            match classify(&lower) {
                Some(Word::Teeth(teeth)) => {
                    if lower.starts_with('d') {
                        milk = true;
                        set(ToothState::Absent, word)?;
                    } else if word.starts_with(|c: char| c.is_lowercase()) {
                        small = Some(word.to_string());
                    }
                    s.teeth.extend(teeth);
                }
                // "not through" is one state.
                Some(Word::ToothState(ToothState::Through)) if not => {}
                Some(Word::ToothState(state)) => set(state, word)?,
                Some(Word::Milk) => {
                    milk = true;
                    set(ToothState::Absent, word)?;
                }
                Some(Word::Not) => {
                    not = true;
                    set(ToothState::Absent, word)?;
                }
                Some(Word::Unknown) => s.unknown = true,
                Some(Word::Jaw(jaw)) => s.jaw = Some(jaw),
                Some(Word::Only) => s.only = true,
                Some(Word::Complete) => s.complete = true,
                Some(Word::Incomplete) => s.incomplete = true,
                Some(Word::Filler) => {}
                None => return Err(ReadingError::Word { word: crate::ageing::faults::cut(word) }),
            }
        }
        if let Some(word) = small
            && s.state.is_none()
            && !s.unknown
        {
            return Err(ReadingError::SmallLetter { word: crate::ageing::faults::cut(&word) });
        }
        if milk {
            // First premolars and molars have no forerunner.
            if let Some(tooth) = s.teeth.iter().find(|t| t.starts_with('M') || **t == "P1") {
                return Err(ReadingError::NoMilkTooth { tooth: (*tooth).into() });
            }
            // "milk set complete" and "milk incomplete" speak of the milk set, not of the permanent one.
            s.incomplete |= s.complete && not;
            if s.complete && !not {
                s.complete = false;
                s.teeth.push(MILK_SET);
                s.state = Some(ToothState::Through);
            }
        }
        Ok(s)
    }

    /// Adds what the statement claims.
    fn claims(&self, jaw: Option<Jaw>, out: &mut Vec<(Claim, Unnamed)>) {
        let mut claim = |tooth: &str, jaw: Option<Jaw>, state: ToothState, unnamed: Unnamed| {
            out.push((Claim { tooth: tooth.into(), jaw, state }, unnamed));
        };
        if !self.unknown {
            for tooth in &self.teeth {
                let state = self.state.unwrap_or(ToothState::Through);
                if *tooth == MILK_SET {
                    claim(tooth, None, state, Unnamed::Neither);
                } else {
                    claim(tooth, jaw, state, Unnamed::Either);
                }
            }
        }
        if self.complete {
            // In whichever jaw was seen; without one named, in both.
            claim("M3", jaw, ToothState::Through, Unnamed::Both);
        }
        if self.incomplete {
            claim(MILK_SET, None, ToothState::Absent, Unnamed::Neither);
        }
        if let Some(class) = self.wear {
            // Wear is told once the lower third molar is through.
            claim("M3", Some(Jaw::Lower), ToothState::Through, Unnamed::Neither);
            if class >= 2 {
                claim(WEAR[class - 2], None, ToothState::Through, Unnamed::Neither);
            }
            if class <= 3 {
                claim(WEAR[class - 1], None, ToothState::Absent, Unnamed::Neither);
            }
        }
    }
}

fn classify(word: &str) -> Option<Word> {
    if let Some(teeth) = teeth(word) {
        return Some(Word::Teeth(teeth));
    }
    Some(match word {
        "through" | "in" | "present" | "permanent" | "erupted" | "replaced" | "up" => {
            Word::ToothState(ToothState::Through)
        }
        "erupting" | "part" | "partly" | "cutting" | "coming" | "emerging" => {
            Word::ToothState(ToothState::Part)
        }
        "absent" | "unerupted" | "no" | "not" | "none" => Word::Not,
        "milk" | "deciduous" | "baby" => Word::Milk,
        "broken" | "lost" | "missing" | "unknown" | "unseen" | "damaged" | "?" => Word::Unknown,
        "upper" | "maxilla" | "top" => Word::Jaw(Jaw::Upper),
        "lower" | "mandible" | "bottom" => Word::Jaw(Jaw::Lower),
        "only" => Word::Only,
        "complete" | "full" => Word::Complete,
        "incomplete" => Word::Incomplete,
        "jaw" | "jaws" | "set" | "teeth" | "tooth" | "and" | "is" | "are" | "still" | "yet" | "left"
        | "right" | "both" | "all" | "the" => Word::Filler,
        _ => return None,
    })
}

/// `m1`, `dp4`, `c`, `p2-p4`, `p2-4` as names of permanent teeth.
fn teeth(word: &str) -> Option<Vec<&'static str>> {
    let word = word.strip_prefix('d').unwrap_or(word).replace(['–', '—'], "-");
    let one = |name: &str| TEETH.iter().position(|t| t.eq_ignore_ascii_case(name));
    match word.split_once('-') {
        None => one(&word).map(|i| vec![TEETH[i]]),
        Some((from, to)) => {
            let to = if to.starts_with(|c: char| c.is_ascii_digit()) {
                format!("{}{to}", from.get(..1)?)
            } else {
                to.into()
            };
            let (a, b) = (one(from)?, one(&to)?);
            (a < b && TEETH[a][..1] == TEETH[b][..1]).then(|| TEETH[a..=b].to_vec())
        }
    }
}
