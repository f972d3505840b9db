//! Keeping another PROJ's register out of the way.
//!
//! The program carries its own copy of the EPSG register. PROJ, however, prefers a register
//! it finds through `PROJ_DATA` or `PROJ_LIB` (set by the shells of desktop GIS and of Python
//! distributions) or in the user's own PROJ folder, and one written by another version of
//! PROJ makes **every** code fail. A process cannot safely change its own environment once
//! it runs, so a program calls [`environment_is_clean`] first thing in `main` and, where it
//! is not, starts itself again through [`clean_command`]. A folder that holds grid files but
//! no `proj.db` is harmless and is kept: that is how a finer datum shift is supplied.

use std::path::{Path, PathBuf};
use std::process::Command;

const DATA_VARIABLES: [&str; 2] = ["PROJ_DATA", "PROJ_LIB"];
const USER_FOLDER: &str = "PROJ_USER_WRITABLE_DIRECTORY";

/// Whether PROJ will read the program's own EPSG register.
///
/// False when a `proj.db` lies in a folder named by `PROJ_DATA` or `PROJ_LIB`, or in the
/// user's PROJ folder: see the module's text. [`clean_command`] cleans it for a child process,
/// after which this is true, so that a program that restarts itself does so once.
pub fn environment_is_clean() -> bool {
    foreign_registers().is_empty()
}

/// Sets the environment of a child process so that [`environment_is_clean`] holds in it.
///
/// Folders that hold a `proj.db` are taken out of `PROJ_DATA` and `PROJ_LIB`; folders with
/// grid files only stay. Everything else in the environment is left as it is.
pub fn clean_command(command: &mut Command) {
    for variable in DATA_VARIABLES {
        let Some(value) = std::env::var_os(variable) else {
            continue;
        };
        let kept: Vec<PathBuf> =
            std::env::split_paths(&value).filter(|p| !p.as_os_str().is_empty() && !has_register(p)).collect();
        match std::env::join_paths(&kept) {
            Ok(joined) if !kept.is_empty() => command.env(variable, joined),
            _ => command.env_remove(variable),
        };
    }
    if user_folder().is_some_and(|p| has_register(&p)) {
        // A folder that need not exist: PROJ looks for files in it and finds none.
        command.env(USER_FOLDER, std::env::temp_dir().join("pignut-no-proj-files"));
    }
}

fn has_register(folder: &Path) -> bool {
    folder.join("proj.db").exists()
}

/// The `proj.db` files that PROJ would read in place of the program's own.
pub(crate) fn foreign_registers() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = DATA_VARIABLES
        .iter()
        .filter_map(std::env::var_os)
        .flat_map(|v| std::env::split_paths(&v).collect::<Vec<_>>())
        .filter(|p| !p.as_os_str().is_empty())
        .collect();
    folders.extend(user_folder());
    folders.retain(|p| has_register(p));
    folders.into_iter().map(|p| p.join("proj.db")).collect()
}

/// PROJ's per-user folder, as PROJ itself finds it.
fn user_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    if let Some(folder) = set(USER_FOLDER) {
        return Some(folder);
    }
    if cfg!(windows) {
        set("LOCALAPPDATA").map(|p| p.join("proj"))
    } else if cfg!(target_os = "macos") {
        set("HOME").map(|p| p.join("Library/Application Support/proj"))
    } else {
        set("XDG_DATA_HOME").or_else(|| set("HOME").map(|p| p.join(".local/share"))).map(|p| p.join("proj"))
    }
}
