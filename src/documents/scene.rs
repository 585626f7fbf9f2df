//! What a scene is made of: named bodies, each with an appearance that decides its colour, and the
//! meshes of the printed parts from which they are taken.

use std::collections::BTreeMap;

use super::Subject;
use crate::build::BuiltPart;
use crate::design::part::PartId;
use crate::mesh::TriMesh;

/// What a piece of a scene is; decides its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Appearance {
    /// The trunk.
    Bark,
    /// A printed part that holds.
    Print,
    /// A printed part beside it, in a colour of its own.
    SecondPrint,
    /// Foam.
    Foam,
    /// Webbing.
    Webbing,
    /// The lamp's body.
    Lamp,
    /// The lamp's window.
    Glow,
    /// Bolts.
    Steel,
    /// Battery.
    Pack,
    /// Controller.
    Board,
    /// Cables and glands.
    Cable,
    /// A printed part that an error blocks.
    Blocked,
}

impl Appearance {
    /// Red, green, blue.
    #[must_use]
    pub(crate) const fn colour(self) -> [u8; 3] {
        match self {
            Self::Bark => [150, 124, 98],
            Self::Print => [64, 140, 158],
            Self::SecondPrint => [142, 186, 186],
            Self::Foam => [78, 80, 84],
            Self::Webbing => [222, 162, 60],
            Self::Lamp => [176, 180, 188],
            Self::Glow => [255, 240, 176],
            Self::Steel => [206, 208, 212],
            Self::Pack => [190, 84, 66],
            Self::Board => [92, 150, 84],
            Self::Cable => [52, 54, 60],
            Self::Blocked => [206, 48, 40],
        }
    }
}

/// A body of a scene.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub appearance: Appearance,
    /// 1 is solid.
    pub opacity: f64,
    /// Its mesh, in scene axes.
    pub mesh: TriMesh,
}

impl Piece {
    pub(super) fn new(name: impl Into<String>, appearance: Appearance, mesh: TriMesh) -> Self {
        Self { name: name.into(), appearance, opacity: 1.0, mesh }
    }

    /// A printed part, in the colour of what is blocked where an error blocks it.
    pub(super) fn print(
        subject: &Subject<'_>,
        part: &PartId,
        name: impl Into<String>,
        appearance: Appearance,
        mesh: TriMesh,
    ) -> Self {
        Self::new(name, if subject.blocks(part) { Appearance::Blocked } else { appearance }, mesh)
    }

    /// As [`Piece::print`], called as its part.
    pub(super) fn part(
        subject: &Subject<'_>,
        part: &PartId,
        appearance: Appearance,
        mesh: TriMesh,
    ) -> Self {
        Self::print(subject, part, part.to_string(), appearance, mesh)
    }

    /// Seen through.
    pub(super) fn glass(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }
}

/// Meshes of the parts, as designed, in their own axes.
#[derive(Debug, Clone)]
pub(crate) struct PreviewMeshes {
    meshes: BTreeMap<PartId, TriMesh>,
}

impl PreviewMeshes {
    /// Every part that was made, back from its print pose.
    #[must_use]
    pub(crate) fn of(made: &[BuiltPart]) -> Self {
        let own = |made: &BuiltPart| {
            (made.id().clone(), made.designed.mesh.posed(&made.spec.part.print.inverse()))
        };
        Self { meshes: made.iter().map(own).collect() }
    }

    /// A part in its own axes; none when it was not made.
    #[must_use]
    pub(crate) fn get(&self, part: &PartId) -> Option<&TriMesh> {
        self.meshes.get(part)
    }
}
