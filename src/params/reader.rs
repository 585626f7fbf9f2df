//! Reads a job file: text in, typed job out, or every mistake at once.
//!
//! The text is parsed by the `toml` crate with the byte range of every value; the declared tables
//! take their keys from the tree; the keys are then compared with each other. Nothing here touches
//! a file.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use super::overrides::{self, Override};
use super::problem::{Problem, in_order};
use super::spec::{Field, Kind};
use super::value::{Node, Table, Value};
use super::{FORMAT, Job, Origin, SourceMap, consistency, meant, text};
use crate::finding::KeyPath;

/// Largest job file or survey, in bytes: far above any hand-written one.
pub const LARGEST_FILE: usize = 2_000_000;
/// Most trunks in a job.
pub const MOST_TRUNKS: usize = 5_000;

/// A job, and the way back into the text it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The job.
    pub job: Job,
    /// Where each key stands.
    pub source_map: SourceMap,
}

/// Reads a job file.
///
/// # Errors
/// Every mistake of the file, in the order of the text.
///
/// ```
/// let mistakes = bolewright::params::read("[job]\nnmae = \"Quillmere\"").unwrap_err();
/// assert_eq!(mistakes[0].code, "unknown-key");
/// assert_eq!(mistakes[0].remedy.as_deref(), Some("did you mean `name`?"));
/// ```
pub fn read(source: &str) -> Result<Loaded, Vec<Problem>> {
    read_with(source, &[])
}

/// Reads a job file in which some keys are replaced, as by `--set strap.width=30`.
///
/// # Errors
/// Every mistake of the file and of the replacements, in the order of the text.
pub fn read_with(source: &str, overrides: &[Override]) -> Result<Loaded, Vec<Problem>> {
    if source.len() > LARGEST_FILE {
        let message = format!("the file has {} bytes, more than {LARGEST_FILE}", source.len());
        return Err(vec![Problem::new("too-large", 0..0, message)]);
    }
    let (tree, errors) = DeTable::parse_recoverable(source);
    let syntax = errors.iter().enumerate();
    let syntax: Vec<Problem> =
        syntax.map(|(i, error)| not_toml(source, error, i < MOST_MENDED)).collect();
    let mut tree = tree.into_inner();
    let mut reader = Reader { map: SourceMap::new(source.trim_end().len()), ..Reader::default() };
    overrides::apply(&mut tree, overrides, &mut reader);
    if let Some(trunks) = tree.get("trunk").and_then(|t| t.get_ref().as_array())
        && trunks.len() > MOST_TRUNKS
    {
        let message = format!("the job has {} trunks, more than {MOST_TRUNKS}", trunks.len());
        let span = tree.get("trunk").map_or(0..0, Spanned::span);
        return Err(vec![Problem::new("too-large", span, message)]);
    }
    if let Some(newer) = newer_format(&tree) {
        return Err(vec![newer]);
    }
    let root = KeyPath::new("");
    let keys: Vec<_> = Job::spec().fields.iter().map(|f| f.key).collect();
    let job = Job::from_fields(&mut Fields::new(Some(&tree), &root, &keys, &mut reader));
    if syntax.is_empty() {
        consistency::check_tables(&job, &mut reader);
        if job.job.survey.is_none() {
            consistency::check_trunks(&job, &mut reader);
        }
    }
    let problems = beside_syntax(source, syntax, reader.problems);
    if problems.is_empty() {
        Ok(Loaded { job, source_map: reader.map })
    } else {
        Err(in_order(problems))
    }
}

/// A job file of a later format may mean anything: that is the only thing to say about it.
fn newer_format(tree: &DeTable<'_>) -> Option<Problem> {
    let written = tree.get("job")?.get_ref().as_table()?.get("format")?;
    let number = written.get_ref().as_integer()?;
    let found = i64::from_str_radix(number.as_str(), number.radix()).unwrap_or(i64::MAX);
    (found > i64::from(FORMAT)).then(|| {
        let message = format!(
            "this job file is of format {}, and this program ({}) reads format {FORMAT}",
            number.as_str(),
            env!("CARGO_PKG_VERSION"),
        );
        Problem::new("newer-format", written.span(), message)
            .with_remedy("use the later version of the program that the file was written for")
    })
}

