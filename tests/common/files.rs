//! Where the files of this repository lie.

use std::path::{Path, PathBuf};

/// The top of the repository.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file or folder below `fixtures`.
pub fn fixtures(name: impl AsRef<Path>) -> PathBuf {
    root().join("fixtures").join(name)
}
