//! A file that was read, with its fingerprint.

/// A file that was read, for the manifest.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct InputFile {
    /// Path as given in the study file.
    pub path: String,
    /// What it holds: `study`, `pigs`, `zones`, `blocks`, `cover`, `operations`, `ageing`.
    pub role: &'static str,
    /// Length, bytes.
    pub bytes: u64,
    /// SHA-256 of the bytes, hexadecimal.
    pub sha256: String,
    /// Rows or features read, where the file has them.
    pub rows: Option<usize>,
}
