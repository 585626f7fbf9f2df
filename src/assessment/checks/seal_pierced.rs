//! The seal line on the finished body is closed, and nothing pierces it.
//!
//! Looked for on the sewn solid itself, not on the plan: the groove has one floor, a ring with an
//! outer and an inner edge and no third; the land between groove and cavity is such a ring too; and
//! no other edge comes between the cavity and the groove's outer edge.

use super::{Finding, Rule, Severity, not_found};
use crate::design::enclosure::body_drawing::{self, GROOVE_FLOOR, INNER_LAND};
use crate::design::enclosure::{Enclosure, WALL_LEAST};
use crate::design::marks::Engraving;
use crate::params::Job;
use crate::solid::shell::{Face, FaceKind};
use crate::solid::{Body, Pose, Vec3};
use crate::units::Length;

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "seal-pierced",
    title: "the seal line is closed and no hole pierces it",
    why: "one hole inside the seal lets in what the gasket keeps out",
    formula: "groove floor and inner land are one level ring each, with two edges; no other edge between cavity and groove",
    source: "topology of the solid",
    cure: "this follows from the plan; report the job file",
};

/// An error when the body cannot be sewn, or its seal line is broken.
#[must_use]
pub fn check(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    // In box axes, so that the plan's lines can be found on it.
    match body_drawing::draw(plan, Engraving::new(&job.printer)).shell.sew(&Pose::IDENTITY) {
        Ok(body) => {
            let rings = [GROOVE_FLOOR, INNER_LAND].into_iter();
            rings.filter_map(|label| ring(&body, label)).chain(pierced(&body, plan)).collect()
        }
        Err(error) => vec![not_found(&RULE, "box-body", &error)],
    }
}

/// Points looked at along every edge.
const SAMPLES: usize = 8;
/// Points nearer to a line are on it (mm).
const ON_LINE: f64 = 1e-6;

/// An edge between the cavity and the groove's outer edge, as deep as the groove and a least wall
/// more, that is no edge of the groove itself.
fn pierced(body: &Body, plan: &Enclosure) -> Option<Finding> {
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
            (0..=SAMPLES).any(|i| within(edge.at(i as f64 / SAMPLES as f64)))
        })
    };
    let wall = body.faces.iter().filter(|f| f.kind == FaceKind::Ruled).find(holed);
    let face = wall.or_else(|| body.faces.iter().find(holed))?;
    let message = format!("the {} cuts into the seal", face.label);
    Some(Finding::new(RULE.code, Severity::Error, message).part("box-body").key("lid.screw"))
}

fn ring(body: &Body, label: &str) -> Option<Finding> {
    let faces: Vec<&Face> = body.faces.iter().filter(|f| f.label == label).collect();
    let fault = |what: String| {
        let message = format!("the {label} of the seal {what}");
        Some(Finding::new(RULE.code, Severity::Error, message).part("box-body"))
    };
    let [face] = faces.as_slice() else {
        return fault(format!("is in {} faces, one is right", faces.len()));
    };
    if !matches!(face.kind, FaceKind::Plane { normal } if normal.z > 1.0 - 1e-9) {
        return fault("does not lie level".into());
    }
    if face.loops.len() != 2 {
        return fault(format!(
            "has {} edges, an outer and an inner one are right",
            face.loops.len()
        ));
    }
    None
}
