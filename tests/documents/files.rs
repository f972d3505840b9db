//! The files of the repository, and source as the compiler sees it.

use std::path::Path;

pub fn is_source(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "rs")
}

/// Source without comments, string contents and unit tests, which stand at a file's end.
pub fn code(text: &str) -> String {
    let text = text.split("\n#[cfg(test)]\nmod tests {").next().unwrap();
    let (mut out, bytes) = (String::new(), text.as_bytes());
    let mut i = 0;
    while i < bytes.len() {
        let rest = &text[i..];
        if rest.starts_with("//") {
            i += rest.find('\n').unwrap_or(rest.len());
        } else if rest.starts_with("/*") {
            i += rest.find("*/").map_or(rest.len(), |e| e + 2);
        } else if let Some(hashes) = raw_string(rest) {
            let close = format!("\"{}", "#".repeat(hashes));
            let start = i + hashes + 2;
            i = start + text[start..].find(&close).expect("a raw string ends") + close.len();
            out.push_str("\"\"");
        } else if bytes[i] == b'"' {
            i += 1;
            while bytes[i] != b'"' {
                i += if bytes[i] == b'\\' { 2 } else { 1 };
            }
            i += 1;
            out.push_str("\"\"");
        } else if rest.starts_with("'\"'") || rest.starts_with("'\\\"'") || rest.starts_with("'/'") {
            // A quote as a character opens nothing.
            i += rest[1..].find('\'').unwrap() + 2;
        } else {
            let c = rest.chars().next().unwrap();
            out.push(c);
            i += c.len_utf8();
        }
    }
    out
}

/// Number of `#` of a raw string that starts here.
fn raw_string(rest: &str) -> Option<usize> {
    let after = rest.strip_prefix('r')?;
    let hashes = after.len() - after.trim_start_matches('#').len();
    after[hashes..].starts_with('"').then_some(hashes)
}

/// Lines of all fenced blocks of a document.
pub fn fenced(text: &str) -> Vec<Vec<String>> {
    let mut blocks = Vec::new();
    let mut open: Option<Vec<String>> = None;
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            match open.take() {
                Some(block) => blocks.push(block),
                None => open = Some(Vec::new()),
            }
        } else if let Some(block) = &mut open {
            block.push(line.to_string());
        }
    }
    assert!(open.is_none(), "a fenced block is not closed");
    blocks
}
