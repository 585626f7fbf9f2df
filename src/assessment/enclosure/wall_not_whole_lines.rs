//! Box walls are a whole number of extrusion lines.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, WALL_LEAST};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "wall-not-whole-lines",
    title: "the box's walls are whole extrusion lines and thick enough",
    why: "between lines that do not add up to the wall a slicer leaves a slit, and water finds it",
    formula: "wall = n x line, n whole; wall >= 2.4 mm",
    source: "common practice, no source",
    cure: "give the line width that the slicer uses",
};

/// Lines may be off by this share: what a slicer's own rounding takes.
const SHARE: f64 = 1e-3;

/// An error when the wall is no whole number of lines, or too thin.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let line = job.printer.line;
    let lines = plan.wall / line;
    let thin = plan.wall < WALL_LEAST - Length::mm(1e-9);
    if (lines - lines.round()).abs() <= SHARE && !thin {
        return Vec::new();
    }
    let fit = plan.wall / lines.round().max(1.0);
    let message =
        format!("the box's wall of {} is {} lines of {line} wide", plan.wall, trimmed(lines, 2));
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(plan.wall, format!("whole lines of {line}, at least {WALL_LEAST}"))
        .part(PartId::BoxBody)
        .key("printer.line");
    vec![if thin { finding } else { finding.remedy("printer.line", format!("{fit}")) }]
}
