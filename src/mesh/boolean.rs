//! Cutting and joining meshes: a thin wall around `manifold-rust`, so that it can be replaced.
//!
//! Used for clearances (how much of one solid is inside another) and to check parts against a second
//! way of making them; the parts themselves are made exactly. Every operand is checked first (finite,
//! closed, oriented, positive volume), since the library takes bad operands as empty ones without a
//! word, and every result's status is read. Millimetres; double precision.
//!
//! The result is closed by its indices. Surfaces that lie flush in both operands may leave slivers:
//! let cutters overshoot and bodies overlap, and finish with [`simplify`].

use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGLP, OpType};

use super::topology::Topology;
use super::{MeshFault, TriMesh, measure};
use crate::units::{Length, Volume};

/// Why there is no result.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum BooleanError {
    /// An operand is no mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// An operand's edges are not each shared by two triangles in opposite directions.
    #[error("an operand is not a closed, oriented surface")]
    NotClosed,
    /// An operand is flat or turned inside out.
    #[error("an operand has volume {0}, it must be above zero")]
    NoVolume(Volume),
    /// The tolerance of a simplification is not a positive length.
    #[error("simplification tolerance {0} is not above zero")]
    Tolerance(Length),
    /// The library refused.
    #[error("the boolean library refuses the solids ({0:?})")]
    Refused(Error),
}

/// The solid that is in either operand.
///
/// # Errors
/// [`BooleanError`] for an operand that is no closed solid, or where the library refuses.
pub(crate) fn union(a: &TriMesh, b: &TriMesh) -> Result<TriMesh, BooleanError> {
    combined(a, b, OpType::Add)
}

/// The first solid without the second; no triangles where nothing is left.
///
/// # Errors
/// As for [`union`].
pub(crate) fn difference(a: &TriMesh, b: &TriMesh) -> Result<TriMesh, BooleanError> {
    combined(a, b, OpType::Subtract)
}

/// The solid that is in both operands; no triangles where they do not meet.
///
/// # Errors
/// As for [`union`].
pub(crate) fn intersection(a: &TriMesh, b: &TriMesh) -> Result<TriMesh, BooleanError> {
    combined(a, b, OpType::Intersect)
}

/// How much of one solid is inside the other.
///
/// # Errors
/// As for [`union`].
pub(crate) fn intersection_volume(a: &TriMesh, b: &TriMesh) -> Result<Volume, BooleanError> {
    let both = intersection(a, b)?;
    if both.triangles.is_empty() {
        return Ok(Volume::ZERO);
    }
    Ok(measure(&both)?.volume)
}

/// The same solid with fewer triangles; no vertex moves further than the tolerance.
///
/// # Errors
/// As for [`union`], and for a tolerance not above zero.
pub(crate) fn simplify(mesh: &TriMesh, tolerance: Length) -> Result<TriMesh, BooleanError> {
    if !tolerance.is_finite() || tolerance <= Length::ZERO {
        return Err(BooleanError::Tolerance(tolerance));
    }
    // A fresh original forgets which triangles came from which operand, and so may merge them.
    exported(&imported(mesh)?.as_original().simplify(tolerance.get()))
}

fn combined(a: &TriMesh, b: &TriMesh, op: OpType) -> Result<TriMesh, BooleanError> {
    exported(&imported(a)?.boolean(&imported(b)?, op))
}

fn imported(mesh: &TriMesh) -> Result<Manifold, BooleanError> {
    let volume = measure(mesh)?.volume;
    Topology::new(mesh).map_err(|_| BooleanError::NotClosed)?;
    if volume <= Volume::ZERO {
        return Err(BooleanError::NoVolume(volume));
    }
    let solid = Manifold::from_mesh_glp(&MeshGLP::<f64, u32> {
        num_prop: 3,
        vert_properties: mesh.vertices.iter().flatten().copied().collect(),
        tri_verts: mesh.triangles.iter().flatten().copied().collect(),
        ..Default::default()
    });
    match solid.status() {
        Error::NoError if solid.is_empty() => Err(BooleanError::NoVolume(volume)),
        Error::NoError => Ok(solid),
        refused => Err(BooleanError::Refused(refused)),
    }
}

