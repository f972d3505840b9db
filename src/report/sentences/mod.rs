//! TODO sentences.

pub mod decisions;
pub mod freedom;
pub mod pig;
pub mod trust;
pub mod words;
