//! What the documents and the source say of the project, held against the project.
//!
//! The rules are the project's own: the map of modules and the arrows between them stand in
//! `DEVELOPERS.md`, the commands in `README.md`. The version is that of `Cargo.toml`, written as
//! semver.org 2.0.0 asks.

mod files;
mod readme;
mod scripts;
mod source;
mod structure;
