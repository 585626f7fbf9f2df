//! Edges of a solid: straight lines and circular arcs, and closed loops of them.

use crate::space::{Frame, Pose, Vec3};

/// The longest sweep of one arc: quarter arcs and less keep the rational curves of the exact solid
/// well conditioned.
pub(crate) const MAX_SWEEP: f64 = std::f64::consts::FRAC_PI_2 + 1e-9;

/// The round part of an edge: the start turned about `axis` through `centre`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre of the circle.
    pub centre: Vec3,
    /// Unit normal of the circle's plane; the arc runs counter-clockwise about it.
    pub axis: Vec3,
    /// Radians, positive.
    pub sweep: f64,
}

/// A directed edge from `a` to `b`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Start.
    pub a: Vec3,
    /// End.
    pub b: Vec3,
    /// Straight when `None`.
    pub arc: Option<Arc>,
}

impl Edge {
    /// A straight edge.
    #[must_use]
    pub const fn line(a: Vec3, b: Vec3) -> Self {
        Self { a, b, arc: None }
    }

    /// The same edge run backwards.
    #[must_use]
    pub fn reversed(self) -> Self {
        let arc = self.arc.map(|arc| Arc { axis: -arc.axis, ..arc });
        Self { a: self.b, b: self.a, arc }
    }

    /// The point at `t` from 0 (start) to 1 (end); by equal angles on an arc.
    #[must_use]
    pub fn at(&self, t: f64) -> Vec3 {
        match self.arc {
            // The ends are returned as they are, so that neighbours share them to the bit.
            _ if t <= 0.0 => self.a,
            _ if t >= 1.0 => self.b,
            None => self.a + (self.b - self.a) * t,
            Some(arc) => arc.centre + (self.a - arc.centre).turned(arc.axis, arc.sweep * t),
        }
    }

    /// The derivative by `t`.
    #[must_use]
    pub fn tangent(&self, t: f64) -> Vec3 {
        match self.arc {
            None => self.b - self.a,
            Some(arc) => {
                let radius = (self.a - arc.centre).turned(arc.axis, arc.sweep * t);
                arc.axis.cross(radius) * arc.sweep
            }
        }
    }

    /// Radius of the arc, if it is one.
    #[must_use]
    pub fn radius(&self) -> Option<f64> {
        self.arc.map(|arc| (self.a - arc.centre).norm())
    }

    /// Moved by a rigid motion.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            a: pose.point(self.a),
            b: pose.point(self.b),
            arc: self.arc.map(|arc| Arc {
                centre: pose.point(arc.centre),
                axis: pose.direction(arc.axis),
                sweep: arc.sweep,
            }),
        }
    }

    /// Pieces needed to keep the chord within `deviation` of the curve.
    #[must_use]
    pub fn pieces(&self, deviation: f64) -> usize {
        let (Some(arc), Some(radius)) = (self.arc, self.radius()) else { return 1 };
        // Sagitta of a chord over the angle 2h is r (1 - cos h).
        let half = libm::acos((1.0 - deviation / radius).clamp(0.0, 1.0));
        let by_deviation = arc.sweep / (2.0 * half).max(1e-6);
        let by_angle = arc.sweep / MAX_FACET_ANGLE;
        (by_deviation.max(by_angle) - 1e-9).ceil().max(1.0) as usize
    }
}

/// The widest facet of a round edge: small holes stay round to the eye and to a screw.
const MAX_FACET_ANGLE: f64 = std::f64::consts::PI / 8.0;

/// A closed loop of edges, head to tail.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop(pub Vec<Edge>);

impl Loop {
    /// The loop of straight edges through these points.
    #[must_use]
    pub fn polygon(points: &[Vec3]) -> Self {
        let n = points.len();
        Self((0..n).map(|i| Edge::line(points[i], points[(i + 1) % n])).collect())
    }

    /// Run backwards.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self(self.0.iter().rev().map(|e| e.reversed()).collect())
    }

    /// Shifted as a whole.
    #[must_use]
    pub fn shifted(&self, by: Vec3) -> Self {
        self.posed(&Pose::shift(by))
    }

    /// Moved by a rigid motion.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self(self.0.iter().map(|e| e.posed(pose)).collect())
    }
}

/// A closed outline in a plane: lines and arcs, counter-clockwise when it bounds material.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outline {
    segments: Vec<Segment>,
}

/// One piece of an outline; `sweep` is signed, positive counter-clockwise, zero for a line.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Segment {
    from: [f64; 2],
    to: [f64; 2],
    centre: [f64; 2],
    sweep: f64,
}

/// A corner of a polygon with its fillet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where the two sides meet.
    pub at: [f64; 2],
    /// Fillet radius; 0 leaves it sharp.
    pub radius: f64,
}

/// Shorthand for a [`Corner`].
#[must_use]
pub(crate) const fn corner(x: f64, y: f64, radius: f64) -> Corner {
    Corner { at: [x, y], radius }
}

