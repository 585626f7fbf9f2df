//! Corners of the groove that the cord can follow.

use super::{Finding, Rule, Severity};
use crate::engineering::seal::Groove;
use crate::standards::gasket::CORNER_PER_CORD;
use crate::units::Length;

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "groove-corner-tight",
    title: "the groove's corners are wide enough for the cord",
    why: "cord bent too tightly thins outside, humps inside, and lifts out of the groove",
    formula: "radius of the groove's centre line >= 3 x cord",
    source: "seal handbooks' rule, from memory",
    cure: "a thinner cord, or rounder corners of the box",
};

/// An error when the centre line's corner is under three cords.
#[must_use]
pub fn check(groove: &Groove, corner: Length) -> Vec<Finding> {
    if corner >= groove.least_corner() {
        return Vec::new();
    }
    let cord = Length::mm((corner.get() / CORNER_PER_CORD * 10.0).floor() / 10.0);
    let finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!(
            "the groove turns on a radius of {corner}, cord of {} wants {}",
            groove.cord,
            groove.least_corner()
        ),
    )
    .measured(corner, groove.least_corner())
    .key("seal.cord");
    vec![if cord > Length::ZERO {
        finding.remedy("seal.cord", format!("at most {cord:.1}"))
    } else {
        finding
    }]
}
