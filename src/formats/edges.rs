//! Which edges of a mesh are drawn, and smooth normals between them.
//!
//! An edge is a *feature* when its faces meet at more than [`FEATURE_ANGLE`], when it has one face
//! only, or more than two; it is an *outline* of a view when one face looks at the viewer and the
//! other away. The mesh must share its vertices (a soup of triangles has features everywhere).
//! Meshes are taken as checked ([`TriMesh::check`]).

use crate::mesh::TriMesh;
use crate::space::{add, cross, dot, sub, unit};
use crate::units::Angle;

/// Faces that meet at more than this make a visible edge: above the turn between two facets of a
/// tessellated fillet, below the 30 degrees of the flattest chamfer that is drawn.
pub(crate) const FEATURE_ANGLE: Angle = Angle::degrees(25.0);

/// An edge of a mesh with what is needed to draw it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MeshEdge {
    /// The end points' vertex indices, the lower first.
    pub(crate) ends: [u32; 2],
    /// Normals of the two faces; the same twice for an open edge.
    pub(crate) normals: [[f64; 3]; 2],
    /// Whether it is drawn from wherever it is seen.
    pub(crate) feature: bool,
}

impl MeshEdge {
    /// Whether it is drawn for a viewer in the direction `toward`: a feature with at least one face
    /// in view, or an outline.
    pub(crate) fn drawn(&self, toward: [f64; 3]) -> bool {
        let [a, b] = self.normals.map(|n| faces(n, toward));
        if self.feature { a || b } else { a != b }
    }
}

/// Whether a face looks at the viewer. Faces seen edge-on do not.
pub(crate) fn faces(normal: [f64; 3], toward: [f64; 3]) -> bool {
    /// Rounding of a unit normal.
    const EDGE_ON: f64 = 1e-9;
    dot(normal, toward) > EDGE_ON
}

/// Unit normals of the triangles; zero for one without area.
pub(crate) fn face_normals(mesh: &TriMesh) -> Vec<[f64; 3]> {
    (0..mesh.triangles.len()).map(|t| unit(doubled_area(mesh, t)).unwrap_or_default()).collect()
}

fn doubled_area(mesh: &TriMesh, triangle: usize) -> [f64; 3] {
    let [a, b, c] = mesh.corners(triangle);
    cross(sub(b, a), sub(c, a))
}

/// Every edge once, in the order of its end points.
pub(crate) fn mesh_edges(mesh: &TriMesh, normals: &[[f64; 3]]) -> Vec<MeshEdge> {
    let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(mesh.triangles.len() * 3);
    for (t, &[a, b, c]) in (0_u32..).zip(&mesh.triangles) {
        for (p, q) in [(a, b), (b, c), (c, a)] {
            sides.push(([p.min(q), p.max(q)], t));
        }
    }
    sides.sort_unstable();
    let limit = FEATURE_ANGLE.cos();
    sides
        .chunk_by(|x, y| x.0 == y.0)
        .map(|group| {
            let normal = |i: usize| normals[group[i.min(group.len() - 1)].1 as usize];
            let pair = [normal(0), normal(1)];
            // A triangle without area has no normal and makes no edge.
            let flat = pair.contains(&[0.0; 3]);
            let sharp = dot(pair[0], pair[1]) < limit;
            MeshEdge {
                ends: group[0].0,
                normals: pair,
                feature: group.len() != 2 || (sharp && !flat),
            }
        })
        .collect()
}

/// Normals at the three corners of every triangle: the mean, by area, of the faces about the vertex
/// that meet this one at less than [`FEATURE_ANGLE`]; so that a tessellated cylinder looks round and
/// a box keeps its edges.
pub(crate) fn corner_normals(mesh: &TriMesh, normals: &[[f64; 3]]) -> Vec<[[f64; 3]; 3]> {
    let mut start = vec![0_u32; mesh.vertices.len() + 1];
    for v in mesh.triangles.iter().flatten() {
        start[*v as usize + 1] += 1;
    }
    for i in 1..start.len() {
        start[i] += start[i - 1];
    }
    let mut next = start.clone();
    let mut around = vec![0_u32; mesh.triangles.len() * 3];
    for (t, triangle) in (0_u32..).zip(&mesh.triangles) {
        for v in triangle {
            let slot = &mut next[*v as usize];
            around[*slot as usize] = t;
            *slot += 1;
        }
    }
    let areas: Vec<[f64; 3]> = (0..mesh.triangles.len()).map(|t| doubled_area(mesh, t)).collect();
    let limit = FEATURE_ANGLE.cos();
    mesh.triangles
        .iter()
        .zip(normals)
        .map(|(triangle, own)| {
            triangle.map(|v| {
                let v = v as usize;
                let near = &around[start[v] as usize..start[v + 1] as usize];
                let sum = near
                    .iter()
                    .filter(|t| dot(normals[**t as usize], *own) >= limit)
                    .fold([0.0; 3], |sum, t| add(sum, areas[*t as usize]));
                unit(sum).unwrap_or(*own)
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{cuboid, sphere, tube};

    fn features(mesh: &TriMesh) -> usize {
        mesh_edges(mesh, &face_normals(mesh)).iter().filter(|e| e.feature).count()
    }

    #[test]
    fn a_box_has_twelve_edges_a_tube_four_circles_a_ball_none() {
        // Counting: Euclid's cuboid; the rims of a tube with n facets.
        assert_eq!(features(&cuboid([3.0, 4.0, 5.0])), 12);
        assert_eq!(features(&tube(5.0, 8.0, 10.0, 48)), 4 * 48);
        assert_eq!(features(&sphere(5.0, 48)), 0);
    }

    #[test]
    fn an_isometric_box_shows_nine_edges() {
        let mesh = cuboid([3.0, 4.0, 5.0]);
        let edges = mesh_edges(&mesh, &face_normals(&mesh));
        let shown = edges.iter().filter(|e| e.drawn([1.0, 1.0, 1.0])).count();
        assert_eq!(shown, 9);
    }

    #[test]
    fn corner_normals_of_a_ball_point_from_its_centre() {
        let mesh = sphere(5.0, 64);
        let normals = corner_normals(&mesh, &face_normals(&mesh));
        for (t, corners) in mesh.triangles.iter().zip(&normals) {
            for (v, n) in t.iter().zip(corners) {
                let out = unit(mesh.vertices[*v as usize]).unwrap();
                assert!(dot(out, *n) > 0.998, "{out:?} {n:?}");
            }
        }
    }
}
