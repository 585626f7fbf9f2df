//! A bridge on a part is longer than the printer spans.
//!
//! The roofs over the holes for glands have a rule of their own, which names the gland.

use super::measured;
use crate::assessment::Subject;
use crate::design::PartId;
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::overhang::{Hanging, Overhang};
use crate::params::enumerated;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "bridge-too-long",
    title: "no bridge is longer than the printer spans",
    why: "a long bridge sags into the passage or hole below it, and the strap or bolt does not go through",
    formula: "longest straight line across a roof, from held rim to held rim, in the direction in which it is shortest <= printer.bridge",
    source: "regions of the mesh, crossed in twelve directions; bridge length as measured on the printer",
    cure: "print a test bridge and write down what holds, or set supports there in the slicer",
};

/// Samples of a line from wall to wall differ by so much.
const ROUNDING: Length = Length::mm(0.01);

/// One warning for all parts with bridges that are too long, about the longest of them.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let limit = subject.job.printer.bridge;
    let overhangs =
        measured(subject).filter_map(|(built, m)| Some((built, m.overhang.as_ref().ok()?)));
    let long: Vec<(&PartId, &Hanging)> = overhangs
        .filter_map(|(built, overhang)| {
            Some((built.id(), too_long(subject, built.id(), overhang)?))
        })
        .collect();
    let longest = long.iter().max_by(|a, b| a.1.bridge.get().total_cmp(&b.1.bridge.get()));
    let Some((part, Hanging { bridge, at: [x, y, z], .. })) = longest else { return Vec::new() };
    let mut message =
        format!("{part} has a bridge of {bridge:.1}, at {x:.0}, {y:.0}, {z:.0} mm on the bed");
    let others = long.iter().map(|(other, _)| other).filter(|other| *other != part);
    let others = enumerated(others.map(ToString::to_string));
    if !others.is_empty() {
        message = format!("{message}; others that are too long are on {others}");
    }
    let enough = (bridge.get() * 10.0 - 1e-6).ceil() / 10.0;
    let finding = Finding::new(RULE.code, Severity::Warning, message)
        .measured(format!("{bridge:.1}"), format!("at most {limit}"))
        .key("printer.bridge")
        .remedy("printer.bridge", format!("at least {enough} mm, as a test bridge shows"));
    vec![long.iter().fold(finding, |finding, (part, _)| finding.part(part))]
}

/// The longest bridge of a part, if it is too long and no other rule reports it.
fn too_long<'o>(
    subject: &Subject<'_>,
    part: &PartId,
    overhang: &'o Overhang,
) -> Option<&'o Hanging> {
    let limit = subject.job.printer.bridge;
    let enclosure = subject.plan().and_then(|plan| plan.enclosure.as_ref());
    let reported = match (part, enclosure) {
        (PartId::BoxBody, Some(enclosure)) => {
            enclosure.wall_holes().map(|h| h.roof_half * 2.0).fold(limit, Length::max)
        }
        _ => limit,
    };
    let longest = overhang.hanging.iter().max_by(|a, b| a.bridge.get().total_cmp(&b.bridge.get()));
    longest.filter(|longest| longest.bridge > reported + ROUNDING)
}
