//! The seal line on the finished body is closed, and nothing pierces it.
//!
//! Looked for on the sewn solid itself, not on the plan: the groove has one floor, a ring with an
//! outer and an inner edge and no third; the land between groove and cavity is such a ring too; and
//! no other edge comes between the cavity and the groove's outer edge.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::body_drawing::{GROOVE_FLOOR, INNER_LAND};
use crate::design::enclosure::{Enclosure, WALL_LEAST};
use crate::finding::{Finding, Rule, Severity};
use crate::solid::Body;
use crate::solid::shell::{Face, FaceKind};
use crate::space::{Pose, Vec3};
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "seal-pierced",
    title: "the seal line is closed and no hole pierces it",
    why: "one hole inside the seal lets in what the gasket keeps out",
    formula: "groove floor and inner land are one level ring each, with two edges; no other edge between cavity and groove",
    source: "topology of the solid",
    cure: "this follows from the plan; report the job file",
};

/// An error when the seal line of the built body is broken. A body that could not be built is
/// reported by another rule.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(built) = subject.part(&PartId::BoxBody) else { return Vec::new() };
    subject.judge_box(|plan, _| judge(plan, &built.body, &built.spec.part.print))
}

/// `print` leads from the axes of the box, in which the plan's lines lie, to those of the body.
pub(crate) fn judge(plan: &Enclosure, body: &Body, print: &Pose) -> Vec<Finding> {
    let rings = [GROOVE_FLOOR, INNER_LAND].into_iter();
    let pierced = pierced(body, &print.inverse(), plan);
    rings.filter_map(|label| ring(body, label)).chain(pierced).collect()
}

/// Points looked at along every edge.
const SAMPLES: usize = 8;
/// Points nearer to a line are on it (mm).
const ON_LINE: f64 = 1e-6;

/// An edge between the cavity and the groove's outer edge, as deep as the groove and a least wall
/// more, that is no edge of the groove itself.
fn pierced(body: &Body, back: &Pose, plan: &Enclosure) -> Option<Finding> {
    let deep = (plan.depth - plan.groove.section.depth - WALL_LEAST).get();
    let (outer, inner) = (plan.groove.outer(), plan.groove.inner());
    let within = |p: Vec3| {
        let at = [p.x, p.y].map(Length::mm);
        p.z > deep
            && outer.distance(at).get() < -ON_LINE
            && plan.cavity.distance(at).get() > ON_LINE
            && inner.distance(at).abs().get() > ON_LINE
    };
    let holed = |face: &&Face| {
        face.loops.iter().flatten().any(|edge_use| {
            let edge = body.run(*edge_use);
            (0..=SAMPLES).any(|i| within(back.point(edge.at(i as f64 / SAMPLES as f64))))
        })
    };
    let wall = body.faces.iter().filter(|f| f.kind == FaceKind::Ruled).find(holed);
    let face = wall.or_else(|| body.faces.iter().find(holed))?;
    let message = format!("the {} cuts into the seal", face.label);
    Some(Finding::new(RULE.code, Severity::Error, message).part(PartId::BoxBody).key("lid.screw"))
}

fn ring(body: &Body, label: &str) -> Option<Finding> {
    let faces: Vec<&Face> = body.faces.iter().filter(|f| f.label == label).collect();
    let fault = |what: String| {
        let message = format!("the {label} of the seal {what}");
        Some(Finding::new(RULE.code, Severity::Error, message).part(PartId::BoxBody))
    };
    let [face] = faces.as_slice() else {
        return fault(format!("is in {} faces instead of one", faces.len()));
    };
    if !matches!(face.kind, FaceKind::Plane { normal } if normal.z > 1.0 - 1e-9) {
        return fault("does not lie level".into());
    }
    if face.loops.len() != 2 {
        return fault(format!(
            "has {} edges instead of an outer and an inner one",
            face.loops.len()
        ));
    }
    None
}
