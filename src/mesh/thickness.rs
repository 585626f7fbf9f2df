//! Wall thickness, measured on the finished mesh.
//!
//! From every sample point of the surface the wall is measured twice: along the inward normal to the
//! surface behind, and to the nearest point behind whose surface faces the other way and that can be
//! seen through the material. The lesser counts. The ray alone reads slanted walls too thick; the
//! inscribed sphere (Ma, Bae and Choi, "3D medial axis point approximation", The Visual Computer
//! 28(1), 2012) reads zero at every sharp edge of a sound box. Facing the other way means normals
//! more than 150 degrees apart, so a wedge sharper than 30 degrees counts as a wall that thins out,
//! and a round bar reads up to 3.5 % under its diameter (a chord to 30 degrees off the antipode is
//! cos 15 degrees of it).
//!
//! Samples are the middles of the pieces that come from halving longest edges until none is longer
//! than the spacing; a thin place smaller than that may be missed. Millimetres.

use super::bvh::Bvh;
use super::vec3::{Vec3, add, cross, dot, norm, scale, sub, unit};
use super::{MeshFault, TriMesh, measure};
use crate::units::Length;

/// Cosine of the least angle between normals of opposite faces of a wall: 150 degrees.
const OPPOSITE: f64 = -0.866_025_403_784_438_6;

/// Share of a line of sight left out at both ends, where it touches the surfaces that it joins.
const SIGHT_ENDS: f64 = 1e-6;

/// Most samples taken; a part at 1 mm spacing has a few hundred thousand.
const MAX_SAMPLES: usize = 4_000_000;

/// Thickness over a whole surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Thickness {
    /// The thinnest place.
    pub least: Length,
    /// Where it was measured, in millimetres.
    pub at: [f64; 3],
    /// The place across the wall, in millimetres.
    pub across: [f64; 3],
    /// Thickness and area of each sample that has a wall behind it, thinnest first.
    samples: Vec<(f64, f64)>,
}

/// Why no thickness can be given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ThicknessError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// The spacing is not above zero.
    #[error("sample spacing {0} is not above zero")]
    Spacing(Length),
    /// The spacing is so small that the samples would not fit in memory.
    #[error("sample spacing {0} is too small for this part, use a larger one")]
    TooMany(Length),
    /// No sample has an opposite face behind it: an open surface, or one turned inside out.
    #[error("no wall found: no face of the mesh has another face behind it")]
    NoWall,
}

impl Thickness {
    /// Share of the measured surface, 0 to 1, whose wall is thinner than a limit.
    #[must_use]
    pub fn share_below(&self, limit: Length) -> f64 {
        let below = self.samples.partition_point(|s| s.0 < limit.get());
        area(&self.samples[..below]) / area(&self.samples)
    }

    /// The thickness that a share of the measured surface stays below, 0 to 1 (0.5: the median).
    #[must_use]
    pub fn quantile(&self, share: f64) -> Length {
        let wanted = share.clamp(0.0, 1.0) * area(&self.samples);
        let mut sum = 0.0;
        let found = self.samples.iter().find(|s| {
            sum += s.1;
            sum >= wanted
        });
        Length::mm(found.or(self.samples.last()).map_or(self.least.get(), |s| s.0))
    }

    /// Number of samples that have a wall behind them.
    #[must_use]
    pub fn samples(&self) -> usize {
        self.samples.len()
    }
}

fn area(samples: &[(f64, f64)]) -> f64 {
    samples.iter().map(|s| s.1).sum()
}

/// Measures the wall behind sample points at most `spacing` apart.
///
/// # Errors
/// [`ThicknessError`]; no wall found is an error, not a thickness without limit.
pub fn thickness(mesh: &TriMesh, spacing: Length) -> Result<Thickness, ThicknessError> {
    let tree = Bvh::new(mesh)?;
    if !spacing.is_finite() || spacing <= Length::ZERO {
        return Err(ThicknessError::Spacing(spacing));
    }
    // A triangle with no side above s has at most sqrt(3) / 4 s^2.
    let largest_piece = 0.433_012_701_892_219_3 * spacing.get() * spacing.get();
    let enough = measure(mesh)?.area.get() <= MAX_SAMPLES as f64 * largest_piece;
    if !enough {
        return Err(ThicknessError::TooMany(spacing));
    }
    let normals: Vec<Option<Vec3>> = (0..mesh.triangles.len())
        .map(|t| {
            let [a, b, c] = mesh.corners(t);
            unit(cross(sub(b, a), sub(c, a)))
        })
        .collect();
    let mut thinnest: Option<(f64, Vec3, Vec3)> = None;
    let mut samples = Vec::new();
    for (t, normal) in normals.iter().enumerate() {
        let Some(normal) = *normal else { continue };
        let mut pieces = vec![mesh.corners(t)];
        while let Some(piece) = pieces.pop() {
            if let Some(halves) = halved(piece, spacing.get()) {
                if samples.len() + pieces.len() > MAX_SAMPLES {
                    return Err(ThicknessError::TooMany(spacing));
                }
                pieces.extend(halves);
                continue;
            }
            let [a, b, c] = piece;
            let middle = scale(add(add(a, b), c), 1.0 / 3.0);
            let Some((thick, across)) = wall_behind(&tree, &normals, middle, normal) else {
                continue;
            };
            samples.push((thick, norm(cross(sub(b, a), sub(c, a))) / 2.0));
            if thinnest.is_none_or(|best| thick < best.0) {
                thinnest = Some((thick, middle, across));
            }
        }
    }
    let (least, at, across) = thinnest.ok_or(ThicknessError::NoWall)?;
    samples.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    Ok(Thickness { least: Length::mm(least), at, across, samples })
}

