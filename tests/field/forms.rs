//! The forms.

use super::calls::said;
use crate::common::program::run as pignut;
use std::fs;

#[test]
fn forms_writes_two_pages_and_leaves_foreign_files_alone() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("forms");
    let folder = out.to_str().unwrap();
    for _ in 0..2 {
        let ended = pignut(&["forms", "--out", folder, "--title", "Tern & Gull", "--prefix", "KT"]);
        assert_eq!(ended.status.code(), Some(0), "{}", said(&ended));
    }
    for name in ["record-sheet.html", "field-form.html"] {
        let page = fs::read_to_string(out.join(name)).unwrap();
        assert!(page.contains("Tern &amp; Gull") && page.len() < 200_000);
        assert!(page.contains("two bags") && page.contains("cold"), "{name} says how to keep a sample");
    }
    fs::write(out.join("field-form.html"), "mine").unwrap();
    let ended = pignut(&["forms", "--out", folder]);
    assert_eq!(ended.status.code(), Some(2));
    assert_eq!(fs::read_to_string(out.join("field-form.html")).unwrap(), "mine");
    let ended = pignut(&["forms", "--out", folder, "--prefix", " "]);
    assert!(ended.status.code() == Some(2) && said(&ended).contains("--prefix"));
}
