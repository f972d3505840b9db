//! How the program is called here, and what is expected of every refusal.

use crate::common::files::fixtures;
use crate::common::program::{pignut, run, text};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

/// The least effort a run accepts: enough to write every file, too little to converge.
pub const LEAST_EFFORT: [&str; 4] = ["--warmup", "20", "--trajectories", "20"];

pub fn fixture(name: &str) -> PathBuf {
    fixtures("cli").join(name)
}

/// Checks that a command could not run: code 2, nothing on standard output, one prefixed message.
pub fn refused(args: &[&str], says: &[&str]) -> String {
    let out = run(args);
    let message = text(&out.stderr);
    assert_eq!(out.status.code(), Some(2), "{args:?}: {message}");
    assert_eq!(text(&out.stdout), "", "{args:?}");
    assert!(message.starts_with("pignut: "), "{args:?}: {message}");
    assert_eq!(message.matches("pignut: ").count(), 1, "{message}");
    for part in says {
        assert!(message.contains(part), "{args:?} does not say {part}: {message}");
    }
    message.to_string()
}

/// A study file beside the clean records, changed by `change`.
pub fn study(folder: &Path, change: impl Fn(&str) -> String) -> String {
    let text = fs::read_to_string(fixture("clean.toml")).unwrap();
    fs::copy(fixture("clean.csv"), folder.join("clean.csv")).unwrap();
    let path = folder.join("study.toml");
    let changed = change(&text);
    assert_ne!(changed, text, "the change was made");
    fs::write(&path, changed).unwrap();
    path.display().to_string()
}

/// Every file below a folder with its bytes.
pub fn tree(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut out = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.insert(path.clone(), Vec::new());
            out.extend(tree(&path));
        } else {
            out.insert(path.clone(), fs::read(&path).unwrap());
        }
    }
    out
}

pub fn clean() -> String {
    fixture("clean.toml").display().to_string()
}

/// `run` with the least effort on a study, and the folder it wrote.
pub fn least_run(study: &str, out: &Path, more: &[&str]) -> Output {
    let out = pignut().args(["run", study, "--out"]).arg(out).args(LEAST_EFFORT).args(more).output().unwrap();
    let code = out.status.code();
    assert!(code == Some(0) || code == Some(1), "{}", text(&out.stderr));
    out
}
