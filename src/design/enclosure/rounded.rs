//! Rectangles with rounded corners: cavity, groove, screw line and rim of the box are such, one
//! offset from the other.

use std::f64::consts::{FRAC_PI_4, PI};

use crate::solid::Outline;
use crate::units::Length;

/// A rectangle with equally rounded corners, its sides along the box axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundedRect {
    /// Its middle.
    pub centre: [Length; 2],
    /// Half its width and half its height.
    pub half: [Length; 2],
    /// Radius of its corners; at most the smaller half.
    pub radius: Length,
}

/// The sides in the order in which [`RoundedRect::on_side`] counts them, counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Y-: down when mounted.
    Bottom,
    /// X+.
    Right,
    /// Y+: up when mounted.
    Top,
    /// X-.
    Left,
}

impl Side {
    /// All four, counter-clockwise.
    pub const ALL: [Self; 4] = [Self::Bottom, Self::Right, Self::Top, Self::Left];

    /// Direction of travel, counter-clockwise; the outward normal is it turned clockwise.
    const fn along(self) -> [f64; 2] {
        match self {
            Self::Bottom => [1.0, 0.0],
            Self::Right => [0.0, 1.0],
            Self::Top => [-1.0, 0.0],
            Self::Left => [0.0, -1.0],
        }
    }
}

impl RoundedRect {
    /// Offset outward by this much (inward when negative): the corners stay concentric.
    #[must_use]
    pub fn grown(&self, by: Length) -> Self {
        Self { centre: self.centre, half: self.half.map(|h| h + by), radius: self.radius + by }
    }

    /// Its outline for drawing.
    #[must_use]
    pub fn outline(&self) -> Outline {
        let size = self.half.map(|h| 2.0 * h.get());
        Outline::rounded_rectangle(self.centre.map(Length::get), size, self.radius.get())
    }

    /// Length of the closed line.
    #[must_use]
    pub fn perimeter(&self) -> Length {
        4.0 * (self.half[0] + self.half[1]) - (8.0 - 2.0 * PI) * self.radius
    }

    /// Area inside.
    #[cfg(test)]
    fn area(&self) -> crate::units::Area {
        let [x, y] = self.half.map(Length::get);
        let r = self.radius.get();
        crate::units::Area::mm2(4.0 * x * y - (4.0 - PI) * r * r)
    }

    /// Length of a side, from the middle of one corner to the middle of the next.
    #[must_use]
    pub fn side_length(&self, side: Side) -> Length {
        let half = self.half[usize::from(matches!(side, Side::Right | Side::Left))];
        2.0 * (half - self.radius) + self.radius * (PI / 2.0)
    }

    /// The point at a fraction (0 to 1) of a side's length, from the middle of one corner to the
    /// middle of the next, counter-clockwise.
    #[must_use]
    pub fn on_side(&self, side: Side, fraction: f64) -> [Length; 2] {
        let [dx, dy] = side.along();
        let [nx, ny] = [dy, -dx];
        let [half, across] = match side {
            Side::Bottom | Side::Top => [self.half[0].get(), self.half[1].get()],
            Side::Right | Side::Left => [self.half[1].get(), self.half[0].get()],
        };
        let r = self.radius.get();
        let straight = 2.0 * (half - r);
        let corner = r * FRAC_PI_4;
        let s = fraction * (straight + 2.0 * corner);
        // Travelled along the straight part, and the angle of the normal away from the side's.
        let (run, angle) = if s < corner {
            (0.0, (s - corner) / r)
        } else if s > corner + straight {
            (straight, (s - corner - straight) / r)
        } else {
            (s - corner, 0.0)
        };
        let t = run - straight / 2.0 + r * libm::sin(angle);
        let n = across - r + r * libm::cos(angle);
        [self.centre[0] + Length::mm(dx * t + nx * n), self.centre[1] + Length::mm(dy * t + ny * n)]
    }

    /// Distance of a point from the line, positive outside.
    #[must_use]
    pub fn distance(&self, point: [Length; 2]) -> Length {
        let r = self.radius.get();
        let q = [0, 1].map(|i| (point[i] - self.centre[i]).abs().get() - self.half[i].get() + r);
        let outside = [q[0].max(0.0), q[1].max(0.0)];
        let far = (outside[0] * outside[0] + outside[1] * outside[1]).sqrt();
        Length::mm(far + q[0].max(q[1]).min(0.0) - r)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn sample() -> RoundedRect {
        let mm = Length::mm;
        RoundedRect { centre: [mm(3.0), mm(-2.0)], half: [mm(40.0), mm(25.0)], radius: mm(9.0) }
    }

    #[test]
    fn perimeter_and_area_follow_steiner_under_offset() {
        // Steiner's formula for a convex outline: L + 2 pi d, A + L d + pi d^2.
        let (rect, d) = (sample(), 4.0);
        let out = rect.grown(Length::mm(d));
        let [l, a] = [rect.perimeter().get(), rect.area().get()];
        assert_relative_eq!(out.perimeter().get(), l + 2.0 * PI * d, max_relative = 1e-13);
        assert_relative_eq!(out.area().get(), a + l * d + PI * d * d, max_relative = 1e-13);
    }

    #[test]
    fn points_on_the_sides_lie_on_the_line_and_the_sides_join() {
        let rect = sample();
        for (i, side) in Side::ALL.into_iter().enumerate() {
            for k in 0..=20 {
                let at = rect.on_side(side, f64::from(k) / 20.0);
                assert!(rect.distance(at).get().abs() < 1e-12, "{side:?} {k}");
            }
            let [end, next] = [rect.on_side(side, 1.0), rect.on_side(Side::ALL[(i + 1) % 4], 0.0)];
            for axis in 0..2 {
                assert!((end[axis] - next[axis]).get().abs() < 1e-12);
            }
        }
        let total: Length = Side::ALL.into_iter().map(|s| rect.side_length(s)).sum();
        assert_relative_eq!(total.get(), rect.perimeter().get(), max_relative = 1e-13);
    }
}
