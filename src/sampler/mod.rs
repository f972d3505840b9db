//! TODO sampler.

pub(crate) mod adaptation;
pub(crate) mod diagnostics;
pub(crate) mod hmc;
pub(crate) mod low_rank_metric;
pub(crate) mod mode;
pub(crate) mod phase_point;
