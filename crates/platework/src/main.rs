//! The command line: reads model files, writes what can be made from them, checks, and serves.
//!
//! Exit status: 0 nothing found, 1 findings that count, 2 could not compute. Results go to standard
//! output, everything else to standard error.

mod cli;
mod commands;
mod cpu_time;
mod failure;
mod memory;
mod model_file;
mod progress;
mod stdout;

use std::process::ExitCode;

use clap::Parser as _;

fn main() -> ExitCode {
    let cli = cli::Cli::parse();
    commands::log_to_stderr(&cli.command);
    match commands::run(&cli) {
        Ok(verdict) => ExitCode::from(verdict as u8),
        Err(failure) => {
            failure.report(cli.json);
            ExitCode::from(2)
        }
    }
}
