//! Copper conductors: IEC 60228 class 5 and AWG.
//!
//! (Resistances and ampacities are filled in with the feed sums.)

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

/// A standard conductor size: `"1.5 mm2"` or `"AWG 16"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum ConductorSize {
    Mm2_0_5,
    Mm2_0_75,
    Mm2_1,
    Mm2_1_5,
    Mm2_2_5,
    Mm2_4,
    Mm2_6,
    Mm2_10,
    Awg24,
    Awg22,
    Awg20,
    Awg18,
    Awg16,
    Awg14,
    Awg12,
}

impl ConductorSize {
    /// Every size: IEC sections, then AWG, each thinnest first.
    pub const ALL: [Self; 15] = [
        Self::Mm2_0_5,
        Self::Mm2_0_75,
        Self::Mm2_1,
        Self::Mm2_1_5,
        Self::Mm2_2_5,
        Self::Mm2_4,
        Self::Mm2_6,
        Self::Mm2_10,
        Self::Awg24,
        Self::Awg22,
        Self::Awg20,
        Self::Awg18,
        Self::Awg16,
        Self::Awg14,
        Self::Awg12,
    ];
}

impl fmt::Display for ConductorSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Mm2_0_5 => "0.5 mm2",
            Self::Mm2_0_75 => "0.75 mm2",
            Self::Mm2_1 => "1 mm2",
            Self::Mm2_1_5 => "1.5 mm2",
            Self::Mm2_2_5 => "2.5 mm2",
            Self::Mm2_4 => "4 mm2",
            Self::Mm2_6 => "6 mm2",
            Self::Mm2_10 => "10 mm2",
            Self::Awg24 => "AWG 24",
            Self::Awg22 => "AWG 22",
            Self::Awg20 => "AWG 20",
            Self::Awg18 => "AWG 18",
            Self::Awg16 => "AWG 16",
            Self::Awg14 => "AWG 14",
            Self::Awg12 => "AWG 12",
        })
    }
}

impl FromStr for ConductorSize {
    type Err = UnknownConductor;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL.into_iter().find(|c| c.to_string() == text).ok_or(UnknownConductor)
    }
}

/// The text names no conductor of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("expected a conductor such as \"1.5 mm2\" or \"AWG 16\"")]
pub struct UnknownConductor;
