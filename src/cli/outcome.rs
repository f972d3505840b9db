//! How a command ends, and the one place where results are printed.

use std::io::Write;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Done.
    Done,
    /// Done, but rows were refused or checks were missed; standard error says which.
    Warnings,
}

/// Why a command could not run: any library error, in one line a user can act on.
pub(crate) type CliError = Box<dyn std::error::Error>;

/// Prints to standard output; a reader that closed the pipe has what it wanted.
pub(crate) fn print_out(text: &str) -> Result<Ending, CliError> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(e.into()),
        _ => Ok(Ending::Done),
    }
}
