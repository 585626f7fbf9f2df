//! What is wrong with an input text: a code, the place, and what to do about it.

use std::ops::Range;

/// Which text a span belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// The job file.
    JobFile,
    /// The survey.
    Survey,
}

/// One mistake in the job file or the survey.
///
/// Spans are byte ranges of the text that was read; they lie within it, on character borders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Kebab-case words.
    pub code: &'static str,
    /// A lower-case phrase without a full stop, with numbers and units.
    pub message: String,
    /// The text in which it stands.
    pub origin: Origin,
    /// Where it stands.
    pub span: Range<usize>,
    /// Other places that belong to it, each with what stands there.
    pub secondary: Vec<(Range<usize>, String)>,
    /// What to do, as an instruction.
    pub remedy: Option<String>,
}

impl Problem {
    /// A problem at a place; the rest is added by the `with` calls.
    #[must_use]
    pub fn new(code: &'static str, span: Range<usize>, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            origin: Origin::JobFile,
            span,
            secondary: Vec::new(),
            remedy: None,
        }
    }

    /// The same in another text.
    #[must_use]
    pub fn in_text(mut self, origin: Origin) -> Self {
        self.origin = origin;
        self
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn with_remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// Adds another place.
    #[must_use]
    pub fn with_place(mut self, span: Range<usize>, label: impl Into<String>) -> Self {
        self.secondary.push((span, label.into()));
        self
    }
}

/// Sorts by place and drops what is said twice.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by(|a, b| {
        (a.origin, a.span.start, a.span.end, a.code, &a.message).cmp(&(
            b.origin,
            b.span.start,
            b.span.end,
            b.code,
            &b.message,
        ))
    });
    problems.dedup();
    problems
}

/// Every code of a [`Problem`], with what it means, for `explain`.
pub const PROBLEM_CODES: &[(&str, &str)] = &[
    ("not-toml", "the job file does not follow the TOML 1.0 grammar (toml.io)"),
    (
        "too-large",
        "the file is larger than the reader takes, or has too many trunks, columns or entries",
    ),
    ("wrong-type", "the key holds another kind of value than it needs, such as text for a number"),
    ("missing-key", "a key, table or entry that the job needs is not written"),
    ("unknown-key", "no key of this table has this name; often a slip of the pen"),
    ("unknown-word", "the key takes one of a few words, and this is none of them"),
    ("bad-quantity", "the text is no quantity with a unit of this kind"),
    ("not-finite", "the number is infinite or not a number"),
    ("out-of-range", "the value lies outside the range in which the sums and the parts hold"),
    ("bad-name", "the name is empty or too long, or has characters that no file name may have"),
    ("bad-text", "the text has control characters or is too long"),
    ("bad-date", "the date does not exist, or is more than a date"),
    (
        "duplicate-name",
        "two trunks have the same name; capitals and blanks at the ends do not count",
    ),
    ("contradiction", "two keys cannot both hold, such as a smallest tilt above the largest"),
    ("bad-override", "a value given on the command line names no key or cannot be read"),
    ("bad-row", "a line of the survey cannot be read as a trunk"),
    ("odd-girth", "a girth of the survey is far from the others, as a wrong unit would make it"),
];
