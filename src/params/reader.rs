//! Reads a job file: text in, typed job out, or every mistake at once.
//!
//! The text is parsed by the `toml` crate with the byte range of every value; the declared tables
//! take their keys from the tree; the survey's rows and the arguments of the command line follow;
//! at last the keys are compared with each other. A [`Draft`] holds what could be read so far beside
//! every mistake, so that a broken line hides no mistake in another file. Nothing here touches a
//! file.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use super::formats;
use super::overrides::{self, Override};
use super::problem::{Problem, in_order};
use super::source_map::{Origin, SourceMap};
use super::spec::{Field, Kind};
use super::value::{Node, Table, Value};
use super::{FORMAT, Job, consistency, meant, text};
use crate::finding::{KeyPath, Severity};

/// Largest job file or survey, in bytes: far above any hand-written one.
pub(crate) const LARGEST_FILE: usize = 2_000_000;
/// Most trunks in a job.
pub(crate) const MOST_TRUNKS: usize = 5_000;

/// A job, and the way back into the text it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The job.
    pub job: Job,
    /// Where each key stands.
    pub source_map: SourceMap,
    /// What to tell about the input though it can be read: warnings and notes.
    pub notices: Vec<Problem>,
}

/// Reads a job file.
///
/// # Errors
/// Every mistake of the file, in the order of the text.
///
/// ```
/// let mistakes = bolewright::params::read("[job]\nnmae = \"Quillmere\"").unwrap_err();
/// assert_eq!(mistakes[0].code, "unknown-key");
/// assert_eq!(mistakes[0].remedy.as_deref(), Some("write name if that was meant"));
/// ```
pub fn read(source: &str) -> Result<Loaded, Vec<Problem>> {
    read_with(source, &[])
}

/// Reads a job file in which some keys are replaced, as by `--set strap.width=30`.
///
/// # Errors
/// Every mistake of the file and of the replacements, in the order of the text.
pub fn read_with(source: &str, overrides: &[Override]) -> Result<Loaded, Vec<Problem>> {
    Draft::new(source, overrides).finish()
}

/// A job while it is read: what could be read, with stand-ins for what could not, and every mistake
/// met so far.
#[derive(Debug)]
pub struct Draft {
    pub(super) job: Job,
    pub(super) reader: Reader,
    /// The trunks are all there: nothing of them was left out.
    pub(super) has_all_trunks: bool,
    /// Nothing more is to be said: the text is no job file that this program can judge.
    is_closed: bool,
}

impl Draft {
    /// Reads the text of a job file.
    #[must_use]
    pub fn new(source: &str, overrides: &[Override]) -> Self {
        if source.len() > LARGEST_FILE {
            let message = format!("the file has {} bytes, more than {LARGEST_FILE}", source.len());
            return Self::closed(Problem::in_job("too-large", 0..0, message));
        }
        let (tree, errors) = DeTable::parse_recoverable(source);
        let syntax = not_toml(source, &errors);
        let mut tree = tree.into_inner();
        let map = SourceMap::new(source.trim_end().len());
        let mut reader =
            Reader { map, trusts_written_only: !syntax.is_empty(), ..Reader::default() };
        reader.problems.extend(formats::modernise(&mut tree));
        overrides::apply(&mut tree, overrides, &mut reader);
        if let Some(trunks) = tree.get("trunk").and_then(|t| t.get_ref().as_array())
            && trunks.len() > MOST_TRUNKS
        {
            let message = format!("the job has {} trunks, more than {MOST_TRUNKS}", trunks.len());
            let span = tree.get("trunk").map_or(0..0, Spanned::span);
            return Self::closed(Problem::in_job("too-large", span, message));
        }
        if let Some(newer) = newer_format(&tree) {
            return Self::closed(newer);
        }
        let root = KeyPath::new("");
        let keys: Vec<_> = Job::spec().fields.iter().map(|f| f.key).collect();
        let job = Job::from_fields(&mut Fields::new(Some(&tree), &root, &keys, &mut reader));
        consistency::check_tables(&job, &mut reader);
        reader.problems = beside_syntax(source, syntax, reader.problems);
        let has_all_trunks = job.job.survey.is_none();
        Self { job, reader, has_all_trunks, is_closed: false }
    }

    /// The only thing that is to be said.
    fn closed(problem: Problem) -> Self {
        let reader = Reader { problems: vec![problem], ..Reader::default() };
        Self { job: <Job as Table>::stand_in(), reader, has_all_trunks: false, is_closed: true }
    }

    /// The survey that the job names, a file beside the job file.
    #[must_use]
    pub fn survey(&self) -> Option<&str> {
        self.job.job.survey.as_deref().filter(|_| !self.is_closed)
    }

