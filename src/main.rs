//! The command line of `thereback`: arguments, messages and exit codes around the library.

mod cli;

fn main() -> std::process::ExitCode {
    cli::run()
}
