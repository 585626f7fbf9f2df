//! Parallel projection: where the viewer stands.
//!
//! Axes: the site pose (Z up along the trunk, +Y outward). The axes are right-handed, so a viewer
//! who stands outside and looks at the trunk has +X on the left; from behind, on the right.
//! A projected point has x to the viewer's right, y up, and a depth that grows toward the viewer,
//! all in millimetres. Guarantee: the three directions are orthonormal.

use crate::space::dot;
use crate::units::Angle;

/// A parallel camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    right: [f64; 3],
    up: [f64; 3],
    toward: [f64; 3],
}

impl Camera {
    /// From outside, looking at the trunk: Z up, the face at +Y in front.
    pub const FRONT: Self =
        Self { right: [-1.0, 0.0, 0.0], up: [0.0, 0.0, 1.0], toward: [0.0, 1.0, 0.0] };
    /// From the trunk's side of the part.
    pub const BACK: Self =
        Self { right: [1.0, 0.0, 0.0], up: [0.0, 0.0, 1.0], toward: [0.0, -1.0, 0.0] };
    /// From +X, outward (+Y) to the right.
    pub const SIDE: Self =
        Self { right: [0.0, 1.0, 0.0], up: [0.0, 0.0, 1.0], toward: [1.0, 0.0, 0.0] };
    /// From above, outward (+Y) to the top of the picture.
    pub const TOP: Self =
        Self { right: [1.0, 0.0, 0.0], up: [0.0, 1.0, 0.0], toward: [0.0, 0.0, 1.0] };

    /// A view in parallel projection: from the front, turned `azimuth` to the viewer's right and raised by
    /// `elevation`. Angles that are not finite count as zero; the elevation is kept within 90
    /// degrees either way.
    #[must_use]
    pub fn turned(azimuth: Angle, elevation: Angle) -> Self {
        let sound = |a: Angle| if a.is_finite() { a } else { Angle::ZERO };
        let (a, e) = (sound(azimuth), sound(elevation));
        let e = Angle::degrees(e.deg().clamp(-90.0, 90.0));
        let (sa, ca, se, ce) = (a.sin(), a.cos(), e.sin(), e.cos());
        Self {
            right: [-ca, -sa, 0.0],
            up: [sa * se, -ca * se, ce],
            toward: [-sa * ce, ca * ce, se],
        }
    }

    /// The direction from the object to the viewer.
    #[must_use]
    pub const fn toward(&self) -> [f64; 3] {
        self.toward
    }

    /// Right, up and depth of a point or a direction.
    #[must_use]
    pub fn project(&self, p: [f64; 3]) -> [f64; 3] {
        [dot(p, self.right), dot(p, self.up), dot(p, self.toward)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::space::cross;
    use approx::assert_abs_diff_eq;

    #[test]
    fn views_are_right_handed_and_agree_where_they_meet() {
        let iso = |a, e| Camera::turned(Angle::degrees(a), Angle::degrees(e));
        for c in [
            Camera::FRONT,
            Camera::BACK,
            Camera::SIDE,
            Camera::TOP,
            iso(35.0, 25.0),
            iso(-140.0, -70.0),
        ] {
            // The triple product of an orthonormal right-handed frame is 1.
            assert_abs_diff_eq!(dot(cross(c.right, c.up), c.toward), 1.0, epsilon = 1e-12);
        }
        for (a, b) in [(iso(0.0, 0.0), Camera::FRONT), (iso(-90.0, 0.0), Camera::SIDE)] {
            for p in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
                for k in 0..3 {
                    assert_abs_diff_eq!(a.project(p)[k], b.project(p)[k], epsilon = 1e-12);
                }
            }
        }
    }
}
