//! TODO sampler.

pub mod adaptation;
pub mod diagnostics;
pub mod hmc;
pub mod low_rank_metric;
pub mod mode;
pub mod phase_point;
