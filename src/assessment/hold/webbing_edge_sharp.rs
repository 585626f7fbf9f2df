//! Loaded webbing turns over an edge that is too sharp for it.

use crate::assessment::Subject;
use crate::assessment::rounding;
use crate::build::BuiltPart;
use crate::design::saddle::Saddle;
use crate::design::{PartId, Plan, SizeClass};
use crate::finding::{Finding, Rule, Severity};
use crate::solid::FaceKind;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
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
fn sharpest_mouth(made: &BuiltPart, saddle: &Saddle) -> Option<Length> {
    let back = made.spec.part.print.inverse();
    let inner = saddle.passage_y[0].get();
    let walls = made.body.faces.iter().filter(|f| f.label == "passage wall");
    let arcs = walls.filter(|f| f.kind == FaceKind::Ruled).filter_map(|face| {
        let edge = made.body.run(face.loops[0][0]);
        let centre = back.point(edge.arc?.centre);
        (centre.y < inner).then(|| edge.radius()).flatten()
    });
    arcs.min_by(f64::total_cmp).map(Length::mm)
}

/// One warning for each saddle with a sharp mouth.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let job = subject.job;
    let least = LEAST.max(job.strap.thickness * BY_THICKNESS);
    let one = |(id, _, saddle): (PartId, &SizeClass, &Saddle)| {
        let radius = sharpest_mouth(subject.part(&id)?, saddle).unwrap_or(Length::ZERO);
        if radius + Length::mm(1e-6) >= least {
            return None;
        }
        let message = format!(
            "the strap turns over a radius of {radius:.1}, webbing of {} wants {least:.1}",
            job.strap.thickness
        );
        let finding = Finding::new(RULE.code, Severity::Warning, message)
            .measured(format!("{radius:.1}"), format!("at least {least:.1}"))
            .part(id)
            .key("strap.thickness");
        let thickness = rounding::down(radius / BY_THICKNESS);
        Some(if radius >= LEAST {
            finding.remedy("strap.thickness", format!("at most {thickness}"))
        } else {
            finding
        })
    };
    subject.plan().into_iter().flat_map(Plan::saddles).filter_map(one).collect()
}
