//! All integration tests, in one binary.

mod ageing;
mod bad_input;
mod blocks;
mod cli;
mod common;
mod contract;
mod documents;
mod evidence;
mod field;
mod fit;
mod ingest;
mod oracle;
mod page;
mod pipeline;
mod reference;
mod relations;
mod simulate;
#[allow(dead_code, reason = "the tests use some of each study")]
#[path = "../benches/evidence/studies/mod.rs"]
mod studies;
