//! `make`: everything that the job needs, into one folder.

use std::fmt::Write;
use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;

use super::args::{JobArgs, MakeArgs};
use super::input::Input;
use super::only::Only;
use super::{Failure, Outcome, Output, counted};
use crate::assessment::calculations::Sums;
use crate::assessment::calculations::prints::Measured;
use crate::assessment::checks::{self, Finding, Severity};
use crate::build::{self, Made};
use crate::design::part::PartKind;
use crate::design::reuse::ReuseDecision;
use crate::design::{self, Plan, PreviousSet, SizeKind};
use crate::documents::manifest_data::{ManifestData, trunk_table};
use crate::documents::pictures::Shot;
use crate::documents::previous_manifest::PreviousManifest;
use crate::documents::scene::Stock;
use crate::documents::sheet::Told;
use crate::documents::{Document, DocumentError, Subject, pictures, plates, sheet, templates};
use crate::formats::files::{self, FileSet, Unused};
use crate::formats::sheet::Picture;
use crate::formats::threemf::{Object, Package};
use crate::formats::{step, stl, threemf};
use crate::params::{Job, SourceMap};

/// A job worked through: planned, drawn, meshed, checked.
pub(super) struct Work {
    /// `None` when not even a plan was possible.
    pub(super) plan: Option<Plan>,
    pub(super) made: Vec<Made>,
    /// Name and kind of every part of the plan, made or not.
    pub(super) parts: Vec<(String, PartKind)>,
    /// `None` without a plan.
    pub(super) sums: Option<Sums>,
    pub(super) findings: Vec<Finding>,
}

impl Work {
    /// Works a job through; parts on all processors, results in a fixed order.
    pub(super) fn of(input: &Input, previous: &PreviousSet, output: &Output) -> Self {
        let job = &input.job;
        let plan = match design::plan(job, previous) {
            Ok(plan) => plan,
            Err(findings) => {
                let (made, parts) = (Vec::new(), Vec::new());
                return Self { plan: None, made, parts, sums: None, findings };
            }
        };
        let mut findings = checks::before_making(job, &plan);
        let mut orders = build::orders(job, &plan);
        let parts = orders.iter().map(|o| (o.part.name.clone(), o.part.kind)).collect();
        orders.retain(|order| !checks::bars(&findings, &order.part.name));
        let bar = progress(orders.len(), output);
        let results: Vec<_> = orders
            .into_par_iter()
            .map(|order| {
                let made = build::make(order, job.job.deviation)
                    .map(|made| (Measured::of(job, &made), made));
                bar.inc(1);
                made
            })
            .collect();
        bar.finish_and_clear();
        let (mut made, mut measured) = (Vec::new(), Vec::new());
        for result in results {
            match result {
                Ok((figures, one)) => {
                    measured.push(figures);
                    made.push(one);
                }
                Err(finding) => findings.push(*finding),
            }
        }
        let sums = Sums::of(job, &plan, &made, &measured);
        findings.extend(checks::run(job, &plan, &made, &sums));
        findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
        Self { plan: Some(plan), made, parts, sums: Some(sums), findings }
    }

    /// Whether a finding is an error.
    pub(super) fn failed(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }

    /// The account for the manifest and for `check --json`.
    pub(super) fn about(&self, job: &Job) -> serde_json::Value {
        let value = match (&self.plan, &self.sums) {
            (Some(plan), Some(sums)) => {
                serde_json::to_value(ManifestData::new(job, plan, &self.made, sums, &self.findings))
            }
            _ => serde_json::to_value(serde_json::json!({ "findings": self.findings })),
        };
        // Plain data with text keys: this cannot fail.
        value.unwrap_or_default()
    }

    /// One line on what the plan is.
    pub(super) fn in_short(&self, job: &Job) -> String {
        let Some(plan) = &self.plan else { return String::new() };
        let good = self.made.iter().filter(|m| !checks::bars(&self.findings, &m.order.part.name));
        let good: Vec<(&Made, u32)> = good.map(|m| (m, m.order.prints)).collect();
        let prints: u32 = good.iter().map(|(_, prints)| prints).sum();
        let saved: u32 = self.made.iter().map(|m| m.order.copies - m.order.prints).sum();
        let mut text = format!(
            "{}: {}, {}, {} to print",
            job.job.name,
            counted(job.trunks.len(), "trunk"),
            counted(plan.cradles.len(), "cradle size"),
            counted(prints as usize, "part"),
        );
        if let (1.., Some(sums)) = (prints, &self.sums) {
            let total = sums.prints.total(good);
            let _ = write!(text, ", {:.2}, about {:.0}", total.mass, total.time);
        }
        if saved > 0 {
            let _ = write!(text, ", {} kept from before", counted(saved as usize, "print"));
        }
        text
    }
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
    let job = &input.job;
    let folder = how.out.clone().unwrap_or_else(|| PathBuf::from("out").join(input.stem()));
    let earlier = earlier(how, &folder)?;
    // A set in the same folder may not have been printed yet: only `--since` says so.
    let already_printed = how.since.is_some();
    let previous = earlier.as_ref().map(|e| e.set(already_printed)).unwrap_or_default();
    let work = Work::of(&input, &previous, output);
    output.findings(&input.sources(), &input.map, &work.findings);

