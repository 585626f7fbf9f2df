//! The pack can be slid off its receiver.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::Enclosure;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "pack-cannot-slide",
    title: "the pack has a free way off its receiver",
    why: "a pack that meets a wall before its guides let go has to be unscrewed with its receiver every evening",
    formula: "way of the pack's cuboid along its length to walls, controller, posts and locknuts >= battery.receiver.slide",
    source: "swept cuboid in the plan; a quarter of the length where nobody has measured (common practice, no source)",
    cure: "measure how far the pack slides until it comes off",
};

/// An error when something is in the pack's way.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, _job: &Job) -> Vec<Finding> {
    let free = plan.slide_room();
    if free >= plan.slide - Length::mm(1e-6) {
        return Vec::new();
    }
    let message = format!(
        "the pack can slide only {free} before it meets something; it needs {}",
        plan.slide
    );
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(free, format!("at least {}", plan.slide))
        .part(PartId::BoxBody)
        .key("battery.receiver.slide")
        .key("battery.length");
    vec![finding]
}
