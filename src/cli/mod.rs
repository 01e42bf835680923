//! From arguments to exit codes. Data goes to standard output, all else to standard error.

mod args;
mod inputs;
mod legs;
mod notes_file;
mod output;
mod plan;
mod plan_args;
mod quantity;
mod rehearse;
mod rehearse_args;
mod report;
mod say;
mod shell;
mod tracks;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

/// How a command ended that could run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    /// It found what it looks for.
    Found,
    /// It ran well, but there was nothing to measure.
    NothingToMeasure,
    /// No track could be read; the reasons were told.
    BadInput,
}

/// Bad usage or input, as a shell's own commands report it.
const BAD_INPUT: u8 = 2;

/// Runs the command line and returns its exit code: 0 measured, 1 nothing to measure, 2 bad usage
/// or input.
pub(crate) fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(usage) => {
            // Help that nobody reads any more is no failure.
            let _ = usage.print();
            return ExitCode::from(u8::try_from(usage.exit_code()).unwrap_or(BAD_INPUT));
        }
    };
    let outcome = match &cli.command {
        Command::Report(args) => report::run(args),
        Command::Legs(args) => legs::run(args),
        Command::Plan(args) => plan::run(args),
        Command::Rehearse(args) => rehearse::run(args),
        Command::Completions { shell } => shell::completions(*shell),
        Command::Man => shell::man(),
    };
    match outcome {
        Ok(Outcome::Found) => ExitCode::SUCCESS,
        Ok(Outcome::NothingToMeasure) => ExitCode::from(1),
        Ok(Outcome::BadInput) => ExitCode::from(BAD_INPUT),
        Err(error) => {
            say::error(&error);
            ExitCode::from(BAD_INPUT)
        }
    }
}
