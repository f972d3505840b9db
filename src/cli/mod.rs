//! The command line: what was typed, what is done, what is printed. Nothing else here prints.
//!
//! Results go to files and standard output, messages to standard error. Exit codes: 0 done;
//! 1 done with warnings (rows refused, checks missed); 2 could not run.

pub(crate) mod age;
pub(crate) mod args;
pub(crate) mod check;
pub(crate) mod choose;
pub(crate) mod demo;
pub(crate) mod forms;
pub(crate) mod init;
pub(crate) mod outcome;
pub(crate) mod power;
pub(crate) mod progress;
pub(crate) mod renamed;
pub(crate) mod run;
pub(crate) mod sample;
pub(crate) mod score;
pub(crate) mod simulate;

use crate::cli::args::{Args, Job};
use crate::cli::outcome::{CliError, Ending, print_out};

/// Runs one command.
///
/// # Errors
/// Whatever stopped it, worded for the user.
pub fn run(args: Args) -> Result<Ending, CliError> {
    match args.job {
        Job::Demo(a) => crate::cli::demo::demo(&a),
        Job::Init(a) => crate::cli::init::init(&a),
        Job::Check(a) => crate::cli::check::check(&a),
        Job::Run(a) => crate::cli::run::run(&a),
        Job::Choose(a) => crate::cli::choose::choose(&a),
        Job::Simulate(a) => crate::cli::simulate::simulate(&a),
        Job::Score(a) => crate::cli::score::score(&a),
        Job::Sample(a) => crate::cli::sample::sample(&a),
        Job::Power(a) => crate::cli::power::power(&a),
        Job::Age(a) => crate::cli::age::age(&a),
        Job::Forms(a) => crate::cli::forms::forms(&a),
        Job::Schema => {
            let schema = schemars::schema_for!(crate::study::study_file::Study);
            print_out(&serde_json::to_string_pretty(&schema)?)
        }
    }
}
