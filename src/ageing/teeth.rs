//! Teeth, and what is said of one.

use serde::{Deserialize, Serialize};

/// Which jaw a tooth stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Jaw {
    /// The upper jaw.
    Upper,
    /// The lower jaw.
    Lower,
}

/// How far a tooth has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToothState {
    /// Not through the gum, or its milk tooth still stands.
    Absent,
    /// Part through.
    Part,
    /// Through.
    Through,
}

/// One thing a jaw shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Claim {
    /// Tooth, `milk set`, or the beginning of a wear class.
    pub tooth: String,
    /// Its jaw, when named.
    pub jaw: Option<Jaw>,
    /// How far it has come.
    pub state: ToothState,
}

impl std::fmt::Display for Claim {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let state = match self.state {
            ToothState::Absent => "not through",
            ToothState::Part => "part through",
            ToothState::Through => "through",
        };
        if let Some(class) = self.tooth.strip_prefix("wear ") {
            return match self.state {
                ToothState::Through => write!(f, "wear is of class {class} or more"),
                _ => write!(f, "wear is under class {class}"),
            };
        }
        match self.jaw {
            Some(Jaw::Upper) => write!(f, "upper {} is {state}", self.tooth),
            Some(Jaw::Lower) => write!(f, "lower {} is {state}", self.tooth),
            None if self.tooth == MILK_SET && self.state == ToothState::Through => {
                write!(f, "milk set is complete")
            }
            None if self.tooth == MILK_SET => write!(f, "milk set is not complete"),
            None => write!(f, "{} is {state}", self.tooth),
        }
    }
}

/// Event of the milk set being complete.
pub(crate) const MILK_SET: &str = "milk set";

/// Wear classes 2, 3 and 4 begin with these events; class 1 is a complete set before the first.
pub(crate) const WEAR: [&str; 3] = ["wear 2", "wear 3", "wear 4"];

/// Names of the permanent teeth.
pub(crate) const TEETH: [&str; 11] = ["I1", "I2", "I3", "C", "P1", "P2", "P3", "P4", "M1", "M2", "M3"];
