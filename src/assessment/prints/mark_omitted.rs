//! A mark found no room at a height that can be read.

use crate::assessment::Subject;
use crate::bisection::whole_border;
use crate::build::part_specs;
use crate::design::part::Part;
use crate::design::{PartId, Plan};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, enumerated, listed};
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "mark-omitted",
    title: "every part carries its mark",
    why: "sizes look alike on the ladder; without its mark a part must be labelled by hand",
    formula: "the text fits its face at the least height at which every way through its letters stays open",
    source: "geometry of the single-stroke letters; stroke 1.6 lines wide: common practice, no source",
    cure: "a finer extrusion line, or a pen",
};

/// The finest line that a job file may ask for, mm.
const FINEST_LINE: f64 = 0.2;
/// Steps of the search for a line, mm.
const LINE_STEP: f64 = 0.05;

/// One note for all marks that a finer line brings back, and one for those that no line does.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let parts = subject.parts.iter().map(|m| &m.spec.part).filter(|p| !p.left_out.is_empty());
    let (curable, incurable): (Vec<_>, Vec<_>) = parts
        .map(|part| (part, coarsest_line(job, plan, &part.id)))
        .partition(|(_, line)| line.is_some());
    [curable, incurable].iter().filter_map(|parts| judge(parts)).collect()
}

/// The note for these parts, each with the line that brings back its marks.
fn judge(parts: &[(&Part, Option<Length>)]) -> Option<Finding> {
    if parts.is_empty() {
        return None;
    }
    let marks = parts.iter().map(|(part, _)| {
        let texts: Vec<&str> = part.left_out.iter().map(String::as_str).collect();
        format!("{} on {}", listed(&texts), part.id)
    });
    let message = format!("no room to engrave {}: write it on with a pen", enumerated(marks));
    let finding = Finding::new(RULE.code, Severity::Note, message).key("printer.line");
    let finding = parts.iter().fold(finding, |finding, (part, _)| finding.part(&part.id));
    Some(match parts.iter().filter_map(|(_, line)| *line).reduce(Length::min) {
        Some(line) => finding.remedy("printer.line", format!("at most {line}")),
        None => finding,
    })
}

/// The coarsest line, in steps of 0.05 mm, with which the part of this name carries its marks.
fn coarsest_line(job: &Job, plan: &Plan, part: &PartId) -> Option<Length> {
    let line = |k: u32| Length::mm(FINEST_LINE + LINE_STEP * f64::from(k));
    let carries = |k: u32| {
        let mut finer = job.clone();
        finer.printer.line = line(k);
        finer.printer.layer = finer.printer.layer.min(line(k));
        let drawn = part_specs(&finer, plan);
        drawn.iter().any(|s| s.part.id == *part && s.part.left_out.is_empty())
    };
    if !carries(0) {
        return None;
    }
    let bad = ((job.printer.line.get() - FINEST_LINE) / LINE_STEP - 1e-9).ceil().max(1.0) as u32;
    Some(line(whole_border(0, bad, carries)))
}
