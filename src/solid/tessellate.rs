//! From the exact body straight to a closed triangle mesh.
//!
//! Every shared edge is divided once, and both its faces use the same points: the mesh is closed by
//! construction and needs no welding. A ruled strip becomes one quad a piece; a plane becomes a
//! constrained Delaunay triangulation of its loops (crate `spade`, exact predicates), which keeps
//! every boundary point and adds none.
//!
//! The mesh stays within `deviation` of the exact surface: chords obey it, rulings are exact.

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::shell::{Body, Face, FaceKind};
use crate::mesh::TriMesh;
use crate::space::{Frame, Vec3};
use crate::units::Length;

/// No number.
const NONE: u32 = u32::MAX;

/// Twice the area, in mm2, above which a corner of a quad turns without doubt.
const PLAIN: f64 = 1e-6;

/// A face whose boundary cannot be filled with triangles.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the outline of the face `{label}` crosses itself or leaves its face")]
pub struct TessellateError {
    /// The face.
    pub label: &'static str,
}

/// A mesh, and which face of the body each triangle belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Tessellation {
    /// Closed mesh, outward.
    pub mesh: TriMesh,
    /// For each triangle the index of its face in [`Body::faces`].
    pub face_of: Vec<u32>,
}

impl Body {
    /// Meshes the body.
    ///
    /// # Errors
    /// [`TessellateError`] when the outline of a plane crosses itself: a drawing whose dimensions
    /// contradict each other.
    pub fn tessellate(&self, deviation: Length) -> Result<Tessellation, TessellateError> {
        let mut points: Vec<[f64; 3]> = self.vertices.iter().map(|p| p.array()).collect();
        let chains = self.divide(deviation.get(), &mut points);
        let mut triangles = Vec::new();
        let mut face_of = Vec::new();
        // For each point its number on the plane at hand.
        let mut numbers = vec![NONE; points.len()];
        for (index, face) in self.faces.iter().enumerate() {
            match face.kind {
                FaceKind::Plane { normal } => {
                    self.fill_plane(face, normal, &points, &chains, &mut numbers, &mut triangles)?;
                }
                FaceKind::Ruled => Self::fill_strip(face, &chains, &points, &mut triangles),
            }
            face_of.resize(triangles.len(), index as u32);
        }
        Ok(Tessellation { mesh: TriMesh { vertices: points, triangles }, face_of })
    }

    /// Divides every edge; edges on opposite sides of a strip get the same number of pieces.
    fn divide(&self, deviation: f64, points: &mut Vec<[f64; 3]>) -> Vec<Vec<u32>> {
        let mut pieces: Vec<usize> = self.edges.iter().map(|e| e.shape.pieces(deviation)).collect();
        // Strips form rows; the largest number runs through a row in at most as many rounds as
        // the row is long.
        let strips = || self.faces.iter().filter(|f| f.kind == FaceKind::Ruled);
        loop {
            let mut settled = true;
            for face in strips() {
                let [a, b] = [face.loops[0][0].edge, face.loops[0][2].edge];
                let most = pieces[a].max(pieces[b]);
                settled &= pieces[a] == pieces[b];
                (pieces[a], pieces[b]) = (most, most);
            }
            if settled {
                break;
            }
        }
        let chain = |(edge, n): (&super::shell::BodyEdge, usize)| {
            let mut chain = vec![edge.ends[0] as u32];
            for i in 1..n {
                chain.push(points.len() as u32);
                points.push(edge.shape.at(i as f64 / n as f64).array());
            }
            chain.push(edge.ends[1] as u32);
            chain
        };
        self.edges.iter().zip(pieces).map(chain).collect()
    }

    fn fill_strip(face: &Face, chains: &[Vec<u32>], points: &[[f64; 3]], out: &mut Vec<[u32; 3]>) {
        let run = |i: usize, forward: bool| {
            let edge_use = face.loops[0][i];
            let mut chain = chains[edge_use.edge].clone();
            if edge_use.forward != forward {
                chain.reverse();
            }
            chain
        };
        let (lower, upper) = (run(0, true), run(2, false));
        let at = |i: u32| Vec3::from(points[i as usize]);
        for i in 0..lower.len() - 1 {
            let [a, b, c, d] = [lower[i], lower[i + 1], upper[i + 1], upper[i]];
            // The shorter diagonal; the same one along a strip of equal quads.
            if (at(a) - at(c)).norm() <= (at(b) - at(d)).norm() + 1e-9 {
                out.extend([[a, b, c], [a, c, d]]);
            } else {
                out.extend([[a, b, d], [b, c, d]]);
            }
        }
    }

