//! Commands and flags. The build script of the manual pages and the completions read this too.

use std::path::PathBuf;

use clap::{Args, ColorChoice, Parser, Subcommand, ValueHint};

use crate::params::{GirthOverride, Override};

/// From measured girths to checked, printable lamp cradles, battery boxes and every sum of the job.
#[derive(Debug, Parser)]
#[command(
    name = "bolewright",
    version,
    propagate_version = true,
    arg_required_else_help = true,
    after_help = "Exit codes: 0 all written; 1 a check failed; 2 could not run.\n\
                  Data goes to standard output, messages go to standard error."
)]
pub struct Cli {
    /// When to colour messages; NO_COLOR is honoured
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: ColorChoice,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[expect(missing_docs, reason = "a flattened field has no help of its own")]
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a commented job file to start from
    New {
        /// Where to; never overwrites a file
        #[arg(default_value = "job.toml", value_hint = ValueHint::FilePath)]
        path: PathBuf,
    },
    /// Check a job and write nothing
    Check {
        #[command(flatten)]
        job: JobArgs,
        /// Findings and every derived dimension as JSON
        #[arg(long)]
        json: bool,
    },
    /// Make every part and document of a job
    Make {
        #[command(flatten)]
        job: JobArgs,
        #[command(flatten)]
        make: MakeArgs,
    },
    /// Which printed size serves a girth, and how well
    Fit {
        #[command(flatten)]
        job: JobArgs,
        /// Girths, such as 1130mm "44 1/2 in"; without them, the job's sizes, and how many it would
        /// need with other foam
        #[arg(value_name = "GIRTH", allow_negative_numbers = true)]
        girths: Vec<String>,
        /// As JSON
        #[arg(long)]
        json: bool,
    },
    /// Every sum of a job as a readable account
    Sums {
        #[command(flatten)]
        job: JobArgs,
        /// As JSON
        #[arg(long)]
        json: bool,
    },
    /// Explain a finding's code or a key of the job file
    Explain {
        /// Such as wall-too-thin or strap.clearance; without it, a list of all codes
        #[arg(value_name = "CODE|KEY")]
        name: Option<String>,
    },
    /// Print the JSON Schema of the job file, for editors
    Schema,
    /// Print shell completions
    Completions {
        /// For which shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

/// Which job, and what to change in it for this run.
#[derive(Debug, Args)]
pub struct JobArgs {
    /// The job file
    #[arg(value_name = "JOB", value_hint = ValueHint::FilePath)]
    pub path: PathBuf,
    /// Another girth for a trunk, for this run only: "Old Lime=1.19 m"
    #[arg(long, value_name = "TRUNK=LENGTH")]
    pub girth: Vec<GirthOverride>,
    /// Another value for a key, for this run only: strap.width=30
    #[arg(long, value_name = "KEY=VALUE")]
    pub set: Vec<Override>,
}

/// How to make a set.
#[derive(Debug, Args)]
pub struct MakeArgs {
    /// Folder of the set; the job file's name under `out` when not given
    #[arg(long, short, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Only these parts or documents: a part's name or kind, such as cradle-a or rail
    #[arg(long, value_name = "PART")]
    pub only: Vec<String>,
    /// Compare with, and use again, the sizes printed for the set in this folder
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub since: Option<PathBuf>,
    /// Remove files of the earlier set that are no longer used
    #[arg(long)]
    pub sweep: bool,
    /// A summary as JSON
    #[arg(long)]
    pub json: bool,
}
