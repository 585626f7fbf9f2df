//! Printing polymers: density, stiffness, strength, softening, shrinkage and design factors.
//!
//! Strengths in the layer are the LOW ends of measured ranges, since nobody knows the reader's
//! printer: Ali, Enzi and Huayier (25 settings each) give PLA 37.3 to 54.7 MPa, ABS 32.0 to 39.5,
//! PETG 28.2 to 47.1. Stiffness and glass transition of PLA, PETG and ABS: Processes 2025, 13(9),
//! 2733 (3.5, 2.0, 2.1 GPa; PETG 71 C, ABS 107 C). That paper's glass transition of PLA is a slip;
//! the low end of the usual 55 to 65 C is used. Everything of ASA and PC, the shrinkages, the
//! expansion of PLA, PETG and PC, and all design factors are from memory.

use super::words::words;
use crate::units::{Pressure, Temperature};

words! {
    /// Printing polymers with figures in the tables.
    PolymerKind {
        /// Stiff, creeps, softens from 55 C.
        Pla "pla",
        /// Tough, softens from 71 C.
        Petg "petg",
        /// Tough, embrittles in the sun.
        Abs "abs",
        /// Tough, stands the sun.
        Asa "asa",
        /// Strongest, needs a hot chamber.
        Pc "pc",
    }
}

/// Strength across layers over strength in the layer, for design. From memory; mid values of
/// published tests are 0.70 (PLA 40/57.5 MPa) and 0.63 (PETG 31.5/50 MPa).
pub(crate) const LAYER_FACTOR: f64 = 0.5;

/// Share of short-term strength that a load of weeks may use, so that creep stays small. From
/// memory: 20 to 25 % is usual for plastics; the low end.
pub(crate) const SUSTAINED_SHARE: f64 = 0.20;

/// Share of short-term strength that a gust may use: scatter of prints and surface notches. From
/// memory.
pub(crate) const GUST_SHARE: f64 = 0.5;

/// Share of a screw's preload that is left on plastic after creep. From memory: it halves in days.
pub(crate) const PRELOAD_KEPT: f64 = 0.5;

/// Temperature of the tests that the strengths come from.
pub(crate) const TEST_TEMPERATURE: Temperature = Temperature::celsius(23.0);

/// How much warmer than the air a sunlit print gets, light and dark. From memory; one published
/// case has 6 K for an enclosure at 800 W/m2.
pub(crate) const SUN_LIGHT: f64 = 10.0;
/// See [`SUN_LIGHT`].
pub(crate) const SUN_DARK: f64 = 25.0;

/// Figures of one printing polymer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PolymerRow {
    /// As it stands on the spool.
    pub name: &'static str,
    /// Grams in a cubic centimetre.
    pub density: f64,
    /// Young's modulus.
    pub modulus: Pressure,
    /// Short-term tensile strength in the layer, low end.
    pub strength: Pressure,
    /// Glass transition, low end.
    pub glass: Temperature,
    /// Linear shrinkage after printing, the upper end, a share.
    pub shrink: f64,
    /// Linear thermal expansion, 1/K.
    pub expansion: f64,
    /// What daylight does to it over a season.
    pub daylight: &'static str,
    /// Days of summer daylight that it is known to bear unpainted; none where a season does not count.
    /// Unverified.
    pub daylight_days: Option<u32>,
}

const fn gpa(value: f64) -> Pressure {
    Pressure::kpa(value * 1e6)
}

const fn mpa(value: f64) -> Pressure {
    Pressure::kpa(value * 1e3)
}

/// Figures of a printing polymer.
#[must_use]
pub(crate) const fn polymer(kind: PolymerKind) -> PolymerRow {
    match kind {
        PolymerKind::Pla => PolymerRow {
            name: "PLA",
            density: 1.24,
            modulus: gpa(3.5),
            strength: mpa(37.3),
            glass: Temperature::celsius(55.0),
            shrink: 0.003,
            expansion: 6.5e-5,
            daylight: "stiffens, but softens in summer sun",
            daylight_days: Some(180),
        },
        PolymerKind::Petg => PolymerRow {
            name: "PETG",
            density: 1.27,
            modulus: gpa(2.0),
            strength: mpa(28.2),
            glass: Temperature::celsius(71.0),
            shrink: 0.004,
            expansion: 6.5e-5,
            daylight: "moderate loss of strength, skin deep",
            daylight_days: Some(700),
        },
        PolymerKind::Abs => PolymerRow {
            name: "ABS",
            density: 1.04,
            modulus: gpa(2.1),
            strength: mpa(32.0),
            glass: Temperature::celsius(107.0),
            shrink: 0.008,
            expansion: 9.0e-5,
            daylight: "turns brittle: paint it or keep it in shade",
            daylight_days: Some(180),
        },
        PolymerKind::Asa => PolymerRow {
            name: "ASA",
            density: 1.06,
            modulus: gpa(1.7),
            strength: mpa(30.0),
            glass: Temperature::celsius(100.0),
            shrink: 0.008,
            expansion: 9.0e-5,
            daylight: "keeps its strength",
            daylight_days: None,
        },
        PolymerKind::Pc => PolymerRow {
            name: "PC",
            density: 1.20,
            modulus: gpa(2.2),
            strength: mpa(50.0),
            glass: Temperature::celsius(147.0),
            shrink: 0.007,
            expansion: 7.0e-5,
            daylight: "among the most stable",
            daylight_days: None,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_lie_within_the_published_ranges() {
        // Processes 2025, 13(9), 2733, table of materials: moduli 3.5, 2.0 and 2.1 GPa.
        assert_eq!(polymer(PolymerKind::Pla).modulus.get(), 3.5e6);
        assert_eq!(polymer(PolymerKind::Petg).modulus.get(), 2.0e6);
        assert_eq!(polymer(PolymerKind::Abs).modulus.get(), 2.1e6);
        // Ali, Enzi, Huayier: lowest of 25 settings.
        assert_eq!(polymer(PolymerKind::Pla).strength.get(), 37.3e3);
        assert_eq!(polymer(PolymerKind::Petg).strength.get(), 28.2e3);
        assert_eq!(polymer(PolymerKind::Abs).strength.get(), 32.0e3);
    }

    #[test]
    fn the_slipped_glass_transition_of_pla_is_not_used() {
        // 137 C is printed in one paper; 55 to 65 C is right.
        let glass = polymer(PolymerKind::Pla).glass.get();
        assert!((55.0..=65.0).contains(&glass));
    }

    #[test]
    fn petg_grows_half_a_millimetre_in_200_over_40_kelvin() {
        // 200 mm x 40 K x 6.5e-5 = 0.52 mm.
        let growth = 200.0 * 40.0 * polymer(PolymerKind::Petg).expansion;
        assert!((growth - 0.52).abs() < 1e-12);
    }
}
