//! Triangle meshes: the shape that a printer takes, and the gate that every mesh must pass.

/// A triangle mesh in millimetres with shared vertices; triangles wind counter-clockwise seen from
/// outside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriMesh {
    /// Positions X, Y, Z in millimetres.
    pub vertices: Vec<[f64; 3]>,
    /// Indices into `vertices`.
    pub triangles: Vec<[u32; 3]>,
}
