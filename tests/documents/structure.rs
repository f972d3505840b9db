//! The rooms of the house and the arrows between them, read off the imports of every file.
//!
//! `DEVELOPERS.md` shows the same arrows as a picture, which is made here: with `PIGNUT_WRITE_GUIDE=1` in the
//! environment, this test writes it anew.

use super::files::{code, fenced, is_source};
use crate::common::files::{files, read, root};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Every room, from the ground up, and whom it may use besides itself.
const ROOMS: &[(&str, &[&str])] = &[
    ("numerics", &[]),
    ("study", &[]),
    ("records", &[]),
    ("sampler", &["numerics"]),
    ("geography", &["records", "study"]),
    ("ageing", &["numerics", "records"]),
    ("contract", &["records"]),
    ("ingest", &["ageing", "geography", "records", "study"]),
    ("kernel", &["geography", "numerics", "records", "sampler", "study"]),
    ("inference", &["kernel", "numerics", "sampler", "study"]),
    ("assess", &["geography", "inference", "kernel", "numerics", "records", "study"]),
    ("pipeline", &["assess", "geography", "inference", "ingest", "kernel", "records", "study"]),
    // The truth is not made by the model that is to find it.
    ("simulate", &["geography", "records"]),
    ("score", &["contract", "geography", "records", "simulate"]),
    ("forms", &["ageing"]),
    (
        "report",
        &[
            "ageing",
            "assess",
            "contract",
            "geography",
            "inference",
            "ingest",
            "kernel",
            "pipeline",
            "records",
            "score",
            "study",
        ],
    ),
    (
        "cli",
        &[
            "ageing",
            "assess",
            "forms",
            "geography",
            "ingest",
            "pipeline",
            "records",
            "report",
            "score",
            "simulate",
            "study",
        ],
    ),
];
/// Files that belong to no room: they hand names on.
const FACES: [&str; 4] = ["src/lib.rs", "src/main.rs", "src/internals.rs", "src/guide/mod.rs"];
/// Most lines of a file of code, and most columns of a line.
const MOST_LINES: usize = 450;
const MOST_COLUMNS: usize = 110;
/// The picture of the rooms, made from the imports.
const PICTURE: &str = "src/guide/pictures/rooms.svg";

type Module = Vec<String>;

/// Module path of a source file: `["report", "page"]` for `src/report/page/mod.rs`.
fn module_of(file: &Path) -> Module {
    let inner = file.strip_prefix("src").unwrap().with_extension("");
    let mut parts: Module = inner.iter().map(|p| p.to_string_lossy().into_owned()).collect();
    if parts.last().is_some_and(|p| p == "mod") {
        parts.pop();
    }
    parts
}

/// Every path that follows `crate::` in a piece of code, groups taken apart: `a::{b::C, d}` is `a::b::C` and
/// `a::d`.
fn paths(code: &str) -> Vec<Module> {
    fn tree(text: &str, before: &Module, out: &mut Vec<Module>) -> usize {
        let mut path = before.clone();
        let mut at = 0;
        loop {
            let rest = &text[at..];
            let skipped = rest.len() - rest.trim_start().len();
            let rest = rest.trim_start();
            at += skipped;
            if rest.starts_with('{') {
                at += 1;
                loop {
                    at += tree(&text[at..], &path, out);
                    let rest = text[at..].trim_start();
                    at = text.len() - rest.len() + 1;
                    if !rest.starts_with(',') {
                        return at;
                    }
                }
            }
            let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
            if end == 0 {
                return at;
            }
            path.push(rest[..end].to_string());
            at += end;
            if text[at..].starts_with("::") {
                at += 2;
                continue;
            }
            out.push(path);
            // A name given to it is passed over.
            let rest = text[at..].trim_start();
            if let Some(alias) = rest.strip_prefix("as ") {
                let end = alias.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(alias.len());
                at = text.len() - alias.len() + end;
            }
            return at;
        }
    }
    let mut out = Vec::new();
    for (at, word) in code.match_indices("crate::") {
        let before = code[..at].chars().next_back();
        if before.is_none_or(|c| !(c.is_alphanumeric() || c == '_' || c == ':' || c == '$')) {
            tree(&code[at + word.len()..], &Vec::new(), &mut out);
        }
    }
    out
}

