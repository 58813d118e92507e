//! One file a command.

mod bench;
mod bench_files;
mod bench_growth;
mod build;
mod check;
mod clearances;
mod compare;
mod compare_scan;
mod differ;
mod made;
mod new;
mod serve;
mod sheets;
mod sweep;

use std::io::IsTerminal as _;

use tracing_subscriber::EnvFilter;

use crate::cli::{Cli, Command};
use crate::failure::Failure;

/// What a command has to say by its exit status.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Verdict {
    /// Nothing found.
    Clear = 0,
    /// Findings that count, or differences.
    Findings = 1,
    /// A part of what was asked for could not be computed; the rest was, and the answer says which.
    Refused = 2,
}

impl Verdict {
    fn of<'f>(findings: impl IntoIterator<Item = &'f body::Finding>) -> Self {
        if findings.into_iter().any(body::Finding::counts) {
            Self::Findings
        } else {
            Self::Clear
        }
    }
}

/// Does what was asked.
pub(crate) fn run(cli: &Cli) -> Result<Verdict, Failure> {
    match &cli.command {
        Command::Build(args) => build::run(args, cli.json),
        Command::Sweep(args) => sweep::run(args, cli.json),
        Command::Check(args) => check::run(args, cli.json),
        Command::Clearances(args) => clearances::run(args, cli.json),
        Command::Compare(args) => compare::run(args, cli.json),
        Command::Differ(args) => differ::run(args, cli.json),
        Command::Sheets(args) => sheets::run(args, cli.json),
        Command::Serve(args) => serve::run(args, cli.json),
        Command::New(args) => new::run(args, cli.json),
        Command::Bench(args) => bench::run(args, cli.json),
    }
}

/// Logs to standard error what `RUST_LOG` asks for: else warnings, and what the server does.
pub(crate) fn log_to_stderr(command: &Command) {
    let usual = match command {
        Command::Serve(_) => "warn,server=info",
        _ => "warn",
    };
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new(usual));
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal());
    match command {
        Command::Serve(args) if args.json_log => log.json().init(),
        _ => log.init(),
    }
}
