//! `make`: everything that the job needs, into one folder.

use std::fmt::Write;
use std::path::PathBuf;
use std::sync::OnceLock;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::args::{JobArgs, MakeArgs};
use super::input::Input;
use super::{Failure, Outcome, Output, counted, only};
use crate::build::BuiltPart;
use crate::design::reuse::ReuseDecision;
use crate::design::{self, Plan, PreviousSet, SizeKind};
use crate::documents::manifest_data::ManifestData;
use crate::documents::previous_manifest::PreviousManifest;
use crate::documents::set::Press;
use crate::documents::{Subject, sheet};
use crate::formats::files::{self, FileSet, Unused};
use crate::params::{Job, Override};
use crate::pipeline::{self, Pipeline};
use crate::remedies;

/// Works a job through, with a bar on a terminal where one would wait.
pub(super) fn work(
    input: &Input,
    previous: &PreviousSet,
    output: &Output,
) -> Result<pipeline::Outcome, pipeline::Failure> {
    let bar = OnceLock::new();
    let watch = |count: usize, _: &str| bar.get_or_init(|| progress(count, output)).inc(1);
    let pipeline = Pipeline::default();
    let worked = pipeline.run_watched(&input.job, previous, watch);
    bar.into_inner().inspect(ProgressBar::finish_and_clear);
    // Remedies are tried on the whole job before anybody is told them.
    let again = |set: &[Override]| {
        let job = input.with(set)?;
        Some(pipeline.run(&job, previous).map_or_else(|none| none.findings, |done| done.findings))
    };
    let trunks = input.job.trunks.len();
    match worked {
        Ok(mut worked) => {
            worked.findings = remedies::verified(worked.findings, trunks, again);
            Ok(worked)
        }
        Err(none) => {
            Err(pipeline::Failure { findings: remedies::verified(none.findings, trunks, again) })
        }
    }
}

/// The account for the manifest and for `check --json`.
pub(super) fn about(worked: &pipeline::Outcome) -> serde_json::Value {
    let pipeline::Outcome { job, plan, built, sums, findings, .. } = worked;
    // Plain data with text keys: this cannot fail.
    serde_json::to_value(ManifestData::new(job, plan, built, sums, findings)).unwrap_or_default()
}

/// One line on what the plan is.
pub(super) fn job_summary(worked: &pipeline::Outcome) -> String {
    let job = &worked.job;
    let good: Vec<(&BuiltPart, u32)> = worked.good().map(|m| (m, m.spec.prints)).collect();
    let prints: u32 = good.iter().map(|(_, prints)| prints).sum();
    let saved: u32 = worked.built.iter().map(|m| m.spec.copies - m.spec.prints).sum();
    let mut text = format!(
        "{}: {}, {}, {} to print",
        job.job.name,
        counted(job.trunks.len(), "trunk"),
        counted(worked.plan.cradles.len(), "cradle size"),
        counted(prints as usize, "part"),
    );
    if prints > 0 {
        let total = worked.sums.prints.total(good);
        let _ = write!(text, ", {:.2}, about {:.0}", total.mass, total.time);
    }
    if saved > 0 {
        let _ = write!(text, ", {} kept from before", counted(saved as usize, "print"));
    }
    text
}

/// A bar on a terminal, for work that one would wait for.
fn progress(steps: usize, output: &Output) -> ProgressBar {
    /// Fewer parts than this are done before a bar is read.
    const WORTH_A_BAR: usize = 16;
    if steps < WORTH_A_BAR || !output.is_watched() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(steps as u64), ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len}");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar.with_message("making parts")
}

/// Files out of use that are named one by one.
const LISTED: usize = 3;

