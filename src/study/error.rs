//! Why a study file cannot be used.

/// Why a study file cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// The file cannot be read.
    #[error("{path}: cannot be read: {reason}; check the path and its permissions")]
    Unreadable {
        /// File asked for.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// Not UTF-8.
    #[error("{path}: is not UTF-8 text, which a study file must be; save it as UTF-8")]
    NotText {
        /// File read.
        path: String,
    },
    /// Not TOML, an unknown key, or a value of the wrong kind.
    #[error("{path}: {message}")]
    Malformed {
        /// File read.
        path: String,
        /// Parser's message, with line and key.
        message: String,
    },
    /// A key under the name it had in an earlier version.
    #[error("{path}: {key} is called {now}; write {now} instead, with the same value")]
    Renamed {
        /// File read.
        path: String,
        /// Table and key as written.
        key: String,
        /// Table and key to write.
        now: String,
    },
    /// A value outside what is possible.
    #[error("{path}: {key} = {value} is not possible; {allowed}")]
    OutOfRange {
        /// File read.
        path: String,
        /// Table and key.
        key: String,
        /// Value given.
        value: String,
        /// What is allowed.
        allowed: String,
    },
}
