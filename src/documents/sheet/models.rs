//! What the viewer shows: everything on one trunk, and beside it the parts that do not hang there.

use super::super::assembly;
use super::super::pictures::Shown;
use super::super::scene::{Appearance, Piece, PreviewMeshes};

use super::super::{DocumentError, Subject};
use crate::formats::sheet::{Model, ModelDimension};
use crate::mesh::{TriMesh, measure};
use crate::space::{Pose, v};
use crate::units::trimmed;

/// Most bytes of meshes; parts beyond it are left to the pictures.
const MOST_BYTES: usize = 2_500_000;
/// Free space about the parts beside the trunk, mm.
const SPACE: f64 = 30.0;

/// The trunk that stands for all, with all that hangs on it.
pub(super) fn scene(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    shown: Shown,
) -> Result<Vec<Piece>, DocumentError> {
    match shown.boxed.or(shown.lamp) {
        Some(trunk) => assembly::whole(subject, preview_meshes, trunk),
        None => Ok(Vec::new()),
    }
}

/// The pieces of the scene; then every other part in print pose, one above the other at the trunk's
/// right.
pub(super) fn models(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    pieces: &[Piece],
) -> Vec<Model> {
    let mut bytes = 0;
    let mut models: Vec<Model> = Vec::new();
    let mut add = |name: &str, appearance: Appearance, opacity: f64, mesh: TriMesh| {
        // Three numbers of four bytes a point and a triangle, in base64.
        let size = (mesh.vertices.len() + mesh.triangles.len()) * 16;
        if bytes + size <= MOST_BYTES {
            bytes += size;
            models.push(Model { name: name.into(), colour: appearance.colour(), opacity, mesh });
        }
    };
    let (mut side, mut floor) = (f64::INFINITY, f64::INFINITY);
    for point in pieces.iter().flat_map(|p| &p.mesh.vertices) {
        side = side.min(point[0]);
        floor = floor.min(point[2]);
    }
    if pieces.is_empty() {
        (side, floor) = (0.0, 0.0);
    }
    let hangs = |name: &str| pieces.iter().any(|p| p.name.starts_with(name));
    let parts = subject.made.iter().map(|m| &m.spec.part);
    let others: Vec<_> = parts.filter(|part| !hangs(&part.name())).collect();
    for piece in pieces {
        add(&piece.name, piece.appearance, piece.opacity, piece.mesh.clone());
    }
    for part in others {
        let Some(mesh) = preview_meshes.get(&part.id) else { continue };
        let lying = mesh.posed(&part.print);
        let width = lying.vertices.iter().map(|p| p[0]).fold(0.0, f64::max);
        let mesh = lying.posed(&Pose::shift(v(side - SPACE - width, 0.0, floor)));
        floor = mesh.vertices.iter().map(|p| p[2]).fold(floor, f64::max) + SPACE;
        let piece = Piece::part(subject, &part.id, Appearance::SecondPrint, mesh);
        add(&piece.name, piece.appearance, 1.0, piece.mesh);
    }
    models
}

/// Over-all sizes of the box and of the first cradle where they hang.
pub(super) fn dimensions(pieces: &[Piece]) -> Result<Vec<ModelDimension>, DocumentError> {
    let mut all = Vec::new();
    for name in ["cradle", "box-body"] {
        let Some(piece) = pieces.iter().find(|p| p.name.starts_with(name)) else { continue };
        let fault = DocumentError::at(&piece.name);
        let bounds = measure(&piece.mesh).map_err(|e| fault(&e))?.bounds;
        let (low, high) = (bounds.min, bounds.max);
        // Along the front's lower edge, and up its side.
        for to in [[high[0], high[1], low[2]], [low[0], high[1], high[2]], [low[0], low[1], low[2]]]
        {
            let from = [low[0], high[1], low[2]];
            let length = (0..3).map(|k| (to[k] - from[k]).abs()).sum::<f64>();
            let label = format!("{} mm", trimmed(length, 1));
            all.push(ModelDimension { from, to, label });
        }
    }
    Ok(all)
}
