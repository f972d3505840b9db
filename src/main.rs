//! The command line: parse, run, and the only exit code.

use clap::Parser;
use pignut::{Args, Ending, clean_command, environment_is_clean, run};
use std::process::{Command, ExitCode};

fn main() -> ExitCode {
    // A foreign PROJ database in the environment breaks every coordinate system: start again without it.
    if !environment_is_clean() {
        return restart();
    }
    match run(Args::parse()) {
        Ok(Ending::Done) => ExitCode::SUCCESS,
        Ok(Ending::Warnings) => ExitCode::from(1),
        Err(error) => {
            eprintln!("pignut: {error}");
            ExitCode::from(2)
        }
    }
}

fn restart() -> ExitCode {
    let again = std::env::current_exe().and_then(|program| {
        let mut command = Command::new(program);
        command.args(std::env::args_os().skip(1));
        clean_command(&mut command);
        command.status()
    });
    match again {
        Ok(status) => ExitCode::from(status.code().and_then(|c| u8::try_from(c).ok()).unwrap_or(2)),
        Err(error) => {
            eprintln!("pignut: cannot start again with a clean environment: {error}");
            ExitCode::from(2)
        }
    }
}
