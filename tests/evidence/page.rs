//! Tables put into the evidence page.

use crate::studies::page::{filled, tables};
use crate::studies::tables::write_text;

#[test]
fn a_table_is_put_in_its_place_and_nothing_else_moves() {
    let folder = tempfile::tempdir().unwrap();
    write_text(&folder.path().join("two.md"), "| new |\n| --- |\n").unwrap();
    let page = |two: &str| {
        format!(
            "A\n\n<!-- table: one -->\n\n| a |\n\n<!-- end -->\n\nB\n\n\
             <!-- table: two -->\n{two}\n<!-- end -->\nC\n"
        )
    };
    for old in ["", "\n| old |\n| --- |\n| 1 |\n"] {
        let once = filled(&page(old), folder.path()).unwrap();
        assert_eq!(once, page("\n| new |\n| --- |\n"));
        assert_eq!(filled(&once, folder.path()).unwrap(), once);
    }
    let shown = page("\n| new |\n");
    let names: Vec<&str> = tables(&shown).unwrap().iter().map(|t| t.name).collect();
    assert_eq!(names, ["one", "two"]);
    let fault = tables("<!-- table: one -->\n| a |\n").unwrap_err();
    assert_eq!(fault, "table one has no end; write \"<!-- end -->\" after it");
}
