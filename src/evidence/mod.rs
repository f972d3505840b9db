//! Studies that put the answers to the test, in shares that run apart and are merged after.
//!
//! `scripts/evidence` runs them through `benches/evidence.rs`; raw tables lie under `fixtures/evidence`, the
//! reading of them in the guide's evidence page.

pub mod calibration;
pub mod districts;
pub mod measures;
pub mod page;
pub mod paired;
pub mod plain;
pub mod priors;
pub mod shard;
pub mod tables;
pub mod wrong;
