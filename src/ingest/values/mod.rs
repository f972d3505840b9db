//! One file for each kind of value that a cell of a record holds.

pub(crate) mod age;
pub(crate) mod angle;
pub(crate) mod date;
pub(crate) mod date_pieces;
pub(crate) mod date_setting;
pub(crate) mod dentition;
pub(crate) mod inspection;
pub(crate) mod length;
pub(crate) mod number;
pub(crate) mod position;
pub(crate) mod written_age;
pub(crate) mod written_date;
pub(crate) mod written_season;
