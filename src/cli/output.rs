//! The two streams: data to standard output, messages to standard error.

use std::io::{self, IsTerminal, Write};

use clap::ColorChoice;

use super::input::Input;
use super::report::{self, Sources, Style};
use super::{Failure, Outcome};
use crate::finding::Finding;
use crate::formats::drawing::clean;
use crate::params::Problem;

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

    /// A message of one or more lines; what of it comes from files and arguments cannot command the
    /// terminal.
    pub(super) fn say(&self, text: &str) {
        let clean: Vec<String> = text.split('\n').map(clean).collect();
        Self::tell(&clean.join("\n"));
    }

    /// A finished report, cleaned where it was written and perhaps coloured; that nobody may be left
    /// to read it is no reason to fail.
    fn tell(report: &str) {
        let _ = writeln!(io::stderr().lock(), "{report}");
    }

    /// A message that the run has failed.
    pub(super) fn error(&self, text: &str) {
        Self::tell(&report::stopped(text, self.style));
    }

    /// Mistakes in the input, and notes about it.
    pub(super) fn problems(&self, sources: &Sources<'_>, problems: &[Problem]) {
        if !problems.is_empty() {
            Self::tell(report::problems(sources, problems, self.style).trim_end_matches('\n'));
            self.say("");
        }
    }

    /// Findings of the checks, and a count of them and of the notes about the input.
    pub(super) fn findings(&self, input: &Input, findings: &[Finding]) {
        if !findings.is_empty() {
            let text = report::findings(&input.sources(), &input.map, findings, self.style);
            Self::tell(text.trim_end_matches('\n'));
            self.say("");
        }
        if !(findings.is_empty() && input.notices.is_empty()) {
            self.say(&report::summary_of(&input.notices, findings));
        }
    }
}
