//! Stress for design: short-term strength x layer factor x share for the load's duration x warmth.
//!
//! Source: strengths and factors of [`crate::standards::polymer`]; the warm factor falls in a straight
//! line from 1 at the test's 23 C to 0 at the glass transition (common practice, no source; measured
//! curves lie above it until near the transition). Layer factor and shares are from memory.

use crate::engineering::guard::{OutOfRange, finite};
use crate::standards::PolymerKind;
use crate::standards::polymer::{
    GUST_SHARE, LAYER_FACTOR, SUN_DARK, SUN_LIGHT, SUSTAINED_SHARE, TEST_TEMPERATURE, polymer,
};
use crate::units::{Pressure, Temperature};

/// Which way a stress runs in the print.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Direction {
    /// Along the layers.
    InLayer,
    /// From layer to layer.
    AcrossLayers,
}

/// How long a load acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Duration {
    /// Weeks: weight, strap tension.
    Sustained,
    /// Seconds: a gust; the first hour of a screw's preload.
    Gust,
}

/// What a part is printed from, and the warmest air it meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Print {
    /// Polymer.
    pub polymer: PolymerKind,
    /// Warmest afternoon.
    pub warm: Temperature,
    /// Whether the print is dark.
    pub dark: bool,
}

/// Why a strength has no value.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum StrengthError {
    /// A measure is not in its range.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// The part gets as warm as the glass transition.
    #[error(
        "{name} softens at {glass}, and the print gets {part} warm in the sun: choose a polymer that softens later, or a light colour"
    )]
    Soft {
        /// Polymer.
        name: &'static str,
        /// Glass transition.
        glass: Temperature,
        /// Temperature of the part.
        part: Temperature,
    },
}

impl Print {
    /// Temperature of the part in the sun.
    #[must_use]
    pub(crate) fn part_temperature(&self) -> Temperature {
        self.warm + Temperature::celsius(if self.dark { SUN_DARK } else { SUN_LIGHT })
    }

    /// Share of the strength at 23 C that is left on the warmest day, above 0 and at most 1.
    ///
    /// # Errors
    /// An undefined temperature, or one at or above the glass transition.
    pub(crate) fn warm_factor(&self) -> Result<f64, StrengthError> {
        let part = self.part_temperature();
        finite("the part's temperature", part.get())?;
        let row = polymer(self.polymer);
        let factor = (row.glass - part) / (row.glass - TEST_TEMPERATURE);
        if factor > 0.0 {
            Ok(factor.min(1.0))
        } else {
            Err(StrengthError::Soft { name: row.name, glass: row.glass, part })
        }
    }

    /// Stress that a load may cause.
    ///
    /// # Errors
    /// As [`Print::warm_factor`].
    pub(crate) fn limit(
        &self,
        direction: Direction,
        duration: Duration,
    ) -> Result<Pressure, StrengthError> {
        let layer = match direction {
            Direction::InLayer => 1.0,
            Direction::AcrossLayers => LAYER_FACTOR,
        };
        let share = match duration {
            Duration::Sustained => SUSTAINED_SHARE,
            Duration::Gust => GUST_SHARE,
        };
        Ok(polymer(self.polymer).strength * (layer * share * self.warm_factor()?))
    }

    /// Young's modulus on the warmest day, with the same warm factor as strength.
    ///
    /// # Errors
    /// As [`Print::warm_factor`].
    pub(crate) fn modulus(&self) -> Result<Pressure, StrengthError> {
        Ok(polymer(self.polymer).modulus * self.warm_factor()?)
    }
}

/// Below the glass transition by this much, K, a printed part under load keeps its shape (practice:
/// 10 to 15 K; unverified).
pub(crate) const BELOW_GLASS: f64 = 10.0;

/// Polymers that stay stiff in the warm, the least demanding to print first.
pub(crate) const fn softens_last() -> [PolymerKind; 4] {
    [PolymerKind::Petg, PolymerKind::Asa, PolymerKind::Abs, PolymerKind::Pc]
}

/// The first polymer of the table, in the order of the softest first, with which `holds` is true;
/// for the remedies of the checks.
pub(crate) fn first_polymer_that(
    print: &Print,
    mut holds: impl FnMut(&Print) -> bool,
) -> Option<PolymerKind> {
    [PolymerKind::Pla, PolymerKind::Petg, PolymerKind::Asa, PolymerKind::Abs, PolymerKind::Pc]
        .into_iter()
        .find(|&kind| holds(&Print { polymer: kind, ..*print }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn print(polymer: PolymerKind, warm: f64, dark: bool) -> Print {
        Print { polymer, warm: Temperature::celsius(warm), dark }
    }

    #[test]
    fn strength_across_layers_lies_under_published_tests() {
        // Published mid values, across over along: PLA 40/57.5 = 0.70, PETG 31.5/50 = 0.63. The
        // design factor must not promise more.
        let cool = print(PolymerKind::Petg, 10.0, false);
        let along = cool.limit(Direction::InLayer, Duration::Gust).unwrap();
        let across = cool.limit(Direction::AcrossLayers, Duration::Gust).unwrap();
        assert!(across / along <= 31.5 / 50.0);
        // Long-term stress stays below 20 to 25 % of short-term strength (from memory).
        let long = cool.limit(Direction::InLayer, Duration::Sustained).unwrap();
        assert!(long.get() <= 0.25 * 28.2e3);
        assert_relative_eq!(long.get(), 0.2 * 28.2e3);
    }

    #[test]
    fn dark_pla_in_summer_is_refused_and_petg_is_not() {
        let error = print(PolymerKind::Pla, 30.0, true).warm_factor().unwrap_err();
        assert!(error.to_string().starts_with("PLA softens at 55 C, and the print gets 55 C warm"));
        let factor = print(PolymerKind::Petg, 30.0, true).warm_factor().unwrap();
        assert_relative_eq!(factor, 16.0 / 48.0, max_relative = 1e-12);
        assert!(print(PolymerKind::Petg, f64::NAN, true).warm_factor().is_err());
        assert_eq!(print(PolymerKind::Petg, -10.0, false).warm_factor().unwrap(), 1.0);
    }

    #[test]
    fn first_polymer_that_holds_is_the_softest_one() {
        let start = print(PolymerKind::Pla, 30.0, true);
        let kind = first_polymer_that(&start, |p| p.warm_factor().is_ok());
        assert_eq!(kind, Some(PolymerKind::Petg));
        assert_eq!(first_polymer_that(&start, |_| false), None);
    }
}
