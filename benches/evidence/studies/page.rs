//! Tables of the evidence page, between marks in its text: what a merge says is put there, the words around
//! stay.
//!
//! ```text
//! <!-- table: priors -->
//!
//! | prior | … |
//!
//! <!-- end -->
//! ```

use crate::studies::tables::write_text;
use std::path::Path;

const BEFORE: &str = "<!-- table: ";
const AFTER: &str = " -->\n";
const END: &str = "\n<!-- end -->\n";

/// One table of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shown<'a> {
    /// Its name: the study's merge writes `NAME.md`.
    pub name: &'a str,
    /// What stands there.
    pub text: &'a str,
    /// Bytes before what stands there.
    from: usize,
}

/// The tables of a page, in its order.
///
/// # Errors
/// A mark without its end.
///
pub fn tables(page: &str) -> Result<Vec<Shown<'_>>, String> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(k) = page[at..].find(BEFORE) {
        let rest = &page[at + k + BEFORE.len()..];
        let (name, rest) = rest.split_once(AFTER).ok_or("a mark of a table is not closed by \" -->\"")?;
        let text = rest.split_once(END).map(|(text, _)| text);
        let text = text.ok_or_else(|| format!("table {name} has no end; write {:?} after it", END.trim()))?;
        let from = page.len() - rest.len();
        found.push(Shown { name, text, from });
        at = from + text.len();
    }
    Ok(found)
}

/// The page with the tables that a merge wrote to `folder` as `NAME.md`; others stay as they are.
///
/// # Errors
/// A mark without its end, a file that cannot be read.
pub fn filled(page: &str, folder: &Path) -> Result<String, String> {
    let (mut out, mut done) = (String::with_capacity(page.len()), 0);
    for table in tables(page)? {
        let file = folder.join(format!("{}.md", table.name));
        if file.is_file() {
            let text = std::fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
            out.push_str(&page[done..table.from]);
            out.push('\n');
            out.push_str(&text);
            done = table.from + table.text.len();
        }
    }
    out.push_str(&page[done..]);
    Ok(out)
}

/// Puts what a merge wrote to `folder` into the page at `path`.
///
/// # Errors
/// As [`filled`]; the page cannot be read or written.
pub fn fill(path: &Path, folder: &Path) -> Result<(), String> {
    let page = std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))?;
    let text = filled(&page, folder).map_err(|e| format!("{}: {e}", path.display()))?;
    write_text(path, &text)
}
