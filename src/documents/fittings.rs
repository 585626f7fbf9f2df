//! What straps and cables are fitted with in pictures: buckles and tails, cables, glands.
//!
//! Drawn from the measured widths and diameters, with shapes that read as what they are; a buckle of
//! another make looks otherwise. Where a cable runs is common practice, no source: down from the lamp,
//! up again and along the bark, and into its gland from below, so that water drips off at both loops.
//! Scene axes of [`super::assembly`], millimetres.

use std::f64::consts::TAU;

use super::shapes::{loft, with};
use crate::mesh::TriMesh;
use crate::space::{Vec3, v};

/// A buckle's length along the strap as a multiple of the strap's width.
const BUCKLE_LONG: f64 = 1.4;
/// Its cheeks beside the strap: thickness, and height above it, mm.
const CHEEK: [f64; 2] = [3.0, 9.0];
/// Its plate under the strap's free end, and the air round what moves in it, mm.
const PLATE: f64 = 1.5;
const FITTING_CLEARANCE: f64 = 1.0;
/// Sides of a cable, and points of its way between two that are given.
const SIDES: usize = 16;
const STEPS: usize = 9;

/// A point of a strap's middle and the outward direction there.
pub(super) type Station = [Vec3; 2];

/// A block about a point: half sizes along the strap, up and outward from `foot` on.
fn block(at: Vec3, out: Vec3, [along, up]: [f64; 2], [foot, top]: [f64; 2]) -> TriMesh {
    let forth = Vec3::Z.cross(out);
    let ring = |o: f64| {
        [[-along, -up], [along, -up], [along, up], [-along, up]]
            .map(|[a, z]| (at + forth * a + Vec3::Z * z + out * o).array())
            .to_vec()
    };
    loft(&[ring(foot), ring(top)], false)
}

/// A cam buckle on a strap of this width and thickness: a plate, two cheeks, and between them the
/// lever that clamps, its thumb end raised.
pub(super) fn buckle([at, out]: Station, width: f64, thick: f64) -> TriMesh {
    let half = width * BUCKLE_LONG / 2.0;
    let [cheek, high] = CHEEK;
    let edge = width / 2.0 + FITTING_CLEARANCE + cheek;
    let mut all = block(at, out, [half, edge], [thick, thick + PLATE]);
    for side in [-1.0, 1.0] {
        let beside = at + Vec3::Z * (side * (edge - cheek / 2.0));
        all = with(all, &block(beside, out, [half, cheek / 2.0], [thick + PLATE, thick + high]));
    }
    let forth = Vec3::Z.cross(out);
    // Across the strap, at these places along it: lower and upper side of the lever.
    let lever = [[-0.7, 3.5, 8.0], [-0.2, 3.5, 12.5], [1.15, 10.5, 12.5]];
    let ring = |[along, low, top]: [f64; 3]| {
        let [foot, head] = [low, top].map(|o| at + forth * (along * half) + out * (thick + o));
        let across = Vec3::Z * (width / 2.0);
        [foot - across, foot + across, head + across, head - across].map(Vec3::array).to_vec()
    };
    with(all, &loft(&lever.map(ring), false))
}

/// The free end of a strap, lying over it along these stations.
pub(super) fn tail(stations: &[Station], width: f64, thick: f64) -> TriMesh {
    let half = Vec3::Z * (width / 2.0);
    // A hair of air, or both would claim the same place.
    let (low, high) = (thick * 1.2, thick * 2.2);
    let ring = |[at, out]: &Station| {
        let [inner, outer] = [*at + *out * low, *at + *out * high];
        [inner - half, outer - half, outer + half, inner + half].map(Vec3::array).to_vec()
    };
    loft(&stations.iter().map(ring).collect::<Vec<_>>(), false)
}

