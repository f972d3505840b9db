//! pignut
#![allow(missing_docs)]
pub mod analysis;
pub mod areas;
pub mod assess;
pub mod cli;
pub mod grid;
pub mod ingest;
pub mod kernel;
pub mod num;
pub mod projection;
pub mod record;
pub mod report;
pub mod simulate;
pub mod study;
