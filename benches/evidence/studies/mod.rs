//! Studies that put the answers to the test, in shares that run apart and are merged after.
//!
//! `scripts/evidence` runs them through `benches/evidence/main.rs`; raw tables lie under `fixtures/evidence`,
//! the reading of them in the guide's evidence page.

pub mod calibration;
pub mod measures;
pub mod misspecification;
pub mod page;
pub mod paired;
pub mod plain_practice;
pub mod priors;
pub mod proper_scores;
pub mod shard;
pub mod study_areas;
pub mod tables;
pub mod uniformity;
pub mod verdicts;
