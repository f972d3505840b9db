//! TODO sentences.

pub(crate) mod decisions;
pub(crate) mod freedom;
pub(crate) mod pig;
pub(crate) mod trust;
pub(crate) mod words;
