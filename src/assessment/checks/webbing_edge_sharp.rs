//! Loaded webbing turns over an edge that is too sharp for it.

use super::finished::{down, part, saddles};
use super::{Finding, Rule, Severity};
use crate::build::Made;
use crate::design::Plan;
use crate::design::saddle::Saddle;
use crate::params::Job;
use crate::solid::FaceKind;
use crate::units::Length;

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "webbing-edge-sharp",
    title: "radius of the mouth over which the strap turns",
    why: "webbing is cut where it bends sharply under load",
    formula: "radius of the mouths on the strap's side, in the exact solid >= max(2 x thickness, 3 mm)",
    source: "common practice, no source",
    cure: "a thinner strap",
};

/// As a multiple of the strap's thickness, and never under the second.
const BY_THICKNESS: f64 = 2.0;
const LEAST: Length = Length::mm(3.0);

/// The sharpest mouth on the trunk's side of the passages, measured on the exact solid.
#[must_use]
pub fn sharpest_mouth(made: &Made, saddle: &Saddle) -> Option<Length> {
    let back = made.order.part.print.inverse();
    let inner = saddle.passage_y[0].get();
    let walls = made.body.faces.iter().filter(|f| f.label == "passage wall");
    let arcs = walls.filter(|f| f.kind == FaceKind::Ruled).filter_map(|face| {
        let edge = made.body.run(face.loops[0][0]);
        let center = back.point(edge.arc?.center);
        (center.y < inner).then(|| edge.radius()).flatten()
    });
    arcs.min_by(f64::total_cmp).map(Length::mm)
}

/// One warning for each saddle with a sharp mouth.
#[must_use]
pub fn check(job: &Job, plan: &Plan, made: &[Made]) -> Vec<Finding> {
    let least = LEAST.max(job.strap.thickness * BY_THICKNESS);
    let one = |(name, _, saddle): super::finished::Planned<'_>| {
        let radius = sharpest_mouth(part(made, &name)?, saddle).unwrap_or(Length::ZERO);
        if radius + Length::mm(1e-6) >= least {
            return None;
        }
        let message = format!(
            "the strap turns over a radius of {radius:.1}, webbing of {} wants {least:.1}",
            job.strap.thickness
        );
        let finding = Finding::new(RULE.code, Severity::Warning, message)
            .measured(format!("{radius:.1}"), format!("at least {least:.1}"))
            .part(name)
            .key("strap.thickness");
        let thickness = down(radius / BY_THICKNESS);
        Some(if radius >= LEAST {
            finding.remedy("strap.thickness", format!("at most {thickness}"))
        } else {
            finding
        })
    };
    saddles(plan).filter_map(one).collect()
}
