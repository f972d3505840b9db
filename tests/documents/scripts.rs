//! The top of the repository, and scripts that the documents name.

use crate::common::files::{files, read, root};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What may lie at the top of the repository.
const TOP_LEVEL: [&str; 17] = [
    ".cargo",
    ".cargo-deny.toml",
    ".ci",
    ".editorconfig",
    ".github",
    ".gitignore",
    ".rustfmt.toml",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "benches",
    "fixtures",
    "scripts",
    "src",
    "tests",
];

#[test]
fn only_what_belongs_there_stands_at_the_top() {
    let listed = Command::new("git").arg("-C").arg(root()).args(["ls-files", "-z"]).output();
    let listed = match listed {
        Ok(out) if out.status.success() => String::from_utf8(out.stdout).unwrap(),
        _ => {
            println!("skipped: git is absent, or this is no checkout");
            return;
        }
    };
    let top: BTreeSet<&str> =
        listed.split('\0').filter(|p| !p.is_empty()).map(|p| p.split('/').next().unwrap()).collect();
    assert_eq!(top, BTreeSet::from(TOP_LEVEL));
}

#[cfg(unix)]
fn is_executable(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    fs::metadata(path).is_ok_and(|m| m.is_file() && m.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_executable(path: &Path) -> bool {
    path.is_file()
}

/// Words like `scripts/demo`, wherever they stand in a text.
fn scripts_named(text: &str) -> BTreeSet<String> {
    text.match_indices("scripts/")
        .map(|(at, _)| {
            let rest = &text[at..];
            let end = rest.find(|c: char| !(c.is_alphanumeric() || "/-_.".contains(c))).unwrap_or(rest.len());
            rest[..end].trim_end_matches(['.', '/']).to_string()
        })
        .filter(|s| s != "scripts")
        .collect()
}

#[test]
fn scripts_named_in_the_documents_are_there_and_can_be_run() {
    let scripts: Vec<PathBuf> =
        files("scripts").into_iter().filter(|f| f.components().count() == 2).collect();
    let mut named = BTreeSet::new();
    let documents = ["README.md", "DEVELOPERS.md", ".ci/run"].map(PathBuf::from);
    let notes = files("fixtures").into_iter().filter(|f| f.ends_with("README.md"));
    for document in documents.into_iter().chain(notes).chain(scripts.clone()) {
        let mut mine = scripts_named(&read(&document.to_string_lossy()));
        for script in &mine {
            let path = root().join(script);
            // What is sourced or passed to another program need not be executable.
            let sound = is_executable(&path)
                || path.is_dir()
                || (script.starts_with("scripts/browser/") && path.is_file());
            let document = document.display();
            assert!(sound, "{document} names {script}, which is not there or cannot be run");
        }
        mine.remove(document.to_string_lossy().as_ref());
        named.extend(mine);
    }
    for script in ["scripts/demo", "scripts/test"] {
        let readme = scripts_named(&read("README.md"));
        assert!(readme.contains(script), "README.md names {script}");
    }
    for script in scripts {
        assert!(is_executable(&root().join(&script)), "{} cannot be run", script.display());
        let name = script.to_string_lossy();
        assert!(named.contains(name.as_ref()), "{name} is named in no document and by no other script");
    }
}
