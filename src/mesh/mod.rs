//! Triangle meshes: the shape that a printer takes, and the gate that every mesh must pass.
//!
//! - [`gate`](mod@gate) proves that a mesh is closed, oriented and the solid that was designed, before and
//!   after rounding to what is written;
//! - [`measure`](mod@measure) gives volume, area, centroid and bounds;
//! - [`thickness`] finds the thinnest wall and [`distance`] the least gap between two solids, both
//!   over the tree of boxes in [`bvh`];
//! - `boolean` wraps a library that cuts and joins meshes: a referee of the tests.
//!
//! Nothing here touches a file, a clock or a thread, and equal meshes give equal bits.

#[cfg(test)]
pub(crate) mod boolean;
pub(crate) mod bvh;
pub(crate) mod distance;
pub(crate) mod gate;
pub(crate) mod measure;
pub(crate) mod overhang;
pub(crate) mod printable;
#[cfg(test)]
pub(crate) mod shapes;
pub(crate) mod thickness;
mod topology;

#[cfg(test)]
pub(crate) use gate::gate;
pub use gate::{Expected, GateError, GateReport, gate_as_written};
pub use measure::Bounds;
pub(crate) use measure::{Measures, measure};
pub(crate) use printable::printable;

use crate::space::Pose;

/// A triangle mesh in millimetres with shared vertices; triangles wind counter-clockwise seen from
/// outside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriMesh {
    /// Positions X, Y, Z in millimetres.
    pub vertices: Vec<[f64; 3]>,
    /// Indices into `vertices`.
    pub triangles: Vec<[u32; 3]>,
}

impl TriMesh {
    /// The mesh moved as a rigid body.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        let vertices = self.vertices.iter().map(|&p| pose.point(p.into()).array()).collect();
        Self { vertices, triangles: self.triangles.clone() }
    }
}

/// Largest coordinate taken, in millimetres: a kilometre. No part comes near it, and below it no sum
/// of products over a mesh can overflow.
pub const COORDINATE_LIMIT: f64 = 1e6;

/// Why a list of numbers is no mesh at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MeshFault {
    /// There are no triangles.
    #[error("the mesh has no triangles")]
    Empty,
    /// More vertices or half-edges than an index can count.
    #[error("the mesh has too many vertices or triangles to count")]
    TooLarge,
    /// A coordinate is NaN, infinite or beyond [`COORDINATE_LIMIT`].
    #[error("vertex {vertex} has a coordinate that is no number within a kilometre")]
    NotFinite {
        /// Index of the vertex.
        vertex: usize,
    },
    /// A triangle names a vertex that does not exist.
    #[error("triangle {triangle} names a vertex that does not exist")]
    BadIndex {
        /// Index of the triangle.
        triangle: usize,
    },
}

impl TriMesh {
    /// Checks that the mesh has triangles, finite coordinates and valid indices; every function of
    /// this room begins with it.
    ///
    /// # Errors
    /// The first [`MeshFault`] met.
    pub fn check(&self) -> Result<(), MeshFault> {
        if self.triangles.is_empty() {
            return Err(MeshFault::Empty);
        }
        if self.triangles.len() >= (u32::MAX / 3) as usize
            || self.vertices.len() >= u32::MAX as usize
        {
            return Err(MeshFault::TooLarge);
        }
        // NaN fails the comparison too.
        let sound = |p: &[f64; 3]| p.iter().all(|c| c.abs() <= COORDINATE_LIMIT);
        if let Some(vertex) = self.vertices.iter().position(|p| !sound(p)) {
            return Err(MeshFault::NotFinite { vertex });
        }
        let count = self.vertices.len();
        let known = |t: &[u32; 3]| t.iter().all(|&v| (v as usize) < count);
        match self.triangles.iter().position(|t| !known(t)) {
            Some(triangle) => Err(MeshFault::BadIndex { triangle }),
            None => Ok(()),
        }
    }

    /// The three corners of a triangle; the caller has checked the mesh.
    pub(crate) fn corners(&self, triangle: usize) -> [[f64; 3]; 3] {
        // Spelled out: `map` over an array is not taken apart by the compiler here, and this is the
        // innermost step of every measurement.
        let [a, b, c] = self.triangles[triangle];
        [self.vertices[a as usize], self.vertices[b as usize], self.vertices[c as usize]]
    }
}
