//! Reading the job file and its survey from disk.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::args::JobArgs;
use super::report::{Source, Sources};
use super::{Failure, Output};
use crate::checks::Severity;
use crate::params::reader::LARGEST_FILE;
use crate::params::value::Table;
use crate::params::{self, Job, Problem, SourceMap, Trunk};
use crate::units::Length;
use crate::units::parse::quantity;

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
            return Err(Failure::Io(format!("{}: surveys are not read yet", args.path.display())));
        }
        for change in &args.girth {
            change_girth(&mut loaded.job, change)?;
        }
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

/// `Old Lime=1.19 m`: another girth for one trunk.
fn change_girth(job: &mut Job, change: &str) -> Result<(), Failure> {
    let refuse = |why: String| Err(Failure::Usage(format!("--girth \"{change}\": {why}")));
    let Some((name, value)) = change.rsplit_once('=') else {
        return refuse("expected TRUNK=LENGTH such as \"Old Lime=1.19 m\"".into());
    };
    let name = name.trim();
    let girth: Length = match quantity(value.trim()) {
        Ok(girth) => girth,
        Err(e) => return refuse(e.to_string()),
    };
    let allowed = Trunk::spec().field("girth").and_then(|f| f.range.clone());
    if let Some(range) = allowed.filter(|range| !range.contains(&girth.get())) {
        return refuse(format!("{girth} is outside {} to {} mm", range.start(), range.end()));
    }
    if let Some(trunk) = job.trunks.iter_mut().find(|t| t.name == name) {
        trunk.girth = girth;
        return Ok(());
    }
    let near = job.trunks.iter().map(|t| (strsim::jaro_winkler(&t.name, name), &t.name));
    match near.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(score, _)| *score > 0.7) {
        Some((_, best)) => refuse(format!("no trunk is named `{name}`, did you mean `{best}`?")),
        None => refuse(format!("no trunk is named `{name}`")),
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
