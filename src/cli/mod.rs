//! The command line: what was typed, what is done, what is printed. Nothing else here prints.
//!
//! Results go to files and standard output, messages to standard error. Exit codes: 0 done;
//! 1 done with reservations (rows refused, diagnostics missed); 2 could not run.

mod age;
mod args;
mod check;
mod choose;
mod demo;
mod holdings_text;
mod power;
mod progress;
mod run;
mod sample;
mod score;
mod sheet;
mod simulate;
mod text;

pub use args::Args;
use args::Job;
use std::io::Write;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Done.
    Done,
    /// Done, but rows were refused or diagnostics were missed; what was said on standard error.
    Reservations,
}

/// Why a command could not run: any library error, in one line a user can act on.
pub type CliError = Box<dyn std::error::Error>;

/// Runs one command.
///
/// # Errors
/// Whatever stopped it, worded for the user.
pub fn run(args: Args) -> Result<Ending, CliError> {
    match args.job {
        Job::Demo(a) => demo::demo(&a),
        Job::Check(a) => check::check(&a),
        Job::Run(a) => run::run(&a),
        Job::Choose(a) => choose::choose(&a),
        Job::Simulate(a) => simulate::simulate(&a),
        Job::Score(a) => score::score(&a),
        Job::Sample(a) => sample::sample(&a),
        Job::Power(a) => power::power(&a),
        Job::Age(a) => age::age(&a),
        Job::Sheet(a) => sheet::sheet(&a),
        Job::Schema => {
            let schema = schemars::schema_for!(crate::study::Study);
            print_out(&serde_json::to_string_pretty(&schema)?)
        }
    }
}

/// Prints to standard output; a reader that closed the pipe has what it wanted.
fn print_out(text: &str) -> Result<Ending, CliError> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(e.into()),
        _ => Ok(Ending::Done),
    }
}
