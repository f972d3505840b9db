//! TODO geography.

pub(crate) mod area_shares;
pub(crate) mod coordinates;
pub(crate) mod grid;
pub(crate) mod habitat;
pub(crate) mod layout;
