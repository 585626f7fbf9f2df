//! Reading the job file and its survey from disk.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::args::JobArgs;
use super::report::{Source, Sources};
use super::{Failure, Output};
use crate::finding::Severity;
use crate::params::reader::LARGEST_FILE;
use crate::params::{self, Job, Problem, SourceMap};

/// A job as read, and the texts to point into.
pub(super) struct Input {
    /// The job, survey included.
    pub(super) job: Job,
    /// Where each key stands.
    pub(super) map: SourceMap,
    texts: Texts,
}

/// The texts that places refer to.
struct Texts {
    job: (PathBuf, String),
    survey: Option<(PathBuf, String)>,
}

impl Texts {
    fn sources(&self) -> Sources<'_> {
        fn source((path, text): &(PathBuf, String)) -> Source<'_> {
            Source { name: path.to_str().unwrap_or("input file"), text }
        }
        Sources { job: source(&self.job), survey: self.survey.as_ref().map(source) }
    }

    fn refuse(&self, problems: &[Problem], output: &Output) -> Failure {
        output.problems(&self.sources(), problems, Severity::Error);
        Failure::Refused(problems.len())
    }
}

impl Input {
    /// Reads the job; every mistake is shown before it fails.
    pub(super) fn read(args: &JobArgs, output: &Output) -> Result<Self, Failure> {
        let mut texts = Texts { job: (args.path.clone(), read_text(&args.path)?), survey: None };
        let loaded = params::read_with(&texts.job.1, &args.set);
        let mut loaded = loaded.map_err(|problems| texts.refuse(&problems, output))?;
        if let Some(name) = loaded.job.job.survey.clone() {
            let path = args.path.parent().unwrap_or(Path::new("")).join(name);
            let text = read_text(&path)?;
            texts.survey = Some((path, text.clone()));
            let survey = params::read_survey(&text).map_err(|p| texts.refuse(&p, output))?;
            loaded.add_survey(&survey).map_err(|p| texts.refuse(&p, output))?;
            output.problems(&texts.sources(), &survey.warnings, Severity::Warning);
        }
        loaded.set_girths(&args.girth).map_err(|p| texts.refuse(&p, output))?;
        Ok(Self { job: loaded.job, map: loaded.source_map, texts })
    }

    /// The texts that places refer to.
    pub(super) fn sources(&self) -> Sources<'_> {
        self.texts.sources()
    }

    /// The job file's name without folder and ending.
    pub(super) fn stem(&self) -> String {
        let stem = self.texts.job.0.file_stem().and_then(|s| s.to_str());
        stem.unwrap_or("job").to_owned()
    }
}

/// A text file of at most [`LARGEST_FILE`] bytes.
pub(super) fn read_text(path: &Path) -> Result<String, Failure> {
    let cannot = |e: std::io::Error| Failure::Io(format!("cannot read {}: {e}", path.display()));
    let file = fs::File::open(path).map_err(cannot)?;
    let mut bytes = Vec::new();
    file.take(LARGEST_FILE as u64 + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() > LARGEST_FILE {
        return Err(Failure::Io(format!(
            "{} is larger than {LARGEST_FILE} bytes, which no job needs",
            path.display()
        )));
    }
    String::from_utf8(bytes)
        .map_err(|_| Failure::Io(format!("{} is not UTF-8 text, save it as such", path.display())))
}