    let mut set = FileSet::new();
    if let (Some(plan), Some(sums)) = (&work.plan, &work.sums) {
        let only = Only::of(&how.only, &work.parts)?;
        let good = |m: &&Made| !checks::bars(&work.findings, &m.order.part.name);
        let good: Vec<&Made> = work.made.iter().filter(good).collect();
        let subject = Subject { job, plan, made: &work.made, sums, findings: &work.findings };
        let documents = || documents(&subject, &input.map, only);
        let parts = || good.par_iter().map(|made| part_files(job, made, only)).collect::<Vec<_>>();
        let (documents, parts) = rayon::join(documents, parts);
        let documents = documents.map_err(|e| Failure::Io(e.to_string()));
        for one in parts.into_iter().chain([documents]) {
            for (path, bytes) in one? {
                set.add(&path, bytes).map_err(|e| Failure::Io(e.to_string()))?;
            }
        }
    }
    let about = work.about(job);
    if work.plan.is_none() {
        return Ok(Outcome::Failed);
    }
    let part = !how.only.is_empty();
    let unused = match (part, how.sweep) {
        (true, _) => Unused::Others,
        (false, true) => Unused::Remove,
        (false, false) => Unused::Keep,
    };
    let committed =
        set.commit(&folder, about.clone(), unused).map_err(|e| Failure::Io(e.to_string()))?;
    output.say(&work.in_short(job));
    if let (Some(plan), true) = (&work.plan, earlier.is_some()) {
        say_changes(plan, output);
        say_fewer(job, plan, output);
    }
    output.say(&format!(
        "{}: {} written, {} unchanged",
        folder.display(),
        counted(committed.written.len(), "file"),
        committed.unchanged.len()
    ));
    let spares: Vec<String> =
        work.plan.iter().flat_map(Plan::spares).map(ToString::to_string).collect();
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
    Ok(if work.failed() { Outcome::Failed } else { Outcome::Done })
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
fn say_fewer(job: &Job, plan: &Plan, output: &Output) {
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

/// Everything but the parts; what does not depend on each other on all processors.
fn documents(
    subject: &Subject<'_>,
    map: &SourceMap,
    only: Only<'_>,
) -> Result<Vec<Document>, DocumentError> {
    let mut all = Vec::new();
    if only.files("templates") {
        all.extend(templates::files(subject)?);
    }
    if only.files("trunks") {
        let table = trunk_table(subject.job, subject.plan, subject.sums);
        all.push(("trunks.csv".into(), table.into_bytes()));
    }
    let (on_plates, on_sheet) = (only.files("plates"), only.files("sheet"));
    let drawn = on_sheet || only.files("pictures");
    if !on_plates && !drawn {
        return Ok(all);
    }
    let list = plates::pack(subject)?;
    let stock = Stock::of(subject.made);
    let shots = if drawn { pictures::shots(subject, &stock)? } else { Vec::new() };
    let draw = || shots.par_iter().map(Shot::draw).collect::<Result<Vec<_>, _>>();
    let plates = if on_plates { list.plates.len() } else { 0 };
    let lay = || (0..plates).into_par_iter().map(|n| plates::file(subject, &list, n));
    let (pictures, laid) = rayon::join(draw, || lay().collect::<Result<Vec<_>, _>>());
    let pictures = pictures?;
    all.extend(laid?);
    if on_plates {
        all.push(("plates.csv".into(), plates::table(subject, &list).into_bytes()));
    }
    if on_sheet {
        let told = Told { map, plates: &list, pictures: &pictures, stock: &stock };
        all.push(sheet::file(subject, &told)?);
    }
    if only.files("pictures") {
        let file = |(path, picture): (String, Picture)| (path, picture.content.into_bytes());
        all.extend(pictures.into_iter().map(file));
    }
    Ok(all)
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

/// The files of one part that are asked for: mesh twice, exact solid once.
fn part_files(job: &Job, made: &Made, only: Only<'_>) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let cannot = |e: &dyn std::fmt::Display| Failure::Io(format!("{}: {e}", made.order.part.name));
    let name = &made.order.part.name;
    let named = only.part(name, made.order.part.kind);
    let mut files = Vec::new();
    if named || only.files("print") {
        let object = Object { name, mesh: &made.mesh };
        let package = Package { title: name, description: &job.job.name, objects: &[object] };
        files.push((format!("print/{name}.stl"), stl::stl(&made.mesh).map_err(|e| cannot(&e))?));
        files.push((
            format!("print/{name}.3mf"),
            threemf::threemf(&package).map_err(|e| cannot(&e))?,
        ));
    }
    if named || only.files("exact") {
        let exact = step::step(&made.body, name).map_err(|e| cannot(&e))?;
        files.push((format!("exact/{name}.step"), exact));
    }
    Ok(files)
}
