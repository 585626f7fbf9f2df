//! The gate: a mesh that passes is one closed oriented solid, the one that was designed.
//!
//! Checked in this order: finite numbers and valid indices; no triangle without area; every edge
//! used by exactly two triangles in opposite directions; the triangles about each vertex one fan;
//! every shell turned outward; the designed number of bodies and of handles (genus, by Euler's
//! formula for each shell, since two wrong shells can add up to a right total); and the volume
//! within a tolerance of the exact solid's.
//!
//! Not checked here: whether the surface cuts through itself without sharing vertices. The volume
//! against the exact solid's guards against the designs that do.

use super::topology::{EdgeFault, Shell, Topology};
use super::{Bounds, Measures, MeshFault, TriMesh, measure, printable};
use crate::space::{cross, dot, norm, sub};
use crate::units::{Area, Length, Volume};

/// What the design says of a solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Separate bodies.
    pub bodies: usize,
    /// Through holes and handles of all bodies together.
    pub genus: usize,
    /// Volume of the exact solid.
    pub volume: Volume,
    /// Farthest that chords lie from the exact surface: the volume may differ by the area times it.
    pub deviation: Length,
}

/// What the gate measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateReport {
    /// Number of triangles.
    pub triangles: usize,
    /// Volume, positive.
    pub volume: Volume,
    /// Area of the surface.
    pub area: Area,
    /// Centre of gravity in millimetres.
    pub centroid: [f64; 3],
    /// Bounds in millimetres.
    pub bounds: Bounds,
    /// Separate bodies.
    pub bodies: usize,
    /// Through holes and handles.
    pub genus: usize,
}

/// Why a mesh does not pass. Places are in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum GateError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// A triangle has no area.
    #[error("triangle {triangle} near {} has no area", at(.near))]
    Degenerate {
        /// Index of the triangle.
        triangle: usize,
        /// One of its corners.
        near: [f64; 3],
    },
    /// An edge has a triangle on one side only.
    #[error("the surface is open at the edge from {} to {}", at(.from), at(.to))]
    OpenEdge {
        /// One end.
        from: [f64; 3],
        /// The other end.
        to: [f64; 3],
    },
    /// More than two triangles meet in an edge.
    #[error("{triangles} triangles meet in the edge from {} to {}, two is right", at(.from), at(.to))]
    CrowdedEdge {
        /// One end.
        from: [f64; 3],
        /// The other end.
        to: [f64; 3],
        /// How many.
        triangles: usize,
    },
    /// Two neighbours wind against each other.
    #[error("neighbouring triangles face opposite ways at the edge from {} to {}", at(.from), at(.to))]
    TwistedEdge {
        /// One end.
        from: [f64; 3],
        /// The other end.
        to: [f64; 3],
    },
    /// Two parts of the surface touch in a single vertex.
    #[error("the surface is pinched to a single point at {}", at(.point))]
    PinchedVertex {
        /// The vertex.
        point: [f64; 3],
    },
    /// A shell is turned inside out: the whole part, or a closed hollow within it.
    #[error("a closed shell near {} is inside out (volume {volume})", at(.near))]
    InsideOut {
        /// A corner of the shell.
        near: [f64; 3],
        /// Its signed volume.
        volume: Volume,
    },
    /// Not the designed number of bodies.
    #[error("{found} separate bodies, designed {expected}")]
    Bodies {
        /// Found.
        found: usize,
        /// Designed.
        expected: usize,
    },
    /// Not the designed number of through holes.
    #[error("{found} through holes, designed {expected}")]
    Genus {
        /// Found.
        found: usize,
        /// Designed.
        expected: usize,
    },
    /// Not the designed volume.
    #[error("volume {found}, designed {expected} within {tolerance:.3}")]
    VolumeOff {
        /// Found.
        found: Volume,
        /// Designed.
        expected: Volume,
        /// Allowed difference.
        tolerance: Volume,
    },
}

fn at(p: &[f64; 3]) -> String {
    format!("({:.3}, {:.3}, {:.3}) mm", p[0] + 0.0, p[1] + 0.0, p[2] + 0.0)
}

/// Proves that a mesh is the designed solid, or says what is wrong and where.
///
/// # Errors
/// The first [`GateError`] in the order of the module's list.
#[cfg(test)]
pub(crate) fn gate(mesh: &TriMesh, expected: &Expected) -> Result<GateReport, GateError> {
    let measures = sized(mesh)?;
    let shells = connected(mesh)?;
    filled(mesh, &shells, &measures, expected)
}