/// The wall straight behind a point of the surface, along `inward` (unit length): its thickness, and
/// the triangle through which the ray leaves. None when it leaves through a slanted face, or not
/// within `reach`.
///
/// Unlike [`thickness`] it measures where it is told to, and a slanted wall reads up to a seventh
/// too thick (1 / cos 30 degrees).
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
pub(crate) fn middles(triangle: [Vec3; 3], spacing: Length) -> Vec<Vec3> {
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
fn halved(p: [Vec3; 3], spacing: f64) -> Option<[[Vec3; 3]; 2]> {
    let length = |k: usize| norm(sub(p[(k + 1) % 3], p[k]));
    let k = (0..3).fold(0, |a, k| if length(k) > length(a) { k } else { a });
    if length(k) <= spacing {
        return None;
    }
    let [a, b, c] = [p[k], p[(k + 1) % 3], p[(k + 2) % 3]];
    let m = scale(add(a, b), 0.5);
    Some([[a, m, c], [m, b, c]])
}

/// The thickness behind a point of the surface and the place across.
fn wall_behind(
    tree: &Bvh<'_>,
    normals: &[Option<Vec3>],
    point: Vec3,
    normal: Vec3,
) -> Option<(f64, Vec3)> {
    let faces_away = |t: usize| normals[t].is_some_and(|n| dot(n, normal) < OPPOSITE);
    let inward = scale(normal, -1.0);
    // A hit nearer than this is the sample's own triangle, met again through rounding.
    let own = 1e-9 * (1.0 + norm(point));
    let straight = tree.ray(point, inward, own, f64::INFINITY)?;
    let across = add(point, scale(inward, straight.along));
    let straight_wall = faces_away(straight.triangle).then_some((straight.along, across));
    let reach = straight_wall.map_or(f64::INFINITY, |w| w.0);
    let nearer = tree.nearest(point, reach, faces_away, |q| {
        let way = sub(q, point);
        dot(way, inward) > own && tree.ray(point, way, SIGHT_ENDS, 1.0 - SIGHT_ENDS).is_none()
    });
    nearer.map(|(_, q, distance)| (distance, q)).or(straight_wall)
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{cuboid, inside_out, moved, sphere, together, tube};
    use super::*;
    use crate::space::{Pose, v};
    use crate::units::Angle;
    use std::f64::consts::PI;

    fn least(mesh: &TriMesh, spacing: f64) -> f64 {
        thickness(mesh, Length::mm(spacing)).unwrap().least.get()
    }

    #[test]
    fn a_box_is_as_thick_as_its_least_side_and_sound_at_its_edges() {
        let t = thickness(&cuboid([40.0, 30.0, 3.0]), Length::mm(1.0)).unwrap();
        assert!((t.least.get() - 3.0).abs() < 1e-12);
        // The two large faces are 2400 of 2820 mm2.
        let share = t.share_below(Length::mm(3.001));
        assert!((share - 2400.0 / 2820.0).abs() < 1e-9, "{share}");
        assert!((t.quantile(0.5).get() - 3.0).abs() < 1e-12);
        assert!((t.quantile(1.0).get() - 40.0).abs() < 1e-9);
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
    fn a_ball_reads_its_diameter_within_what_the_module_says() {
        let t = least(&sphere(10.0, 48), 1.0);
        // A chord to `d` off the antipode is 2 r cos(d / 2). Half a facet's diagonal (7.5 degrees a
        // side) at each end widens the 30 degrees.
        let off = 30.0 + 7.5 * std::f64::consts::SQRT_2;
        assert!(t <= 20.0 && t > 20.0 * Angle::degrees(off / 2.0).cos(), "{t}");
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
        // From a sample on the slope within half a spacing of its thin end, square to the bottom.
        assert!((2.0..2.0 + 0.5 * 0.2).contains(&t), "{t}");
    }

    #[test]
    fn what_has_no_wall_is_an_error() {
        assert_eq!(
            thickness(&inside_out(&cuboid([5.0; 3])), Length::mm(1.0)),
            Err(ThicknessError::NoWall)
        );
        assert!(thickness(&cuboid([5.0; 3]), Length::ZERO).is_err());
        assert!(thickness(&cuboid([5.0; 3]), Length::mm(f64::NAN)).is_err());
        assert!(thickness(&cuboid([500.0; 3]), Length::mm(1e-3)).is_err());
    }
}
