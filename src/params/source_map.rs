//! The way back from a key of the job to the place in the text that it came from.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::finding::KeyPath;

/// Which text a place is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// The job file.
    JobFile,
    /// The survey.
    Survey,
}

/// Where a key stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The text.
    pub origin: Origin,
    /// The byte range in it; it lies within the text, on character borders.
    pub span: Range<usize>,
    /// The argument of the command line that gave the value in place of the text:
    /// `--set strap.width=30`.
    pub given: Option<String>,
}

impl Place {
    /// A place in the job file.
    #[must_use]
    pub const fn in_job(span: Range<usize>) -> Self {
        Self { origin: Origin::JobFile, span, given: None }
    }

    /// A place in the survey.
    #[must_use]
    pub const fn in_survey(span: Range<usize>) -> Self {
        Self { origin: Origin::Survey, span, given: None }
    }
}

/// Byte ranges of every key that was read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SourceMap {
    places: BTreeMap<KeyPath, Range<usize>>,
    survey: BTreeMap<KeyPath, Range<usize>>,
    given: BTreeMap<KeyPath, String>,
    end: usize,
}

impl SourceMap {
    pub(crate) fn new(end: usize) -> Self {
        Self { end, ..Self::default() }
    }

    pub(crate) fn insert(&mut self, path: KeyPath, span: Range<usize>) {
        self.places.insert(path, span);
    }

    pub(crate) fn insert_survey(&mut self, path: KeyPath, span: Range<usize>) {
        self.survey.insert(path, span);
    }

    /// Notes that an argument of the command line gave this key's value.
    pub(crate) fn insert_given(&mut self, path: KeyPath, argument: String) {
        self.given.insert(path, argument);
    }

    /// The value of this key in the job file; the header of its table when the key was not
    /// written, or of the table around that. `None` when no table above it was written either.
    #[must_use]
    pub fn locate(&self, path: &KeyPath) -> Option<Range<usize>> {
        ancestors(path).find_map(|p| self.places.get(&p).cloned())
    }

    /// The place of this key in the job file or the survey; the end of the job file when neither
    /// it nor a table above it was written.
    #[must_use]
    pub fn place(&self, path: &KeyPath) -> Place {
        let given = ancestors(path).find_map(|p| self.given.get(&p).cloned());
        let mut place = Place::in_job(self.end..self.end);
        for p in ancestors(path) {
            if let Some(span) = self.places.get(&p) {
                place = Place::in_job(span.clone());
                break;
            }
            if let Some(span) = self.survey.get(&p) {
                place = Place::in_survey(span.clone());
                break;
            }
        }
        Place { given, ..place }
    }

    /// Whether this very key was written, in the job file or in a cell of the survey.
    #[must_use]
    pub fn is_told(&self, path: &KeyPath) -> bool {
        self.places.contains_key(path) || self.survey.contains_key(path)
    }

    /// Whether this very key was written in the job file.
    #[must_use]
    pub fn is_written(&self, path: &KeyPath) -> bool {
        self.places.contains_key(path)
    }
}

/// The path itself, then each table around it.
fn ancestors(path: &KeyPath) -> impl Iterator<Item = KeyPath> {
    std::iter::successors(Some(path.clone()), KeyPath::parent)
}
