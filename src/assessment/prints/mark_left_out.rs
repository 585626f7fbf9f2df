//! A mark found no room at a height that can be read.

use crate::assessment::Subject;
use crate::bisection::whole_border;
use crate::build::part_specs;
use crate::design::{PartId, Plan};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "mark-left-out",
    title: "every part carries its mark",
    why: "sizes look alike on the ladder; without its mark a part must be labelled by hand",
    formula: "the text fits its face at the least height at which every way through its letters stays open",
    source: "geometry of the single-stroke letters; stroke 1.6 lines wide: common practice, no source",
    cure: "a finer extrusion line, or a pen",
};

/// The finest line of the job file, and steps of the search for one.
const FINEST: f64 = 0.2;
const STEP: f64 = 0.05;

/// One note for each mark that was left out.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let mut findings = Vec::new();
    for part in subject.parts.iter().map(|m| &m.spec.part).filter(|p| !p.left_out.is_empty()) {
        let line = coarsest_line(job, plan, &part.id);
        for text in &part.left_out {
            let message = format!("`{text}` finds no room on {}: mark it with a pen", part.id);
            let finding =
                Finding::new(RULE.code, Severity::Note, message).part(&part.id).key("printer.line");
            findings.push(match line {
                Some(line) => finding.remedy("printer.line", format!("at most {line}")),
                None => finding,
            });
        }
    }
    findings
}

/// The coarsest line, in steps of 0.05 mm, with which the part of this name carries its marks.
fn coarsest_line(job: &Job, plan: &Plan, part: &PartId) -> Option<Length> {
    let line = |k: u32| Length::mm(FINEST + STEP * f64::from(k));
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
    let bad = ((job.printer.line.get() - FINEST) / STEP - 1e-9).ceil().max(1.0) as u32;
    Some(line(whole_border(0, bad, carries)))
}
