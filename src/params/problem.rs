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
        "the name is empty or too long, or has characters that no file name may have",
        "letters, digits, blanks and hyphens serve everywhere",
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
        "--set strap.width=30, --girth \"Old Lime=1.19 m\"",
    ),
    mistake(
        "bad-row",
        "a line of the survey cannot be read as a trunk",
        "the first line names the columns, such as name, girth [cm]; each further line is a trunk",
    ),
    mistake(
        "odd-girth",
        "a girth of the survey is far from the others, as a wrong unit would make it",
        "check the tape's unit in that line; if the tree is like that, leave it",
    ),
    mistake(
        "newer-format",
        "the job file was written for a later version of the program",
        "get that version, or write the file anew with `begin`",
    ),
];

const fn mistake(code: &'static str, meaning: &'static str, cure: &'static str) -> Mistake {
    Mistake { code, meaning, cure }
}
