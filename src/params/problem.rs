//! What is wrong with an input text: a code, the place, and what to do about it.

use std::ops::Range;

use super::Place;
use crate::finding::{KeyPath, Severity};

/// One mistake in the job file, the survey or the arguments, or something to note about them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Kebab-case words.
    pub code: &'static str,
    /// An error keeps the job from being read.
    pub severity: Severity,
    /// What is wrong: a lower-case phrase without a full stop, with numbers and units.
    pub message: String,
    /// Where it stands.
    pub place: Place,
    /// The key that it is about, or the column of a survey.
    pub key: Option<KeyPath>,
    /// Other keys that belong to it, and where they stand.
    pub also: Vec<(KeyPath, Place)>,
    /// What to write, as an instruction.
    pub remedy: Option<String>,
    /// Whether the line is worth showing.
    pub shows_line: bool,
}

impl Problem {
    /// A mistake at a place; the rest is added by the `with` calls.
    #[must_use]
    pub fn new(code: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            place,
            key: None,
            also: Vec::new(),
            remedy: None,
            shows_line: false,
        }
    }

    /// A mistake in the job file.
    #[must_use]
    pub(crate) fn in_job(
        code: &'static str,
        span: Range<usize>,
        message: impl Into<String>,
    ) -> Self {
        Self::new(code, Place::in_job(span), message)
    }

    /// The same with another weight.
    #[must_use]
    pub(crate) fn with_severity(mut self, severity: Severity) -> Self {
        self.severity = severity;
        self
    }

    /// Says which key it is about.
    #[must_use]
    pub(crate) fn with_key(mut self, key: KeyPath) -> Self {
        self.key = Some(key);
        self
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn with_remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// Adds another key that belongs to it.
    #[must_use]
    pub(crate) fn with_also(mut self, key: KeyPath, place: Place) -> Self {
        self.also.push((key, place));
        self
    }

    /// Shows the line in which it stands.
    #[must_use]
    pub(crate) fn with_line(mut self) -> Self {
        self.shows_line = true;
        self
    }
}

/// Sorts by place and drops what is said twice.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    let place = |p: &Problem| (p.place.origin, p.place.span.start, p.place.span.end);
    problems.sort_by(|a, b| {
        place(a).cmp(&place(b)).then_with(|| (a.code, &a.message).cmp(&(b.code, &b.message)))
    });
    problems.dedup();
    problems
}

/// A kind of mistake: what `why` says about the code of a [`Problem`].
#[derive(Debug, Clone, Copy)]
pub struct Mistake {
    /// Kebab-case words.
    pub code: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// What to do about it.
    pub cure: &'static str,
}

/// Every code that a [`Problem`] can have.
pub const MISTAKES: &[Mistake] = &[
    mistake(
        "not-toml",
        "the job file does not follow the TOML 1.0 grammar (toml.io)",
        "a line is `key = value`, `[table]`, `[[table]]` or `# a remark`; text stands in straight quotes, numbers have a decimal point",
    ),
    mistake(
        "too-large",
        "the file is larger than the reader takes, or has too many trunks or lines",
        "split the job: one file a street or a garden",
    ),
    mistake(
        "wrong-type",
        "the key holds another kind of value than it needs, such as text for a number",
        "`why KEY` says what to write",
    ),
    mistake(
        "missing-key",
        "a key, table or entry that the job needs is not written",
        "add it to its table; `begin` writes a file that has them all",
    ),
    mistake(
        "unknown-key",
        "no key of this table has this name; often a slip of the pen",
        "`why TABLE` lists the keys of a table",
    ),
    mistake(
        "unknown-word",
        "the key takes one of a few words, and this is none of them",
        "`why KEY` lists the words",
    ),
    mistake(
        "bad-quantity",
        "the text is no quantity with a unit of this kind",
        "number, then unit, with a decimal point: \"1.13 m\", \"44 1/2 in\"; `why KEY` lists the units",
    ),
    mistake("not-finite", "the number is infinite or not a number", "write the number as measured"),
    mistake(
        "out-of-range",
        "the value lies outside the range in which the sums and the parts hold",
        "often a missing unit: a bare 113 is millimetres; write \"113 cm\"",
    ),
    mistake(
        "bad-name",
        "the name is empty or too long, or has control characters; the survey's is more than a file's name",
        "one line of ordinary text; the survey lies beside the job file",
    ),
    mistake(
        "bad-text",
        "the text has control characters or is too long",
        "type it again instead of pasting it",
    ),
    mistake(
        "bad-date",
        "the date does not exist, or is more than a date",
        "year, month, day: 2027-05-28",
    ),
    mistake(
        "duplicate-name",
        "two trunks have the same name; capitals and blanks at the ends do not count",
        "give each trunk its own name, such as Lime 1 and Lime 2",
    ),
    mistake(
        "contradiction",
        "two keys cannot both hold, such as a smallest tilt above the largest",
        "both places are shown; change one of them",
    ),
    mistake(
        "bad-override",
        "a value given on the command line names no key or trunk, or cannot be read",
        "--set strap.width=30, --girth \"Old Lime=1.19 m\", fit JOB \"1.19 m\"",
    ),
    mistake(
        "bad-row",
        "a row of the survey cannot be read as a trunk",
        "`why survey` lists the columns; the first row names them, each further row is a trunk",
    ),
    mistake(
        "no-survey",
        "the survey that the job file names cannot be read",
        "save it as CSV in UTF-8 beside the job file, under the name that `job.survey` gives",
    ),
    mistake(
        "odd-girth",
        "a girth of the survey is far from the others, as a wrong unit would make it",
        "check the tape's unit in those rows; if the trees are like that, leave them",
    ),
    mistake(
        "newer-format",
        "the job file was written for a later version of the program",
        "get that version, or write the file anew with `begin`",
    ),
    mistake(
        "older-format",
        "the job file has keys by the names of an earlier format; it is read all the same",
        "write the new names when you next change the file; `why versions` has them",
    ),
];

const fn mistake(code: &'static str, meaning: &'static str, cure: &'static str) -> Mistake {
    Mistake { code, meaning, cure }
}