/// Files of the library by module, and the modules that each imports.
fn imports() -> BTreeMap<Module, (PathBuf, BTreeSet<Module>)> {
    let sources =
        files("src").into_iter().filter(|f| is_source(f) && !FACES.contains(&&*f.to_string_lossy()));
    let by_module: BTreeMap<Module, PathBuf> = sources.map(|f| (module_of(&f), f)).collect();
    let longest = |path: &Module| {
        (1..=path.len()).rev().map(|n| path[..n].to_vec()).find(|m| by_module.contains_key(m))
    };
    by_module
        .iter()
        .map(|(module, file)| {
            let used = paths(&code(&read(&file.to_string_lossy())));
            let used = used.iter().filter_map(longest).filter(|m| m != module).collect();
            (module.clone(), (file.clone(), used))
        })
        .collect()
}

/// Arrows between rooms.
fn arrows() -> BTreeMap<String, BTreeSet<String>> {
    let mut out: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (module, (_, used)) in imports() {
        let others = used.iter().map(|m| m[0].clone()).filter(|r| *r != module[0]);
        out.entry(module[0].clone()).or_default().extend(others);
    }
    out
}

#[test]
fn the_reader_of_imports_reads_them() {
    let text = concat!(
        r##"
        use crate::{alpha::One, beta::{Two, three::Four as Five}, gamma};
        // use crate::never::Seen;
        fn f() -> crate::delta::Six { let s = "crate::never::Heard \" crate::nor"; "##,
        r##"let r = r#"crate::no "#; '"'; crate::epsilon::seven() }
        use mycrate::other;
        "##
    );
    let text = format!("{text}\n#[cfg(test)]\nmod tests {{ use crate::tests_only; }}");
    let found: Vec<String> = paths(&code(&text)).iter().map(|p| p.join("::")).collect();
    let wanted = ["alpha::One", "beta::Two", "beta::three::Four", "gamma", "delta::Six", "epsilon::seven"];
    assert_eq!(found, wanted);
}

#[test]
fn rooms_use_only_those_below_them() {
    let mut wrong = Vec::new();
    for (module, (file, used)) in imports() {
        let place = ROOMS.iter().position(|r| r.0 == module[0]);
        let Some(place) = place else {
            panic!("{} is in a new room: say here whom it may use", file.display())
        };
        for other in used.iter().filter(|m| m[0] != module[0]) {
            if !ROOMS[place].1.contains(&other[0].as_str()) {
                wrong.push(format!("{} uses {}", file.display(), other.join("::")));
            }
        }
        for below in ROOMS[place].1 {
            assert!(ROOMS[..place].iter().any(|r| r.0 == *below), "{below} stands above {}", module[0]);
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    let arrows = arrows();
    for (from, to) in [("cli", "report"), ("report", "assess"), ("assess", "kernel"), ("kernel", "numerics")]
    {
        assert!(arrows[from].contains(to), "the reader does not see {from} → {to}");
    }
    for (room, may) in ROOMS {
        let unused: Vec<_> = may.iter().filter(|m| !arrows[*room].contains(**m)).collect();
        assert!(unused.is_empty(), "{room} no longer uses {unused:?}: take it off the list");
    }
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let imports = imports();
    let reached = |from: &Module| {
        let (mut seen, mut open) = (BTreeSet::new(), vec![from.clone()]);
        while let Some(module) = open.pop() {
            for next in &imports[&module].1 {
                if seen.insert(next.clone()) {
                    open.push(next.clone());
                }
            }
        }
        seen
    };
    let circles: Vec<_> = imports.keys().filter(|m| reached(m).contains(*m)).map(|m| m.join("::")).collect();
    assert!(circles.is_empty(), "each of these reaches itself by imports: {circles:#?}");
    assert!(
        reached(&vec!["cli".into(), "run".into()]).contains(&vec!["numerics".to_string(), "real".into()])
    );
}

/// A file of code is short enough to answer one question, and a line to be read beside another.
#[test]
fn files_and_lines_are_short() {
    let mut wrong = Vec::new();
    for file in ["src", "tests", "benches"].iter().flat_map(|f| files(f)).filter(|f| is_source(f)) {
        let text = read(&file.to_string_lossy());
        if text.lines().count() > MOST_LINES {
            wrong.push(format!("{}: {} lines", file.display(), text.lines().count()));
        }
        let long = text.lines().enumerate().filter(|(_, l)| l.chars().count() > MOST_COLUMNS);
        wrong.extend(
            long.map(|(i, l)| format!("{}:{}: {} columns", file.display(), i + 1, l.chars().count())),
        );
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn general_mathematics_names_no_place_and_no_disease() {
    let words = [
        "pig",
        "hazard",
        "infect",
        "lesion",
        "possum",
        "ferret",
        "disease",
        "tubercul",
        "easting",
        "northing",
        "latitude",
        "longitude",
        "metre",
        "km",
        "home range",
        "posterior of",
        "prevalence",
        "wildlife",
    ];
    let mut wrong = Vec::new();
    for file in ["src/numerics", "src/sampler"].iter().flat_map(|f| files(f)) {
        let text = read(&file.to_string_lossy()).to_lowercase();
        for (i, line) in text.lines().enumerate() {
            let named = |w: &&&str| {
                let line = line.replace("pignut", "");
                line.match_indices(**w).any(|(at, _)| !line[..at].ends_with(|c: char| c.is_alphanumeric()))
            };
            wrong.extend(words.iter().filter(named).map(|w| format!("{}:{}: {w}", file.display(), i + 1)));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_kernel_opens_no_file_and_the_report_makes_no_statistic() {
    let mut wrong = Vec::new();
    for (folder, words) in [
        ("src/kernel", &["std::fs", "File::", "std::env"][..]),
        ("src/report", &["numerics", "sampler", "rand"]),
    ] {
        for file in files(folder).into_iter().filter(|f| is_source(f)) {
            let code = code(&read(&file.to_string_lossy()));
            let found = words
                .iter()
                .filter(|w| code.contains(&format!("{w}::")) || code.contains(*w) && w.contains("::"));
            wrong.extend(found.map(|w| format!("{}: {w}", file.display())));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_type_name_is_used_once() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for file in files("src").into_iter().filter(|f| is_source(f)) {
        for line in code(&read(&file.to_string_lossy())).lines() {
            let line = line.strip_prefix("pub(crate) ").or(line.strip_prefix("pub ")).unwrap_or(line);
            let kinds = ["struct ", "enum ", "trait ", "type ", "union "];
            let Some(rest) = kinds.iter().find_map(|k| line.strip_prefix(k)) else { continue };
            let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
            found.entry(rest[..end].to_string()).or_default().push(file.display().to_string());
        }
    }
    let twice: Vec<_> = found.iter().filter(|(_, at)| at.len() > 1).collect();
    assert!(twice.is_empty(), "{twice:#?}");
    assert!(found.len() > 300, "the reader sees {} types", found.len());
}

/// The face of the library: rooms are private, and about thirty names are exported.
#[test]
fn rooms_are_private_and_the_face_is_flat() {
    let lib = code(&read("src/lib.rs"));
    let public: Vec<&str> = lib.lines().filter_map(|l| l.strip_prefix("pub mod ")).collect();
    assert_eq!(public, ["guide;", "internals;"]);
    assert!(read("src/lib.rs").contains("#[doc(hidden)]\npub mod internals;"));
    let exported: usize = lib
        .split("pub use ")
        .skip(1)
        .map(|u| u.split(';').next().unwrap_or_default().split(',').filter(|n| !n.trim().is_empty()).count())
        .sum();
    assert!((25..=45).contains(&exported), "{exported} names");
}

#[test]
fn the_map_of_rooms_is_complete_and_names_no_dead_one() {
    let map: BTreeSet<String> = fenced(&read("DEVELOPERS.md"))
        .into_iter()
        .flat_map(|block| block.into_iter())
        .filter(|l| !l.starts_with(' '))
        .filter_map(|l| l.split_whitespace().next().map(str::to_string))
        .collect();
    let missing: Vec<_> = ROOMS.iter().map(|r| r.0).filter(|r| !map.contains(*r)).collect();
    assert!(missing.is_empty(), "DEVELOPERS.md does not list {missing:?}");
    let here: BTreeSet<String> = imports().keys().map(|m| m[0].clone()).collect();
    assert_eq!(here, ROOMS.iter().map(|r| r.0.to_string()).collect());
}

#[test]
fn the_picture_of_the_rooms_is_that_of_the_imports() {
    let made = picture(&arrows());
    if std::env::var_os("PIGNUT_WRITE_GUIDE").is_some() {
        std::fs::write(root().join(PICTURE), &made).unwrap();
    }
    let stale = "the imports have changed: run scripts/guide";
    assert!(std::fs::read_to_string(root().join(PICTURE)).is_ok_and(|there| there == made), "{stale}");
    assert!(read("DEVELOPERS.md").contains(PICTURE));
}

/// Rooms as boxes, each above all it uses; of two ways to a room only the longer is drawn.
fn picture(arrows: &BTreeMap<String, BTreeSet<String>>) -> String {
    const WIDTH: usize = 132;
    const STEP: usize = 78;
    fn floor(room: &str, arrows: &BTreeMap<String, BTreeSet<String>>) -> usize {
        arrows[room].iter().map(|r| 1 + floor(r, arrows)).max().unwrap_or(0)
    }
    let mut floors: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for (room, _) in ROOMS {
        floors.entry(floor(room, arrows)).or_default().push(room);
    }
    let top = floors.keys().max().copied().unwrap_or(0);
    let widest = floors.values().map(Vec::len).max().unwrap_or(1);
    let mut at: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (floor, rooms) in &floors {
        let left = (widest - rooms.len()) * WIDTH / 2;
        for (i, room) in rooms.iter().enumerate() {
            at.insert(room, (left + i * WIDTH + WIDTH / 2, 30 + (top - floor) * STEP));
        }
    }
    let beyond = |room: &str, other: &str| {
        let mut open: Vec<&str> = arrows[room].iter().map(String::as_str).filter(|r| *r != other).collect();
        while let Some(next) = open.pop() {
            if next == other {
                return true;
            }
            open.extend(arrows[next].iter().map(String::as_str));
        }
        false
    };
    let (width, height) = (widest * WIDTH, 60 + top * STEP);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         font-family=\"sans-serif\" font-size=\"15\">\n<title>Rooms of the library, each above those it \
         uses</title>\n"
    );
    for (room, others) in arrows {
        for other in others.iter().filter(|o| !beyond(room, o)) {
            let ((x, y), (u, v)) = (at[room.as_str()], at[other.as_str()]);
            let _ = writeln!(
                svg,
                "<path d=\"M{x} {} L{u} {}\" stroke=\"#7a7f86\" fill=\"none\"/><circle cx=\"{u}\" cy=\"{}\" \
                 r=\"3\" \
                 fill=\"#7a7f86\"/>",
                y + 16,
                v - 16,
                v - 16
            );
        }
    }
    for (room, (x, y)) in &at {
        let _ = writeln!(
            svg,
            "<rect x=\"{}\" y=\"{}\" width=\"112\" height=\"32\" rx=\"4\" fill=\"#f4f1ea\" \
             stroke=\"#3b4a3f\"/>\
             <text x=\"{x}\" y=\"{}\" text-anchor=\"middle\" fill=\"#1f2a24\">{room}</text>",
            x - 56,
            y - 16,
            y + 5
        );
    }
    svg.push_str("</svg>\n");
    svg
}
