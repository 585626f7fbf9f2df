//! Quantities with their units in the type.
//!
//! Every quantity that crosses a module border is one of these newtypes over `f64`. The unit inside
//! is fixed and named at the type (millimetres, radians, newtons, ...). Arithmetic keeps the unit:
//! sums, differences and scaling by a plain number; the ratio of two like quantities is a number.
//! Products of unlike quantities go through the plain value ([`Length::mm`] and so on), with the
//! formula in sight.
//!
//! Reading text such as `"44 1/2 in"` is in [`parse`].

pub mod parse;

use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use serde::{Serialize, Serializer};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $get:ident, $unit:literal, $decimals:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);
            /// The unit in which the value is kept and shown.
            pub const UNIT: &'static str = $unit;
            #[doc = concat!("From a number of ", $unit, ".")]
            #[must_use]
            #[allow(clippy::self_named_constructors, reason = "`Hours::hours` reads as all others")]
            pub const fn $get(value: f64) -> Self {
                Self(value)
            }
            #[doc = concat!("The number of ", $unit, ".")]
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
            /// The smaller of the two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// The larger of the two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// The value without its sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
            /// Whether the value is neither infinite nor NaN.
            #[must_use]
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, k: f64) -> Self {
                Self(self.0 * k)
            }
        }
        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, q: $name) -> $name {
                $name(self * q.0)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, k: f64) -> Self {
                Self(self.0 / k)
            }
        }
        impl Div<$name> for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self::ZERO, Add::add)
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let decimals = f.precision().unwrap_or($decimals);
                let text = trimmed(self.0, decimals);
                padded(f, &format!("{text} {}", $unit))
            }
        }
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_f64(settled(self.0))
            }
        }
    };
}

quantity!(
    /// A length in millimetres.
    Length, mm, "mm", 2
);
quantity!(
    /// A mass in kilograms.
    Mass, kg, "kg", 3
);
quantity!(
    /// A force in newtons.
    Force, newtons, "N", 1
);
quantity!(
    /// A torque in newton metres.
    Torque, newton_metres, "N.m", 3
);
quantity!(
    /// A pressure or a stress in kilopascals.
    Pressure, kpa, "kPa", 2
);
quantity!(
    /// A power in watts.
    Power, watts, "W", 2
);
quantity!(
    /// A voltage in volts.
    Voltage, volts, "V", 3
);
quantity!(
    /// A current in amperes.
    Current, amps, "A", 3
);
quantity!(
    /// A resistance in ohms.
    Resistance, ohms, "ohm", 4
);
quantity!(
    /// A battery's charge in ampere hours.
    Charge, amp_hours, "Ah", 2
);
quantity!(
    /// An energy in watt hours.
    Energy, watt_hours, "Wh", 2
);
quantity!(
    /// A span of time in hours.
    Hours, hours, "h", 2
);
quantity!(
    /// A temperature in degrees Celsius (differences are kelvins).
    Temperature, celsius, "C", 1
);
quantity!(
    /// A speed in metres per second.
    Speed, metres_per_second, "m/s", 2
);
quantity!(
    /// An area in square millimetres.
    Area, mm2, "mm2", 2
);
quantity!(
    /// A volume in cubic millimetres.
    Volume, mm3, "mm3", 1
);
quantity!(
    /// An illuminance in lux.
    Illuminance, lux, "lx", 2
);
quantity!(
    /// A luminous flux in lumens.
    LuminousFlux, lumens, "lm", 0
);

impl Length {
    /// From metres.
    #[must_use]
    pub const fn metres(m: f64) -> Self {
        Self(m * 1000.0)
    }
    /// In metres.
    #[must_use]
    pub const fn in_metres(self) -> f64 {
        self.0 / 1000.0
    }
    /// From inches (25.4 mm exactly).
    #[must_use]
    pub const fn inches(inches: f64) -> Self {
        Self(inches * MM_PER_INCH)
    }
}

/// Millimetres in an inch (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// An angle, kept in radians.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// Zero.
    pub const ZERO: Self = Self(0.0);
    /// From radians.
    #[must_use]
    pub const fn radians(rad: f64) -> Self {
        Self(rad)
    }
    /// From degrees.
    #[must_use]
    pub const fn degrees(deg: f64) -> Self {
        Self(deg * std::f64::consts::PI / 180.0)
    }
    /// In radians.
    #[must_use]
    pub const fn rad(self) -> f64 {
        self.0
    }
    /// In degrees.
    #[must_use]
    pub const fn deg(self) -> f64 {
        self.0 * 180.0 / std::f64::consts::PI
    }
    /// Sine.
    #[must_use]
    pub fn sin(self) -> f64 {
        libm::sin(self.0)
    }
    /// Cosine.
    #[must_use]
    pub fn cos(self) -> f64 {
        libm::cos(self.0)
    }
    /// Tangent.
    #[must_use]
    pub fn tan(self) -> f64 {
        libm::tan(self.0)
    }
    /// The angle without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
    /// Whether the value is neither infinite nor NaN.
    #[must_use]
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}
impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Mul<f64> for Angle {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self(self.0 * k)
    }
}
impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        padded(f, &format!("{} deg", trimmed(self.deg(), f.precision().unwrap_or(1))))
    }
}
impl Serialize for Angle {
    /// Degrees: the unit of everything that a person reads.
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_f64(settled(self.deg()))
    }
}

/// Writes text in the width asked for, to the right as numbers are. (`Formatter::pad` would cut the
/// text at the precision, which here counts decimals.)
fn padded(f: &mut fmt::Formatter<'_>, text: &str) -> fmt::Result {
    match f.width() {
        Some(width) => write!(f, "{text:>width$}"),
        None => f.write_str(text),
    }
}

/// A number with at most `decimals` decimals and no trailing zeros: `12.50` gives `12.5`, `-0.0`
/// gives `0`.
#[must_use]
pub fn trimmed(value: f64, decimals: usize) -> String {
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".into() } else { text }
}

/// Rounds to nine decimals for files, so that the last bit of a sum does not show.
pub(crate) fn settled(value: f64) -> f64 {
    let rounded = (value * 1e9).round() / 1e9;
    if rounded.is_finite() { rounded + 0.0 } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_show_their_unit_without_trailing_zeros() {
        assert_eq!(Length::mm(12.50).to_string(), "12.5 mm");
        assert_eq!(Length::mm(-0.0001).to_string(), "0 mm");
        assert_eq!(format!("{:.0}", Length::metres(1.1304)), "1130 mm");
        assert_eq!(Angle::degrees(35.0).to_string(), "35 deg");
        assert_eq!(format!("{:>9.1}", Length::mm(12.34)), "  12.3 mm");
    }

    #[test]
    fn an_inch_is_25_4_millimetres() {
        // International yard and pound agreement, 1959.
        assert_eq!(Length::inches(44.5).get(), 1130.3);
    }
}
