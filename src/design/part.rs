//! Parts as exact solids: one file a part, drawn from the plan's dimensions with the solid kit.
//!
//! A part is drawn in its own axes: Z up the trunk, +Y outward, X across, to the left seen from
//! outside (the axes are right-handed).
//! [`Part::print`] turns it as it lies on the bed: Z = 0 at the bed, in the positive octant.

use crate::design::marks::Engraving;
use crate::solid::{Body, Frame, Plane, Pose, SewError, Shell, v};
use crate::units::Length;

/// A drawn part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What kind of thing it is.
    pub kind: PartKind,
    /// File stem, unique in a job: `cradle-a`, `box-lid`.
    pub name: String,
    /// Its faces, in its own axes.
    pub shell: Shell,
    /// From its own axes to the print pose.
    pub print: Pose,
    /// Handles that the design gives it: holes that go through, passages, loops.
    pub genus: usize,
    /// Marks that found no room at a legible height.
    pub left_out: Vec<String>,
}

/// The kinds of printed part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// Holds a lamp on a trunk.
    Cradle,
    /// Carries a lamp's hole pattern between the ears of a cradle.
    TiltPlate,
    /// Tray for battery and controller.
    BoxBody,
    /// Its lid.
    BoxLid,
    /// Holds the box on a trunk; two a box.
    Rail,
    /// Printed in minutes to try a fit before hours of printing.
    TestPiece,
}

impl PartKind {
    /// Its name, as in the manifest.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cradle => "cradle",
            Self::TiltPlate => "tilt-plate",
            Self::BoxBody => "box-body",
            Self::BoxLid => "box-lid",
            Self::Rail => "rail",
            Self::TestPiece => "test-piece",
        }
    }
}

impl Part {
    /// The closed body in print pose.
    ///
    /// # Errors
    /// [`SewError`] when dimensions contradict each other so that faces do not meet.
    pub fn body(&self) -> Result<Body, SewError> {
        self.shell.sew(&self.print)
    }
}

/// The shift that lays a drawing on the bed as it stands: lowest corner at the origin.
pub(in crate::design) fn to_bed(shell: &Shell) -> Pose {
    let [low, _] = shell.bounds();
    Pose::shift(v(-low.x, -low.y, -low.z))
}

/// Engraves lines in the middle of `frame`, which lies in the face, as large as the room there; says
/// what found none.
pub(in crate::design) fn mark(
    shell: &mut Shell,
    face: &mut Plane,
    frame: &Frame,
    lines: &[&str],
    room: [Length; 2],
    engraving: Engraving,
) -> Vec<String> {
    match engraving.block(lines, room) {
        Some(block) => {
            shell.engrave(face, frame, &block, engraving.depth.get());
            Vec::new()
        }
        None => vec![lines.join(" ")],
    }
}

/// A saddle without anything on it, for tests of the saddle alone; the faces are still to be added.
#[cfg(test)]
pub(crate) fn plain_saddle(
    shell: &mut Shell,
    s: &crate::design::saddle::Saddle,
) -> Vec<crate::solid::Plane> {
    let faces = crate::design::saddle::drawing::draw(shell, s, &[]);
    let mut all = vec![faces.front, faces.top];
    all.extend(faces.flange_backs.into_iter().flatten());
    all
}

#[cfg(test)]
mod tests;
