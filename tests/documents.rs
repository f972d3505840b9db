//! What the documents and the source say of the project, held against the project.
//!
//! The rules are the project's own: the map of modules and the arrows between them stand in
//! `DEVELOPERS.md`, the commands in `README.md`. The version is that of `Cargo.toml`, written as
//! semver.org 2.0.0 asks.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What may lie at the top of the repository.
const TOP_LEVEL: [&str; 13] = [
    ".ci",
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
/// Longest source file, lines: past this it answers a second question.
const LONGEST_FILE_LINES: usize = 500;
/// Every module that is no entry point.
const ALL: &[&str] = &[
    "ageing",
    "analysis",
    "areas",
    "assess",
    "cli",
    "evidence",
    "grid",
    "guide",
    "holdings",
    "ingest",
    "kernel",
    "num",
    "projection",
    "record",
    "report",
    "sheet",
    "simulate",
    "study",
];

/// Who may use whom, besides itself. A module not listed may use everything but `cli`.
const ARROWS: &[(&str, &[&str])] = &[
    ("num", &["study"]),
    ("study", &[]),
    ("record", &[]),
    ("grid", &["record"]),
    ("areas", &["grid", "record"]),
    ("projection", &[]),
    ("kernel", &["num", "record", "grid", "study"]),
    ("assess", &["kernel", "num", "record", "grid", "study", "areas"]),
    ("ageing", &["num", "record"]),
    ("ingest", &["ageing", "projection", "record", "study", "grid", "areas", "num"]),
    ("holdings", &["ingest", "kernel", "record", "study"]),
    ("sheet", &["ageing"]),
    // The truth is not made by the model that is to find it.
    ("simulate", &["projection", "record"]),
    ("analysis", &["areas", "assess", "grid", "ingest", "kernel", "num", "projection", "record", "study"]),
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Files below a folder, relative to the root, in order.
fn files(folder: &str) -> Vec<PathBuf> {
    let mut out = Vec::new();
    let mut entries: Vec<PathBuf> =
        fs::read_dir(root().join(folder)).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let name = format!("{folder}/{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            out.extend(files(&name));
        } else {
            out.push(name.into());
        }
    }
    out
}

fn is_source(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "rs")
}

// Source as the compiler sees it.

/// Source without comments, string contents and unit tests, which stand at a file's end.
fn code(text: &str) -> String {
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

/// Module path of a source file: `["report", "page"]` for `src/report/page/mod.rs`.
fn module_path(file: &Path) -> Vec<String> {
    let inner = file.strip_prefix("src").unwrap().with_extension("");
    let mut parts: Vec<String> = inner.iter().map(|p| p.to_string_lossy().into_owned()).collect();
    if parts.last().is_some_and(|p| p == "mod" || p == "lib" || p == "main") {
        parts.pop();
    }
    parts
}

fn identifier(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    &text[..end]
}

/// The paths, each relative to the crate, that follow `prefix`: `study::Link`, and each of a `{…}` group.
fn after(code: &str, prefix: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (at, _) in code.match_indices(prefix) {
        let before = code[..at].chars().next_back();
        if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
            continue;
        }
        let rest = &code[at + prefix.len()..];
        if !rest.starts_with('{') {
            out.push(path(rest));
            continue;
        }
        let (mut depth, mut start) = (0, 1);
        for (i, c) in rest.char_indices() {
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            if (c == ',' && depth == 1) || (c == '}' && depth == 0) {
                out.push(path(rest[start..i].trim()));
                start = i + 1;
            }
            if depth == 0 {
                break;
            }
        }
    }
    out.retain(|p| !p.is_empty());
    out
}

/// Identifiers joined by `::` at the start of a text.
fn path(text: &str) -> String {
    let mut out = identifier(text).to_string();
    let mut rest = &text[out.len()..];
    while let Some(next) = rest.strip_prefix("::") {
        let name = identifier(next);
        if name.is_empty() {
            break;
        }
        out = format!("{out}::{name}");
        rest = &next[name.len()..];
    }
    out
}

/// Paths relative to the crate that a file uses, through `crate::` or enough `super::`.
fn uses(file: &Path, code: &str) -> BTreeSet<String> {
    let mut out: BTreeSet<String> = after(code, "crate::").into_iter().collect();
    let depth = module_path(file).len();
    if depth > 0 {
        let ladder = "super::".repeat(depth);
        out.extend(after(code, &ladder).into_iter().filter(|p| ALL.contains(&identifier(p))));
    }
    out
}

