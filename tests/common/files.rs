//! Where the files of this repository lie.

use std::fs;
use std::path::{Path, PathBuf};

/// The top of the repository.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file or folder below `fixtures`.
pub fn fixtures(name: impl AsRef<Path>) -> PathBuf {
    root().join("fixtures").join(name)
}

/// The text of a file, by its path from the root.
pub fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Files below a folder, relative to the root, in order.
pub fn files(folder: &str) -> Vec<PathBuf> {
    let mut out = Vec::new();
    let mut entries: Vec<PathBuf> =
        fs::read_dir(root().join(folder)).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let name = format!("{folder}/{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            out.extend(files(&name));
        } else {
            out.push(name.into());
        }
    }
    out
}
