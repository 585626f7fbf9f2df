//! Wall thickness, measured on the finished mesh at places of the caller's choice.
//!
//! The wall is measured along the inward normal to the surface behind, which must face the other way:
//! normals more than 150 degrees apart, so that a wedge sharper than 30 degrees counts as a wall that
//! thins out. A slanted wall reads up to a seventh too thick (1 / cos 30 degrees).
//!
//! Places are the middles of the pieces that come from halving longest edges until none is longer
//! than the spacing; a thin place smaller than that may be missed. Millimetres.

use super::bvh::Bvh;
use crate::space::{add, cross, dot, norm, scale, sub, unit};
use crate::units::Length;

/// Cosine of the least angle between normals of opposite faces of a wall: 150 degrees.
const OPPOSITE: f64 = -0.866_025_403_784_438_6;

/// The wall straight behind a point of the surface, along `inward` (unit length): its thickness, and
/// the triangle through which the ray leaves. None when it leaves through a slanted face, or not
/// within `reach`.
#[must_use]
pub fn wall_straight_behind(
    tree: &Bvh<'_>,
    point: [f64; 3],
    inward: [f64; 3],
    reach: Length,
) -> Option<(Length, usize)> {
    // A hit nearer than this is the sample's own triangle, met again through rounding.
    let own = 1e-9 * (1.0 + norm(point));
    let exit = tree.ray(point, inward, own, reach.get())?;
    let [a, b, c] = tree.mesh.corners(exit.triangle);
    let facing = unit(cross(sub(b, a), sub(c, a))).is_some_and(|n| dot(n, inward) > -OPPOSITE);
    facing.then(|| (Length::mm(exit.along), exit.triangle))
}

/// Middles of the pieces of a triangle, no piece with a side above `spacing`.
pub(crate) fn middles(triangle: [[f64; 3]; 3], spacing: Length) -> Vec<[f64; 3]> {
    let mut pieces = vec![triangle];
    let mut middles = Vec::new();
    while let Some(piece) = pieces.pop() {
        match halved(piece, spacing.get()) {
            Some(halves) => pieces.extend(halves),
            None => {
                let [a, b, c] = piece;
                middles.push(scale(add(add(a, b), c), 1.0 / 3.0));
            }
        }
    }
    middles
}

/// Halves a triangle at its longest edge, unless that is short enough.
fn halved(p: [[f64; 3]; 3], spacing: f64) -> Option<[[[f64; 3]; 3]; 2]> {
    let length = |k: usize| norm(sub(p[(k + 1) % 3], p[k]));
    let k = (0..3).fold(0, |a, k| if length(k) > length(a) { k } else { a });
    if length(k) <= spacing {
        return None;
    }
    let [a, b, c] = [p[k], p[(k + 1) % 3], p[(k + 2) % 3]];
    let m = scale(add(a, b), 0.5);
    Some([[a, m, c], [m, b, c]])
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, inside_out, moved, sphere, together, tube};
    use super::*;
    use crate::mesh::TriMesh;
    use crate::space::{Pose, v};
    use crate::units::Angle;
    use std::f64::consts::PI;

    /// Every wall straight behind the surface, and none where a place has no face behind it.
    fn walls(mesh: &TriMesh, spacing: f64) -> Vec<Option<f64>> {
        let tree = Bvh::new(mesh).unwrap();
        let of = |t: usize| {
            let [a, b, c] = mesh.corners(t);
            let inward = scale(unit(cross(sub(b, a), sub(c, a))).unwrap(), -1.0);
            let places = middles([a, b, c], Length::mm(spacing));
            let reach = Length::mm(1e3);
            let wall =
                |p: &[f64; 3]| wall_straight_behind(&tree, *p, inward, reach).map(|w| w.0.get());
            places.iter().map(wall).collect::<Vec<_>>()
        };
        (0..mesh.triangles.len()).flat_map(of).collect()
    }

    fn least(mesh: &TriMesh, spacing: f64) -> f64 {
        walls(mesh, spacing).into_iter().flatten().fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn a_box_is_as_thick_as_its_least_side() {
        let mut found: Vec<f64> =
            walls(&cuboid([40.0, 30.0, 3.0]), 1.0).into_iter().flatten().collect();
        found.sort_by(f64::total_cmp);
        found.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        for (found, side) in found.iter().zip([3.0, 30.0, 40.0]) {
            assert!((found - side).abs() < 1e-9, "{found} for {side}");
        }
        assert_eq!(found.len(), 3);
    }

    #[test]
    fn a_tube_is_as_thick_as_its_polygons_are_apart() {
        // Apothem of a regular n-gon: r cos(pi / n).
        let exact = (10.0 - 8.0) * libm::cos(PI / 24.0);
        assert!((least(&tube(8.0, 10.0, 12.0, 24), 0.7) - exact).abs() < 1e-9);
    }

    #[test]
    fn a_turned_wall_is_as_thick_as_before() {
        let turn = Pose::turn(v(1.0, 2.0, -1.0).unit(), Angle::degrees(37.0).rad());
        let mesh = cuboid([40.0, 30.0, 1.2]).posed(&turn);
        assert!((least(&mesh, 2.0) - 1.2).abs() < 1e-9);
    }

    #[test]
    fn a_ball_reads_its_diameter() {
        let found = least(&sphere(10.0, 48), 1.0);
        // Facets lie inside the ball by at most the sagitta of half a facet's diagonal, 7.5 degrees a side.
        let facet = Angle::degrees(7.5 * std::f64::consts::FRAC_1_SQRT_2).cos();
        assert!((20.0 * facet..=20.0).contains(&found), "{found}");
    }

    #[test]
    fn the_gap_between_two_plates_is_no_wall_and_a_slanted_wall_reads_its_thinnest() {
        let plate = cuboid([20.0, 20.0, 4.0]);
        let two = together(&plate, &moved(&plate, [0.0, 0.0, 4.5]));
        assert!((least(&two, 2.0) - 4.0).abs() < 1e-9);
        // A wedge 20 long, 2 thick at one end and 6 at the other (slope 11.3 degrees).
        let mut wedge = cuboid([20.0, 10.0, 6.0]);
        for v in &mut wedge.vertices {
            if v[0] == 0.0 && v[2] == 6.0 {
                v[2] = 2.0;
            }
        }
        let t = least(&wedge, 0.5);
        // From a place on the bottom within half a spacing of its thin end, straight up.
        assert!((2.0..2.0 + 0.5 * 0.2).contains(&t), "{t}");
    }

    #[test]
    fn a_solid_inside_out_has_no_wall() {
        assert!(walls(&inside_out(&cuboid([5.0; 3])), 1.0).iter().all(Option::is_none));
    }
}