pub(super) fn run(args: &JobArgs, how: &MakeArgs, output: &Output) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let folder = match &how.out {
        Some(folder) => folder.clone(),
        None => PathBuf::from("out").join(input.stem()?),
    };
    let earlier = earlier(how, &folder)?;
    refuse_another_job(&input.job, how, &folder)?;
    // A set in the same folder may not have been printed yet: only `--since` says so.
    let already_printed = how.since.is_some();
    let previous = earlier.as_ref().map(|e| e.set(already_printed)).unwrap_or_default();
    let worked = match work(&input, &previous, output) {
        Ok(worked) => worked,
        Err(failure) => {
            output.findings(&input, &failure.findings);
            return Ok(Outcome::Failed);
        }
    };
    output.findings(&input, &worked.findings);

    let plan = &worked.plan;
    let only = only::selection(&how.only, &worked.parts)?;
    let files = Press::default().files(&Subject::of(&worked), &input.map, only);
    let mut set = FileSet::new();
    for (path, bytes) in files.map_err(|e| Failure::Io(e.to_string()))? {
        set.add(&path, bytes).map_err(|e| Failure::Io(e.to_string()))?;
    }
    let about = about(&worked);
    let part = !how.only.is_empty();
    let unused = match (part, how.sweep) {
        (true, _) => Unused::Others,
        (false, true) => Unused::Remove,
        (false, false) => Unused::Keep,
    };
    let committed =
        set.commit(&folder, about.clone(), unused).map_err(|e| Failure::Io(e.to_string()))?;
    output.say(&job_summary(&worked));
    if earlier.is_some() {
        say_changes(plan, output);
        report_fewer_sizes(&worked.job, plan, output);
    }
    output.say(&format!(
        "{}: {} written, {} unchanged",
        folder.display(),
        counted(committed.written.len(), "file"),
        committed.unchanged.len()
    ));
    if !committed.aside.is_empty() {
        let beds = committed.aside.iter().filter(|p| p.ends_with(".3mf")).count();
        output.say(&format!(
            "{} of the earlier set moved to {}: print only what lies in {}",
            counted(beds, "bed"),
            folder.join("earlier").display(),
            folder.join("beds").display()
        ));
    }
    let spares: Vec<String> = plan.spares().map(ToString::to_string).collect();
    if !spares.is_empty() {
        output.say(&format!("on the shelf, for another year: {}", spares.join(", ")));
    }
    let others = committed.unused.iter().chain(&committed.kept);
    match (part, others.clone().count()) {
        (_, 0) => {}
        (true, n) => output.say(&format!(
            "{} of the set not asked for, left as {}",
            counted(n, "file"),
            if n == 1 { "it was" } else { "they were" }
        )),
        (false, n) if n > LISTED => {
            let few: Vec<&str> = others.take(LISTED).map(String::as_str).collect();
            let more = n - few.len();
            output.say(&format!("no longer used: {} and {more} more files", few.join(", ")));
        }
        (false, _) => others.for_each(|stale| output.say(&format!("no longer used: {stale}"))),
    }
    for gone in &committed.removed {
        output.say(&format!("removed: {gone}"));
    }
    if set.has(sheet::PATH) {
        output.say(&format!("read first: {}", folder.join(sheet::PATH).display()));
    }
    if how.json {
        let summary = serde_json::json!({
            "folder": folder.display().to_string(),
            "written": committed.written,
            "unchanged": committed.unchanged,
            "about": about,
        });
        let text =
            serde_json::to_string_pretty(&summary).map_err(|e| Failure::Io(e.to_string()))?;
        output.data(format!("{text}\n").as_bytes())?;
    }
    Ok(if worked.failed() { Outcome::Failed } else { Outcome::Done })
}

/// Tells which trunks need other parts than before, and why.
fn say_changes(plan: &Plan, output: &Output) {
    for (kind, change) in &plan.changes {
        let what = match kind {
            SizeKind::Cradle => "cradle",
            SizeKind::Rail => "rails",
        };
        let verdict = match change.decision {
            ReuseDecision::Keep if change.prints == 0 => continue,
            ReuseDecision::Keep => "one more",
            ReuseDecision::Reprint if plan.already_printed && change.prints == 0 => {
                "another print in hand"
            }
            ReuseDecision::Reprint => "reprint",
            ReuseDecision::New => "new size",
            ReuseDecision::Unserved => "unserved",
        };
        output.say(&format!("{}: {what}: {verdict} ({})", change.trunk, change.reason));
    }
}

/// Tells when keeping the earlier sizes costs more of them than a new start would need.
fn report_fewer_sizes(job: &Job, plan: &Plan, output: &Output) {
    if plan.already_printed {
        return;
    }
    let Ok(fresh) = design::plan(job, &PreviousSet::default()) else { return };
    let sizes = |plan: &Plan| plan.cradles.len() + plan.rails.len();
    if sizes(&fresh) < sizes(plan) && fresh.unserved.len() <= plan.unserved.len() {
        output.say(&format!(
            "if nothing is printed yet, {} of cradles and rails would do instead of {}: \
             make into a new folder with --out",
            counted(sizes(&fresh), "size"),
            sizes(plan),
        ));
    }
}

/// A set belongs to its job: another job of the same file name must not take its place.
///
/// # Errors
/// [`Failure::Usage`] when the folder holds the set of a job of another name, unless `--since` says that
/// it is the same job.
fn refuse_another_job(job: &Job, how: &MakeArgs, folder: &std::path::Path) -> Result<(), Failure> {
    let same = |other: &std::path::Path| {
        let real = |p: &std::path::Path| p.canonicalize().ok();
        real(other).is_some() && real(other) == real(folder)
    };
    if how.since.as_deref().is_some_and(same) {
        return Ok(());
    }
    let manifest = files::read_manifest(folder).map_err(|e| Failure::Io(e.to_string()))?;
    let there = manifest.and_then(|m| PreviousManifest::read(m).ok());
    match there.as_ref().map(PreviousManifest::job) {
        Some(name) if !name.is_empty() && name != job.job.name => Err(Failure::Usage(format!(
            "{0} holds the set of the job \"{1}\", and this job is \"{2}\"; make into another folder \
             with --out, or write --since {0} if it is the same job under a new name",
            folder.display(),
            name,
            job.job.name
        ))),
        _ => Ok(()),
    }
}

/// The set to compare with: the folder named, or the one about to be written.
fn earlier(how: &MakeArgs, folder: &std::path::Path) -> Result<Option<PreviousManifest>, Failure> {
    let from = how.since.as_deref().unwrap_or(folder);
    let manifest = files::read_manifest(from).map_err(|e| Failure::Io(e.to_string()))?;
    match (manifest, &how.since) {
        (Some(manifest), _) => PreviousManifest::read(manifest).map(Some).map_err(|e| {
            Failure::Io(format!("{}: not a set of this program: {e}", from.display()))
        }),
        (None, Some(since)) => Err(Failure::Usage(format!(
            "{} holds no earlier set; after --since name the folder that an earlier `make` wrote",
            since.display()
        ))),
        (None, None) => Ok(None),
    }
}
