//! Which triangle lies across which edge, and which triangles hang together.
//!
//! Half-edge `3 t + k` runs from corner `k` of triangle `t` to the next one. Edges are matched by
//! sorting, bucketed by their lesser vertex: linear time, no hashing, the same order every run.

use super::TriMesh;

/// Why triangles do not form a closed oriented surface; the numbers are vertices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EdgeFault {
    Open(u32, u32),
    Crowded(u32, u32, usize),
    Twisted(u32, u32),
}

/// Opposite half-edges of a closed oriented surface.
pub(crate) struct Topology {
    opposite: Vec<u32>,
}

/// Half-edges from one vertex form more than one fan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct PinchedVertex(pub(crate) u32);

/// The triangles of one connected surface.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Shell {
    pub(crate) triangles: Vec<u32>,
    /// Handles: Euler, V - E + F = 2 - 2 genus.
    pub(crate) genus: usize,
}

pub(crate) fn next(h: u32) -> u32 {
    if h % 3 == 2 { h - 2 } else { h + 1 }
}

impl Topology {
    /// Matches the half-edges of a checked mesh.
    pub(crate) fn new(mesh: &TriMesh) -> Result<Self, EdgeFault> {
        let ends = |h: u32| {
            let t = &mesh.triangles[(h / 3) as usize];
            (t[(h % 3) as usize], t[(next(h) % 3) as usize])
        };
        let count = mesh.triangles.len() as u32 * 3;
        let mut start = vec![0_u32; mesh.vertices.len() + 1];
        for h in 0..count {
            let (a, b) = ends(h);
            start[a.min(b) as usize + 1] += 1;
        }
        for v in 1..start.len() {
            start[v] += start[v - 1];
        }
        let mut fill = start.clone();
        let mut bucket = vec![(0_u32, 0_u32); count as usize];
        for h in 0..count {
            let (a, b) = ends(h);
            let slot = &mut fill[a.min(b) as usize];
            bucket[*slot as usize] = (a.max(b), h);
            *slot += 1;
        }
        let mut opposite = vec![0_u32; count as usize];
        for v in 0..mesh.vertices.len() {
            let same = &mut bucket[start[v] as usize..start[v + 1] as usize];
            same.sort_unstable();
            for run in same.chunk_by(|x, y| x.0 == y.0) {
                let (a, b) = ends(run[0].1);
                match *run {
                    [(_, h), (_, g)] if ends(h) == (ends(g).1, ends(g).0) => {
                        opposite[h as usize] = g;
                        opposite[g as usize] = h;
                    }
                    [_] => return Err(EdgeFault::Open(a, b)),
                    [_, _] => return Err(EdgeFault::Twisted(a, b)),
                    _ => return Err(EdgeFault::Crowded(a, b, run.len())),
                }
            }
        }
        Ok(Self { opposite })
    }

    pub(crate) fn opposite(&self, h: u32) -> u32 {
        self.opposite[h as usize]
    }

    /// Checks that the triangles about each vertex form one fan.
    pub(crate) fn check_vertices(&self, mesh: &TriMesh) -> Result<(), PinchedVertex> {
        let mut walked = vec![false; self.opposite.len()];
        let mut has_fan = vec![false; mesh.vertices.len()];
        for h in 0..self.opposite.len() as u32 {
            if walked[h as usize] {
                continue;
            }
            let vertex = mesh.triangles[(h / 3) as usize][(h % 3) as usize];
            if std::mem::replace(&mut has_fan[vertex as usize], true) {
                return Err(PinchedVertex(vertex));
            }
            // The half-edge that leaves the same vertex in the neighbouring triangle.
            let mut at = h;
            while !std::mem::replace(&mut walked[at as usize], true) {
                at = self.opposite(next(next(at)));
            }
        }
        Ok(())
    }

    /// Splits the surface into connected shells, in the order of their first triangles.
    pub(crate) fn shells(&self, mesh: &TriMesh) -> Vec<Shell> {
        let mut shells = Vec::new();
        let mut seen = vec![false; mesh.triangles.len()];
        let mut counted = vec![false; mesh.vertices.len()];
        for first in 0..mesh.triangles.len() as u32 {
            if seen[first as usize] {
                continue;
            }
            seen[first as usize] = true;
            let mut triangles = vec![first];
            let mut done = 0;
            let mut vertices = 0_usize;
            while let Some(&t) = triangles.get(done) {
                done += 1;
                for &v in &mesh.triangles[t as usize] {
                    vertices += usize::from(!std::mem::replace(&mut counted[v as usize], true));
                }
                for k in 0..3 {
                    let across = self.opposite(3 * t + k) / 3;
                    if !std::mem::replace(&mut seen[across as usize], true) {
                        triangles.push(across);
                    }
                }
            }
            // E = 3 F / 2, so 2 genus = 2 - V + F / 2; never negative for one closed oriented
            // surface whose vertices are not pinched.
            let genus = (2 + triangles.len() / 2).saturating_sub(vertices) / 2;
            shells.push(Shell { triangles, genus });
        }
        shells
    }
}