/// Gates a mesh as designed and again as a printer will read it, and returns the latter with its
/// report: this is the mesh to write.
///
/// # Errors
/// The first [`GateError`] of either.
pub fn gate_as_written(
    mesh: &TriMesh,
    expected: &Expected,
) -> Result<(TriMesh, GateReport), GateError> {
    let measures = sized(mesh)?;
    let shells = connected(mesh)?;
    filled(mesh, &shells, &measures, expected)?;
    let written = printable(mesh)?;
    let measures = sized(&written)?;
    // Rounding that joined and turned nothing left every triangle with the same neighbours: what
    // was proved of their connections holds.
    let shells = if same_connections(mesh, &written) { shells } else { connected(&written)? };
    let report = filled(&written, &shells, &measures, expected)?;
    Ok((written, report))
}

/// Whether the triangles of both meshes, in their order, are the same but for the names of vertices,
/// each of which has one name in either.
fn same_connections(mesh: &TriMesh, written: &TriMesh) -> bool {
    if mesh.vertices.len() != written.vertices.len()
        || mesh.triangles.len() != written.triangles.len()
    {
        return false;
    }
    let mut names = [vec![None; mesh.vertices.len()], vec![None; mesh.vertices.len()]];
    let pairs = mesh.triangles.iter().flatten().zip(written.triangles.iter().flatten());
    pairs.into_iter().all(|(&a, &b)| {
        *names[0][a as usize].get_or_insert(b) == b && *names[1][b as usize].get_or_insert(a) == a
    })
}

/// Measures, where every triangle has an area.
fn sized(mesh: &TriMesh) -> Result<Measures, GateError> {
    let measures = measure(mesh)?;
    for (triangle, t) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(triangle);
        let area = norm(cross(sub(b, a), sub(c, a)));
        if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] || area <= 0.0 {
            return Err(GateError::Degenerate { triangle, near: a });
        }
    }
    Ok(measures)
}

/// The shells, where every edge has two triangles that run it opposite ways and no vertex is pinched.
fn connected(mesh: &TriMesh) -> Result<Vec<Shell>, GateError> {
    let place = |v: u32| mesh.vertices[v as usize];
    let topology = Topology::new(mesh).map_err(|fault| match fault {
        EdgeFault::Open(a, b) => GateError::OpenEdge { from: place(a), to: place(b) },
        EdgeFault::Crowded(a, b, triangles) => {
            GateError::CrowdedEdge { from: place(a), to: place(b), triangles }
        }
        EdgeFault::Twisted(a, b) => GateError::TwistedEdge { from: place(a), to: place(b) },
    })?;
    topology
        .check_vertices(mesh)
        .map_err(|pinched| GateError::PinchedVertex { point: place(pinched.0) })?;
    Ok(topology.shells(mesh))
}

