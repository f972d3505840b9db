//! How what is written can depart from what is declared.

/// What is about to be written is not what is declared: a fault of the program, not of the study.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ContractError {
    /// A file is declared and not made, or made and not declared.
    #[error("{file}: {fault}; this is a fault of the program, not of the study")]
    File {
        /// File.
        file: String,
        /// What is wrong.
        fault: String,
    },
    /// A column departs from its declaration.
    #[error("{file}, column \"{column}\": {fault}; this is a fault of the program, not of the study")]
    Column {
        /// File.
        file: String,
        /// Column.
        column: String,
        /// What is wrong.
        fault: String,
    },
}

impl ContractError {
    pub(crate) fn file(file: &str, fault: impl Into<String>) -> ContractError {
        ContractError::File { file: file.into(), fault: fault.into() }
    }
    pub(crate) fn column(file: &str, column: &str, fault: impl Into<String>) -> ContractError {
        ContractError::Column { file: file.into(), column: column.into(), fault: fault.into() }
    }
}
