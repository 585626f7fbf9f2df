//! Solids with known measures, for tests only.

use super::{Bounds, TriMesh};
use crate::space::add;
use std::f64::consts::PI;

/// A box from the origin.
pub(crate) fn cuboid(size: [f64; 3]) -> TriMesh {
    Bounds { min: [0.0; 3], max: size }.mesh()
}

pub(crate) fn moved(mesh: &TriMesh, by: [f64; 3]) -> TriMesh {
    let vertices = mesh.vertices.iter().map(|&p| add(p, by)).collect();
    TriMesh { vertices, triangles: mesh.triangles.clone() }
}

/// Both in one mesh, not joined.
pub(crate) fn together(a: &TriMesh, b: &TriMesh) -> TriMesh {
    let mut out = a.clone();
    let base = a.vertices.len() as u32;
    out.vertices.extend(&b.vertices);
    out.triangles.extend(b.triangles.iter().map(|t| t.map(|v| v + base)));
    out
}

/// The same surface seen from the other side.
pub(crate) fn inside_out(mesh: &TriMesh) -> TriMesh {
    let triangles = mesh.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect();
    TriMesh { vertices: mesh.vertices.clone(), triangles }
}

/// A closed grid of `rows` x `columns` that wraps both ways: a torus of major radius R, minor r.
pub(crate) fn torus(major: f64, minor: f64, n: u32, m: u32) -> TriMesh {
    let mut mesh = TriMesh::default();
    for i in 0..n {
        let u = 2.0 * PI * f64::from(i) / f64::from(n);
        for j in 0..m {
            let v = 2.0 * PI * f64::from(j) / f64::from(m);
            let r = major + minor * libm::cos(v);
            mesh.vertices.push([r * libm::cos(u), r * libm::sin(u), minor * libm::sin(v)]);
            let at = |a: u32, b: u32| (a % n) * m + b % m;
            let [p, q, s, t] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.triangles.extend([[p, q, s], [p, s, t]]);
        }
    }
    mesh
}

/// A sphere about the origin with `n` meridians and `n / 2` parallels.
pub(crate) fn sphere(radius: f64, n: u32) -> TriMesh {
    let rows = n / 2;
    let mut mesh = TriMesh { vertices: vec![[0.0, 0.0, -radius]], triangles: vec![] };
    for j in 1..rows {
        let lat = PI * f64::from(j) / f64::from(rows) - PI / 2.0;
        for i in 0..n {
            let lon = 2.0 * PI * f64::from(i) / f64::from(n);
            let r = radius * libm::cos(lat);
            mesh.vertices.push([r * libm::cos(lon), r * libm::sin(lon), radius * libm::sin(lat)]);
        }
    }
    mesh.vertices.push([0.0, 0.0, radius]);
    let top = mesh.vertices.len() as u32 - 1;
    let at = |j: u32, i: u32| 1 + (j - 1) * n + i % n;
    for i in 0..n {
        mesh.triangles.push([0, at(1, i + 1), at(1, i)]);
        mesh.triangles.push([at(rows - 1, i), at(rows - 1, i + 1), top]);
        for j in 1..rows - 1 {
            let [p, q, s, t] = [at(j, i), at(j, i + 1), at(j + 1, i + 1), at(j + 1, i)];
            mesh.triangles.extend([[p, q, s], [p, s, t]]);
        }
    }
    mesh
}

/// A prism tube along Z with regular `n`-gons of the given circumradii.
pub(crate) fn tube(inner: f64, outer: f64, height: f64, n: u32) -> TriMesh {
    let mut mesh = TriMesh::default();
    for (r, z) in [(inner, 0.0), (outer, 0.0), (outer, height), (inner, height)] {
        for i in 0..n {
            let a = 2.0 * PI * f64::from(i) / f64::from(n);
            mesh.vertices.push([r * libm::cos(a), r * libm::sin(a), z]);
        }
    }
    for ring in 0..4 {
        for i in 0..n {
            let at = |k: u32, j: u32| (k % 4) * n + j % n;
            let [p, q, s, t] = [at(ring, i), at(ring, i + 1), at(ring + 1, i + 1), at(ring + 1, i)];
            mesh.triangles.extend([[p, q, s], [p, s, t]]);
        }
    }
    mesh
}
