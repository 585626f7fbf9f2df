//! The rails' screw bosses need free floor between the posts of battery and controller.

use crate::assessment::Subject;
use crate::design::enclosure::EnclosureError;
use crate::design::{PartId, PlanError};
use crate::finding::{Finding, Rule, Severity};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "rail-screws-blocked",
    title: "the rails' screw bosses find free floor",
    why: "two rails hold the box on the trunk; their screws end in bosses inside, which must not meet the posts",
    formula: "distance of boss and post >= sum of radii + 1 mm, at both rails, left and right",
    source: "geometry of the plan",
    cure: "move or thin out the hole patterns of receiver and controller, or use thinner screws in them",
};

/// One error when no layout of the box leaves room.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Err(PlanError::Enclosure(error @ EnclosureError::NoRailFloor { .. })) = subject.plan else {
        return Vec::new();
    };
    let finding = Finding::new(RULE.code, Severity::Error, error.to_string())
        .part(PartId::BoxBody)
        .part(PartId::BoxLid)
        .key("battery.receiver.holes")
        .key("controller.holes")
        .remedy("battery.receiver.thread", "a thinner screw, or fewer holes");
    vec![finding]
}
