//! The map of modules and the arrows between them.

use super::files::{code, fenced, files, is_source, read};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

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
    let text = concat!(
        r##"
        use crate::{alpha::One, beta::{Two, Three}, gamma};
        // use crate::never::Seen;
        fn f() -> crate::delta::Four { let s = "crate::never::Heard \" crate::nor"; "##,
        r##"let r = r#"crate::no "#; '"'; crate::epsilon() }
        use super::super::study::Study;
        use mycrate::other;
        "##
    );
    let text = format!("{text}\n#[cfg(test)]\nmod tests {{ use crate::tests_only; }}");
    let found = uses(Path::new("src/report/layers.rs"), &code(&text));
    let wanted = ["alpha::One", "beta::", "gamma", "delta::Four", "epsilon", "study::Study"];
    let names: BTreeSet<&str> = found.iter().map(|p| identifier(p)).collect();
    assert_eq!(names, wanted.iter().map(|w| identifier(w)).collect());
    assert!(found.contains("delta::Four") && found.contains("study::Study"));
}

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
