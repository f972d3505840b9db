//! TODO values.

pub(crate) mod age;
pub(crate) mod angle;
pub(crate) mod date;
pub(crate) mod dentition;
pub(crate) mod inspection;
pub(crate) mod number;
pub(crate) mod position;
