//! Where things are: grid cells and periods, polygons on the grid, coordinate systems, and the layout of one
//! study.

pub(crate) mod area_shares;
pub(crate) mod coordinates;
pub(crate) mod grid;
pub(crate) mod habitat;
pub(crate) mod layout;
