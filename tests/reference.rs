//! The kernel against values that come from outside this project (fixtures/reference).

mod catalytic;
mod censored;
mod convergence;
mod current_status;
mod defaults;
mod flat;
mod freedom;
mod imperfect_test;
mod reader;
mod shapes;

use reader::{Case, read};

/// All cases of one file of fixtures/reference.
fn cases(file: &str) -> Vec<Case> {
    let path = format!("{}/fixtures/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    read(&text).unwrap_or_else(|e| panic!("{file}: {e}"))
}

/// Every file that lies there is read by one of the tests.
#[test]
fn no_file_of_references_lies_unused() {
    let folder = format!("{}/fixtures/reference", env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .expect("fixtures/reference is part of the repository")
        .map(|e| e.expect("a readable entry").file_name().to_string_lossy().into_owned())
        .filter(|n| n.ends_with(".ref"))
        .collect();
    found.sort();
    let used = [
        "catalytic.ref",
        "censored.ref",
        "convergence.ref",
        "current-status.ref",
        "freedom-epir.ref",
        "freedom.ref",
        "imperfect-test.ref",
        "lifelines.ref",
        "normal.ref",
        "priors.ref",
        "ranges.ref",
        "sentinels.ref",
        "survival.ref",
    ];
    assert_eq!(found, used);
}
