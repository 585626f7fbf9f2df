//! Exact volume of a body, by the divergence theorem over its exact faces.
//!
//! V = 1/3 of the flux of the position vector. Over a plane it is distance x area, and the area is
//! a closed form of lines and arcs (Green). Over a ruled strip it is a Gauss-Legendre sum that
//! is exact across the rulings and converges to rounding along arcs of a quarter turn and less.

use super::edge::Edge;
use super::shell::{Body, Face, FaceKind};
use crate::space::{Vec3, v};
use crate::units::Volume;

/// Nodes and weights of the eight-point Gauss-Legendre rule on [-1, 1], positive half
/// (Abramowitz and Stegun, table 25.4).
const GAUSS_8: [[f64; 2]; 4] = [
    [0.183_434_642_495_649_8, 0.362_683_783_378_362],
    [0.525_532_409_916_329, 0.313_706_645_877_887_3],
    [0.796_666_477_413_626_7, 0.222_381_034_453_374_5],
    [0.960_289_856_497_536_3, 0.101_228_536_290_376_3],
];

/// Sum of `f` over [0, 1].
fn integral(f: impl Fn(f64) -> f64) -> f64 {
    GAUSS_8.iter().map(|[x, w]| 0.5 * w * (f(0.5 - 0.5 * x) + f(0.5 + 0.5 * x))).sum()
}

/// Closed form of the integral of p x dp along an edge, about `origin`.
fn swept(edge: &Edge, origin: Vec3) -> Vec3 {
    let (a, b) = (edge.a - origin, edge.b - origin);
    match edge.arc {
        None => a.cross(b),
        // p = c + q: the circle's own part is r^2 sweep along its axis, the rest is c x (b - a).
        Some(arc) => {
            let radius = edge.a - arc.centre;
            (arc.centre - origin).cross(b - a) + arc.axis * (radius.dot(radius) * arc.sweep)
        }
    }
}

impl Body {
    /// Volume enclosed by the exact faces; negative when they face inward.
    #[must_use]
    pub fn volume(&self) -> Volume {
        // About a vertex of the body, so that a far-off placement costs no digits.
        let origin = self.vertices.first().copied().unwrap_or_default();
        Volume::mm3(self.faces.iter().map(|face| self.flux(face, origin)).sum::<f64>() / 3.0)
    }

    fn plane_area(&self, face: &Face, normal: Vec3) -> f64 {
        let origin = self.run(face.loops[0][0]).a;
        let around = face.loops.iter().flatten().map(|&u| swept(&self.run(u), origin));
        0.5 * around.fold(Vec3::default(), |sum, s| sum + s).dot(normal)
    }

    fn flux(&self, face: &Face, origin: Vec3) -> f64 {
        match face.kind {
            FaceKind::Plane { normal } => {
                (self.run(face.loops[0][0]).a - origin).dot(normal) * self.plane_area(face, normal)
            }
            FaceKind::Ruled => {
                let lower = self.run(face.loops[0][0]);
                let upper = self.run(face.loops[0][2]).reversed();
                integral(|t| {
                    let (p, q) = (lower.at(t), upper.at(t));
                    let (dp, dq) = (lower.tangent(t), upper.tangent(t));
                    let at =
                        |s: f64| (p + (q - p) * s - origin).dot((dp + (dq - dp) * s).cross(q - p));
                    // Quadratic in s: Simpson's rule is exact.
                    (at(0.0) + 4.0 * at(0.5) + at(1.0)) / 6.0
                })
            }
        }
    }

    /// Smallest box round the body: lowest and highest corner.
    #[cfg(test)]
    pub(crate) fn bounds(&self) -> [Vec3; 2] {
        bounds(self.edges.iter().map(|e| e.shape))
    }
}

/// Smallest box round these edges: lowest and highest corner. Ruled strips and planes stay within
/// the box of their edges.
pub(super) fn bounds(edges: impl Iterator<Item = Edge>) -> [Vec3; 2] {
    let inf = f64::INFINITY;
    let mut low = v(inf, inf, inf);
    let mut high = -low;
    let mut take = |p: Vec3| {
        low = v(low.x.min(p.x), low.y.min(p.y), low.z.min(p.z));
        high = v(high.x.max(p.x), high.y.max(p.y), high.z.max(p.z));
    };
    for edge in edges {
        take(edge.a);
        take(edge.b);
        if let Some(arc) = edge.arc {
            extremes(&edge, arc.axis, arc.centre, arc.sweep).into_iter().for_each(&mut take);
        }
    }
    [low, high]
}

/// Points of an arc that are farthest along an axis of space.
fn extremes(edge: &Edge, axis: Vec3, centre: Vec3, sweep: f64) -> Vec<Vec3> {
    let radius = edge.a - centre;
    let side = axis.cross(radius);
    let mut found = Vec::new();
    for e in [Vec3::X, Vec3::Y, Vec3::Z] {
        // centre + radius cos a + side sin a is extreme along e where tan a = side.e / radius.e.
        let angle = libm::atan2(side.dot(e), radius.dot(e));
        for turn in [0.0, 1.0, 2.0] {
            let a = angle + turn * std::f64::consts::PI;
            if a > 0.0 && a < sweep {
                found.push(edge.at(a / sweep));
            }
        }
    }
    found
}
