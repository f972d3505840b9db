//! Our own simple drawings: half a lower jaw with its teeth, and a head with its node pairs.

use crate::ageing::schedule::Schedule;
use crate::ageing::statements::Dentition;
use crate::ageing::teeth::{Jaw, ToothState};
use std::fmt::Write;

/// Teeth of half a lower jaw from the front, with their width in drawing units.
const TEETH: [(&str, f64); 11] = [
    ("I1", 11.0),
    ("I2", 11.0),
    ("I3", 9.0),
    ("C", 13.0),
    ("P1", 9.0),
    ("P2", 14.0),
    ("P3", 16.0),
    ("P4", 17.0),
    ("M1", 22.0),
    ("M2", 26.0),
    ("M3", 34.0),
];
/// Height of the gum, drawing units from the top.
const GUM: f64 = 34.0;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Drawn {
    Below,
    Milk,
    Part,
    Through,
}

/// The lower jaw of a class, seen from the side.
pub(crate) fn jaw(table: &Schedule, letter: &str) -> String {
    let drawn = teeth(table, letter);
    let width: f64 = TEETH.iter().map(|t| t.1 + 2.0).sum::<f64>() + 8.0;
    let mut body = String::new();
    let _ = write!(
        body,
        "<path class=\"bone\" d=\"M4 {GUM}H{0}V{1}Q{0} {2} {3} {2}H30Q8 {2} 4 {4}Z\"/>",
        width - 4.0,
        GUM + 10.0,
        GUM + 22.0,
        width - 24.0,
        GUM + 12.0
    );
    let mut x = 6.0;
    let mut said = Vec::new();
    for ((name, w), state) in TEETH.iter().zip(&drawn) {
        tooth(&mut body, name, x, *w, *state);
        let word = match state {
            Drawn::Below => "not there",
            Drawn::Milk => "milk",
            Drawn::Part => "coming through",
            Drawn::Through => "through",
        };
        said.push(format!("{name} {word}"));
        x += w + 2.0;
    }
    format!(
        "<svg class=\"jaw\" viewBox=\"0 0 {width} 72\" role=\"img\" \
         aria-label=\"Half a lower jaw, front on the left: {}\">{body}</svg>",
        said.join(", ")
    )
}

fn tooth(body: &mut String, name: &str, x: f64, w: f64, state: Drawn) {
    let (class, height) = match state {
        Drawn::Below => ("", 0.0),
        Drawn::Milk => ("milk", 13.0),
        Drawn::Part => ("part", 9.0),
        Drawn::Through => ("through", 24.0),
    };
    let middle = x + 0.5 * w;
    if height > 0.0 {
        let top = GUM - height;
        // Cusps: one on a front tooth, as many as fit on a cheek tooth.
        let cusps = if name.starts_with(['I', 'C']) { 1 } else { (w / 10.0).round().max(1.0) as usize };
        let step = w / cusps as f64;
        let mut d = format!("M{x} {GUM}V{}", top + 5.0);
        for k in 0..cusps {
            let from = x + step * k as f64;
            let _ = write!(d, "Q{} {} {} {}", from + 0.5 * step, top - 4.0, from + step, top + 5.0);
        }
        let _ = write!(d, "V{GUM}Z");
        let _ = write!(body, "<path class=\"{class}\" d=\"{d}\"/>");
    }
    let mark = if state == Drawn::Below { "label faint" } else { "label" };
    let _ = write!(
        body,
        "<text class=\"{mark}\" x=\"{middle}\" y=\"{}\" text-anchor=\"middle\">{name}</text>",
        GUM + 35.0
    );
}

/// What each tooth of the lower jaw shows in a class: all that the classes up to it say.
fn teeth(table: &Schedule, letter: &str) -> Vec<Drawn> {
    let mut states: Vec<Drawn> = TEETH
        .iter()
        .map(|(name, _)| if name.starts_with('M') || *name == "P1" { Drawn::Below } else { Drawn::Milk })
        .collect();
    for (_, text) in table.classes.iter().filter(|(l, _)| l.as_str() <= letter) {
        let Ok(jaw) = Dentition::read(text, table) else { continue };
        for claim in jaw.claims.iter().filter(|c| c.jaw != Some(Jaw::Upper) && c.state != ToothState::Absent)
        {
            let drawn = if claim.state == ToothState::Part { Drawn::Part } else { Drawn::Through };
            // Teeth of one event come together.
            for event in table.events_of(&claim.tooth, Some(Jaw::Lower)) {
                for ((name, _), state) in TEETH.iter().zip(&mut states) {
                    if event.teeth.iter().any(|t| t == name) {
                        *state = drawn;
                    }
                }
            }
        }
    }
    states
}

/// What the marks of the jaw drawings mean.
pub(crate) fn legend() -> String {
    let mut body = String::new();
    for (x, state, word) in
        [(4.0, Drawn::Through, "through"), (92.0, Drawn::Part, "coming"), (174.0, Drawn::Milk, "milk tooth")]
    {
        tooth(&mut body, "", x, 16.0, state);
        let _ = write!(body, "<text class=\"label\" x=\"{}\" y=\"30\">{word}</text>", x + 21.0);
    }
    format!(
        "<svg class=\"jaw legend\" viewBox=\"0 0 270 40\" role=\"img\" \
         aria-label=\"Tall: through. Low: coming through. Dashed: milk tooth.\">{body}</svg>"
    )
}

/// A pig's head from the left with the three node pairs.
pub(crate) const HEAD: &str = include_str!("head.svg");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawings_show_what_the_classes_say() {
        let table = Schedule::built_in();
        let at = |letter: &str, tooth: &str| {
            teeth(table, letter)[TEETH.iter().position(|t| t.0 == tooth).unwrap()]
        };
        assert_eq!(at("A", "M1"), Drawn::Below);
        assert_eq!((at("B", "M1"), at("B", "C")), (Drawn::Through, Drawn::Milk));
        assert_eq!((at("D", "I1"), at("D", "I2"), at("D", "P3")), (Drawn::Through, Drawn::Milk, Drawn::Milk));
        assert_eq!((at("F", "I2"), at("F", "M3")), (Drawn::Through, Drawn::Below));
        assert_eq!((at("G", "M3"), at("H", "M3")), (Drawn::Part, Drawn::Through));
        assert!(teeth(table, "H").iter().all(|s| *s == Drawn::Through));
    }
}
