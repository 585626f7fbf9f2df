//! Corners of the groove that the cord can follow.

use super::of_box;
use crate::assessment::Subject;
use crate::engineering::seal::Groove;
use crate::finding::{Finding, Rule, Severity};
use crate::standards::gasket::CORNER_PER_CORD;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "groove-corner-tight",
    title: "the groove's corners are wide enough for the cord",
    why: "cord bent too tightly thins outside, humps inside, and lifts out of the groove",
    formula: "radius of the groove's centre line >= 3 x cord",
    source: "seal handbooks' rule, from memory",
    cure: "a thinner cord, or rounder corners of the box",
};

/// An error when the centre line's corner is under three cords.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(|plan, _| of_box(judge(&plan.groove.section, plan.groove.centre_line.radius)))
}

pub(crate) fn judge(groove: &Groove, corner: Length) -> Option<Finding> {
    if corner >= groove.least_corner() {
        return None;
    }
    let cord = Length::mm((corner.get() / CORNER_PER_CORD * 10.0).floor() / 10.0);
    let finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!(
            "the groove turns on a radius of {corner}, but cord of {} needs {}",
            groove.cord,
            groove.least_corner()
        ),
    )
    .measured(corner, groove.least_corner())
    .key("seal.cord");
    Some(if cord > Length::ZERO {
        finding.remedy("seal.cord", format!("at most {cord:.1}"))
    } else {
        finding
    })
}
