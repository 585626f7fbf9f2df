//! The two streams: data to standard output, messages to standard error.

use std::io::{self, IsTerminal, Write};

use clap::ColorChoice;

use super::report::{self, Sources, Style};
use super::{Failure, Outcome};
use crate::finding::{Finding, Severity};
use crate::params::{Problem, SourceMap};

/// Where messages go, and whether they are coloured.
pub(super) struct Output {
    style: Style,
}

impl Output {
    /// Colour as asked; `auto` colours on a terminal unless `NO_COLOR` is set or it is a dumb one.
    pub(super) fn new(color: ColorChoice) -> Self {
        let set = |name| std::env::var_os(name).is_some_and(|v| !v.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
        let coloured = match color {
            ColorChoice::Always => true,
            ColorChoice::Never => false,
            ColorChoice::Auto => io::stderr().is_terminal() && !set("NO_COLOR") && !dumb,
        };
        Self { style: if coloured { Style::Coloured } else { Style::Plain } }
    }

    /// Whether somebody watches the messages.
    pub(super) fn is_watched(&self) -> bool {
        io::stderr().is_terminal()
    }

    /// Writes data to standard output.
    pub(super) fn data(&self, bytes: &[u8]) -> Result<Outcome, Failure> {
        let mut out = io::stdout().lock();
        match out.write_all(bytes).and_then(|()| out.flush()) {
            Ok(()) => Ok(Outcome::Done),
            Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Err(Failure::ClosedPipe),
            Err(e) => Err(Failure::Io(format!("cannot write to standard output: {e}"))),
        }
    }

    /// A message; that nobody may be left to read it is no reason to fail.
    pub(super) fn say(&self, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{text}");
    }

    /// A message that the run has failed.
    pub(super) fn error(&self, text: &str) {
        let (on, off) = match self.style {
            Style::Coloured => ("\u{1b}[1;31m", "\u{1b}[0m"),
            Style::Plain => ("", ""),
        };
        self.say(&format!("{on}error{off}: {text}"));
    }

    /// Mistakes of the input.
    pub(super) fn problems(&self, sources: &Sources<'_>, problems: &[Problem], severity: Severity) {
        if !problems.is_empty() {
            self.say(&report::problems(sources, problems, severity, self.style));
        }
    }

    /// Findings of the checks, and their count.
    pub(super) fn findings(&self, sources: &Sources<'_>, map: &SourceMap, findings: &[Finding]) {
        if !findings.is_empty() {
            self.say(&report::findings(sources, map, findings, self.style));
            self.say(&report::summary_of(findings));
        }
    }
}
