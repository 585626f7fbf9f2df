//! Reading the job file and its survey from disk.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::args::JobArgs;
use super::report::{Source, Sources};
use super::{Failure, Output};
use crate::finding::Severity;
use crate::formats::manifest::plain_path;
use crate::params::reader::LARGEST_FILE;
use crate::params::{Draft, GirthOverride, Job, Override, Problem, SourceMap};

/// A job as read, and the texts to point into.
pub(super) struct Input {
    /// The job, survey included.
    pub(super) job: Job,
    /// Where each key stands.
    pub(super) map: SourceMap,
    /// Notes about an input that could be read.
    pub(super) notices: Vec<Problem>,
    texts: Texts,
    /// The arguments that change the job.
    set: Vec<Override>,
    girth: Vec<GirthOverride>,
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
}

impl Input {
    /// Reads the job, its survey and the arguments; every mistake of all of them is shown before it
    /// fails.
    pub(super) fn read(args: &JobArgs, output: &Output) -> Result<Self, Failure> {
        let mut texts = Texts { job: (args.path.clone(), read_text(&args.path)?), survey: None };
        let mut draft = Draft::new(&texts.job.1, &args.set);
        if let Some(name) = draft.survey().map(str::to_owned) {
            let path = args.path.parent().unwrap_or(Path::new("")).join(name);
            match read_text(&path) {
                Ok(text) => {
                    draft.add_survey(&text);
                    texts.survey = Some((path, text));
                }
                Err(failure) => draft.lacks_survey(&failure.to_string()),
            }
        }
        draft.set_girths(&args.girth);
        match draft.finish() {
            Ok(loaded) => {
                output.problems(&texts.sources(), &loaded.notices);
                let (job, map, notices) = (loaded.job, loaded.source_map, loaded.notices);
                let (set, girth) = (args.set.clone(), args.girth.clone());
                Ok(Self { job, map, notices, texts, set, girth })
            }
            Err(problems) => {
                output.problems(&texts.sources(), &problems);
                let mistakes = problems.iter().filter(|p| p.severity == Severity::Error);
                Err(Failure::Refused(mistakes.count()))
            }
        }
    }

    /// The same job with more keys changed; nothing when the job file refuses it.
    pub(super) fn with(&self, changes: &[Override]) -> Option<Job> {
        let set: Vec<Override> = self.set.iter().chain(changes).cloned().collect();
        let mut draft = Draft::new(&self.texts.job.1, &set);
        if let Some((_, survey)) = &self.texts.survey {
            draft.add_survey(survey);
        }
        draft.set_girths(&self.girth);
        draft.finish().ok().map(|loaded| loaded.job)
    }

    /// The texts that places refer to.
    pub(super) fn sources(&self) -> Sources<'_> {
        self.texts.sources()
    }

    /// The job file's name without folder and ending, for a folder of that name.
    ///
    /// # Errors
    /// [`Failure::Usage`] where it could lead elsewhere, as that of `...toml` would, or is no name on
    /// some systems.
    pub(super) fn stem(&self) -> Result<String, Failure> {
        let file = &self.texts.job.0;
        let stem = file.file_stem().map(|s| s.to_str().unwrap_or("job"));
        let stem = stem.filter(|stem| plain_path(stem).is_ok());
        stem.map(str::to_owned).ok_or_else(|| {
            let file = file.display();
            Failure::Usage(format!("no folder can be named after {file}; name one with --out"))
        })
    }
}

/// A text file of at most [`LARGEST_FILE`] bytes.
pub(super) fn read_text(path: &Path) -> Result<String, Failure> {
    let cannot = |e: std::io::Error| Failure::Io(format!("cannot read {}: {e}", path.display()));
    // A pipe or a device may never end, and a pipe may never open.
    if fs::metadata(path).is_ok_and(|meta| !meta.is_file() && !meta.is_dir()) {
        return Err(cannot(std::io::Error::other("it is no plain file")));
    }
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
