//! Numbers of remedies, rounded so that a remedy still cures.

use crate::units::Length;

/// Rounded up to a tenth of a millimetre, what a calliper reads.
pub(super) fn up(length: Length) -> Length {
    Length::mm((length.get() * 10.0 - 1e-6).ceil() / 10.0)
}

/// Rounded down to a tenth of a millimetre.
pub(super) fn down(length: Length) -> Length {
    Length::mm((length.get() * 10.0 + 1e-6).floor() / 10.0)
}
