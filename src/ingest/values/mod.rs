//! TODO values.

pub mod age;
pub mod angle;
pub mod date;
pub mod dentition;
pub mod inspection;
pub mod number;
pub mod position;
