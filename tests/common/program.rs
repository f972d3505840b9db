//! Running the program, and reading what it prints.

use std::path::Path;
use std::process::{Command, Output};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_pignut");
/// Variables that change what is printed or which register is read.
const UNSET: [&str; 5] = ["NO_COLOR", "CLICOLOR_FORCE", "CLICOLOR", "PROJ_DATA", "PROJ_LIB"];

/// The program, with nothing of this machine in what it prints.
pub fn pignut() -> Command {
    let mut command = Command::new(PROGRAM);
    // The width at which help is folded.
    command.env("COLUMNS", "100");
    UNSET.iter().for_each(|v| {
        command.env_remove(v);
    });
    command
}

pub fn run(args: &[&str]) -> Output {
    pignut().args(args).output().unwrap()
}

pub fn run_in(folder: &Path, args: &[&str]) -> Output {
    pignut().current_dir(folder).args(args).output().unwrap()
}

pub fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("what is printed is UTF-8")
}
