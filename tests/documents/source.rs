//! What no source file may hold, and how long it may be.

use super::files::{code, is_source};
use crate::common::files::{files, read, root};
use std::fs;
use std::path::{Path, PathBuf};

/// Longest source file, lines: past this it answers a second question.
const LONGEST_FILE_LINES: usize = 450;

#[test]
fn only_the_command_line_prints() {
    let words = ["print!", "println!", "eprint!", "eprintln!", "dbg!", "io::stdout", "io::stderr"];
    let mut wrong = Vec::new();
    for file in files("src").into_iter().filter(|f| is_source(f)) {
        if file == Path::new("src/main.rs") || file.starts_with("src/cli") {
            continue;
        }
        let code = code(&read(&file.to_string_lossy()));
        wrong.extend(words.iter().filter(|w| code.contains(**w)).map(|w| format!("{}: {w}", file.display())));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(code(&read("src/main.rs")).contains("eprintln!"), "the reader does see it where it is");
}

#[test]
fn no_source_file_is_too_long_and_each_says_what_it_is() {
    let mut wrong = Vec::new();
    for file in files("src").into_iter().filter(|f| f.extension().is_none_or(|e| e != "png")) {
        let text = read(&file.to_string_lossy());
        let lines = text.lines().count();
        if is_source(&file) && lines > LONGEST_FILE_LINES {
            wrong.push(format!("{}: {lines} lines", file.display()));
        }
        if is_source(&file) && !text.starts_with("//! ") {
            wrong.push(format!("{} does not open with a sentence on what it is", file.display()));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn nothing_is_left_undone_and_no_machine_is_named() {
    // Written in two halves, so that this file does not find itself.
    let words = [
        ("TO", "DO"),
        ("FIX", "ME"),
        ("XX", "X"),
        ("todo", "!("),
        ("unimplemented", "!("),
        ("/work", "/"),
        ("/root", "/"),
        ("/home", "/"),
        ("lorem", " ipsum"),
        ("seed ", "document"),
    ]
    .map(|(a, b)| format!("{a}{b}"));
    let text_kinds = ["rs", "md", "toml", "js", "mjs", "css", "html", "csv", "sh", "ref", ""];
    let mut wrong = Vec::new();
    let top = ["README.md", "DEVELOPERS.md", "Cargo.toml"].map(PathBuf::from);
    let folders = ["src", "tests", "benches", "scripts", "fixtures"];
    for file in top.into_iter().chain(folders.iter().flat_map(|f| files(f))) {
        let kind = file.extension().unwrap_or_default().to_string_lossy().into_owned();
        let Ok(text) = fs::read_to_string(root().join(&file)) else {
            continue;
        };
        if !text_kinds.contains(&kind.as_str()) {
            continue;
        }
        for (i, line) in text.lines().enumerate() {
            wrong.extend(
                words
                    .iter()
                    .filter(|w| line.contains(*w))
                    .map(|w| format!("{}:{}: {w}", file.display(), i + 1)),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
