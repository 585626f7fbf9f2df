//! Inserts of the lid's screws stay clear of the gasket groove and of the rim.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, LAND_LEAST};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "seal-screws-near-seal",
    title: "the lid's inserts stand clear outside the gasket groove",
    why: "an insert pressed in hot bulges the plastic round it; a bulged groove or a hole inside the seal lets water in",
    formula: "distance(hole middle, groove's outer edge) - insert radius >= 2.4 mm, and as much to the rim",
    source: "geometry; the width is the box's least wall (common practice, no source)",
    cure: "a thinner cord or a smaller lid screw",
};

/// An error when an insert comes too near to the groove or the rim, once for the worst screw.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, _job: &Job) -> Vec<Finding> {
    let radius = plan.screws.insert_outer / 2.0;
    let (groove, rim) = (plan.groove.outer(), plan.flange.rim);
    let free = |at: &[Length; 2]| (groove.distance(*at) - radius).min(-rim.distance(*at) - radius);
    let worst = plan.screws.points.iter().map(free).fold(Length::mm(f64::INFINITY), Length::min);
    if worst >= LAND_LEAST - Length::mm(1e-9) {
        return Vec::new();
    }
    let message =
        format!("an insert of the lid leaves only {worst} of plastic beside the groove or the rim");
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(worst, format!("at least {LAND_LEAST}"))
        .part(PartId::BoxBody)
        .part(PartId::BoxLid)
        .key("lid.screw")
        .key("seal.cord");
    vec![finding]
}
