//! Why a `dentition` cell cannot be read, and what to write instead.

/// Why a `dentition` cell cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadingError {
    /// A word that is not known.
    #[error("holds \"{word}\", which is no tooth, state or jaw known here")]
    Word {
        /// The word.
        word: String,
    },
    /// A small letter that may stand for either tooth.
    #[error(
        "holds \"{word}\" without a state: a small letter may stand for the milk tooth or the permanent one"
    )]
    SmallLetter {
        /// As written.
        word: String,
    },
    /// More than one state between two semicolons.
    #[error("gives two states, \"{first}\" and \"{second}\", in one statement")]
    TwoStates {
        /// First state.
        first: String,
        /// Second state.
        second: String,
    },
    /// A tooth that has no milk tooth before it.
    #[error("names a milk {tooth}, and {tooth} has none")]
    NoMilkTooth {
        /// The tooth.
        tooth: String,
    },
    /// The letter of a class, or the canine.
    #[error("is \"C\", which may be the class or the canine")]
    ClassOrCanine,
    /// A letter the table does not have.
    #[error("names class \"{letter}\", which the table of eruption does not have")]
    NoSuchClass {
        /// The letter.
        letter: String,
    },
    /// A wear class that is none.
    #[error("names wear without a class from 1 to 4")]
    Wear,
    /// It names no tooth.
    #[error("names no tooth")]
    Nothing,
}

impl ReadingError {
    /// What to write instead.
    pub fn suggested_correction(&self) -> String {
        match self {
            ReadingError::Word { .. } => {
                "write such as \"M1 M2 through; lower I2 milk; M3 absent\", or \"class D\"".into()
            }
            ReadingError::SmallLetter { word } => {
                let tooth = word.to_uppercase();
                format!("write \"{tooth} through\" or \"{tooth} milk\"")
            }
            ReadingError::TwoStates { .. } => {
                "put a ; between the two, such as \"M1 through; I2 milk\"".into()
            }
            ReadingError::NoMilkTooth { tooth } => format!("write \"{tooth} absent\" if it is not through"),
            ReadingError::ClassOrCanine => "write \"class C\", or \"C through\" for the canine".into(),
            ReadingError::NoSuchClass { .. } => "write a class of the table, or the teeth".into(),
            ReadingError::Wear => "write \"wear 1\" to \"wear 4\"".into(),
            ReadingError::Nothing => {
                "write which teeth are through, such as \"M1 M2 through; I2 milk\"".into()
            }
        }
    }
}

/// Characters of a quoted word.
pub(crate) const WORD_CHARS: usize = 30;

pub(crate) fn cut(word: &str) -> String {
    word.chars().take(WORD_CHARS).collect()
}
