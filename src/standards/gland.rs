//! Metric cable glands (thread EN 60423, 1.5 mm pitch).
//!
//! Panel hole: 12.5 mm for M12 (published); M16 to M25 by the same rule, thread + 0.5 mm (from
//! memory). Flats of body and locknut and the usual cable range are makers' typical figures (from
//! memory): the standard fixes neither.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

use crate::units::Length;

/// A metric gland size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum GlandSize {
    /// M12 x 1.5.
    M12,
    /// M16 x 1.5.
    M16,
    /// M20 x 1.5.
    M20,
    /// M25 x 1.5.
    M25,
}

impl GlandSize {
    /// Every size, smallest first.
    pub const ALL: [Self; 4] = [Self::M12, Self::M16, Self::M20, Self::M25];

    /// Thread diameter.
    #[must_use]
    pub fn thread(self) -> Length {
        Length::mm([12.0, 16.0, 20.0, 25.0][self as usize])
    }

    /// Clear hole in the wall.
    #[must_use]
    pub fn hole(self) -> Length {
        self.thread() + Length::mm(0.5)
    }

    /// Width over the flats of body and locknut, the larger of the usual ones.
    #[must_use]
    pub fn flats(self) -> Length {
        Length::mm([15.0, 20.0, 24.0, 30.0][self as usize])
    }

    /// Thinnest and thickest cable that it usually takes.
    #[must_use]
    pub fn cable(self) -> [Length; 2] {
        [[3.0, 6.0], [4.0, 8.0], [6.0, 12.0], [10.0, 16.0]][self as usize].map(Length::mm)
    }
}

impl fmt::Display for GlandSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "M{}", self.thread().get())
    }
}

impl FromStr for GlandSize {
    type Err = UnknownGland;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL.into_iter().find(|g| g.to_string() == text).ok_or(UnknownGland)
    }
}

/// The text names no gland of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("expected a metric gland: M12, M16, M20 or M25")]
pub struct UnknownGland;
