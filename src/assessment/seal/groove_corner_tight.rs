//! Corners of the groove that the gasket can follow.

use super::of_box;
use crate::assessment::Subject;
use crate::engineering::seal::{Gasket, Groove};
use crate::finding::{Finding, Rule, Severity};
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "groove-corner-tight",
    title: "the groove's corners are wide enough for the gasket",
    why: "a gasket bent too tightly thins outside, humps inside, and lifts out of the groove",
    formula: "radius of the groove's centre line >= 3 x cord, 2 x width of a strip",
    source: "cord: seal handbooks' rule, from memory; strip: common practice, no source",
    cure: "a thinner gasket, or rounder corners of the box",
};

/// An error when the centre line's corner is too tight.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(|plan, _| of_box(judge(&plan.groove.section, plan.groove.centre_line.radius)))
}

pub(crate) fn judge(groove: &Groove, corner: Length) -> Option<Finding> {
    if corner >= groove.least_corner() {
        return None;
    }
    let (key, what, size) = match groove.gasket {
        Gasket::Cord { diameter } => ("seal.cord", "a diameter", diameter.get()),
        Gasket::Sponge { width, .. } => ("seal.sponge", "a width", width.get()),
    };
    let finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!(
            "the groove turns on a radius of {corner}, but {} needs {}",
            groove.gasket,
            groove.least_corner()
        ),
    )
    .measured(corner, groove.least_corner())
    .key(key);
    let size = Length::mm((size * corner / groove.least_corner() * 10.0).floor() / 10.0);
    Some(if size > Length::ZERO {
        finding.remedy(key, format!("{what} of at most {size:.1}"))
    } else {
        finding
    })
}