/// The report, where every shell faces outward, bodies and holes are as many as designed, and so is
/// the volume.
fn filled(
    mesh: &TriMesh,
    shells: &[Shell],
    measures: &Measures,
    expected: &Expected,
) -> Result<GateReport, GateError> {
    let apex = measures.bounds.middle();
    for shell in shells {
        let six = |&t: &u32| {
            let [a, b, c] = mesh.corners(t as usize);
            dot(sub(a, apex), cross(sub(b, apex), sub(c, apex)))
        };
        let volume = shell.triangles.iter().map(six).sum::<f64>() / 6.0;
        if volume <= 0.0 {
            let near = mesh.corners(shell.triangles[0] as usize)[0];
            return Err(GateError::InsideOut { near, volume: Volume::mm3(volume) });
        }
    }
    let (bodies, genus) = (shells.len(), shells.iter().map(|s| s.genus).sum());
    if bodies != expected.bodies {
        return Err(GateError::Bodies { found: bodies, expected: expected.bodies });
    }
    if genus != expected.genus {
        return Err(GateError::Genus { found: genus, expected: expected.genus });
    }
    let volume = measures.volume;
    let off = (volume - expected.volume).abs();
    let tolerance = Volume::mm3(measures.area.get() * expected.deviation.get());
    // Written so that a tolerance which is no number refuses.
    let within = off <= tolerance;
    let centroid = measures.centroid.filter(|_| within).ok_or(GateError::VolumeOff {
        found: volume,
        expected: expected.volume,
        tolerance,
    })?;
    Ok(GateReport {
        triangles: mesh.triangles.len(),
        volume,
        area: measures.area,
        centroid,
        bounds: measures.bounds,
        bodies,
        genus,
    })
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, inside_out, moved, sphere, together, torus, tube};
    use super::*;

    fn designed(mesh: &TriMesh, bodies: usize, genus: usize) -> Expected {
        let volume = measure(mesh).unwrap().volume;
        Expected { bodies, genus, volume, deviation: Length::mm(1e-9) }
    }

    #[test]
    fn solids_pass_with_eulers_genus() {
        // Euler 1758: V - E + F = 2 - 2g; sphere 0, torus and tube 1.
        for (mesh, genus) in [
            (cuboid([3.0, 4.0, 5.0]), 0),
            (sphere(9.0, 20), 0),
            (torus(20.0, 5.0, 16, 8), 1),
            (tube(4.0, 6.0, 10.0, 12), 1),
        ] {
            let report = gate(&mesh, &designed(&mesh, 1, genus)).unwrap();
            assert_eq!((report.genus, report.bodies), (genus, 1));
            assert!(matches!(
                gate(&mesh, &designed(&mesh, 1, genus + 1)),
                Err(GateError::Genus { .. })
            ));
        }
        let two = together(&cuboid([1.0; 3]), &moved(&torus(20.0, 5.0, 16, 8), [50.0, 0.0, 0.0]));
        gate(&two, &designed(&two, 2, 1)).unwrap();
        assert_eq!(
            gate(&two, &designed(&two, 1, 1)),
            Err(GateError::Bodies { found: 2, expected: 1 })
        );
    }

    #[test]
    fn each_fault_is_named() {
        let whole = cuboid([2.0; 3]);
        let expected = designed(&whole, 1, 0);
        let mut open = whole.clone();
        open.triangles.pop();
        assert!(matches!(gate(&open, &expected), Err(GateError::OpenEdge { .. })));
        let mut twisted = whole.clone();
        twisted.triangles[0].swap(0, 1);
        assert!(matches!(gate(&twisted, &expected), Err(GateError::TwistedEdge { .. })));
        let mut flat = whole.clone();
        flat.triangles[0][1] = flat.triangles[0][0];
        assert!(matches!(gate(&flat, &expected), Err(GateError::Degenerate { triangle: 0, .. })));
        assert!(matches!(
            gate(&inside_out(&whole), &expected),
            Err(GateError::InsideOut { volume, .. }) if volume.get() == -8.0
        ));
        let hollow = together(&cuboid([9.0; 3]), &inside_out(&moved(&whole, [3.0; 3])));
        assert!(matches!(
            gate(&hollow, &designed(&hollow, 2, 0)),
            Err(GateError::InsideOut { .. })
        ));
        let more = Expected { volume: Volume::mm3(8.1), ..expected };
        assert!(matches!(gate(&whole, &more), Err(GateError::VolumeOff { .. })));
        let nothing = Expected { deviation: Length::mm(f64::NAN), ..expected };
        assert!(matches!(gate(&whole, &nothing), Err(GateError::VolumeOff { .. })));
    }

    #[test]
    fn boxes_that_share_an_edge_or_a_corner_are_refused() {
        let one = cuboid([2.0; 3]);
        let expected = Expected {
            bodies: 2,
            genus: 0,
            volume: Volume::mm3(16.0),
            deviation: Length::mm(1e-9),
        };
        let edge = printable(&together(&one, &moved(&one, [2.0, 2.0, 0.0]))).unwrap();
        assert!(matches!(gate(&edge, &expected), Err(GateError::CrowdedEdge { triangles: 4, .. })));
        let corner = printable(&together(&one, &moved(&one, [2.0; 3]))).unwrap();
        assert_eq!(gate(&corner, &expected), Err(GateError::PinchedVertex { point: [2.0; 3] }));
    }

    #[test]
    fn connections_are_the_same_only_where_nothing_was_joined_or_turned() {
        let one = cuboid([2.0; 3]);
        let mut renamed = one.clone();
        renamed.vertices.rotate_left(3);
        for corner in renamed.triangles.iter_mut().flatten() {
            *corner = (*corner + 5) % 8;
        }
        assert!(same_connections(&one, &renamed));
        let mut turned = one.clone();
        let [a, b, c] = one.triangles[0];
        let d = one.triangles[1].into_iter().find(|v| ![a, b, c].contains(v)).unwrap();
        turned.triangles[0] = [a, b, d];
        assert!(!same_connections(&one, &turned));
        let split = together(&one, &one);
        assert!(!same_connections(&split, &printable(&split).unwrap()));
    }

    #[test]
    fn a_wall_thinner_than_the_grid_fails_only_as_written() {
        let sheet = cuboid([10.0, 10.0, 2e-5]);
        let expected = designed(&sheet, 1, 0);
        gate(&sheet, &expected).unwrap();
        assert!(gate_as_written(&sheet, &expected).is_err());
        let block = torus(20.0, 5.0, 16, 8);
        let loose = Expected { deviation: Length::mm(1e-4), ..designed(&block, 1, 1) };
        let (written, report) = gate_as_written(&block, &loose).unwrap();
        assert_eq!(report.triangles, written.triangles.len());
        assert_eq!(gate(&written, &loose), Ok(report));
    }
}