/// A round cable along a smooth way through these points (Catmull and Rom, 1974).
pub(super) fn cable(points: &[Vec3], radius: f64) -> TriMesh {
    let way = smooth(points);
    let Some([first, second]) = way.get(..2) else { return TriMesh::default() };
    // A frame that is carried along without twist: each side is the last one, made square again.
    let along = (*second - *first).unit();
    let mut side = along.cross(if along.z.abs() < 0.9 { Vec3::Z } else { Vec3::X }).unit();
    let mut rings = Vec::with_capacity(way.len());
    for (i, at) in way.iter().enumerate() {
        let before = way[i.saturating_sub(1)];
        let after = way[(i + 1).min(way.len() - 1)];
        let along = (after - before).unit();
        side = (side - along * side.dot(along)).unit();
        let up = along.cross(side);
        let point = |k: usize| {
            let (s, c) = libm::sincos(TAU * k as f64 / SIDES as f64);
            (*at + side * (radius * c) + up * (radius * s)).array()
        };
        rings.push((0..SIDES).map(point).collect::<Vec<_>>());
    }
    loft(&rings, false)
}

/// Points between the given ones on a Catmull-Rom spline.
fn smooth(points: &[Vec3]) -> Vec<Vec3> {
    let mut way = Vec::new();
    let at = |i: isize| points[i.clamp(0, points.len() as isize - 1) as usize];
    for i in 0..points.len().saturating_sub(1) as isize {
        let [p, q, r, s] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
        for k in 0..STEPS {
            let t = k as f64 / STEPS as f64;
            let cubic = q * 2.0
                + (r - p) * t
                + (p * 2.0 - q * 5.0 + r * 4.0 - s) * (t * t)
                + (q * 3.0 - p - r * 3.0 + s) * (t * t * t);
            way.push(cubic * 0.5);
        }
    }
    way.extend(points.last());
    way
}

/// A gland below a wall: a nut at the wall and a dome under it.
pub(super) fn gland(mouth: Vec3, across: f64, cable: f64) -> TriMesh {
    let ring = |sides: usize, radius: f64, down: f64| -> Vec<[f64; 3]> {
        (0..sides)
            .map(|i| {
                let (s, c) = libm::sincos(TAU * i as f64 / sides as f64);
                (mouth + v(radius * c, radius * s, -down)).array()
            })
            .collect()
    };
    let corner = across / 3.0_f64.sqrt();
    let nut = loft(&[ring(6, corner, 0.0), ring(6, corner, across * 0.3)], false);
    let dome = [(0.42, 0.3), (0.42, 0.7), (0.32, 0.95)]
        .map(|(radius, down)| ring(24, (across * radius).max(cable * 1.1), across * down));
    with(nut, &loft(&dome, false))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::measure;

    #[test]
    fn fittings_are_closed_and_as_large_as_they_say() {
        let volume = |m: &TriMesh| measure(m).unwrap().volume.get();
        // A straight cable is a prism over a regular 16-gon: n r^2 sin(2 pi / n) / 2 times its length.
        let line: Vec<Vec3> = (0..4).map(|i| v(0.0, 10.0 * f64::from(i), 0.0)).collect();
        let section = 8.0 * 9.0 * libm::sin(TAU / 16.0);
        assert!((volume(&cable(&line, 3.0)) - section * 30.0).abs() < 1e-6);
        // A strap's end of 40 mm: 25 x 1.5 x 40, by elementary geometry.
        let flat: Vec<Station> =
            (0..5).map(|i| [v(10.0 * f64::from(i), 0.0, 0.0), Vec3::Y]).collect();
        assert!((volume(&tail(&flat, 25.0, 1.5)) - 25.0 * 1.5 * 40.0).abs() < 1e-6);
        let body = buckle([v(0.0, 0.0, 0.0), Vec3::Y], 25.0, 1.5);
        let bounds = measure(&body).unwrap().bounds;
        assert!((bounds.max[2] - bounds.min[2] - 33.0).abs() < 1e-9);
        assert!(volume(&gland(v(0.0, 0.0, 0.0), 22.0, 4.0)) > 0.0);
        // The way goes through every point that is given.
        let bent = [v(0.0, 0.0, 0.0), v(5.0, 1.0, 2.0), v(9.0, -4.0, 3.0)];
        let way = smooth(&bent);
        assert!(bent.iter().all(|p| way.iter().any(|q| (*q - *p).norm() < 1e-12)));
    }
}
