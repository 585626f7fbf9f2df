//! The one gate for numbers that enter a sum: finite, and within the range in which it holds.

use crate::units::trimmed;

/// A number outside the range in which the sum holds.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{what} is {}, but must be {needs}", trimmed(*value, 4))]
pub struct OutOfRange {
    /// The quantity.
    pub what: &'static str,
    /// What was given.
    pub value: f64,
    /// The range, in words.
    pub needs: &'static str,
}

/// The value, when finite and above zero.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(OutOfRange { what, value, needs: "above zero" })
    }
}

/// The value, when finite and zero or more.
pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(OutOfRange { what, value, needs: "zero or more" })
    }
}

/// The value, when neither infinite nor undefined.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if value.is_finite() { Ok(value) } else { Err(OutOfRange { what, value, needs: "a number" }) }
}
