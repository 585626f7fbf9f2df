//! Plain solids for pictures: what is not printed but must be seen (trunk, pad, strap, lamp, bolts).
//!
//! All are lofts: rings of equally many points, each joined to the next. Millimetres. Guarantee: the
//! meshes are closed and oriented outward whichever way the rings run.

use crate::mesh::TriMesh;

/// A point.
type Point = [f64; 3];

/// Joins each ring to the next. An open loft is closed by a fan at both ends, so end rings must be
/// convex; a cyclic one joins its last ring to its first.
pub(super) fn loft(rings: &[Vec<Point>], cyclic: bool) -> TriMesh {
    let n = rings.first().map_or(0, Vec::len) as u32;
    let mut mesh =
        TriMesh { vertices: rings.iter().flatten().copied().collect(), triangles: Vec::new() };
    let count = rings.len() as u32;
    let joints = if cyclic { count } else { count.saturating_sub(1) };
    for ring in 0..joints {
        let (from, to) = (ring * n, (ring + 1) % count * n);
        for j in 0..n {
            let next = (j + 1) % n;
            let [p, q, s, t] = [from + j, from + next, to + next, to + j];
            mesh.triangles.extend([[p, q, s], [p, s, t]]);
        }
    }
    if !cyclic && count > 0 {
        let last = (count - 1) * n;
        for j in 2..n {
            mesh.triangles.push([0, j, j - 1]);
            mesh.triangles.push([last, last + j - 1, last + j]);
        }
    }
    if six_volumes(&mesh) < 0.0 {
        mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    mesh
}

/// Six times the enclosed volume, with a sign.
fn six_volumes(mesh: &TriMesh) -> f64 {
    let volume = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    mesh.triangles.iter().map(volume).sum()
}

/// A box between two corners.
pub(super) fn cuboid(low: Point, high: Point) -> TriMesh {
    let ring = |z: f64| {
        vec![[low[0], low[1], z], [high[0], low[1], z], [high[0], high[1], z], [low[0], high[1], z]]
    };
    loft(&[ring(low[2]), ring(high[2])], false)
}

/// A round bar along X.
pub(super) fn bar(x: [f64; 2], [y, z]: [f64; 2], radius: f64) -> TriMesh {
    const SIDES: usize = 32;
    let ring = |x: f64| {
        let point = |i: usize| {
            let (s, c) = libm::sincos(std::f64::consts::TAU * i as f64 / SIDES as f64);
            [x, y + radius * c, z + radius * s]
        };
        (0..SIDES).map(point).collect()
    };
    loft(&[ring(x[0]), ring(x[1])], false)
}

/// Both in one mesh, not joined.
pub(super) fn with(mut one: TriMesh, other: &TriMesh) -> TriMesh {
    let base = one.vertices.len() as u32;
    one.vertices.extend(&other.vertices);
    one.triangles.extend(other.triangles.iter().map(|t| t.map(|v| v + base)));
    one
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::measure;

    #[test]
    fn lofts_are_closed_and_outward() {
        // Volumes by elementary geometry: a box; a prism over a regular 32-gon,
        // n r^2 sin(2 pi/n) / 2 times its length; a square ring of 4 x 4 less 2 x 2.
        let volume = |m: &TriMesh| measure(m).unwrap().volume.get();
        assert!((volume(&cuboid([0.0; 3], [2.0, 3.0, 4.0])) - 24.0).abs() < 1e-9);
        let polygon = 32.0 * 25.0 * libm::sin(std::f64::consts::TAU / 32.0) / 2.0;
        assert!((volume(&bar([1.0, -6.0], [8.0, 9.0], 5.0)) - polygon * 7.0).abs() < 1e-9);
        let post = |s: [f64; 2]| {
            vec![
                [s[0], s[1], 0.0],
                [2.0 * s[0], 2.0 * s[1], 0.0],
                [2.0 * s[0], 2.0 * s[1], 5.0],
                [s[0], s[1], 5.0],
            ]
        };
        let corners = [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]].map(post);
        assert!((volume(&loft(&corners, true)) - 60.0).abs() < 1e-9);
        let both = with(cuboid([0.0; 3], [1.0; 3]), &cuboid([5.0; 3], [6.0; 3]));
        assert!((volume(&both) - 2.0).abs() < 1e-9);
    }
}
