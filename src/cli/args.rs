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
    after_help = "A first evening:\n  \
                  bolewright begin                a job file to fill in\n  \
                  bolewright why measuring-trunk  where to put the tape\n  \
                  bolewright check job.toml       until nothing is wrong\n  \
                  bolewright make job.toml        everything, into out/job\n\n\
                  Exit codes: 0 all written; 1 a check failed; 2 could not run.\n\
                  Data goes to standard output, messages go to standard error."
)]
pub struct Cli {
    /// When to colour messages; NO_COLOR is honoured
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub colour: ColorChoice,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a commented job file to start from
    #[command(after_help = "Example:\n  bolewright begin lime-walk.toml\n\n\
                            Exit codes: 0 written; 2 it is there already, or cannot be written.")]
    Begin {
        /// Where to; never overwrites a file
        #[arg(default_value = "job.toml", value_hint = ValueHint::FilePath)]
        path: PathBuf,
    },
    /// Check a job and write nothing
    #[command(after_help = "Examples:\n  bolewright check job.toml\n  \
                            bolewright check job.toml --set strap.width=30 --girth \"Old Lime=1.19 m\"\n\n\
                            Exit codes: 0 no error (warnings may be shown); 1 a check failed; \
                            2 mistakes in the input.\n\
                            Each finding has a page: bolewright why CODE")]
    Check {
        #[command(flatten)]
        job: JobArgs,
        /// Findings and every derived dimension as JSON
        #[arg(long)]
        json: bool,
    },
    /// Make every part and document of a job
    #[command(
        after_help = "Examples:\n  bolewright make job.toml                             all, into out/job\n  \
                            bolewright make job.toml --girth \"Old Lime=1.19 m\"   a trunk measured again\n  \
                            bolewright make job.toml --since out/job -o out/2028  only what no longer fits\n  \
                            bolewright make job.toml --only cradle               some parts alone\n  \
                            bolewright make job.toml --only beds --only sheet     some files alone\n\n\
                            Files that are already right are left as they are.\n\
                            Exit codes: 0 all written; 1 a check failed, the parts that it names \
                            were not written; 2 nothing written."
    )]
    Make {
        #[command(flatten)]
        job: JobArgs,
        #[command(flatten)]
        make: MakeArgs,
    },
    /// Which printed size serves a girth, and how well
    #[command(
        after_help = "Examples:\n  bolewright fit job.toml                     the job's sizes\n  \
                            bolewright fit job.toml 1130mm \"44 1/2 in\"  these girths\n\n\
                            Exit codes: 0 each is served; 1 one is not, or a check failed; \
                            2 could not run."
    )]
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
    /// The sums of a job: the tightest first, or some in full
    #[command(
        after_help = "Examples:\n  bolewright sums job.toml                    in short, tightest first\n  \
                            bolewright sums job.toml --only feed        in full, with formulas and sources\n  \
                            bolewright sums job.toml --trunk \"Old Lime\"\n\n\
                            Exit codes: 0 printed; 1 a check failed; 2 could not run."
    )]
    Sums {
        #[command(flatten)]
        job: JobArgs,
        /// In full, the sums with this word in their name or subject, such as feed, strap or "tilt lock"
        #[arg(long, value_name = "WORD")]
        only: Option<String>,
        /// In full, the sums of this trunk
        #[arg(long, value_name = "NAME")]
        trunk: Option<String>,
        /// Every sum, as JSON
        #[arg(long)]
        json: bool,
    },
    /// Why a finding is one, what a key of the job file means, or how to measure
    #[command(
        after_help = "Examples:\n  bolewright why                        all findings, mistakes and pages\n  \
                            bolewright why wire-too-thin          a finding\n  \
                            bolewright why strap.clearance        a key of the job file\n  \
                            bolewright why measuring-trunk --svg > trunk.svg\n\n\
                            Exit codes: 0 explained; 2 no such name."
    )]
    Why {
        /// Such as wall-too-thin, strap.clearance or measuring-trunk; without it, a list of all
        #[arg(value_name = "CODE|KEY|PAGE")]
        name: Option<String>,
        /// The page's drawing, as SVG
        #[arg(long, requires = "name")]
        svg: bool,
    },
    /// Print the JSON Schema of the job file, for editors, or of the manifest
    #[command(
        after_help = "Example:\n  bolewright schema > job.schema.json   beside the job file, whose first line names it"
    )]
    Schema {
        /// Of the manifest of a set instead
        #[arg(long)]
        manifest: bool,
    },
    /// Print shell completions
    #[command(
        after_help = "Example:\n  bolewright completions bash > ~/.local/share/bash-completion/completions/bolewright"
    )]
    Completions {
        /// For which shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    #[command(after_help = "Examples:\n  bolewright man > bolewright.1\n  \
                            bolewright man make > bolewright-make.1")]
    Man {
        /// Of one command; without it, of the whole program
        #[arg(value_name = "COMMAND")]
        of: Option<String>,
    },
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
    /// Another value for a key, for this run only.
    // Brackets would be a link in the documentation.
    #[arg(
        long,
        value_name = "KEY=VALUE",
        help = "Another value for a key, for this run only: strap.width=30; of several, [0] is the first"
    )]
    pub set: Vec<Override>,
}

/// How to make a set.
#[derive(Debug, Args)]
pub struct MakeArgs {
    /// Folder of the set; the job file's name under `out` when not given
    #[arg(long, short, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Only this of the set, and the rest stays as it is: a part's name or kind, such as cradle-a or
    /// rail, or print, exact, beds, templates, pictures, sheet or trunks; may be given again
    #[arg(long, value_name = "NAME", conflicts_with = "sweep")]
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
