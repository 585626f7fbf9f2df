//! A wall of the meshed solid is thinner than what bears load.
//!
//! Rays go inwards from all faces but the sides of marks, so that the letters themselves do not count
//! as walls; what a mark takes from the wall behind its floor does. Test pieces bear nothing and are left out.

use super::{LEAST_WALL, Measured, measured};
use crate::assessment::{Subject, undetermined};
use crate::build::BuiltPart;
use crate::design::enclosure::SKIN_LEAST;
use crate::design::{PartId, PartKind};
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::MeshFault;
use crate::mesh::bvh::Bvh;
use crate::mesh::thickness::{middles, wall_straight_behind};
use crate::params::Job;
use crate::solid::engrave::MARK;
use crate::space::Vec3;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "wall-too-thin",
    title: "thickness of the walls of the meshed solid",
    why: "a thin wall prints as lines without a bond between them, and splits",
    formula: "along the inward normal of faces sampled every 6 mm (wider on a large part), to the face opposite: >= 2.4 mm, in the box >= 1.6 mm",
    source: "five to six lines of a common nozzle, eight layers behind a blind hole: common practice, no source",
    cure: "the dimensions of the job that meet at that wall: holes farther apart, a smaller thread",
};

/// Samples on a face are no farther apart, or on a large part as far as this many samples allow.
const SPACING: Length = Length::mm(6.0);
const SAMPLES: f64 = 3000.0;
/// The longest stroke of a mark.
const STROKE: Length = Length::mm(12.0);

/// A thin place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Thinnest {
    /// The wall.
    pub(crate) wall: Length,
    /// The face behind which it is.
    pub(crate) face: &'static str,
    /// Where, in the print pose, in millimetres.
    pub(crate) at: [f64; 3],
}

/// The thinnest wall behind the faces of a part; `None` when no face has another opposite.
///
/// # Errors
/// [`MeshFault`] when the mesh is invalid.
pub(crate) fn thinnest(made: &BuiltPart) -> Result<Option<Thinnest>, MeshFault> {
    let faces = &made.designed;
    let tree = Bvh::new(&faces.mesh)?;
    let label = |triangle: usize| made.body.faces[faces.face_of[triangle] as usize].label;
    let spacing = SPACING.max(Length::mm((made.report.area.get() / SAMPLES).sqrt()));
    // Thin facets yield many small pieces: one in so much area is enough, and the first of each face.
    let share = spacing.get() * spacing.get() / 4.0;
    let (mut face, mut due) = (u32::MAX, 0.0);
    let mut least: Option<Thinnest> = None;
    for (triangle, corners) in faces.mesh.triangles.iter().enumerate() {
        if label(triangle) == MARK {
            continue;
        }
        let [a, b, c] = corners.map(|i| Vec3::from(faces.mesh.vertices[i as usize]));
        let normal = (b - a).cross(c - a);
        if normal.norm() < 1e-9 {
            continue;
        }
        let inward = (normal.unit() * -1.0).array();
        let pieces = middles([a, b, c].map(|p| p.array()), spacing);
        let piece = normal.norm() / 2.0 / pieces.len() as f64;
        if faces.face_of[triangle] != face {
            (face, due) = (faces.face_of[triangle], share);
        }
        for at in pieces {
            due += piece;
            if due < share {
                continue;
            }
            due = 0.0;
            let reach = least.map_or(Length::mm(f64::INFINITY), |l| l.wall);
            let behind = wall_straight_behind(&tree, at, inward, reach);
            let Some((wall, exit)) = behind else { continue };
            // Grazing a face, a ray crosses strokes: plastic that goes on behind them is no wall.
            let crosses = |wall: Length| {
                let end = wall.get();
                label(exit) == MARK
                    && tree.ray(at, inward, end + 1e-6, end + STROKE.get()).is_some()
            };
            if !crosses(wall) {
                least = Some(Thinnest { wall, face: label(triangle), at });
            }
        }
    }
    Ok(least)
}

/// An error when the thinnest wall of a part is too thin.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let judge = |(built, m): (&BuiltPart, &Measured)| judge(subject.job, built.id(), &m.thinnest);
    measured(subject).filter_map(judge).collect()
}

pub(crate) fn judge(
    job: &Job,
    part: &PartId,
    thinnest: &Result<Option<Thinnest>, MeshFault>,
) -> Option<Finding> {
    let limit = match part.kind() {
        PartKind::Cradle | PartKind::TiltPlate | PartKind::Rail => LEAST_WALL,
        PartKind::BoxBody | PartKind::BoxLid | PartKind::Knob => SKIN_LEAST,
        PartKind::TestPiece => return None,
    };
    let found = match thinnest {
        Ok(found) => (*found)?,
        Err(error) => return Some(undetermined(&RULE, error).part(part)),
    };
    // Chords on both sides take up to a deviation each.
    if found.wall + job.job.deviation * 2.0 >= limit {
        return None;
    }
    let [x, y, z] = found.at;
    let message = format!(
        "{part} has a wall of {:.2} behind its {}, at {x:.0}, {y:.0}, {z:.0} mm on the bed",
        found.wall, found.face
    );
    let keys: &[&str] = match part.kind() {
        PartKind::Cradle => &["fixture.mount", "printer.line"],
        PartKind::TiltPlate => &["fixture.mount.holes", "fixture.mount.thread"],
        PartKind::Rail => &["pad.half-width", "printer.line"],
        PartKind::Knob => &["lid.screw"],
        PartKind::BoxBody | PartKind::BoxLid | PartKind::TestPiece => &["battery", "gland"],
    };
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(format!("{:.2}", found.wall), format!("at least {limit}"))
        .part(part);
    Some(keys.iter().fold(finding, |f, key| f.key(*key)))
}
