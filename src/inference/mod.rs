//! TODO inference.

pub mod posterior;
pub mod warm_start;
