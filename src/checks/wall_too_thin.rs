//! A wall of the finished mesh is thinner than what bears load.
//!
//! Rays go inwards from all faces but those of marks, so that the letters themselves do not count
//! as walls; what a mark takes from the wall behind it does.

use super::{Finding, Rule, Severity};
use crate::mesh::MeshFault;
use crate::mesh::bvh::Bvh;
use crate::mesh::thickness::{middles, wall_straight_behind};
use crate::params::Job;
use crate::parts::PartKind;
use crate::plan::enclosure::SKIN_LEAST;
use crate::produce::Made;
use crate::solid::Vec3;
use crate::units::Length;

/// What `explain` prints.
pub const RULE: Rule = Rule {
    code: "wall-too-thin",
    title: "thickness of the walls of the finished mesh",
    why: "a thin wall prints as lines without a bond between them, and splits",
    formula: "along the inward normal of faces sampled every 6 mm, to the face opposite: >= 2.4 mm, in the box >= 1.6 mm",
    source: "five to six lines of a common nozzle, eight layers behind a blind hole: common practice, no source",
    cure: "the dimensions of the job that meet at that wall: holes farther apart, a smaller thread",
};

/// Least wall that carries strap, lamp or bolt.
pub const LEAST_WALL: Length = Length::mm(2.4);
/// Samples on a face are no farther apart.
const SPACING: Length = Length::mm(6.0);
/// Chord error of the faces from which samples are taken.
const COARSE: Length = Length::mm(0.2);

/// A thin place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thinnest {
    /// The wall.
    pub wall: Length,
    /// The face behind which it is.
    pub face: &'static str,
    /// Where, in the print pose, in millimetres.
    pub at: [f64; 3],
}

/// The thinnest wall behind the faces of a part; `None` when no face has another opposite.
///
/// # Errors
/// [`MeshFault`] when the mesh is none.
pub fn thinnest(made: &Made, deviation: Length) -> Result<Option<Thinnest>, MeshFault> {
    let tree = Bvh::new(&made.mesh)?;
    let Ok(faces) = made.body.tessellate(COARSE) else { return Ok(None) };
    let near = (COARSE + deviation) * 2.0;
    let mut least: Option<Thinnest> = None;
    for (corners, &face) in faces.mesh.triangles.iter().zip(&faces.face_of) {
        let label = made.body.faces[face as usize].label;
        if label == "mark" {
            continue;
        }
        let [a, b, c] = corners.map(|i| Vec3::from(faces.mesh.vertices[i as usize]));
        let normal = (b - a).cross(c - a);
        if normal.norm() < 1e-9 {
            continue;
        }
        let inward = (normal.unit() * -1.0).array();
        for at in middles([a, b, c].map(|p| p.array()), SPACING) {
            let Some(wall) = wall_straight_behind(&tree, at, inward, near) else { continue };
            if least.is_none_or(|l| wall < l.wall) {
                least = Some(Thinnest { wall, face: label, at });
            }
        }
    }
    Ok(least)
}

/// One error for each part with a thin wall.
#[must_use]
pub fn check(job: &Job, made: &[Made]) -> Vec<Finding> {
    let deviation = job.job.deviation;
    let one = |m: &Made| {
        let part = &m.order.part;
        let limit = match part.kind {
            PartKind::Cradle | PartKind::TiltPlate | PartKind::Rail => LEAST_WALL,
            PartKind::BoxBody | PartKind::BoxLid | PartKind::TryPiece => SKIN_LEAST,
        };
        let found = match thinnest(m, deviation) {
            Ok(found) => found?,
            Err(error) => return Some(super::not_found(&RULE, &part.name, &error)),
        };
        // Chords on both sides take up to a deviation each.
        if found.wall + deviation * 2.0 >= limit {
            return None;
        }
        let [x, y, z] = found.at;
        let message = format!(
            "{} has a wall of {:.2} behind its {}, at {x:.0}, {y:.0}, {z:.0} mm on the bed",
            part.name, found.wall, found.face
        );
        let keys: &[&str] = match part.kind {
            PartKind::Cradle => &["fixture.mount", "printer.line"],
            PartKind::TiltPlate => &["fixture.mount.holes", "fixture.mount.thread"],
            PartKind::Rail => &["pad.half-width", "printer.line"],
            PartKind::BoxBody | PartKind::BoxLid | PartKind::TryPiece => &["battery", "entry"],
        };
        let finding = Finding::new(RULE.code, Severity::Error, message)
            .measured(format!("{:.2}", found.wall), format!("at least {limit}"))
            .part(&part.name);
        Some(keys.iter().fold(finding, |f, key| f.key(*key)))
    };
    made.iter().filter_map(one).collect()
}
