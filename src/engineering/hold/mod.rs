//! How a pull on a strap feels, for whoever has no gauge.
//!
//! Newtons; what hands feel is common practice. What straps hold and how hard they press is in
//! [`super::pull`] and [`super::springs`].

use super::wind::GRAVITY;
use crate::units::{Force, trimmed};

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
