//! What is said of a file as a whole.

use crate::ingest::findings::{Finding, Severity};

/// Column names or properties of a file that name nothing of ours, in one note.
pub(crate) fn unused(file: &str, present: &[String], ours: &[&str]) -> Option<Finding> {
    let known = |h: &String| {
        ours.iter().any(|o| crate::ingest::columns::plain(o) == crate::ingest::columns::plain(h))
    };
    let unused: Vec<&str> =
        present.iter().filter(|h| !h.is_empty() && !known(h)).map(String::as_str).collect();
    (!unused.is_empty()).then(|| {
        crate::ingest::findings::Place { file, row: None }.whole(
            Severity::Note,
            "columns-not-used",
            format!("{} column(s) are not used: {}", unused.len(), unused.join(", ")),
            format!("if one of them is meant, give it the name of one of {}", ours.join(", ")),
        )
    })
}

/// A file of areas or operations with nothing in it.
pub(crate) fn holds_none(file: &str, what: &str) -> Finding {
    crate::ingest::findings::Place { file, row: None }.whole(
        Severity::Warning,
        "file-holds-none",
        format!("holds no {what}"),
        "save it again with them, or take it out of the study file",
    )
}
