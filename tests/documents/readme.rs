//! Commands, versions and links in the documents.

use super::files::fenced;
use crate::common::files::{read, root};
use crate::common::program::pignut;

fn help(args: &[&str]) -> Option<String> {
    let out = pignut().args(args).arg("--help").output().unwrap();
    out.status.success().then(|| String::from_utf8(out.stdout).unwrap())
}

/// Commands in fenced blocks: `pignut run …`, `./target/release/pignut run …`, also after `$ `.
fn commands(text: &str) -> Vec<Vec<String>> {
    fenced(text)
        .into_iter()
        .flatten()
        .filter_map(|line| {
            let line = line.trim().trim_start_matches("$ ").split(" #").next().unwrap().to_string();
            let words: Vec<String> = line.split_whitespace().map(str::to_string).collect();
            let program = words.first()?.rsplit('/').next()?;
            (program == "pignut").then(|| words[1..].to_vec())
        })
        .collect()
}

#[test]
fn commands_in_the_documents_are_ones_the_program_knows() {
    let mut seen = 0;
    for document in ["README.md", "DEVELOPERS.md"] {
        for command in commands(&read(document)) {
            // `pignut 0.1.0` is what `--version` prints.
            let Some(sub) = command.first().filter(|s| s.starts_with(|c: char| c.is_alphabetic())) else {
                continue;
            };
            let known = help(&[sub]).unwrap_or_else(|| panic!("{document}: pignut {sub} is no command"));
            for option in command.iter().filter(|w| w.starts_with("--")) {
                let name = option.split('=').next().unwrap();
                assert!(known.contains(name), "{document}: pignut {sub} has no {name}");
            }
            seen += 1;
        }
    }
    assert!(seen >= 2, "the documents show commands");
}

#[test]
fn versions_in_the_documents_are_that_of_the_crate() {
    let version = env!("CARGO_PKG_VERSION");
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = read(document);
        for lead in ["pignut ", "pignut = \"", "ersion "] {
            for (at, _) in text.match_indices(lead) {
                let rest = &text[at + lead.len()..];
                let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
                let found = rest[..end].trim_end_matches('.');
                if found.matches('.').count() == 2 {
                    assert_eq!(found, version, "{document}");
                }
            }
        }
    }
    // The newest entry of the list of changes is of this version.
    let changes = read("src/guide/changes.md");
    let newest = changes
        .lines()
        .find_map(|l| l.trim_start_matches('#').strip_prefix(' ').filter(|_| l.starts_with('#')));
    assert_eq!(newest, Some(version), "src/guide/changes.md");
    let rust = env!("CARGO_PKG_RUST_VERSION");
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = read(document);
        for (at, _) in text.match_indices("Rust 1.") {
            let found: String =
                text[at + 5..].chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
            assert_eq!(found.trim_end_matches('.'), rust, "{document}");
        }
    }
}

#[test]
fn documents_link_to_files_that_are_there() {
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = read(document);
        for (at, _) in text.match_indices("](") {
            let rest = &text[at + 2..];
            let target = rest[..rest.find(')').expect("a link is closed")].split(['#', ' ']).next().unwrap();
            if target.is_empty() || target.contains("://") || target.starts_with("mailto:") {
                continue;
            }
            assert!(root().join(target).exists(), "{document} links to {target}, which is not there");
        }
    }
}
