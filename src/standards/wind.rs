//! Wind: Beaufort's scale, force coefficients, terrain roughness.
//!
//! Beaufort: the usual limits of the 10 min mean at 10 m, metres per second. Force coefficients: the
//! signboard of EN 1991-1-4, 7.4.3, and square plates after the Aeronautical Engineer's
//! Data Book, figure 5.13. Terrain: EN 1991-1-4, table 4.1 (category I confirmed by a worked
//! example, the others from memory).

use crate::units::{Length, Speed};

/// Density of air, kg/m3, recommended by EN 1991-1-4, 4.5.
pub(crate) const AIR_DENSITY: f64 = 1.25;

/// Force coefficients of bodies with sharp edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum BluffBody {
    /// A signboard, and by our choice every lamp and box: EN 1991-1-4, 7.4.3.
    Signboard,
    /// A square plate across the wind.
    #[cfg_attr(not(test), expect(dead_code, reason = "a published row that tests check"))]
    SquarePlate,
    /// A cube with a face to the wind; from memory.
    #[cfg_attr(not(test), expect(dead_code, reason = "a published row that tests check"))]
    Cube,
}

impl BluffBody {
    /// Force coefficient on the area seen by the wind.
    #[must_use]
    pub(crate) const fn coefficient(self) -> f64 {
        match self {
            Self::Signboard => 1.80,
            Self::SquarePlate => 1.17,
            Self::Cube => 1.05,
        }
    }
}

/// Terrain categories of EN 1991-1-4, table 4.1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(dead_code, reason = "waits for wind by height and terrain")]
#[allow(clippy::upper_case_acronyms)] // The standard's own Roman numerals.
pub(crate) enum Terrain {
    /// Sea, or coast open to the sea.
    Sea,
    /// Lakes, flat ground without obstacles.
    I,
    /// Low vegetation, single obstacles.
    II,
    /// Villages, suburbs, forest.
    III,
    /// Towns with 15 % of buildings above 15 m.
    IV,
}

impl Terrain {
    /// Roughness length z0 and least height z_min.
    #[must_use]
    pub(crate) const fn roughness(self) -> (Length, Length) {
        match self {
            Self::Sea => (Length::metres(0.003), Length::metres(1.0)),
            Self::I => (Length::metres(0.01), Length::metres(1.0)),
            Self::II => (Length::metres(0.05), Length::metres(2.0)),
            Self::III => (Length::metres(0.3), Length::metres(5.0)),
            Self::IV => (Length::metres(1.0), Length::metres(10.0)),
        }
    }
}

/// Lower limits of the Beaufort numbers 0 to 12, m/s, with the name and what one sees.
const BEAUFORT: [(f64, &str, &str); 13] = [
    (0.0, "calm", "smoke rises straight"),
    (0.3, "light air", "smoke drifts"),
    (1.6, "light breeze", "leaves rustle"),
    (3.4, "gentle breeze", "twigs move all the time"),
    (5.5, "moderate breeze", "dust and paper lift"),
    (8.0, "fresh breeze", "small trees sway"),
    (10.8, "strong breeze", "large branches move"),
    (13.9, "near gale", "whole trees move"),
    (17.2, "gale", "twigs break off"),
    (20.8, "strong gale", "branches break, tiles fall"),
    (24.5, "storm", "trees are uprooted"),
    (28.5, "violent storm", "widespread damage"),
    (32.7, "hurricane force", "devastation"),
];

/// A row of Beaufort's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Beaufort {
    /// 0 to 12.
    pub number: u8,
    /// Name of the wind.
    pub name: &'static str,
    /// What one sees.
    pub sign: &'static str,
    /// Least 10 min mean.
    pub from: Speed,
}

/// The Beaufort number of a mean wind; `None` for a negative or undefined speed.
#[must_use]
pub(crate) fn beaufort(speed: Speed) -> Option<Beaufort> {
    let index = BEAUFORT.iter().rposition(|row| speed.get() >= row.0)?;
    let (from, name, sign) = BEAUFORT[index];
    Some(Beaufort {
        number: u8::try_from(index).ok()?,
        name,
        sign,
        from: Speed::metres_per_second(from),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beaufort_numbers_have_their_published_limits() {
        // World Meteorological Organization's table as commonly printed.
        let number = |v: f64| beaufort(Speed::metres_per_second(v)).map(|b| b.number);
        assert_eq!(number(0.2), Some(0));
        assert_eq!(number(7.9), Some(4));
        assert_eq!(number(8.0), Some(5));
        assert_eq!(number(20.7), Some(8));
        assert_eq!(number(32.7), Some(12));
        assert_eq!(number(-1.0), None);
        assert_eq!(number(f64::NAN), None);
    }

    #[test]
    fn the_power_law_falls_within_the_numbers() {
        // v = 0.836 B^1.5 (from memory): 3 -> 4.34, 6 -> 12.29, 8 -> 18.92, 10 -> 26.44 m/s.
        for (b, v) in [(3, 4.34), (6, 12.29), (8, 18.92), (10, 26.44)] {
            assert!((0.836 * libm::pow(f64::from(b), 1.5) - v).abs() < 0.005);
            assert_eq!(
                beaufort(Speed::metres_per_second(v)).map(|row| i32::from(row.number)),
                Some(b)
            );
        }
    }

    #[test]
    fn the_historic_plate_rule_agrees_with_the_square_plate() {
        // P = 0.003 v^2 (lb/ft2, mph), plates of 0.25 to 3 ft2: 0.7188 v^2 in SI; with the usual
        // 1.225 kg/m3 of that time's trials 0.5 x 1.225 x 1.17 = 0.7166.
        let ours = 0.5 * 1.225 * BluffBody::SquarePlate.coefficient();
        assert!((ours - 0.7166).abs() < 5e-5);
        assert!((ours / 0.7188 - 1.0).abs() < 0.005);
    }
}
