//! Circles round a trunk: radius and girth, arcs of a face, and the room that growth leaves.
//!
//! Plan view, millimetres. A face is an arc with half width w, measured as half its chord, and sagitta
//! s(Rc, w), where s(r, x) = r - sqrt(r^2 - x^2) is the height of a circular arc over its chord
//! (elementary geometry). What a face does to its pad is in [`super::seat`].

use std::f64::consts::TAU;

use serde::Serialize;

use super::guard::OutOfRange;
use crate::units::Length;

/// Input with which no fit can be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// A length that must be above zero and finite.
    #[error("{what} must be more than 0 mm and finite, not {value}")]
    NotPositive {
        /// Which length.
        what: &'static str,
        /// What was given.
        value: Length,
    },
    /// A chord that the circle does not have.
    #[error("a half width of {half_width} does not fit on a radius of {radius}")]
    WiderThanRound {
        /// Half the chord.
        half_width: Length,
        /// The circle's radius.
        radius: Length,
    },
    /// A straight edge that tells no radius.
    #[error(transparent)]
    StraightEdge(#[from] OutOfRange),
}

/// Gives the length back when it is positive and finite.
pub(super) fn positive(what: &'static str, value: Length) -> Result<Length, FitError> {
    if value.is_finite() && value > Length::ZERO {
        Ok(value)
    } else {
        Err(FitError::NotPositive { what, value })
    }
}

/// Radius of a round trunk from its girth, r = C / (2 pi).
#[must_use]
pub(crate) fn radius_of_girth(girth: Length) -> Length {
    girth / TAU
}

/// Girth of a round trunk from its radius, C = 2 pi r.
#[must_use]
pub(crate) fn girth_of_radius(radius: Length) -> Length {
    radius * TAU
}

/// A rigid concave face: an arc of radius Rc over a chord of twice the half width.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Face {
    radius: Length,
    half_width: Length,
}

impl Face {
    /// A face of this radius and half width.
    ///
    /// # Errors
    /// When either is not positive and finite, or the half width exceeds the radius.
    pub(crate) fn new(radius: Length, half_width: Length) -> Result<Self, FitError> {
        positive("face radius", radius)?;
        positive("half width", half_width)?;
        if half_width > radius {
            return Err(FitError::WiderThanRound { half_width, radius });
        }
        Ok(Self { radius, half_width })
    }
}

/// Room left between a trunk's girth and the ends of a served range, and how long growth takes to
/// use it up.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Margin {
    /// Girth above the thin end; negative when the trunk is too thin.
    pub below: Length,
    /// Girth left to the thick end; negative when the trunk is too thick.
    pub above: Length,
    /// Years until the thick end at the growth given; `None` without growth, 0 when past it.
    pub years: Option<f64>,
}

/// Margin of a girth within `[from, to]`, with girth growth a year.
#[must_use]
pub(crate) fn margin(girth: Length, from: Length, to: Length, growth: Length) -> Margin {
    let above = to - girth;
    let years = (growth > Length::ZERO).then(|| (above / growth).max(0.0));
    Margin { below: girth - from, above, years: years.filter(|y| y.is_finite()) }
}

#[cfg(test)]
mod tests;
