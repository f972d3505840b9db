//! All integration tests, in one binary.

mod ageing;
mod bad_input;
mod blocks;
mod cli;
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
