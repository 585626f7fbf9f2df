//! What a strap holds and how hard it presses: the single sums, and how a pull feels.
//!
//! Friction is Coulomb's. Capstan `T2 = T1 exp(mu beta)` (Euler and Eytelwein) over a total turn
//! `beta`; pressure under a band `p = T / (r b)` (Mott, Machine Elements in Mechanical Design, on
//! band brakes); force on a seat `N = 2 T sin(turn / 2)` (statics). Forces in newtons, lengths in
//! millimetres, pressures in kilopascals.

use super::guard::{OutOfRange, finite, not_negative, positive};
use super::wind::GRAVITY;
use crate::units::{Angle, Force, Length, Pressure, trimmed};

/// A newton on a square millimetre, in kilopascals.
const KPA_PER_MPA: f64 = 1000.0;

/// Capstan ratio `exp(mu beta)`: tight over slack.
///
/// # Errors
/// A negative friction or turn, or a ratio beyond all numbers.
pub(crate) fn capstan_ratio(mu: f64, turn: Angle) -> Result<f64, OutOfRange> {
    let mu = not_negative("the friction", mu)?;
    let turn = not_negative("the turn", turn.rad())?;
    finite("the capstan ratio", libm::exp(mu * turn))
}

/// Tension left beyond a turn, `T exp(-mu beta)`.
///
/// # Errors
/// As [`capstan_ratio`], or a negative tension.
pub(crate) fn slack_side(tight: Force, mu: f64, turn: Angle) -> Result<Force, OutOfRange> {
    not_negative("the tension", tight.get())?;
    Ok(tight / capstan_ratio(mu, turn)?)
}

/// Force that a strap puts on a seat over which it turns, `2 T sin(turn / 2)`; turns up to half a
/// circle, beyond which the two pulls begin to cancel.
#[must_use]
pub(crate) fn seat_force(tension: Force, turn: Angle) -> Force {
    tension * (2.0 * libm::sin(0.5 * turn.rad()))
}

/// Pressure under a strap on a round body, `T / (r b)`.
///
/// # Errors
/// A negative tension, a radius or width that is not above zero.
pub(crate) fn strap_pressure(
    tension: Force,
    radius: Length,
    width: Length,
) -> Result<Pressure, OutOfRange> {
    let tension = not_negative("the tension", tension.get())?;
    let area = positive("the radius", radius.get())? * positive("the width", width.get())?;
    Ok(Pressure::kpa(finite("the strap's pressure", tension / area * KPA_PER_MPA)?))
}

/// A tension as the hand knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Hand {
    /// How to pull.
    pub words: &'static str,
    /// What a luggage scale hooked into the strap shows.
    pub scale: String,
}

/// Upper ends of the ranges, newtons (common practice, no source).
const HANDS: [(f64, &str); 4] = [
    (40.0, "snug: one finger still slides under the strap"),
    (100.0, "pulled with one hand, without effort"),
    (200.0, "as tight as you can pull with one hand"),
    (350.0, "with both hands and your weight behind it"),
];

/// Beyond them: only a ratchet goes there.
const BY_RATCHET: &str = "with the ratchet, a tooth at a time; stop when the scale shows it";

/// How a tension feels; the ranges are common practice. The scale is rounded up, so that it never
/// shows less than was meant.
#[must_use]
pub(crate) fn by_hand(tension: Force) -> Hand {
    let known = HANDS.iter().find(|(up_to, _)| tension.get() <= *up_to);
    Hand {
        words: known.map_or(BY_RATCHET, |(_, w)| w),
        scale: format!("{} kg", trimmed((tension.get() / GRAVITY).ceil(), 0)),
    }
}

#[cfg(test)]
pub(crate) mod tests;
