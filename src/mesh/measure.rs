//! Volume, area, centroid and bounds of a mesh.
//!
//! Method: the divergence theorem as a sum of tetrahedra from one apex to each triangle (Zhang and
//! Chen, "Efficient feature extraction for 2D/3D objects in mesh representation", ICIP 2001). The
//! apex is the middle of the bounds, not the origin, so that a part far from the origin keeps its
//! digits. Millimetres in, [`Volume`] in mm3 and [`Area`] in mm2 out.
//!
//! The volume is signed and means something only for a closed mesh: see [`gate`](mod@super::gate).

use super::{MeshFault, TriMesh};
use crate::space::{add, cross, dot, norm, scale, sub};
use crate::units::{Area, Length, Volume};

/// An axis-aligned box in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least X, Y, Z.
    pub min: [f64; 3],
    /// Largest X, Y, Z.
    pub max: [f64; 3],
}

/// Sides of a box counter-clockwise seen from outside; bit k of a corner's index is its side along
/// axis k.
const BOX_QUADS: [[u32; 4]; 6] =
    [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];

impl Bounds {
    /// Holds nothing; joining it with a point gives the point.
    pub(crate) const EMPTY: Self = Self { min: [f64::INFINITY; 3], max: [f64::NEG_INFINITY; 3] };

    pub(crate) fn with(self, p: [f64; 3]) -> Self {
        Self {
            min: [self.min[0].min(p[0]), self.min[1].min(p[1]), self.min[2].min(p[2])],
            max: [self.max[0].max(p[0]), self.max[1].max(p[1]), self.max[2].max(p[2])],
        }
    }

    /// Extent along X, Y and Z.
    #[must_use]
    pub fn size(&self) -> [Length; 3] {
        sub(self.max, self.min).map(Length::mm)
    }

    /// The box as a closed mesh; a box without extent gives one that the gate refuses.
    #[must_use]
    pub fn mesh(&self) -> TriMesh {
        let vertices = (0..8_u32)
            .map(|i| {
                let side = |k: usize| if i >> k & 1 == 1 { self.max[k] } else { self.min[k] };
                [side(0), side(1), side(2)]
            })
            .collect();
        let triangles = BOX_QUADS.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
        TriMesh { vertices, triangles }
    }

    /// The middle, in millimetres.
    #[must_use]
    pub fn middle(&self) -> [f64; 3] {
        scale(add(self.min, self.max), 0.5)
    }
}

/// What [`measure()`] found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Measures {
    /// Signed volume: positive where triangles wind counter-clockwise seen from outside.
    pub volume: Volume,
    /// Area of the surface.
    pub area: Area,
    /// Centre of gravity of the even solid, in millimetres; none where the volume is zero.
    pub centroid: Option<[f64; 3]>,
    /// Bounds of the vertices that triangles use.
    pub bounds: Bounds,
}

/// Measures a mesh.
///
/// # Errors
/// [`MeshFault`] where the mesh is empty, not finite or badly indexed.
pub(crate) fn measure(mesh: &TriMesh) -> Result<Measures, MeshFault> {
    mesh.check()?;
    let mut bounds = Bounds::EMPTY;
    for t in 0..mesh.triangles.len() {
        bounds = mesh.corners(t).into_iter().fold(bounds, Bounds::with);
    }
    let apex = bounds.middle();
    let (mut six_volumes, mut two_areas, mut moment) = (0.0, 0.0, [0.0; 3]);
    for t in 0..mesh.triangles.len() {
        let [a, b, c] = mesh.corners(t);
        let (a, b, c) = (sub(a, apex), sub(b, apex), sub(c, apex));
        let normal = cross(sub(b, a), sub(c, a));
        let six = dot(a, normal);
        six_volumes += six;
        two_areas += norm(normal);
        moment = add(moment, scale(add(add(a, b), c), six));
    }
    // The centroid of a tetrahedron with one corner at the apex is a quarter of the other three.
    let centroid = (six_volumes != 0.0)
        .then(|| add(apex, scale(moment, 0.25 / six_volumes)))
        .filter(|p| p.iter().all(|c| c.is_finite()));
    Ok(Measures {
        volume: Volume::mm3(six_volumes / 6.0),
        area: Area::mm2(two_areas / 2.0),
        centroid,
        bounds,
    })
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, moved, sphere, tube};
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_box_measures_as_its_sides_say() {
        let m = measure(&cuboid([3.0, 4.0, 5.0])).unwrap();
        assert_eq!(m.volume.get(), 60.0);
        assert_eq!(m.area.get(), 94.0);
        assert_eq!(m.centroid.unwrap(), [1.5, 2.0, 2.5]);
        assert_eq!(m.bounds.size().map(Length::get), [3.0, 4.0, 5.0]);
    }

    #[test]
    fn a_part_far_from_the_origin_keeps_its_digits() {
        let m = measure(&moved(&cuboid([3.0, 4.0, 5.0]), [9e5, -9e5, 9e5])).unwrap();
        assert!((m.volume.get() - 60.0).abs() < 1e-8, "{}", m.volume.get());
    }

    #[test]
    fn an_inscribed_sphere_comes_to_the_sphere_from_below_as_the_chords_shorten() {
        // Volume 4/3 pi r^3 and area 4 pi r^2 (Archimedes, On the Sphere and Cylinder). The chord
        // error is of second order: four times less for twice the divisions.
        let errors = [16, 32, 64].map(|n| {
            let m = measure(&sphere(10.0, n)).unwrap();
            let short = 4.0 / 3.0 * PI * 1000.0 - m.volume.get();
            assert!(short > 0.0 && 4.0 * PI * 100.0 > m.area.get());
            short
        });
        assert!((errors[0] / errors[1] - 4.0).abs() < 0.1, "{errors:?}");
        assert!((errors[1] / errors[2] - 4.0).abs() < 0.1, "{errors:?}");
    }

    #[test]
    fn a_prismatic_tube_has_the_volume_of_its_polygons() {
        // Regular n-gon of circumradius r: area n/2 r^2 sin(2 pi / n).
        let n = 24_u32;
        let ring = f64::from(n) / 2.0 * libm::sin(2.0 * PI / f64::from(n)) * (100.0 - 64.0);
        let m = measure(&tube(8.0, 10.0, 7.0, n)).unwrap();
        assert!((m.volume.get() - ring * 7.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_mesh_is_refused() {
        let mut m = cuboid([1.0; 3]);
        assert_eq!(measure(&TriMesh::default()), Err(MeshFault::Empty));
        m.vertices[2][1] = f64::NAN;
        assert_eq!(measure(&m), Err(MeshFault::NotFinite { vertex: 2 }));
        m.vertices[2][1] = 1e300;
        assert_eq!(measure(&m), Err(MeshFault::NotFinite { vertex: 2 }));
        m.vertices[2][1] = 1.0;
        m.triangles[3][0] = 8;
        assert_eq!(measure(&m), Err(MeshFault::BadIndex { triangle: 3 }));
    }
}