    /// Says why the survey cannot be read.
    pub fn lacks_survey(&mut self, why: &str) {
        let key = KeyPath::new("job.survey");
        let problem = Problem::new("no-survey", self.reader.map.place(&key), why)
            .with_remedy("save the survey as CSV in UTF-8 beside the job file")
            .with_key(key);
        self.reader.problems.push(problem);
    }

    /// The job, when nothing is wrong with it.
    ///
    /// # Errors
    /// Every mistake met, with warnings and notes between them, in the order of the texts.
    pub fn finish(mut self) -> Result<Loaded, Vec<Problem>> {
        if !self.is_closed {
            consistency::check_trunks(&self.job, self.has_all_trunks, &mut self.reader);
        }
        let problems = in_order(self.reader.problems);
        if problems.iter().any(|p| p.severity == Severity::Error) {
            return Err(problems);
        }
        Ok(Loaded { job: self.job, source_map: self.reader.map, notices: problems })
    }
}

/// A job file of a later format may mean anything: that is the only thing to say about it.
fn newer_format(tree: &DeTable<'_>) -> Option<Problem> {
    let found = formats::written_format(tree)?;
    (found > i64::from(FORMAT)).then(|| {
        let written = tree.get("job").and_then(|j| j.get_ref().as_table()?.get("format"));
        let message = format!(
            "this job file is of format {found}, and this program ({}) reads up to format {FORMAT}",
            env!("CARGO_PKG_VERSION"),
        );
        Problem::in_job("newer-format", written.map_or(0..0, Spanned::span), message)
            .with_key(KeyPath::new("job.format"))
            .with_remedy("use the later version of the program that the file was written for")
    })
}

/// A file with more lines that cannot be read is no job file, and putting them right takes its time.
const MOST_MENDED: usize = 200;

/// One mistake for each line that is not TOML.
fn not_toml(source: &str, errors: &[toml::de::Error]) -> Vec<Problem> {
    let lines = text::Lines::of(source);
    let mut seen = BTreeSet::new();
    let mut problems = Vec::new();
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let start = source.floor_char_boundary(span.start);
        let end = source.ceil_char_boundary(span.end).max(start);
        if !seen.insert(lines.line(start)) {
            continue;
        }
        // The parser's own words are for those who write parsers, but for this one.
        let is_twice = error.message().starts_with("duplicate key");
        let message =
            if is_twice { "this key is written twice" } else { "this line cannot be read" };
        let problem = Problem::in_job("not-toml", start..end, message).with_line();
        problems.push(match (is_twice, problems.len() < MOST_MENDED) {
            (true, _) => problem.with_remedy("keep one of the two"),
            (false, true) => problem.with_remedy(meant::line(source, start)),
            (false, false) => problem,
        });
    }
    problems
}

/// The mistakes that stand for themselves beside broken TOML: what the broken lines may have
/// caused (a missing key, a torn value) is left for the next run.
fn beside_syntax(source: &str, mut syntax: Vec<Problem>, others: Vec<Problem>) -> Vec<Problem> {
    if syntax.is_empty() {
        return others;
    }
    let lines = text::Lines::of(source);
    let mut around: Vec<Range<usize>> =
        syntax.iter().map(|p| lines.around(&p.place.span)).collect();
    around.sort_unstable_by_key(|b| (b.start, b.end));
    // Merged where they meet, so that ends are in order as well.
    let mut broken: Vec<Range<usize>> = Vec::new();
    for one in around {
        match broken.last_mut() {
            Some(last) if one.start <= last.end => last.end = last.end.max(one.end),
            _ => broken.push(one),
        }
    }
    let is_torn = |span: &Range<usize>| {
        let next = broken.partition_point(|b| b.end <= span.start);
        broken.get(next).is_some_and(|b| b.start < span.end.max(span.start + 1))
    };
    syntax
        .extend(others.into_iter().filter(|p| p.code != "missing-key" && !is_torn(&p.place.span)));
    syntax
}

/// What has been found so far while a text is read.
#[derive(Debug, Default)]
pub(crate) struct Reader {
    pub(crate) map: SourceMap,
    pub(crate) problems: Vec<Problem>,
    /// Keys that could not be read: comparisons are silent about them.
    pub(crate) failed: BTreeSet<KeyPath>,
    /// Something of the text is lost, so that what is not written may have been meant to be: keys are
    /// compared only where they are written.
    pub(crate) trusts_written_only: bool,
}

