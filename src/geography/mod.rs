//! TODO geography.

pub mod area_shares;
pub mod coordinates;
pub mod grid;
pub mod habitat;
pub mod layout;