/// A file with more lines that cannot be read is no job file, and putting them right takes its time.
const MOST_MENDED: usize = 200;

fn not_toml(source: &str, error: &toml::de::Error, mend: bool) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let start = source.floor_char_boundary(span.start);
    let end = source.ceil_char_boundary(span.end).max(start);
    let mut message = String::from("not TOML: ");
    message.push_str(error.message().lines().next().unwrap_or("cannot be read"));
    let problem = Problem::new("not-toml", start..end, message);
    if mend { problem.with_remedy(meant::line(source, start)) } else { problem }
}

/// The mistakes that stand for themselves beside broken TOML: what the broken lines may have
/// caused (a missing key, a torn value) is left for the next run.
fn beside_syntax(source: &str, mut syntax: Vec<Problem>, others: Vec<Problem>) -> Vec<Problem> {
    if syntax.is_empty() {
        return others;
    }
    let lines = text::Lines::of(source);
    let mut around: Vec<Range<usize>> = syntax.iter().map(|p| lines.around(&p.span)).collect();
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
    syntax.extend(others.into_iter().filter(|p| p.code != "missing-key" && !is_torn(&p.span)));
    syntax
}

/// What has been found so far while a text is read.
#[derive(Debug, Default)]
pub(crate) struct Reader {
    pub(crate) map: SourceMap,
    pub(crate) problems: Vec<Problem>,
    /// Keys that could not be read: comparisons are silent about them.
    pub(crate) failed: BTreeSet<KeyPath>,
    /// Keys that were replaced, each with the replacement as it was given.
    pub(crate) replaced: BTreeMap<KeyPath, String>,
}

impl Reader {
    /// Reports a key that cannot be read; always `None`, so that it can end a reading.
    pub(crate) fn fail<T>(&mut self, path: &KeyPath, mut problem: Problem) -> Option<T> {
        if let Some(given) = self.replaced.get(path) {
            problem.message = format!("`{given}`: {}", problem.message);
        }
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
        if keys.iter().any(|key| self.has_failed(key)) {
            return;
        }
        let place = self.map.place(first);
        let mut problem = Problem::new(code, place.span.clone(), message)
            .with_remedy(remedy)
            .in_text(place.origin);
        for other in others {
            let there = self.map.place(other);
            if there.origin == place.origin
                && there.span != place.span
                && self.map.is_written(other)
            {
                problem = problem.with_place(there.span, format!("`{other}` is here"));
            }
        }
        self.problems.push(problem);
    }

    fn has_failed(&self, key: &KeyPath) -> bool {
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
            let owner =
                if path.as_str().is_empty() { "the job".to_owned() } else { format!("`{path}`") };
            let message = format!("{owner} has no key {}", text::shown(written));
            let remedy = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("its keys are {}", known.join(", ")),
            };
            if let Some(near) = near {
                reader.failed.insert(path.child(near));
                intended.push(near);
            }
            let problem = Problem::new("unknown-key", key.span(), message).with_remedy(remedy);
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
            _ => format!("write {} = {}", field.key, kind.expected()),
        };
        let problem = Problem::new("missing-key", place.span, format!("`{path}` is missing"))
            .with_remedy(remedy)
            .in_text(Origin::JobFile);
        let _: Option<()> = self.reader.fail(path, problem);
    }
}

/// A description as the end of a sentence.
fn first_words(doc: &str) -> String {
    let doc = doc.trim().trim_end_matches('.');
    let mut chars = doc.chars();
    chars.next().map_or(String::new(), |c| c.to_lowercase().chain(chars).collect())
}