    fn fill_plane(
        &self,
        face: &Face,
        normal: Vec3,
        points: &[[f64; 3]],
        chains: &[Vec<u32>],
        numbers: &mut [u32],
        out: &mut Vec<[u32; 3]>,
    ) -> Result<(), TessellateError> {
        let error = TessellateError { label: face.label };
        let frame = frame_of(normal, self.run(face.loops[0][0]).a);
        // Boundary points in the plane, loop by loop.
        let mut ids: Vec<u32> = Vec::new();
        let mut rim: Vec<[usize; 2]> = Vec::new();
        let mut twice_area = 0.0;
        for wire in &face.loops {
            let mut around: Vec<usize> = Vec::new();
            for edge_use in wire {
                let chain = &chains[edge_use.edge];
                let take = |id: u32| {
                    let number = &mut numbers[id as usize];
                    if *number == NONE {
                        *number = ids.len() as u32;
                        ids.push(id);
                    }
                    *number as usize
                };
                let steps = chain.len() - 1;
                if edge_use.forward {
                    around.extend(chain[..steps].iter().copied().map(take));
                } else {
                    around.extend(chain[1..].iter().rev().copied().map(take));
                }
            }
            let n = around.len();
            for i in 0..n {
                let [a, b] = [around[i], around[(i + 1) % n]];
                let [p, q] = [a, b].map(|k| frame.local(points[ids[k] as usize].into()));
                twice_area += p[0] * q[1] - p[1] * q[0];
                rim.push([a, b]);
            }
        }
        ids.iter().for_each(|&id| numbers[id as usize] = NONE);
        // A triangle or a plain quad, such as every wall of a letter, needs no triangulator.
        let corner = |k: usize| Vec3::from(points[ids[k] as usize]);
        match *ids {
            [a, b, c] if rim.len() == 3 => {
                out.push([a, b, c]);
                return Ok(());
            }
            [a, b, c, d] if rim.len() == 4 && face.loops.len() == 1 => {
                let turns_left = |k: usize| {
                    let [p, q, r] = [k, (k + 1) % 4, (k + 2) % 4].map(corner);
                    (q - p).cross(r - q).dot(normal) > PLAIN
                };
                if (0..4).all(turns_left) {
                    let even = (corner(0) - corner(2)).norm() <= (corner(1) - corner(3)).norm();
                    out.extend(if even { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] });
                    return Ok(());
                }
            }
            _ => {}
        }
        let flat: Vec<Point2<f64>> = ids
            .iter()
            .map(|&id| {
                let [x, y] = frame.local(points[id as usize].into());
                Point2::new(settle(x), settle(y))
            })
            .collect();
        let mut crossed = false;
        let cdt = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(
            flat,
            rim.clone(),
            |_| crossed = true,
        )
        .map_err(|_| error.clone())?;
        if crossed || cdt.num_vertices() != ids.len() || cdt.num_constraints() != rim.len() {
            return Err(error);
        }
        // From outside inwards: crossing a rim edge changes sides.
        let mut inside = vec![None; cdt.num_all_faces()];
        let outer = cdt.outer_face();
        inside[outer.index()] = Some(false);
        let mut stack = vec![(outer.fix(), false)];
        // The outer face has no adjacent-edge ring of three: start from the hull.
        for edge in cdt.convex_hull() {
            let twin = edge.rev();
            let face = twin.face();
            if face.is_outer() {
                continue;
            }
            let side = edge.is_constraint_edge();
            inside[face.fix().index()] = Some(side);
            stack.push((face.fix(), side));
        }
        while let Some((face, side)) = stack.pop() {
            let Some(inner) = cdt.face(face).as_inner() else { continue };
            for edge in inner.adjacent_edges() {
                let next = edge.rev().face();
                if next.is_outer() || inside[next.fix().index()].is_some() {
                    continue;
                }
                let next_side = side ^ edge.is_constraint_edge();
                inside[next.fix().index()] = Some(next_side);
                stack.push((next.fix(), next_side));
            }
        }
        let before = out.len();
        let mut filled = 0.0;
        for triangle in cdt.inner_faces() {
            if inside[triangle.fix().index()] == Some(true) {
                let corners = triangle.vertices();
                filled += 2.0 * triangle.area();
                out.push(corners.map(|c| ids[c.fix().index()]));
            }
        }
        // A hole outside its face, or loops the wrong way round, fill another area than the loops
        // enclose.
        if before == out.len() || (filled - twice_area).abs() > 1e-6 * (1.0 + twice_area.abs()) {
            return Err(error);
        }
        Ok(())
    }
}

/// Coordinates in the plane on a grid of 2^-30 mm: points that lie on one line by design stay
/// there after turning into the plane, and the triangulator makes no slivers of them.
fn settle(x: f64) -> f64 {
    const GRID: f64 = (1_u64 << 30) as f64;
    (x * GRID).round() / GRID
}

/// Some right-handed frame with this normal, along the axes of space where possible.
fn frame_of(normal: Vec3, origin: Vec3) -> Frame {
    let axis = if normal.z.abs() > 0.9 { Vec3::X } else { Vec3::Z };
    let u = (axis - normal * axis.dot(normal)).unit();
    Frame::new(origin, u, normal.cross(u))
}
