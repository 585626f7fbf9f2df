//! A trunk that thins upward, and what that does to the tilt scale.
//!
//! Two girths at two heights make a cone. The cradle lies along the bark, so its axis leans with the
//! cone's side, and the zero of its tilt scale is off level by the half cone angle; the trunk's own
//! lean adds. Elevation 0 is level, positive is up. Over the height of a cradle the bark is taken as
//! straight (a frustum, the usual form for a short log); root flare is not covered.

use super::fit::{FitError, positive, radius_of_girth};
use crate::units::{Angle, Length};

/// Steepest half cone angle that still passes for a stem; above it one measurement is on the root
/// flare, on a fork, or mistaken. Common practice, no source.
pub const STEEPEST: Angle = Angle::degrees(8.0);

/// A girth and the height above ground at which it was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GirthAt {
    /// Girth.
    pub girth: Length,
    /// Height above ground.
    pub height: Length,
}

/// A trunk as a cone between two girths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taper {
    lower: GirthAt,
    upper: GirthAt,
}

impl Taper {
    /// From two girths at different heights, in either order.
    ///
    /// # Errors
    /// When a girth is not positive, or the heights are equal or not finite.
    pub fn new(one: GirthAt, other: GirthAt) -> Result<Self, FitError> {
        positive("girth", one.girth)?;
        positive("girth", other.girth)?;
        positive("height between the girths", (one.height - other.height).abs())?;
        let (lower, upper) = if one.height < other.height { (one, other) } else { (other, one) };
        Ok(Self { lower, upper })
    }

    /// Angle between the bark and the trunk's axis: atan((r_lower - r_upper) / height between).
    /// Positive when the trunk thins upward.
    #[must_use]
    pub fn half_angle(self) -> Angle {
        let drop = radius_of_girth(self.lower.girth - self.upper.girth);
        Angle::radians(libm::atan2(drop.get(), (self.upper.height - self.lower.height).get()))
    }
}

/// Elevation of the beam when the tilt scale shows 0: bark that leans inward lifts it by the half
/// cone angle, a trunk that leans toward the lamp's side (positive lean) lowers it.
#[must_use]
pub fn zero_elevation(half_angle: Angle, lean: Angle) -> Angle {
    half_angle - lean
}

/// What the tilt scale must show for a beam of this elevation.
#[must_use]
pub fn scale_for(beam: Angle, half_angle: Angle, lean: Angle) -> Angle {
    beam - zero_elevation(half_angle, lean)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn at(girth: f64, height: f64) -> GirthAt {
        GirthAt { girth: Length::mm(girth), height: Length::mm(height) }
    }

    #[test]
    fn a_cone_of_known_angle() {
        // Right triangle: radius falls by 20 mm over 1000 mm, atan(0.02) = 1.1458 deg.
        let drop = 20.0 * std::f64::consts::TAU;
        let taper = Taper::new(at(1000.0 - drop, 2300.0), at(1000.0, 1300.0)).unwrap();
        assert_relative_eq!(taper.half_angle().deg(), 1.1458, epsilon = 5e-5);
        assert!(Taper::new(at(1000.0, 1300.0), at(900.0, 1300.0)).is_err());
    }

    #[test]
    fn the_scale_undoes_taper_and_lean() {
        let (half, lean) = (Angle::degrees(2.0), Angle::degrees(5.0));
        let shown = scale_for(Angle::degrees(60.0), half, lean);
        assert_relative_eq!(shown.deg(), 63.0, epsilon = 1e-9);
        assert_relative_eq!((shown + zero_elevation(half, lean)).deg(), 60.0, epsilon = 1e-9);
    }
}
