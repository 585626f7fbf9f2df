//! The rails' screw bosses need free floor between the posts of battery and controller.

use super::{Finding, Rule, Severity};
use crate::units::Length;

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "rail-screws-blocked",
    title: "the rails' screw bosses find free floor",
    why: "two rails hold the box on the trunk; their screws end in bosses inside, which must not meet the posts",
    formula: "distance of boss and post >= sum of radii + 1 mm, at both rails, left and right",
    source: "geometry of the plan",
    cure: "move or thin out the hole patterns of receiver and controller, or use thinner screws in them",
};

/// The finding when no layout leaves room.
#[must_use]
pub fn finding(least_x: Length) -> Finding {
    Finding::new(
        RULE.code,
        Severity::Error,
        format!(
            "the posts of battery and controller leave no floor for rail bosses {least_x} or more from the middle"
        ),
    )
    .part("box-body")
    .part("box-lid")
    .key("battery.receiver.holes")
    .key("controller.holes")
    .remedy("battery.receiver.thread", "a thinner screw, or fewer holes")
}
