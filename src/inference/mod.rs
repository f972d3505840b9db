//! TODO inference.

pub(crate) mod posterior;
pub(crate) mod warm_start;