impl Reader {
    /// Reports a key that cannot be read; always `None`, so that it can end a reading.
    pub(crate) fn fail<T>(&mut self, path: &KeyPath, mut problem: Problem) -> Option<T> {
        problem.place.given = self.map.place(path).given;
        problem.key.get_or_insert_with(|| path.clone());
        self.failed.insert(path.clone());
        self.problems.push(problem);
        None
    }

    /// Reports keys that cannot hold together, at the first of them, unless one has failed already.
    pub(crate) fn contradiction(
        &mut self,
        code: &'static str,
        keys: &[KeyPath],
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let Some((first, others)) = keys.split_first() else { return };
        let is_lost = |key: &KeyPath| self.trusts_written_only && !self.map.is_told(key);
        if keys.iter().any(|key| self.has_failed(key) || is_lost(key)) {
            return;
        }
        let mut problem = Problem::new(code, self.map.place(first), message)
            .with_key(first.clone())
            .with_remedy(remedy);
        for other in others.iter().filter(|other| self.map.is_told(other)) {
            problem = problem.with_also(other.clone(), self.map.place(other));
        }
        self.problems.push(problem);
    }

    pub(crate) fn has_failed(&self, key: &KeyPath) -> bool {
        let mut next = Some(key.clone());
        while let Some(path) = next {
            if self.failed.contains(&path) {
                return true;
            }
            next = path.parent();
        }
        false
    }
}

/// The keys of one table, being taken.
pub(crate) struct Fields<'a, 'i, 'r> {
    table: Option<&'a DeTable<'i>>,
    path: &'a KeyPath,
    /// Keys that a misspelt one was probably meant to be.
    intended: Vec<&'static str>,
    reader: &'r mut Reader,
}

impl<'a, 'i, 'r> Fields<'a, 'i, 'r> {
    /// Begins a table, and reports what it has beside its known keys.
    pub(crate) fn new(
        table: Option<&'a DeTable<'i>>,
        path: &'a KeyPath,
        known: &[&'static str],
        reader: &'r mut Reader,
    ) -> Self {
        let mut intended = Vec::new();
        for (key, _) in table.into_iter().flatten() {
            let written: &str = key.get_ref();
            if known.contains(&written) {
                continue;
            }
            let near = meant::key(written, known);
            let message = match path.as_str() {
                "" => format!("a job has no table {}", text::shown(written)),
                table => format!("the table {table} has no key {}", text::shown(written)),
            };
            let remedy = match near {
                Some(near) => format!("write {near} if that was meant"),
                None => format!("its keys are {}", known.join(", ")),
            };
            if let Some(near) = near {
                reader.failed.insert(path.child(near));
                intended.push(near);
            }
            let problem = Problem::in_job("unknown-key", key.span(), message).with_remedy(remedy);
            let _: Option<()> = reader.fail(&path.child(written), problem);
        }
        Self { table, path, intended, reader }
    }

    /// Takes a key: what is written, else its default, else a stand-in with a report.
    pub(crate) fn take<T: Value>(
        &mut self,
        field: Option<&'static Field>,
        default: Option<T>,
    ) -> T {
        let Some(field) = field else { return T::stand_in() };
        let path = self.path.child(field.key);
        if let Some(value) = self.table.and_then(|t| t.get(field.key)) {
            self.reader.map.insert(path.clone(), value.span());
            let node = Node { value, path: &path };
            return T::read(&node, field, self.reader).unwrap_or_else(T::stand_in);
        }
        default.or_else(T::absent).unwrap_or_else(|| {
            // The table or the key itself may stand there under a wrong name.
            if !self.intended.contains(&field.key) && !self.reader.has_failed(&path) {
                self.missing(field, &path);
            }
            T::stand_in()
        })
    }

    fn missing(&mut self, field: &Field, path: &KeyPath) {
        let place = self.reader.map.place(path);
        let kind = (field.kind)();
        let remedy = match &kind {
            Kind::Table(_) | Kind::Tagged(_) => {
                format!("add a table [{path}]: {}", first_words(field.doc))
            }
            Kind::Quantity(d) => {
                format!("write {} = \"{}\" or what was measured", field.key, d.example)
            }
            _ => format!("write {} = {}", field.key, kind.expected()),
        };
        // A table around it may stand in the survey, but what is missing is missing in the job file.
        let span = if place.origin == Origin::JobFile { place.span } else { 0..0 };
        let problem = Problem::in_job("missing-key", span, format!("{path} is not written"))
            .with_remedy(remedy);
        let _: Option<()> = self.reader.fail(path, problem);
    }
}

/// A description as the end of a sentence.
fn first_words(doc: &str) -> String {
    let doc = doc.trim().trim_end_matches('.');
    let mut chars = doc.chars();
    chars.next().map_or(String::new(), |c| c.to_lowercase().chain(chars).collect())
}
