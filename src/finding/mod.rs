//! What any stage can say about a job: findings, the rules behind them, and the keys they lead to.
//!
//! Plain data without a formula: the rooms above fill it in. Guarantees: the order of severities is
//! note, warning, error. Not here: where a key stands in the file (see the source map of the job file).

mod key_path;

use serde::Serialize;

pub use key_path::KeyPath;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Explains; nothing to do.
    Note,
    /// The parts are written; read this first.
    Warning,
    /// The parts concerned are not written.
    Error,
}

/// A value of the job file that would cure a finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Remedy {
    /// The key to change.
    pub key: KeyPath,
    /// The smallest change, as an instruction with a number: `at least 0.6 mm`.
    pub change: String,
    /// Keys that must change with it, each with its own instruction.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub together: Vec<(KeyPath, String)>,
}

impl Remedy {
    /// A change of one key.
    #[must_use]
    pub fn new(key: KeyPath, change: impl Into<String>) -> Self {
        Self { key, change: change.into(), together: Vec::new() }
    }

    /// The instruction for the key, and those for the keys that must change with it.
    #[must_use]
    pub fn text(&self) -> String {
        let more = self.together.iter().map(|(key, change)| format!(" and {key}: {change}"));
        std::iter::once(self.change.clone()).chain(more).collect()
    }
}

/// One result of a check.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Kebab-case words, the name that `why` takes.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// A lower-case phrase without a full stop, with the numbers and their units.
    pub message: String,
    /// What was found, with its unit.
    pub measured: Option<String>,
    /// What is allowed, with its unit.
    pub limit: Option<String>,
    /// Names of the parts concerned (as in the manifest); empty when it concerns the job.
    pub parts: Vec<String>,
    /// The keys of the job file that caused it, the most telling first.
    pub keys: Vec<KeyPath>,
    /// The smallest change that cures it.
    pub remedies: Vec<Remedy>,
}

impl Finding {
    /// A finding with a message; the rest is added by the `with` calls.
    #[must_use]
    pub fn new(code: &'static str, severity: Severity, message: impl Into<String>) -> Self {
        Self {
            code,
            severity,
            message: message.into(),
            measured: None,
            limit: None,
            parts: Vec::new(),
            keys: Vec::new(),
            remedies: Vec::new(),
        }
    }

    /// Adds the measured value and its limit.
    #[must_use]
    pub fn measured(mut self, measured: impl ToString, limit: impl ToString) -> Self {
        self.measured = Some(measured.to_string());
        self.limit = Some(limit.to_string());
        self
    }

    /// Adds a part that it concerns.
    #[must_use]
    pub fn part(mut self, name: impl ToString) -> Self {
        self.parts.push(name.to_string());
        self
    }

    /// Adds a key that caused it.
    #[must_use]
    pub fn key(mut self, dotted: impl Into<String>) -> Self {
        self.keys.push(KeyPath::new(dotted));
        self
    }

    /// Adds a change that cures it.
    #[must_use]
    pub fn remedy(mut self, dotted: impl Into<String>, change: impl Into<String>) -> Self {
        self.remedies.push(Remedy::new(KeyPath::new(dotted), change));
        self
    }
}

/// What `why` prints for a finding's code.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Kebab-case words.
    pub code: &'static str,
    /// What is checked, in one phrase.
    pub title: &'static str,
    /// Why it matters to the person who prints and straps.
    pub why: &'static str,
    /// The formula in words and symbols.
    pub formula: &'static str,
    /// Where the formula and the limit come from.
    pub source: &'static str,
    /// What to do about it.
    pub cure: &'static str,
}
