//! A bridge on a part is longer than the printer spans.
//!
//! The roofs over cable entries have a rule of their own, which names the gland.

use super::measured;
use crate::assessment::Subject;
use crate::design::PartId;
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::overhang::Overhang;
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

/// A warning for a part with a bridge that is too long.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let hanging =
        measured(subject).filter_map(|(built, m)| Some((built, m.overhang.as_ref().ok()?)));
    hanging.filter_map(|(built, found)| judge(subject, built.id(), found)).collect()
}

fn judge(subject: &Subject<'_>, part: &PartId, found: &Overhang) -> Option<Finding> {
    let limit = subject.job.printer.bridge;
    let enclosure = subject.plan().and_then(|plan| plan.enclosure.as_ref());
    let told = match (part, enclosure) {
        (PartId::BoxBody, Some(enclosure)) => {
            enclosure.wall_holes().map(|h| h.roof_half * 2.0).fold(limit, Length::max)
        }
        _ => limit,
    };
    let longest = found.hanging.iter().max_by(|a, b| a.bridge.get().total_cmp(&b.bridge.get()))?;
    if longest.bridge <= told + ROUNDING {
        return None;
    }
    let [x, y, z] = longest.at;
    let message = format!(
        "{part} has a bridge of {:.1}, at {x:.0}, {y:.0}, {z:.0} mm on the bed",
        longest.bridge
    );
    let enough = (longest.bridge.get() * 10.0 - 1e-6).ceil() / 10.0;
    Some(
        Finding::new(RULE.code, Severity::Warning, message)
            .measured(format!("{:.1}", longest.bridge), format!("{limit} at most"))
            .part(part)
            .key("printer.bridge")
            .remedy("printer.bridge", format!("at least {enough} mm, as a test bridge shows")),
    )
}
