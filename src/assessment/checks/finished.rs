//! What the checks on finished meshes share: saddles with their made parts, shapes moved into the
//! print pose, numbers rounded so that a remedy still cures.

use crate::build::{Made, part_name};
use crate::design::saddle::Saddle;
use crate::design::{Plan, SizeClass};
use crate::mesh::TriMesh;
use crate::solid::{Pose, Vec3};
use crate::units::Length;

/// A saddle of the plan: its part's name, its size, its dimensions.
pub(super) type Planned<'a> = (String, &'a SizeClass, &'a Saddle);

/// Every saddle of the plan, cradles first.
pub(super) fn saddles(plan: &Plan) -> impl Iterator<Item = Planned<'_>> {
    let cradles = plan.cradles.iter().map(|s| (part_name("cradle", &s.class), &s.class, &s.saddle));
    let rails = plan.rails.iter().map(|s| (part_name("rail", &s.class), &s.class, &s.rail.saddle));
    cradles.chain(rails)
}

/// The part of this name, if it was made.
pub(super) fn part<'m>(made: &'m [Made], name: &str) -> Option<&'m Made> {
    made.iter().find(|m| m.order.part.name == name)
}

/// A mesh moved from a part's own axes to its print pose.
pub(super) fn posed(mesh: &TriMesh, pose: &Pose) -> TriMesh {
    let vertices = mesh.vertices.iter().map(|&p| pose.point(Vec3::from(p)).array()).collect();
    TriMesh { vertices, triangles: mesh.triangles.clone() }
}

/// Rounded up to a tenth of a millimetre, what a calliper reads.
pub(super) fn up(length: Length) -> Length {
    Length::mm((length.get() * 10.0 - 1e-6).ceil() / 10.0)
}

/// Rounded down to a tenth of a millimetre.
pub(super) fn down(length: Length) -> Length {
    Length::mm((length.get() * 10.0 + 1e-6).floor() / 10.0)
}
