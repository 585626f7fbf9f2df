//! Parts as exact solids: one file a part, drawn from the plan's dimensions with the solid kit.
//!
//! A part is drawn in its own axes: Z up the trunk, +Y outward, X across, to the left seen from
//! outside (the axes are right-handed).
//! [`Part::print`] turns it as it lies on the bed: Z = 0 at the bed, in the positive octant.

use crate::design::marks::Engraving;
use crate::solid::{Body, Frame, Plane, Pose, SewError, Shell, Vec3, v};
use crate::units::Length;

/// A drawn part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Which part it is.
    pub id: PartId,
    /// Its faces, in its own axes.
    pub shell: Shell,
    /// From its own axes to the print pose.
    pub print: Pose,
    /// Handles that the design gives it: holes that go through, passages, loops.
    pub genus: usize,
    /// Marks that found no room at a legible height.
    pub left_out: Vec<String>,
}

/// Which part of a job; of several sizes, by the letters of the size. Shown as its file stem, unique in a
/// job: `cradle-a`, `box-lid`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartId {
    /// A size's cradle.
    Cradle(String),
    /// A size's rail.
    Rail(String),
    /// The tilt plate.
    TiltPlate,
    /// The box.
    BoxBody,
    /// Its lid.
    BoxLid,
    /// Turns a screw of the lid.
    Knob,
    /// Test piece of a cradle size's curve.
    CurveTest(String),
    /// Test piece of the ears.
    YokeTest,
    /// Test piece of the box's seal.
    SealTest,
}

impl PartId {
    /// What kind of part it is.
    #[must_use]
    pub const fn kind(&self) -> PartKind {
        match self {
            Self::Cradle(_) => PartKind::Cradle,
            Self::Rail(_) => PartKind::Rail,
            Self::TiltPlate => PartKind::TiltPlate,
            Self::BoxBody => PartKind::BoxBody,
            Self::BoxLid => PartKind::BoxLid,
            Self::Knob => PartKind::Knob,
            Self::CurveTest(_) | Self::YokeTest | Self::SealTest => PartKind::TestPiece,
        }
    }
}

impl std::fmt::Display for PartId {
    /// The file stem.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Cradle(mark) | Self::Rail(mark) => {
                write!(f, "{}-{}", self.kind().name(), mark.to_lowercase())
            }
            Self::CurveTest(mark) => write!(f, "test-curve-{}", mark.to_lowercase()),
            Self::YokeTest => f.write_str("test-yoke"),
            Self::SealTest => f.write_str("test-seal"),
            Self::TiltPlate | Self::BoxBody | Self::BoxLid | Self::Knob => {
                f.write_str(self.kind().name())
            }
        }
    }
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
    /// Turns a screw of the lid; as many as it has.
    Knob,
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
            Self::Knob => "knob",
            Self::Rail => "rail",
            Self::TestPiece => "test-piece",
        }
    }
}

impl Part {
    /// Its file stem.
    #[must_use]
    pub fn name(&self) -> String {
        self.id.to_string()
    }

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

/// The pose in which a drawing lies on the bed upside down, turned about X.
pub(in crate::design) fn face_down(shell: &Shell) -> Pose {
    let [low, high] = shell.bounds();
    Pose { rows: [Vec3::X, -Vec3::Y, -Vec3::Z], shift: v(-low.x, high.y, high.z) }
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
