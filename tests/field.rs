//! The officer's first mile on the command line: one jaw, the forms, stock of the records, what is published.
//!
//! Figures of ages are those of `tests/ageing.rs`; what the forms do in a browser is checked by
//! `scripts/browser-test`. Counts below five are masked by common practice, no source.

mod ages;
mod calls;
mod forms;
mod published;
mod stock;
