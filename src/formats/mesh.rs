//! What a mesh must be to be written: exactly what single precision holds.

use crate::mesh::{MeshFault, TriMesh};

/// Why a mesh cannot be written as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MeshWriteError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// A coordinate would change on writing, so that the file would not hold the mesh that passed
    /// the gate.
    #[error(
        "vertex {vertex} is not in single precision: make the mesh printable before writing it"
    )]
    NotPrintable {
        /// Index of the vertex.
        vertex: usize,
    },
    /// A triangle without area has no normal.
    #[error("triangle {triangle} has no area")]
    NoArea {
        /// Index of the triangle.
        triangle: usize,
    },
    /// The writer gave up; in memory only for want of memory.
    #[error("the mesh could not be written to memory")]
    Unwritten,
}

/// Checks that single precision holds the mesh exactly.
pub(crate) fn check_single_precision(mesh: &TriMesh) -> Result<(), MeshWriteError> {
    mesh.check()?;
    let exact = |p: &[f64; 3]| p.iter().all(|&c| f64::from(c as f32) == c);
    match mesh.vertices.iter().position(|p| !exact(p)) {
        Some(vertex) => Err(MeshWriteError::NotPrintable { vertex }),
        None => Ok(()),
    }
}
