//! The strap does not slip through its passage, measured on the finished mesh.

use crate::assessment::{Subject, undetermined};
use crate::build::BuiltPart;
use crate::design::saddle::Saddle;
use crate::design::{PartId, Plan, SizeClass};
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::Bounds;
use crate::mesh::distance::{DistanceError, Solid};
use crate::params::Strap;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "passage-too-tight",
    title: "air round a strap that is pushed through its passage",
    why: "a strap that binds is pulled in with the tool at hand, and that splits the saddle",
    formula: "least gap between the finished mesh and a flat strap in the middle of the passage >= 0.5 mm",
    source: "0.5 mm between moving printed parts: common practice, no source",
    cure: "more clearance, or a thinner strap",
};

/// Least air all round.
const LEAST: Length = Length::mm(0.5);
/// How far the strap reaches past the saddle on both sides.
const OVER: Length = Length::mm(10.0);

/// The least gap round the strap in any passage of a made saddle.
///
/// # Errors
/// [`DistanceError`] where the mesh is not closed.
pub(crate) fn least_gap(
    made: &BuiltPart,
    saddle: &Saddle,
    strap: &Strap,
) -> Result<Length, DistanceError> {
    let solid = Solid::new(&made.mesh)?;
    let half = (saddle.half_width.max(saddle.front_half_width) + OVER).get();
    let y = ((saddle.passage_y[0] + saddle.passage_y[1]) / 2.0).get();
    let (wide, thick) = (strap.width.get() / 2.0, strap.thickness.get() / 2.0);
    let mut least = Length::mm(f64::INFINITY);
    for [floor, roof] in &saddle.passages {
        let z = ((*floor + *roof) / 2.0).get();
        let own =
            Bounds { min: [-half, y - thick, z - wide], max: [half, y + thick, z + wide] }.mesh();
        let webbing = own.posed(&made.spec.part.print);
        least = least.min(solid.clearance(&Solid::new(&webbing)?)?.gap);
    }
    Ok(least)
}

/// One finding for each saddle whose passages are too tight; an error where the strap touches.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let job = subject.job;
    let strap = &job.strap;
    let one = |(id, _, saddle): (PartId, &SizeClass, &Saddle)| {
        let gap = match least_gap(subject.part(&id)?, saddle, strap) {
            Ok(gap) => gap,
            Err(error) => return Some(undetermined(&RULE, &error).part(id)),
        };
        // Flat walls mesh exactly, up to the grid of single precision.
        if gap + Length::mm(1e-3) >= LEAST {
            return None;
        }
        let severity = if gap > Length::ZERO { Severity::Warning } else { Severity::Error };
        let message = format!(
            "a strap of {} x {} has {gap:.2} of air in its passage, {LEAST} lets it slip",
            strap.width, strap.thickness
        );
        Some(
            Finding::new(RULE.code, severity, message)
                .measured(format!("{gap:.2}"), format!("at least {LEAST}"))
                .part(id)
                .key("strap.clearance")
                .remedy(
                    "strap.clearance",
                    format!("at least {:.2}", strap.clearance + (LEAST - gap)),
                ),
        )
    };
    subject.plan().into_iter().flat_map(Plan::saddles).filter_map(one).collect()
}
