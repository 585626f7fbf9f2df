//! Convex hull of discs and one ellipse, exactly.
//!
//! Method: the hull's support function is the largest of the bodies' support functions,
//! `h(phi) = max_i h_i(phi)`, where `phi` is the direction of the outward normal. The hull is
//! therefore a cyclic list of bodies, each owning an interval of `phi`; where the owner changes, the
//! hull has a straight part as long as the jump of `dh/dphi` (Cauchy; Santalo, Integral Geometry,
//! chapter 1). Crossings of two discs are closed forms. Crossings of a disc and the ellipse are
//! found on a grid of [`GRID`] directions and refined by bisection; a touch that falls between two
//! grid directions lifts the strap by less than `K (pi/GRID)^2 / 2`, a few micrometres on a trunk.
//!
//! Plain numbers: millimetres and radians; the plane has its first axis at `phi = 0`, its second at
//! a quarter turn counter-clockwise. Inputs are finite, radii above zero: the caller sees to it.

use crate::bisection::border;
use std::f64::consts::{PI, TAU};

/// Directions looked at for crossings of a disc and the ellipse: every half degree.
const GRID: usize = 720;
/// Halvings of a grid step: beyond the last bit of a double.
const HALVINGS: usize = 60;
/// Panels of Simpson's rule on an arc of the ellipse: errors under 1e-9 of the length for axis
/// ratios up to 2 (tested against the complete elliptic integral).
const PANELS: usize = 128;
/// Crossings nearer than this are one.
const SAME_ANGLE: f64 = 1e-12;

/// A convex body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Body {
    /// A disc.
    Disc { centre: [f64; 2], radius: f64 },
    /// An ellipse about the origin with semi-axes along the two axes of the plane.
    Ellipse { semi: [f64; 2] },
}

/// One body's share of the hull: outward normals from `from` to `from + turn`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Share {
    /// Index of the body.
    pub(super) body: usize,
    /// First normal, 0 to 2 pi.
    pub(super) from: f64,
    /// Turn over the body.
    pub(super) turn: f64,
}

impl Body {
    /// Distance of the tangent with this outward normal from the origin.
    pub(super) fn support(&self, phi: f64) -> f64 {
        let (s, c) = libm::sincos(phi);
        match *self {
            Self::Disc { centre, radius } => centre[0] * c + centre[1] * s + radius,
            Self::Ellipse { semi: [a, b] } => libm::hypot(a * c, b * s),
        }
    }

    /// Position of the touching point along the tangent: the derivative of the support function.
    pub(super) fn along(&self, phi: f64) -> f64 {
        let (s, c) = libm::sincos(phi);
        match *self {
            Self::Disc { centre, .. } => centre[1] * c - centre[0] * s,
            Self::Ellipse { semi: [a, b] } => (b * b - a * a) * s * c / libm::hypot(a * c, b * s),
        }
    }

    /// Radius of curvature where the outward normal is `phi`.
    pub(super) fn radius(&self, phi: f64) -> f64 {
        match *self {
            Self::Disc { radius, .. } => radius,
            Self::Ellipse { semi: [a, b] } => {
                let h = self.support(phi);
                a * a * b * b / (h * h * h)
            }
        }
    }

    /// Length of outline over which the normal turns from `from` by `turn`.
    pub(super) fn arc(&self, from: f64, turn: f64) -> f64 {
        match *self {
            Self::Disc { radius, .. } => radius * turn,
            Self::Ellipse { .. } => {
                let step = turn / PANELS as f64;
                let sum: f64 = (0..=PANELS)
                    .map(|i| {
                        let weight = match i {
                            0 | PANELS => 1.0,
                            _ if i % 2 == 1 => 4.0,
                            _ => 2.0,
                        };
                        weight * self.radius(from + step * i as f64)
                    })
                    .sum();
                sum * step / 3.0
            }
        }
    }

    /// Least radius of curvature over those normals.
    pub(super) fn least_radius(&self, from: f64, turn: f64) -> f64 {
        let ends = self.radius(from).min(self.radius(from + turn));
        // An ellipse is most curved where its normal is along the longer axis: a multiple of pi
        // when the first axis is the longer, else an odd multiple of pi / 2.
        let Self::Ellipse { semi: [a, b] } = *self else { return ends };
        let vertex = if a >= b { 0.0 } else { PI / 2.0 };
        let next = vertex + PI * ((from - vertex) / PI).ceil();
        if next <= from + turn { ends.min(self.radius(next)) } else { ends }
    }
}

/// The hull as a cyclic list of shares, counter-clockwise; the turns add up to a full turn.
pub(super) fn hull(bodies: &[Body]) -> Vec<Share> {
    let mut cuts = Vec::new();
    for (i, one) in bodies.iter().enumerate() {
        for other in &bodies[i + 1..] {
            crossings(one, other, &mut cuts);
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a < SAME_ANGLE);
    if cuts.is_empty() {
        cuts.push(0.0);
    }

    let mut shares: Vec<Share> = Vec::new();
    for (i, &from) in cuts.iter().enumerate() {
        let to = cuts.get(i + 1).copied().unwrap_or(cuts[0] + TAU);
        let body = outermost(bodies, 0.5 * (from + to));
        match shares.last_mut() {
            Some(last) if last.body == body => last.turn += to - from,
            _ => shares.push(Share { body, from, turn: to - from }),
        }
    }
    // The list is cyclic: the last share may run on into the first.
    if shares.len() > 1 && shares[0].body == shares[shares.len() - 1].body {
        let first = shares.remove(0);
        if let Some(last) = shares.last_mut() {
            last.turn += first.turn;
        }
    }
    shares
}

/// Index of the body that reaches farthest in a direction; the first of equals.
pub(super) fn outermost(bodies: &[Body], phi: f64) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for (i, body) in bodies.iter().enumerate() {
        let h = body.support(phi);
        if h > best.1 {
            best = (i, h);
        }
    }
    best.0
}

/// Appends the normals, 0 to 2 pi, at which two bodies reach equally far.
fn crossings(one: &Body, other: &Body, out: &mut Vec<f64>) {
    if let (Body::Disc { centre: p, radius: rp }, Body::Disc { centre: q, radius: rq }) =
        (*one, *other)
    {
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let distance = libm::hypot(dx, dy);
        if distance > (rp - rq).abs() {
            let middle = libm::atan2(dy, dx);
            let half = libm::acos((rp - rq) / distance);
            out.extend([middle - half, middle + half].map(turned));
        }
        return;
    }
    let gap = |phi: f64| one.support(phi) - other.support(phi);
    let at = |i: usize| TAU * i as f64 / GRID as f64;
    for i in 0..GRID {
        let (low, high) = (at(i), at(i + 1));
        let sign = gap(low) < 0.0;
        if sign == (gap(high) < 0.0) {
            continue;
        }
        let [crossing, _] = border(low, high, HALVINGS, |phi| (gap(phi) < 0.0) == sign);
        out.push(turned(crossing));
    }
}

/// The angle brought into 0 to 2 pi.
pub(super) fn turned(angle: f64) -> f64 {
    let inside = angle - TAU * (angle / TAU).floor();
    if inside < TAU { inside } else { 0.0 }
}
