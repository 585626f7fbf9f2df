//! Parallel projection: where the viewer stands.
//!
//! Axes: the site pose (Z up along the trunk, +Y outward). The axes are right-handed, so a viewer
//! who stands outside and looks at the trunk has +X on the left; from behind, on the right.
//! A projected point has x to the viewer's right, y up, and a depth that grows toward the viewer,
//! all in millimetres. Guarantee: the three directions are orthonormal.

use crate::space::dot;
#[cfg(test)]
use crate::space::{cross, unit};
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

    /// From the direction `toward` (from the object to the viewer) with `up` upward; none when one
    /// of them has no direction or they are parallel.
    #[cfg(test)]
    pub(crate) fn new(toward: [f64; 3], up: [f64; 3]) -> Option<Self> {
        let toward = unit(toward)?;
        let right = unit(cross(unit(up)?, toward))?;
        let camera = Self { right, up: cross(toward, right), toward };
        camera.right.iter().chain(&camera.up).all(|c| c.is_finite()).then_some(camera)
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

    #[test]
    fn the_isometric_view_foreshortens_the_axes_alike() {
        // ISO 5456-3: in isometric axonometry the three axes have one scale, sqrt(2/3).
        let c = Camera::new([1.0, 1.0, 1.0], [0.0, 0.0, 1.0]).unwrap();
        for p in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
            let q = c.project(p);
            assert_abs_diff_eq!(libm::hypot(q[0], q[1]), (2.0_f64 / 3.0).sqrt(), epsilon = 1e-12);
        }
        assert!(Camera::new([0.0; 3], [0.0, 0.0, 1.0]).is_none());
        assert!(Camera::new([0.0, 0.0, 2.0], [0.0, 0.0, 1.0]).is_none());
        assert!(Camera::new([f64::NAN, 0.0, 2.0], [0.0, 0.0, 1.0]).is_none());
    }
}
