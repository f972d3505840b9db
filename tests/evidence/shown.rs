//! Tables of the evidence page are those of the studies.

use super::tiny::fixture;
use crate::studies::page as evidence_page;

/// Nobody has typed a figure into a table of the page: each is what the merge of its study wrote.
#[test]
fn tables_of_the_page_are_those_of_the_studies() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide/evidence.md");
    let text = std::fs::read_to_string(path).unwrap();
    let shown = evidence_page::tables(&text).unwrap();
    let names: Vec<&str> = shown.iter().map(|t| t.name).collect();
    let every = [
        "calibration-quantities",
        "calibration-events",
        "calibration-runs",
        "verdicts",
        "wrong-headlines",
        "wrong-areas",
        "plain-practice",
        "priors",
        "fresh-priors",
        "again-priors",
    ];
    assert_eq!(names, every);
    for table in shown {
        let written = std::fs::read_to_string(fixture(&format!("{}.md", table.name))).unwrap();
        assert!(written.lines().filter(|l| !l.is_empty()).count() >= 1, "{}", table.name);
        assert_eq!(table.text.trim(), written.trim(), "{}: run scripts/evidence FOLDER --merge", table.name);
    }
}