impl Outline {
    /// A polygon whose corners are rounded. A fillet that does not fit its sides makes an outline
    /// that crosses itself: the plan guards against it, and meshing refuses it.
    #[must_use]
    pub fn polygon(corners: &[Corner]) -> Self {
        let n = corners.len();
        let mut path = Path::default();
        for i in 0..n {
            let (before, here, after) =
                (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
            path.fillet(before.at, here, after.at);
        }
        path.close()
    }

    /// A full circle, counter-clockwise.
    #[must_use]
    pub fn circle(centre: [f64; 2], radius: f64) -> Self {
        let mut path = Path::default();
        path.line_to([centre[0] + radius, centre[1]]);
        path.arc(centre, std::f64::consts::TAU);
        path.close()
    }

    /// A rectangle with rounded corners about `centre`.
    #[must_use]
    pub fn rounded_rectangle(centre: [f64; 2], size: [f64; 2], radius: f64) -> Self {
        let [hx, hy] = [size[0] / 2.0, size[1] / 2.0];
        let c = |sx: f64, sy: f64| corner(centre[0] + sx * hx, centre[1] + sy * hy, radius);
        Self::polygon(&[c(-1.0, -1.0), c(1.0, -1.0), c(1.0, 1.0), c(-1.0, 1.0)])
    }

    /// A round-ended slot along the arc of `radius` about `centre` from angle `from` to `to`
    /// (radians, `from <= to`), counter-clockwise. With `from == to` it is a circle.
    #[must_use]
    pub fn arc_slot(centre: [f64; 2], radius: f64, width: f64, from: f64, to: f64) -> Self {
        let polar = |r: f64, a: f64| [centre[0] + r * libm::cos(a), centre[1] + r * libm::sin(a)];
        let half = width / 2.0;
        if to - from < 1e-9 {
            return Self::circle(polar(radius, from), half);
        }
        let mut path = Path::default();
        path.line_to(polar(radius + half, from));
        path.arc(centre, to - from);
        path.arc(polar(radius, to), std::f64::consts::PI);
        path.arc(centre, from - to);
        path.arc(polar(radius, from), std::f64::consts::PI);
        path.close()
    }

    /// The outline laid into space.
    #[must_use]
    pub fn on(&self, frame: &Frame) -> Loop {
        let axis = frame.normal();
        let edges = self.segments.iter().map(|s| Edge {
            a: frame.point(s.from),
            b: frame.point(s.to),
            arc: (s.sweep != 0.0).then(|| Arc {
                centre: frame.point(s.centre),
                axis: if s.sweep > 0.0 { axis } else { -axis },
                sweep: s.sweep.abs(),
            }),
        });
        Loop(edges.collect())
    }
}

/// Draws an [`Outline`] piece by piece; arcs are split so that none exceeds [`MAX_SWEEP`].
#[derive(Debug, Clone, Default)]
pub(crate) struct Path {
    start: Option<[f64; 2]>,
    here: [f64; 2],
    segments: Vec<Segment>,
}

/// Points nearer than this are one point (mm).
pub(super) const SAME_POINT: f64 = 1e-6;

fn apart(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() > SAME_POINT || (a[1] - b[1]).abs() > SAME_POINT
}

impl Path {
    /// Straight on to this point; the first call sets the start.
    pub(crate) fn line_to(&mut self, to: [f64; 2]) {
        if self.start.is_none() {
            self.start = Some(to);
        } else if apart(self.here, to) {
            self.segments.push(Segment { from: self.here, to, centre: to, sweep: 0.0 });
        } else {
            return;
        }
        self.here = to;
    }

    /// On round `centre` by the signed angle (radians, positive counter-clockwise).
    pub(crate) fn arc(&mut self, centre: [f64; 2], sweep: f64) {
        let radius = [self.here[0] - centre[0], self.here[1] - centre[1]];
        let pieces = (sweep.abs() / MAX_SWEEP).ceil().max(1.0);
        let first = self.here;
        for i in 1..=pieces as usize {
            let (s, c) = {
                let angle = sweep * i as f64 / pieces;
                (libm::sin(angle), libm::cos(angle))
            };
            let mut to = [
                centre[0] + radius[0] * c - radius[1] * s,
                centre[1] + radius[0] * s + radius[1] * c,
            ];
            if (sweep.abs() - std::f64::consts::TAU).abs() < 1e-12 && i == pieces as usize {
                to = first;
            }
            self.segments.push(Segment { from: self.here, to, centre, sweep: sweep / pieces });
            self.here = to;
        }
    }

    /// On to the corner, round it, and stop where the next side begins.
    pub(crate) fn fillet(&mut self, before: [f64; 2], corner: Corner, after: [f64; 2]) {
        let unit = |p: [f64; 2]| {
            let d = [p[0] - corner.at[0], p[1] - corner.at[1]];
            let n = (d[0] * d[0] + d[1] * d[1]).sqrt();
            [d[0] / n, d[1] / n]
        };
        let (back, on) = (unit(before), unit(after));
        // Turning angle, positive to the left.
        let cross = on[0] * back[1] - on[1] * back[0];
        let turn = libm::atan2(cross, -(back[0] * on[0] + back[1] * on[1]));
        if corner.radius <= 0.0 || turn.abs() < 1e-9 {
            self.line_to(corner.at);
            return;
        }
        let reach = corner.radius * libm::tan(turn.abs() / 2.0);
        let start = [corner.at[0] + back[0] * reach, corner.at[1] + back[1] * reach];
        // The centre lies at the side to which the path turns.
        let left = [back[1], -back[0]];
        let side = turn.signum() * corner.radius;
        let centre = [start[0] + left[0] * side, start[1] + left[1] * side];
        self.line_to(start);
        self.arc(centre, turn);
    }

    /// Back to the start; the ends are made to meet to the bit.
    #[must_use]
    pub(crate) fn close(mut self) -> Outline {
        let Some(start) = self.start else { return Outline::default() };
        self.line_to(start);
        if let Some(last) = self.segments.last_mut() {
            last.to = start;
        }
        Outline { segments: self.segments }
    }
}
