//! The command line: arguments, files, terminal. One file a command.
//!
//! Data goes to standard output, messages to standard error. The exit code is 0 when all was
//! written, 1 when a check failed, 2 when the program could not run.

pub(crate) mod args;
mod begin;
mod check;
mod fit;
mod input;
mod make;
mod only;
mod output;
pub(crate) mod report;
mod sums;
mod why;

use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{ColorChoice, CommandFactory, Parser};

pub use args::Cli;
pub use report::{Source, Sources, Style, problems};

use args::Command;
use output::Output;

/// A check failed; what it concerns was not written.
const CHECK_FAILED: u8 = 1;
/// The program could not run.
const COULD_NOT_RUN: u8 = 2;

/// How a command ended when it did not fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    /// Everything asked for was done.
    Done,
    /// A finding of severity error was shown.
    Failed,
}

/// Why a command could not run.
#[derive(Debug, thiserror::Error)]
enum Failure {
    /// The input has mistakes; they have been shown.
    #[error("{} in the input, nothing was written", counted(*.0, "mistake"))]
    Refused(usize),
    /// A flag makes no sense.
    #[error("{0}")]
    Usage(String),
    /// A file or a folder cannot be used.
    #[error("{0}")]
    Io(String),
    /// The reader of a pipe went away: not an error.
    #[error("closed pipe")]
    ClosedPipe,
}

/// `1 mistake`, `2 mistakes`.
fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// Prints the schema of the job file, or of the manifest.
fn schema(manifest: bool, output: &Output) -> Result<Outcome, Failure> {
    if manifest {
        return output.data(crate::documents::manifest_data::SCHEMA.as_bytes());
    }
    let text = serde_json::to_string_pretty(&crate::params::schema::schema())
        .map_err(|e| Failure::Io(e.to_string()))?;
    output.data(format!("{text}\n").as_bytes())
}

/// Prints the manual page of the program or of one command.
fn manual(of: Option<&str>, output: &Output) -> Result<Outcome, Failure> {
    let mut program = Cli::command();
    program.build();
    let page = match of {
        None => program,
        Some(name) => program.find_subcommand(name).cloned().ok_or_else(|| {
            Failure::Usage(format!("\"{name}\" is no command; bolewright help lists them"))
        })?,
    };
    let mut text = Vec::new();
    clap_mangen::Man::new(page).render(&mut text).map_err(|e| Failure::Io(e.to_string()))?;
    output.data(&text)
}

/// Help and version go to standard output; wrong arguments are reported in our own form.
fn ends_early(error: &clap::Error) -> ExitCode {
    if !error.use_stderr() {
        let _ = error.print();
        return ExitCode::SUCCESS;
    }
    if error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        let _ = error.print();
        return ExitCode::from(COULD_NOT_RUN);
    }
    let told = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(all)) => all.first().cloned(),
        _ => None,
    };
    let meant = |kind| {
        told(kind).map_or_else(String::new, |known| format!("; write {known} if that was meant"))
    };
    let text = match error.kind() {
        ErrorKind::InvalidSubcommand => format!(
            "\"{}\" is no command{}",
            told(ContextKind::InvalidSubcommand).unwrap_or_default(),
            meant(ContextKind::SuggestedSubcommand)
        ),
        ErrorKind::UnknownArgument => format!(
            "\"{}\" is no option of this command{}",
            told(ContextKind::InvalidArg).unwrap_or_default(),
            meant(ContextKind::SuggestedArg)
        ),
        // The parser's sentence, without its mark and its usage line.
        _ => {
            let text = error.to_string();
            let text = text.split("\n\nUsage:").next().unwrap_or(&text);
            let text = text.split("\n\nFor more information").next().unwrap_or(text);
            let lines = text.trim_start_matches("error: ").lines().map(str::trim);
            lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
        }
    };
    let output = Output::new(ColorChoice::Auto);
    output.error(&text);
    output.say("  Examples: bolewright COMMAND --help");
    ExitCode::from(COULD_NOT_RUN)
}

/// Runs the program.
#[must_use]
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return ends_early(&error),
    };
    let output = Output::new(cli.colour);
    let result = match &cli.command {
        Command::Begin { path } => begin::run(path, &output),
        Command::Check { job, json } => check::run(job, *json, &output),
        Command::Make { job, make } => make::run(job, make, &output),
        Command::Why { name, svg } => why::run(name.as_deref(), *svg, &output),
        Command::Schema { manifest } => schema(*manifest, &output),
        Command::Sums { job, only, trunk, json } => {
            let asked = sums::Asked { only: only.as_deref(), trunk: trunk.as_deref(), json: *json };
            sums::run(job, &asked, &output)
        }
        Command::Fit { job, girths, json } => fit::run(job, girths, *json, &output),
        Command::Completions { shell } => {
            let mut text = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "bolewright", &mut text);
            output.data(&text)
        }
        Command::Man { of } => manual(of.as_deref(), &output),
    };
    match result {
        Ok(Outcome::Done) | Err(Failure::ClosedPipe) => ExitCode::SUCCESS,
        Ok(Outcome::Failed) => ExitCode::from(CHECK_FAILED),
        Err(failure) => {
            output.error(&failure.to_string());
            ExitCode::from(COULD_NOT_RUN)
        }
    }
}
