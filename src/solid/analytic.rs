//! Circles, cylinders and cones of a body, by centre, axis and radius: what a machinist's program
//! recognises as a hole, a boss or a fillet.
//!
//! A strip ruled between two arcs of one axis that start side by side is part of a cylinder where
//! the radii are equal, and of a cone where they differ. Millimetres and radians. Strips of any other
//! kind have no such name here, and are told by [`Form::Ruled`].

use super::edge::{Edge, SAME_POINT};
use super::shell::{Body, Face, FaceKind};
use crate::space::Vec3;

/// A right-handed frame about an axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Axis {
    /// A point on it.
    pub(crate) centre: Vec3,
    /// Unit direction.
    pub(crate) along: Vec3,
    /// Unit direction square to it, from which angles count.
    pub(crate) from: Vec3,
}

/// A whole circle, of which an arc is a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circle {
    /// Through its centre, square to its plane; the arc runs counter-clockwise about it.
    pub(crate) axis: Axis,
    /// Millimetres.
    pub(crate) radius: f64,
}

/// What surface a face lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Form {
    /// A plane.
    Plane,
    /// A round wall.
    Cylinder {
        /// A circle of it.
        circle: Circle,
        /// Whether the face looks away from the axis, as a boss does.
        is_outside: bool,
    },
    /// A wall that widens along its axis.
    Cone {
        /// Its smaller circle; the cone widens along the axis.
        circle: Circle,
        /// Between axis and wall, radians.
        half_angle: f64,
        /// Whether the face looks away from the axis.
        is_outside: bool,
    },
    /// Ruled between two edges, and none of the others.
    Ruled,
}

/// The circle of an arc; none for a straight edge.
pub(crate) fn circle(edge: &Edge) -> Option<Circle> {
    let arc = edge.arc?;
    let out = edge.a - arc.centre;
    let axis = Axis { centre: arc.centre, along: arc.axis, from: out.unit() };
    Some(Circle { axis, radius: out.norm() })
}

impl Body {
    /// What surface a face lies on.
    pub(crate) fn form(&self, face: &Face) -> Form {
        match face.kind {
            FaceKind::Plane { .. } => Form::Plane,
            FaceKind::Ruled => {
                let lower = self.run(face.loops[0][0]);
                let upper = self.run(face.loops[0][2]).reversed();
                round(&lower, &upper).unwrap_or(Form::Ruled)
            }
        }
    }
}

/// The cylinder or cone between two arcs.
fn round(lower: &Edge, upper: &Edge) -> Option<Form> {
    let (low, high) = (circle(lower)?, circle(upper)?);
    let rise = high.axis.centre - low.axis.centre;
    let height = rise.dot(low.axis.along);
    let reach = low.radius.max(high.radius);
    let is_coaxial = (high.axis.along - low.axis.along).norm() * reach < SAME_POINT
        && (rise - low.axis.along * height).norm() < SAME_POINT;
    let starts_aside = (high.axis.from - low.axis.from).norm() * reach < SAME_POINT;
    let sweeps = [lower, upper].map(|e| e.arc.map_or(0.0, |arc| arc.sweep));
    let ends_aside = (sweeps[0] - sweeps[1]).abs() * reach < SAME_POINT;
    if !(is_coaxial && starts_aside && ends_aside) || height.abs() < SAME_POINT {
        return None;
    }
    let out = lower.tangent(0.5).cross(upper.at(0.5) - lower.at(0.5));
    let is_outside = out.dot(lower.at(0.5) - low.axis.centre) > 0.0;
    if (high.radius - low.radius).abs() < SAME_POINT {
        return Some(Form::Cylinder { circle: low, is_outside });
    }
    let (mut small, large, up) =
        if low.radius < high.radius { (low, high, height) } else { (high, low, -height) };
    small.axis.along = small.axis.along * up.signum();
    let half_angle = libm::atan2(large.radius - small.radius, up.abs());
    Some(Form::Cone { circle: small, half_angle, is_outside })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::{Frame, Outline, Plane, Pose, Shell, v};

    /// A plate with a blind hole of one radius below and another above, posed aslant.
    fn forms(mouth: f64, floor: f64) -> Vec<Form> {
        let mut shell = Shell::default();
        let outline = Outline::circle([3.0, 4.0], 20.0);
        let (low, high) = (outline.on(&Frame::level(0.0)), outline.on(&Frame::level(9.0)));
        shell.walls("side", &low, &high);
        shell.add(Plane::new("bottom", -Vec3::Z, low.reversed()));
        let mut top = Plane::new("top", Vec3::Z, high);
        let at = |radius: f64, z: f64| Outline::circle([1.0, 2.0], radius).on(&Frame::level(z));
        top.cut(&at(mouth, 9.0));
        shell.walls("hole", &at(mouth, 9.0), &at(floor, 4.0));
        shell.add(Plane::new("floor", Vec3::Z, at(floor, 4.0)));
        shell.add(top);
        let body = shell.sew(&Pose::turn(v(1.0, 2.0, 3.0).unit(), 0.7)).unwrap();
        body.faces.iter().map(|f| body.form(f)).collect()
    }

    #[test]
    fn a_rim_is_a_cylinder_from_outside_and_a_hole_one_from_inside() {
        let found = forms(5.0, 5.0);
        let of = |outside: bool, radius: f64| {
            let same = |f: &&Form| {
                matches!(f, Form::Cylinder { circle, is_outside }
                    if *is_outside == outside && (circle.radius - radius).abs() < 1e-9)
            };
            found.iter().filter(same).count()
        };
        assert_eq!([of(true, 20.0), of(false, 5.0), found.len()], [4, 4, 11]);
    }

    #[test]
    fn a_countersink_is_a_cone_that_widens_along_its_axis() {
        // 5 mm deep, 5 mm wider above than below: half a right angle; as a draft the other way round.
        for (mouth, floor) in [(8.0, 3.0), (3.0, 8.0)] {
            let cones: Vec<_> = forms(mouth, floor)
                .into_iter()
                .filter_map(|f| match f {
                    Form::Cone { circle, half_angle, is_outside } => {
                        Some((circle, half_angle, is_outside))
                    }
                    _ => None,
                })
                .collect();
            assert_eq!(cones.len(), 4);
            let up = Pose::turn(v(1.0, 2.0, 3.0).unit(), 0.7).direction(Vec3::Z);
            for (circle, half_angle, is_outside) in cones {
                assert!(!is_outside && (circle.radius - 3.0).abs() < 1e-9);
                assert!((half_angle - std::f64::consts::FRAC_PI_4).abs() < 1e-9);
                assert!((circle.axis.along.dot(up) - (mouth - floor).signum()).abs() < 1e-9);
            }
        }
    }
}
