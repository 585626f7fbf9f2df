//! The mesh as a printer reads it: single precision, welded, without slivers of no area.
//!
//! Binary STL and 3MF hold single-precision numbers. Rounding moves vertices, so two may fall
//! together and a thin triangle may fold flat; both are repaired here, before the gate looks at the
//! result. Vertices are first rounded to a binary grid, on which sums of coordinates stay exact: a
//! part moved across a bed by a multiple of [`GRID`] keeps its shape to the last bit.

use super::topology::{Topology, next};
use super::{MeshFault, TriMesh};
use crate::space::{cross, dot, norm, sub};

/// Spacing of the grid in millimetres, 2^-14 (61 nm): exact in single precision (24 bits) up to
/// 1024 mm, and far below anything that a printer resolves.
pub(crate) const GRID: f64 = 1.0 / 16384.0;

/// Rounds of edge flips at most. One round mends single slivers; a chain of k needs about k rounds.
const FLIP_ROUNDS: usize = 8;

/// Rounds a coordinate to the grid and to single precision; minus zero becomes zero.
#[must_use]
pub(crate) fn snapped(coordinate: f64) -> f64 {
    f64::from(((coordinate / GRID).round_ties_even() * GRID) as f32) + 0.0
}

/// Rounds to the grid and to single precision, welds equal vertices, drops triangles that collapsed
/// and unused vertices, and turns the long edge of a sliver thinner than the grid into its
/// neighbour. Vertices keep the order in which triangles first name them.
///
/// The surface moves by at most a grid step. Whether the result is a closed solid is for the
/// [`gate`](mod@super::gate) to say.
///
/// # Errors
/// [`MeshFault`] where the mesh is not finite or badly indexed, or nothing is left of it.
pub(crate) fn printable(mesh: &TriMesh) -> Result<TriMesh, MeshFault> {
    mesh.check()?;
    let mut out = welded(mesh);
    for _ in 0..FLIP_ROUNDS {
        if !flip_slivers(&mut out) {
            break;
        }
    }
    out.check()?;
    Ok(out)
}

fn welded(mesh: &TriMesh) -> TriMesh {
    let points: Vec<_> = mesh.vertices.iter().map(|p| p.map(snapped)).collect();
    let mut order: Vec<u32> = (0..points.len() as u32).collect();
    let key = |v: u32| points[v as usize];
    order.sort_unstable_by(|&a, &b| {
        let (p, q) = (key(a), key(b));
        p[0].total_cmp(&q[0])
            .then(p[1].total_cmp(&q[1]))
            .then(p[2].total_cmp(&q[2]))
            .then(a.cmp(&b))
    });
    // Every vertex goes to the least index at its place.
    let mut leader = vec![0_u32; points.len()];
    for run in order.chunk_by(|&a, &b| key(a) == key(b)) {
        for &v in run {
            leader[v as usize] = run[0];
        }
    }
    let mut renamed = vec![u32::MAX; points.len()];
    let mut out = TriMesh::default();
    for t in &mesh.triangles {
        let t = t.map(|v| leader[v as usize]);
        if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
            continue;
        }
        out.triangles.push(t.map(|v| {
            let name = &mut renamed[v as usize];
            if *name == u32::MAX {
                *name = out.vertices.len() as u32;
                out.vertices.push(points[v as usize]);
            }
            *name
        }));
    }
    out
}

/// The half-edge of a sliver's longest edge, if the triangle is thinner than the grid.
fn sliver(mesh: &TriMesh, triangle: u32) -> Option<u32> {
    let p = mesh.corners(triangle as usize);
    let length = |k: usize| norm(sub(p[(k + 1) % 3], p[k]));
    let (mut longest, mut k) = (length(0), 0_u32);
    for i in 1..3 {
        if length(i) > longest {
            (longest, k) = (length(i), i as u32);
        }
    }
    let thin = norm(cross(sub(p[1], p[0]), sub(p[2], p[0]))) < GRID * longest;
    thin.then_some(3 * triangle + k)
}