#[test]
fn the_reader_of_paths_reads_them() {
    let text = r##"
        use crate::{alpha::One, beta::{Two, Three}, gamma};
        // use crate::never::Seen;
        fn f() -> crate::delta::Four { let s = "crate::never::Heard \" crate::nor"; let r = r#"crate::no "#; '"'; crate::epsilon() }
        use super::super::study::Study;
        use mycrate::other;
        "##;
    let text = format!("{text}\n#[cfg(test)]\nmod tests {{ use crate::tests_only; }}");
    let found = uses(Path::new("src/report/layers.rs"), &code(&text));
    let wanted = ["alpha::One", "beta::", "gamma", "delta::Four", "epsilon", "study::Study"];
    let names: BTreeSet<&str> = found.iter().map(|p| identifier(p)).collect();
    assert_eq!(names, wanted.iter().map(|w| identifier(w)).collect());
    assert!(found.contains("delta::Four") && found.contains("study::Study"));
}

// The source.

#[test]
fn modules_use_only_whom_they_may() {
    let mut wrong = Vec::new();
    let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for file in files("src").into_iter().filter(|f| is_source(f)) {
        let Some(module) = module_path(&file).first().cloned() else {
            continue;
        };
        assert!(ALL.contains(&module.as_str()), "{module} is a new module: say here whom it may use");
        let code = code(&read(&file.to_string_lossy()));
        for used in uses(&file, &code) {
            let other = identifier(&used);
            if !ALL.contains(&other) || other == module {
                continue;
            }
            arrows.entry(module.clone()).or_default().insert(other.into());
            let allowed = match ARROWS.iter().find(|a| a.0 == module) {
                // The link is the one word of the study that arithmetic knows.
                Some(_) if module == "num" => used == "study::Link",
                Some((_, list)) => list.contains(&other),
                None => other != "cli",
            };
            if !allowed {
                wrong.push(format!("{} uses {used}", file.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // The reader does read: arrows that are there for sure.
    for (from, to) in [("cli", "report"), ("report", "assess"), ("assess", "kernel"), ("kernel", "num")] {
        assert!(arrows[from].contains(to), "{from} → {to}");
    }
}

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
        if lines > LONGEST_FILE_LINES {
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

// The repository.

#[test]
fn the_top_of_the_repository_is_what_was_agreed() {
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

/// Lines of all fenced blocks of a document.
fn fenced(text: &str) -> Vec<Vec<String>> {
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

fn help(args: &[&str]) -> Option<String> {
    let out = Command::new(env!("CARGO_BIN_EXE_pignut")).args(args).arg("--help").output().unwrap();
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

// The map of modules.

fn modules() -> BTreeSet<String> {
    let mut out: BTreeSet<String> = files("src")
        .iter()
        .filter(|f| is_source(f))
        .filter_map(|f| module_path(f).first().cloned())
        .collect();
    out.retain(|m| ["lib", "main"].iter().all(|x| x != m));
    out
}

#[test]
fn the_map_of_modules_is_complete_and_names_no_dead_one() {
    let modules = modules();
    let first = |line: &String| -> Option<String> {
        // Indented lines go on with the one above.
        let line = line.strip_prefix("src/").unwrap_or(line);
        let word = line.split_whitespace().next().filter(|_| !line.starts_with(' '))?;
        Some(word.trim_end_matches('/').trim_end_matches(".rs").to_string())
    };
    let map = fenced(&read("DEVELOPERS.md"))
        .into_iter()
        .map(|block| block.iter().filter_map(first).collect::<BTreeSet<_>>())
        .max_by_key(|names| names.intersection(&modules).count())
        .expect("DEVELOPERS.md has a fenced block that lists the modules");
    let missing: Vec<_> = modules.difference(&map).collect();
    assert!(missing.is_empty(), "DEVELOPERS.md does not list {missing:?}");
    let known = |w: &String| modules.contains(w) || ["lib", "main", "src"].contains(&w.as_str());
    let dead: Vec<_> = map.iter().filter(|w| !known(w)).collect();
    assert!(dead.is_empty(), "DEVELOPERS.md lists {dead:?}, which are not in src");
    // And the library's face shows them all.
    let face = code(&read("src/lib.rs"));
    for module in &modules {
        assert!(face.contains(&format!("mod {module};")), "src/lib.rs has no mod {module}");
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
