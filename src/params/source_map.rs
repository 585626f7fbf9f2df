//! The way back from a key of the job to the place in the text that it came from.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Origin;
use crate::finding::KeyPath;

/// Where a key stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The text.
    pub origin: Origin,
    /// The byte range in it.
    pub span: Range<usize>,
}

/// Byte ranges of every key that was read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SourceMap {
    places: BTreeMap<KeyPath, Range<usize>>,
    survey: BTreeMap<KeyPath, Range<usize>>,
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
        for p in ancestors(path) {
            if let Some(span) = self.places.get(&p) {
                return Place { origin: Origin::JobFile, span: span.clone() };
            }
            if let Some(span) = self.survey.get(&p) {
                return Place { origin: Origin::Survey, span: span.clone() };
            }
        }
        Place { origin: Origin::JobFile, span: self.end..self.end }
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
