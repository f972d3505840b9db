//! All integration tests, in one binary.

mod bad_input;
mod blocks;
mod cli;
mod documents;
mod ingest;
mod oracle;
mod page;
mod pipeline;
mod reference;
mod relations;
mod simulate;