/// One round: each sliver (a, b, c) with longest edge c-a and its neighbour (a, c, d) across that
/// edge become (a, b, d) and (b, c, d). Says whether anything changed. An open or crowded mesh is
/// left for the gate to refuse.
fn flip_slivers(mesh: &mut TriMesh) -> bool {
    let slivers: Vec<u32> =
        (0..mesh.triangles.len() as u32).filter_map(|t| sliver(mesh, t)).collect();
    if slivers.is_empty() {
        return false;
    }
    let Ok(topology) = Topology::new(mesh) else { return false };
    let mut touched = vec![false; mesh.triangles.len()];
    let mut changed = false;
    for long in slivers {
        let over = topology.opposite(long);
        let (t, u) = (long / 3, over / 3);
        let vertex = |h: u32| mesh.triangles[(h / 3) as usize][(h % 3) as usize];
        let (c, a) = (vertex(long), vertex(next(long)));
        let (b, d) = (vertex(next(next(long))), vertex(next(next(over))));
        if touched[t as usize]
            || touched[u as usize]
            || b == d
            || fan_refuses(mesh, &topology, &touched, next(next(long)), d)
        {
            continue;
        }
        let corner = |v: u32| mesh.vertices[v as usize];
        let normal =
            |x: u32, y: u32, z: u32| cross(sub(corner(y), corner(x)), sub(corner(z), corner(x)));
        // Both halves must have an area and face the way the neighbour faced.
        let facing = normal(a, c, d);
        if dot(normal(a, b, d), facing) <= 0.0 || dot(normal(b, c, d), facing) <= 0.0 {
            continue;
        }
        mesh.triangles[t as usize] = [a, b, d];
        mesh.triangles[u as usize] = [b, c, d];
        touched[t as usize] = true;
        touched[u as usize] = true;
        changed = true;
    }
    changed
}

/// Whether an edge already joins the vertex that half-edge `start` leaves to `other`, or a triangle
/// there was changed in this round, so that the topology no longer tells.
fn fan_refuses(
    mesh: &TriMesh,
    topology: &Topology,
    touched: &[bool],
    start: u32,
    other: u32,
) -> bool {
    let mut at = start;
    loop {
        let triangle = (at / 3) as usize;
        if touched[triangle] || mesh.triangles[triangle].contains(&other) {
            return true;
        }
        at = topology.opposite(next(next(at)));
        if at == start {
            return false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, torus};
    use super::super::{Expected, gate, measure};
    use super::*;
    use crate::space::{Pose, v};
    use crate::units::{Angle, Length, Volume};

    #[test]
    fn the_grid_is_exact_in_single_precision_to_a_metre() {
        for k in [1.0, 3.0, 16_777_215.0] {
            assert_eq!(snapped(k * GRID), k * GRID);
        }
        assert_eq!(snapped(-1e-9).to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn a_soup_of_triangles_is_welded_into_a_solid() {
        let solid = torus(20.0, 5.0, 24, 12);
        let mut soup = TriMesh::default();
        for (i, t) in solid.triangles.iter().enumerate() {
            // Corners off by less than half a grid step, each its own way.
            let off = 1e-9 * (i % 7) as f64;
            for &v in t {
                soup.vertices.push(solid.vertices[v as usize].map(|c| snapped(c) + off));
            }
            let n = soup.vertices.len() as u32;
            soup.triangles.push([n - 3, n - 2, n - 1]);
        }
        let out = printable(&soup).unwrap();
        assert_eq!(out.vertices.len(), solid.vertices.len());
        let volume = measure(&solid).unwrap().volume;
        let expected = Expected { bodies: 1, genus: 1, volume, deviation: Length::mm(1e-4) };
        gate(&out, &expected).unwrap();
    }

    #[test]
    fn a_flat_triangle_is_turned_into_its_neighbour() {
        // A box whose bottom edge carries a vertex in its middle, on one side only as a sliver.
        let mut mesh = cuboid([10.0; 3]);
        mesh.vertices.push([5.0, 0.0, 0.0]);
        let bottom = mesh.triangles.iter().position(|t| t.contains(&0) && t.contains(&1)).unwrap();
        let [a, b, c] = mesh.triangles[bottom];
        let turned = [[a, b, c], [b, c, a], [c, a, b]];
        let [from, to, apex] = *turned.iter().find(|t| !([0, 1].contains(&t[2]))).unwrap();
        mesh.triangles[bottom] = [from, 8, apex];
        mesh.triangles.push([8, to, apex]);
        mesh.triangles.push([from, to, 8]);
        let volume = Volume::mm3(1000.0);
        let expected = Expected { bodies: 1, genus: 0, volume, deviation: Length::mm(1e-9) };
        assert!(gate(&mesh, &expected).is_err(), "the sliver has no area");
        let out = printable(&mesh).unwrap();
        let report = gate(&out, &expected).unwrap();
        assert_eq!(report.triangles, 14);
    }

    #[test]
    fn printable_twice_is_printable_once() {
        let turn = Pose::turn(v(1.0, 2.0, 3.0).unit(), Angle::degrees(33.0).rad());
        let once = printable(&torus(30.0, 7.0, 40, 20).posed(&turn)).unwrap();
        assert_eq!(printable(&once).unwrap(), once);
    }
}
