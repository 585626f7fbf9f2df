//! Moving a mesh without changing its shape: from the site pose to the print pose and onto a plate.
//!
//! Rotations are proper (no mirror), angles in radians inside [`Angle`], offsets in millimetres.
//! Quarter turns are exact: their matrices hold only -1, 0 and 1.

use super::vec3::{Vec3, add, cross, dot, scale, sub, unit};
use super::{MeshFault, TriMesh, measure};
use crate::units::{Angle, Length};

/// A rotation about the origin, then a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rigid {
    rows: [Vec3; 3],
    shift: Vec3,
}

/// A rigid motion was asked for with numbers that give none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlaceError {
    /// The axis has no length or a number is not finite.
    #[error("a rotation needs a finite angle and an axis with a length")]
    NoRotation,
    /// The shift is not finite.
    #[error("a shift needs three finite numbers")]
    NoShift,
}

/// An axis of the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Right, seen from outside.
    X,
    /// Outward.
    Y,
    /// Up along the trunk.
    Z,
}

impl Rigid {
    /// Leaves everything where it is.
    pub const IDENTITY: Self =
        Self { rows: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], shift: [0.0; 3] };

    /// A shift.
    ///
    /// # Errors
    /// [`PlaceError::NoShift`] where a number is not finite.
    pub fn shift(by: [Length; 3]) -> Result<Self, PlaceError> {
        if by.iter().all(|c| c.is_finite()) {
            Ok(Self { shift: by.map(Length::get), ..Self::IDENTITY })
        } else {
            Err(PlaceError::NoShift)
        }
    }

    /// Exact quarter turns about an axis of the frame, right-handed; the count is taken modulo 4.
    #[must_use]
    pub fn quarter_turns(axis: Axis, count: i32) -> Self {
        let (s, c) = match count.rem_euclid(4) {
            0 => (0.0, 1.0),
            1 => (1.0, 0.0),
            2 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        };
        let rows = match axis {
            Axis::X => [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]],
            Axis::Y => [[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]],
            Axis::Z => [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]],
        };
        Self { rows, shift: [0.0; 3] }
    }

    /// A right-handed rotation about an axis through the origin (Rodrigues' formula).
    ///
    /// # Errors
    /// [`PlaceError::NoRotation`] where the axis has no length or a number is not finite.
    pub fn rotation(axis: [f64; 3], angle: Angle) -> Result<Self, PlaceError> {
        let k = unit(axis).filter(|k| k.iter().all(|c| c.is_finite()) && angle.is_finite());
        let k = k.ok_or(PlaceError::NoRotation)?;
        let (s, c) = (angle.sin(), angle.cos());
        let column =
            |e: Vec3| add(add(scale(e, c), scale(cross(k, e), s)), scale(k, dot(k, e) * (1.0 - c)));
        let [x, y, z] = Self::IDENTITY.rows.map(column);
        let rows = [0, 1, 2].map(|i| [x[i], y[i], z[i]]);
        Ok(Self { rows, shift: [0.0; 3] })
    }

    /// This motion first, then the other.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let column = |j: usize| next.turn([self.rows[0][j], self.rows[1][j], self.rows[2][j]]);
        let [x, y, z] = [column(0), column(1), column(2)];
        let rows = [0, 1, 2].map(|i| [x[i], y[i], z[i]]);
        Self { rows, shift: next.point(self.shift) }
    }

    fn turn(&self, p: Vec3) -> Vec3 {
        self.rows.map(|row| dot(row, p))
    }

    /// Where a point goes.
    #[must_use]
    pub fn point(&self, p: [f64; 3]) -> [f64; 3] {
        add(self.turn(p), self.shift)
    }

    /// The moved mesh; same triangles, same order.
    #[must_use]
    pub fn mesh(&self, mesh: &TriMesh) -> TriMesh {
        TriMesh {
            vertices: mesh.vertices.iter().map(|&p| self.point(p)).collect(),
            triangles: mesh.triangles.clone(),
        }
    }
}

/// Shifts a mesh so that its bounds begin at the origin: the print pose, Z = 0 at the bed.
///
/// # Errors
/// [`MeshFault`] where the mesh is empty, not finite or badly indexed.
pub fn onto_bed(mesh: &TriMesh) -> Result<TriMesh, MeshFault> {
    let least = measure(mesh)?.bounds.min;
    let vertices = mesh.vertices.iter().map(|&p| sub(p, least)).collect();
    Ok(TriMesh { vertices, triangles: mesh.triangles.clone() })
}

#[cfg(test)]
mod tests {
    use super::super::shapes::cuboid;
    use super::super::vec3::norm;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn quarter_turns_follow_the_right_hand() {
        let x = [1.0, 0.0, 0.0];
        let y = [0.0, 1.0, 0.0];
        let z = [0.0, 0.0, 1.0];
        assert_eq!(Rigid::quarter_turns(Axis::X, 1).point(y), z);
        assert_eq!(Rigid::quarter_turns(Axis::Y, 1).point(z), x);
        assert_eq!(Rigid::quarter_turns(Axis::Z, 1).point(x), y);
        assert_eq!(Rigid::quarter_turns(Axis::Z, -3).point(x), y);
    }

    #[test]
    fn a_part_on_the_bed_starts_at_the_origin() {
        let turned = Rigid::quarter_turns(Axis::X, 3).mesh(&cuboid([3.0, 4.0, 5.0]));
        let bounds = measure(&onto_bed(&turned).unwrap()).unwrap().bounds;
        assert_eq!((bounds.min, bounds.max), ([0.0; 3], [3.0, 5.0, 4.0]));
    }

    #[test]
    fn no_motion_from_no_numbers() {
        assert_eq!(Rigid::rotation([0.0; 3], Angle::degrees(3.0)), Err(PlaceError::NoRotation));
        assert!(Rigid::rotation([f64::NAN; 3], Angle::ZERO).is_err());
        assert!(Rigid::rotation([0.0, 1.0, 0.0], Angle::radians(f64::INFINITY)).is_err());
        assert!(Rigid::shift([Length::mm(f64::NAN); 3]).is_err());
    }

    proptest! {
        #[test]
        fn motions_keep_lengths_and_volume_and_compose(
            axis in prop::array::uniform3(-1.0..1.0_f64),
            degrees in -720.0..720.0_f64,
            shift in prop::array::uniform3(-500.0..500.0_f64),
        ) {
            prop_assume!(norm(axis) > 1e-3);
            let turn = Rigid::rotation(axis, Angle::degrees(degrees)).unwrap();
            let go = Rigid::shift(shift.map(Length::mm)).unwrap();
            let both = turn.then(&go);
            let p = [3.0, -4.0, 12.0];
            prop_assert!((norm(turn.point(p)) - 13.0).abs() < 1e-12);
            let apart = norm(sub(both.point(p), go.point(turn.point(p))));
            prop_assert!(apart < 1e-12);
            // Rodrigues leaves the axis where it is.
            prop_assert!(norm(sub(turn.point(axis), axis)) < 1e-14);
            let v = measure(&both.mesh(&cuboid([3.0, 4.0, 5.0]))).unwrap().volume.get();
            prop_assert!((v - 60.0).abs() < 1e-9);
        }
    }
}