fn exported(solid: &Manifold) -> Result<TriMesh, BooleanError> {
    match solid.status() {
        Error::NoError => {}
        refused => return Err(BooleanError::Refused(refused)),
    }
    if solid.is_empty() {
        return Ok(TriMesh::default());
    }
    let out: MeshGLP<f64, u32> = solid.get_mesh_glp(-1);
    let stride = out.num_prop as usize;
    let vertices: Vec<[f64; 3]> =
        out.vert_properties.chunks_exact(stride.max(3)).map(|p| [p[0], p[1], p[2]]).collect();
    // Vertices split by their properties are named twice.
    let mut name: Vec<u32> = (0..vertices.len() as u32).collect();
    for (&from, &to) in out.merge_from_vert.iter().zip(&out.merge_to_vert) {
        if let Some(slot) = name.get_mut(from as usize) {
            *slot = to;
        }
    }
    let named = |v: u32| name.get(v as usize).copied().unwrap_or(v);
    let triangles = out.tri_verts.as_chunks::<3>().0.iter().map(|t| t.map(named)).collect();
    let mesh = TriMesh { vertices, triangles };
    mesh.check()?;
    Ok(mesh)
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, inside_out, moved, torus};
    use super::super::{Expected, gate, gate::gate_as_written};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_square_hole_through_a_block() {
        let block = cuboid([20.0, 20.0, 10.0]);
        let cutter = moved(&cuboid([4.0, 6.0, 12.0]), [8.0, 7.0, -1.0]);
        let cut = difference(&block, &cutter).unwrap();
        let volume = Volume::mm3(20.0 * 20.0 * 10.0 - 4.0 * 6.0 * 10.0);
        let expected = Expected { bodies: 1, genus: 1, volume, deviation: Length::mm(1e-9) };
        gate_as_written(&cut, &expected).unwrap();
        assert!((intersection_volume(&block, &cutter).unwrap().get() - 240.0).abs() < 1e-9);
        assert_eq!(intersection_volume(&block, &moved(&cutter, [40.0; 3])).unwrap(), Volume::ZERO);
        assert!(
            difference(&cutter, &moved(&cuboid([90.0; 3]), [-40.0; 3]))
                .unwrap()
                .triangles
                .is_empty()
        );
    }

    #[test]
    fn coplanar_slivers_are_merged() {
        let row = union(&cuboid([10.0; 3]), &moved(&cuboid([10.0; 3]), [9.0, 0.0, 0.0])).unwrap();
        let simple = simplify(&row, Length::mm(1e-3)).unwrap();
        assert_eq!(simple.triangles.len(), 12);
        assert!((measure(&simple).unwrap().volume.get() - 1900.0).abs() < 1e-9);
    }

    #[test]
    fn bad_operands_are_named() {
        let good = cuboid([2.0; 3]);
        let mut open = good.clone();
        open.triangles.pop();
        assert_eq!(union(&good, &open), Err(BooleanError::NotClosed));
        assert!(matches!(union(&inside_out(&good), &good), Err(BooleanError::NoVolume(_))));
        let mut nan = good.clone();
        nan.vertices[0][0] = f64::NAN;
        assert_eq!(union(&nan, &good), Err(MeshFault::NotFinite { vertex: 0 }.into()));
        assert!(simplify(&good, Length::mm(f64::NAN)).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]
        #[test]
        fn volumes_of_union_and_intersection_add_up(by in prop::array::uniform3(-12.0..12.0_f64)) {
            // Inclusion and exclusion: V(A or B) + V(A and B) = V(A) + V(B).
            let (a, b) = (torus(10.0, 3.1, 24, 12), moved(&torus(9.0, 2.7, 22, 10), by));
            let sum = measure(&a).unwrap().volume.get() + measure(&b).unwrap().volume.get();
            let both = intersection_volume(&a, &b).unwrap().get();
            let either = union(&a, &b).unwrap();
            prop_assert!((measure(&either).unwrap().volume.get() + both - sum).abs() < 1e-6);
            let less = measure(&difference(&a, &b).unwrap()).unwrap().volume.get();
            prop_assert!((less + both - measure(&a).unwrap().volume.get()).abs() < 1e-6);
        }

        #[test]
        fn overlapping_boxes_share_a_box(by in prop::array::uniform3(-9.9..9.9_f64)) {
            let (a, b) = (cuboid([10.0; 3]), moved(&cuboid([10.0; 3]), by));
            let volume = by.iter().map(|c| 10.0 - c.abs()).product();
            let shared = intersection(&a, &b).unwrap();
            let (volume, deviation) = (Volume::mm3(volume), Length::mm(1e-9));
            let expected = Expected { bodies: 1, genus: 0, volume, deviation };
            prop_assert!(gate(&shared, &expected).is_ok());
        }
    }
}
