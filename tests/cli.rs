//! The command line as a user meets it: exit codes, messages, what is written and what is left alone.
//!
//! Exit codes, the prefix of messages and the behaviour towards pipes and folders are the project's
//! own contract; `NO_COLOR` is that of no-color.org, `CLICOLOR_FORCE` that of bixense.com/clicolors.
//!
//! The help texts are compared with `fixtures/cli/*-help.txt`. After a wanted change, write them anew:
//!
//! ```text
//! PIGNUT_REFRESH=1 cargo test --release --test main cli
//! ```

mod calls;
mod exit_codes;
mod files;
mod help;
mod planning;
mod terminal;
mod typed_ages;
mod your_records;
