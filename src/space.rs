//! Points and directions in space, and rigid poses. Millimetres; right-handed axes.
//!
//! [`Vec3`] is the type of all that is designed. A mesh, which has them by the hundred thousand and shares
//! them with files and libraries, keeps its points as arrays: the functions at the end work on those.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a direction.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Vec3 {
    /// Across the trunk; to the left seen from outside, so that the axes are right-handed.
    pub x: f64,
    /// Radially outward.
    pub y: f64,
    /// Up the trunk.
    pub z: f64,
}

/// Shorthand for a [`Vec3`].
#[must_use]
pub const fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3 { x, y, z }
}

impl Vec3 {
    /// The unit vector along X.
    pub const X: Self = v(1.0, 0.0, 0.0);
    /// The unit vector along Y.
    pub const Y: Self = v(0.0, 1.0, 0.0);
    /// The unit vector along Z.
    pub const Z: Self = v(0.0, 0.0, 1.0);

    /// Scalar product.
    #[must_use]
    pub fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }
    /// Vector product.
    #[must_use]
    pub fn cross(self, o: Self) -> Self {
        v(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }
    /// Length.
    #[must_use]
    pub fn norm(self) -> f64 {
        self.dot(self).sqrt()
    }
    /// The unit vector in this direction; the zero vector stays zero.
    #[must_use]
    pub fn unit(self) -> Self {
        let n = self.norm();
        if n > 0.0 { self * (1.0 / n) } else { self }
    }
    /// Turned about the unit vector `axis` by `angle` radians (Rodrigues).
    #[must_use]
    pub fn turned(self, axis: Self, angle: f64) -> Self {
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        self * c + axis.cross(self) * s + axis * (axis.dot(self) * (1.0 - c))
    }
    /// As an array.
    #[must_use]
    pub const fn array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl From<[f64; 3]> for Vec3 {
    fn from([x, y, z]: [f64; 3]) -> Self {
        v(x, y, z)
    }
}
impl Add for Vec3 {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        v(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}
impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        v(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}
impl Mul<f64> for Vec3 {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        v(self.x * k, self.y * k, self.z * k)
    }
}
impl Neg for Vec3 {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

/// A plane's own axes in space: `u` x `v` is its normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Where the plane's (0, 0) lies.
    pub origin: Vec3,
    /// First axis, a unit vector.
    pub u: Vec3,
    /// Second axis, a unit vector at right angles to `u`.
    pub v: Vec3,
}

impl Frame {
    /// The plane through `origin` with these axes.
    #[must_use]
    pub const fn new(origin: Vec3, u: Vec3, v: Vec3) -> Self {
        Self { origin, u, v }
    }
    /// The level plane at this height: u = X, v = Y.
    #[must_use]
    pub const fn level(z: f64) -> Self {
        Self::new(v(0.0, 0.0, z), Vec3::X, Vec3::Y)
    }
    /// Its unit normal.
    #[must_use]
    pub fn normal(&self) -> Vec3 {
        self.u.cross(self.v)
    }
    /// The point in space of the plane's own coordinates.
    #[must_use]
    pub fn point(&self, [a, b]: [f64; 2]) -> Vec3 {
        self.origin + self.u * a + self.v * b
    }
    /// The plane's own coordinates of a point (its foot on the plane).
    #[must_use]
    pub fn local(&self, p: Vec3) -> [f64; 2] {
        let d = p - self.origin;
        [d.dot(self.u), d.dot(self.v)]
    }
}

/// A rigid motion: p -> (p . x, p . y, p . z) + shift, with x, y, z the rows of a rotation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Rows of the rotation.
    pub rows: [Vec3; 3],
    /// Added after turning.
    pub shift: Vec3,
}

impl Pose {
    /// Nothing moves.
    pub const IDENTITY: Self = Self { rows: [Vec3::X, Vec3::Y, Vec3::Z], shift: v(0.0, 0.0, 0.0) };

    /// Only shifts.
    #[must_use]
    pub const fn shift(by: Vec3) -> Self {
        Self { shift: by, ..Self::IDENTITY }
    }
    /// Turns about a unit axis through the origin.
    #[must_use]
    pub fn turn(axis: Vec3, angle: f64) -> Self {
        // Row i of a rotation is the i-th unit vector turned backwards.
        let rows = [Vec3::X, Vec3::Y, Vec3::Z].map(|e| e.turned(axis, -angle));
        Self { rows, shift: Vec3::default() }
    }
    /// Turns a direction.
    #[must_use]
    pub fn direction(&self, d: Vec3) -> Vec3 {
        v(self.rows[0].dot(d), self.rows[1].dot(d), self.rows[2].dot(d))
    }
    /// Moves a point.
    #[must_use]
    pub fn point(&self, p: Vec3) -> Vec3 {
        self.direction(p) + self.shift
    }

    /// The motion that undoes this one.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let [a, b, c] = self.rows;
        let rows = [v(a.x, b.x, c.x), v(a.y, b.y, c.y), v(a.z, b.z, c.z)];
        let back = Self { rows, shift: Vec3::default() };
        Self { shift: -back.direction(self.shift), ..back }
    }

    /// This motion, then another.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let columns = Self { shift: Vec3::default(), ..*self }.inverse().rows;
        let turned = columns.map(|c| next.direction(c));
        let rows = Self { rows: turned, shift: Vec3::default() }.inverse().rows;
        Self { rows, shift: next.point(self.shift) }
    }
}

/// Sum of two points of a mesh.
pub(crate) fn add(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// From `b` to `a`.
pub(crate) fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// `k` times `a`.
pub(crate) fn scale(a: [f64; 3], k: f64) -> [f64; 3] {
    [a[0] * k, a[1] * k, a[2] * k]
}

/// As [`Vec3::dot`].
pub(crate) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    Vec3::from(a).dot(b.into())
}

/// As [`Vec3::cross`].
pub(crate) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    Vec3::from(a).cross(b.into()).array()
}

/// As [`Vec3::norm`].
pub(crate) fn norm(a: [f64; 3]) -> f64 {
    Vec3::from(a).norm()
}

/// The unit vector along `a`, or none where `a` is too short to have a direction.
pub(crate) fn unit(a: [f64; 3]) -> Option<[f64; 3]> {
    let length = norm(a);
    (length > f64::MIN_POSITIVE).then(|| scale(a, 1.0 / length))
}
