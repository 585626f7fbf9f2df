//! Closed-cell foam in compression: stress from strain, fresh and after hours under load.
//!
//! Two parts carry the load side by side. The frame, walls and ribs of polymer, bends and buckles:
//! its stress rises at once, then hardly more, and again when the walls meet:
//! `s0 e / (e + 0.05) (1 + k (e / (1 - e - R))^2)`. The gas shut in the cells is compressed: `p0 e / (1 - e - R)`, with R the share of solid (Gibson and Ashby, Cellular Solids;
//! Mills, Polymer Foams Handbook; isothermal gas). Of a real foam neither s0 nor p0 is known, but its
//! stress at one strain is, and so is about what share of that the frame carries: the curve goes
//! through that point.
//!
//! With time the gas leaves from the surface inward. The layer without gas grows with the root of
//! time, half of the pad after about 10 hours (Mills, creep of EVA midsole foam of 275 kg/m3), and
//! carries by its frame alone; the frame relaxes with the logarithm of time. Warmth raises the
//! pressure of the gas that is left.
//!
//! Kilopascals; strain is a share of the free thickness, positive in compression; below zero the foam
//! is out of touch and carries nothing. Stress rises with strain everywhere, so each has one inverse.
//! Not covered: sideways bulging, cells that burst (beyond half to two thirds), a set that stays.

use super::guard::{OutOfRange, not_negative, positive};
use crate::bisection::border;
use crate::units::{Hours, Pressure};

/// Strain at which the frame carries half of its plateau. Published curves of soft polyolefin foams
/// have left their first steep rise at 5 % (Gibson and Ashby).
const FRAME_RISE: f64 = 0.05;
/// The k above: foam with open cells, whose gas carries nothing, has about 2.2 times the stress at 65 %
/// that it has at 25 % (the support factor of upholstery foam; from memory).
const FRAME_PACKS: f64 = 0.25;
/// The share of the gas's own room beyond which its stress goes on along the tangent: no pad is meant
/// to go there, and no sum may divide by nothing.
const GAS_END: f64 = 0.97;
/// Stress that the frame loses with each tenfold time. Rubber in seals loses 3 to 6 %; from memory.
const FRAME_LOSS: f64 = 0.05;
/// When that loss begins: as long as a strap takes to pull.
const FRAME_START: Hours = Hours::hours(1.0 / 60.0);
/// Absolute temperature at which curves are measured, 23 C (ASTM D1056).
const MEASURED_AT: f64 = 296.15;

/// What a foam is made of, and its stress at one strain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Made {
    /// A strain.
    pub strain: f64,
    /// Stress there, in the minute after pressing.
    pub stress: Pressure,
    /// Share of that stress that the frame carries, and keeps when the gas has gone.
    pub frame: f64,
    /// Density of the foam over that of its polymer.
    pub solid: f64,
    /// Hours until the gas has left the whole pad.
    pub gas_gone: Hours,
}

/// Stress and strain of a foam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Foam {
    frame: f64,
    gas: f64,
    room: f64,
    gas_gone: f64,
}

/// What time and warmth have made of a foam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Age {
    frame: f64,
    gas: f64,
    warmth: f64,
}

impl Age {
    /// In the minute after pressing, at the temperature of the test.
    pub(crate) const FRESH: Self = Self { frame: 1.0, gas: 1.0, warmth: 0.0 };

    /// The same age with all gas gone.
    #[cfg(test)]
    pub(super) fn without_gas(self) -> Self {
        Self { gas: 0.0, ..self }
    }

    /// The same age with the frame weakened.
    #[cfg(test)]
    pub(super) fn weakened(self, share: f64) -> Self {
        Self { frame: self.frame * share, ..self }
    }

    /// The same age, warmer by so many kelvins than the foam was tested at, or colder.
    #[must_use]
    pub(crate) fn warmer(self, kelvins: f64) -> Self {
        Self { warmth: kelvins / MEASURED_AT, ..self }
    }
}

impl Foam {
    /// A foam whose curve goes through a point.
    ///
    /// # Errors
    /// A stress, strain or time that is not above zero, a share of frame beyond 0 to 1, a strain
    /// that leaves the gas no room.
    pub(crate) fn new(made: Made) -> Result<Self, OutOfRange> {
        let strain = positive("the foam's strain at its known stress", made.strain)?;
        let stress = positive("the foam's stress", made.stress.get())?;
        let solid = not_negative("the foam's share of solid", made.solid)?;
        let share = not_negative("the frame's share of the foam's stress", made.frame)?;
        let gas_gone = positive("the hours until the foam's gas has left", made.gas_gone.get())?;
        let room = 1.0 - solid;
        if share > 1.0 {
            let what = "the frame's share of the foam's stress";
            return Err(OutOfRange { what, value: share, needs: "at most 1" });
        }
        if strain >= room * GAS_END {
            let what = "the foam's strain at its known stress";
            return Err(OutOfRange { what, value: strain, needs: "well below 1 less the solid" });
        }
        let one = Self { frame: 1.0, gas: 1.0, room, gas_gone };
        let alone = |frame, gas| one.at(strain, Age { frame, gas, warmth: 0.0 })[0];
        Ok(Self {
            frame: share * stress / alone(1.0, 0.0),
            gas: (1.0 - share) * stress / alone(0.0, 1.0),
            ..one
        })
    }

    /// The foam after so many hours under load.
    #[must_use]
    pub(crate) fn after(&self, hours: Hours) -> Age {
        let hours = hours.get().max(0.0);
        let decades = libm::log10(1.0 + hours / FRAME_START.get());
        Age {
            frame: (1.0 - FRAME_LOSS * decades).max(0.0),
            gas: 1.0 - (hours / self.gas_gone).min(1.0).sqrt(),
            warmth: 0.0,
        }
    }

    /// Stress at a strain, in kilopascals.
    #[must_use]
    pub(crate) fn stress(&self, strain: f64, age: Age) -> Pressure {
        Pressure::kpa(self.at(strain, age)[0])
    }

    /// Strain at a stress; none where the stress is zero or less.
    #[must_use]
    pub(crate) fn strain(&self, stress: Pressure, age: Age) -> f64 {
        border(0.0, 1.0, BISECTIONS, |strain| self.at(strain, age)[0] <= stress.get())[0]
    }

    /// The largest strain at which the gas has room; sums stop there.
    #[must_use]
    pub(crate) fn end(&self) -> f64 {
        self.room * GAS_END
    }

    /// Stress and its slope over strain, kilopascals.
    #[inline]
    pub(super) fn at(&self, strain: f64, age: Age) -> [f64; 2] {
        if strain <= 0.0 {
            return [0.0, 0.0];
        }
        let end = self.end();
        let e = strain.min(end);
        let (above, below) = (e + FRAME_RISE, self.room - e);
        let both = 1.0 / (above * below);
        let (rise, left) = (below * both, above * both);
        let (frame, gas) = (self.frame * age.frame, self.gas * age.gas);
        // Warm gas presses harder by a share of its absolute pressure, once the cells are in touch.
        let (touch, warm) = (e * rise, age.warmth * self.room * left);
        let touch_slope = FRAME_RISE * rise * rise;
        let (packed, packed_slope) = (e * left, self.room * left * left);
        let walls = 1.0 + FRAME_PACKS * packed * packed;
        let stress = frame * touch * walls + gas * (packed + warm * touch);
        let slope = frame
            * (touch_slope * walls + touch * 2.0 * FRAME_PACKS * packed * packed_slope)
            + gas * (packed_slope + warm * (touch_slope + left * touch));
        [stress + slope * (strain - e), slope]
    }
}

/// Share of its gas that a foam held at a strain has lost when the gas carries nothing any more: what
/// is left fills the smaller cells at the pressure outside.
#[cfg(test)]
fn gas_spent(strain: f64, solid: f64) -> f64 {
    strain / (1.0 - solid)
}

/// Halvings of the whole range of strain: below the last digit of a double.
const BISECTIONS: usize = 54;

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Soft rubber sponge as a job file has it.
    pub(in super::super) fn sponge() -> Foam {
        made(0.30, 40.0, 0.5, 0.1)
    }

    pub(in super::super) fn made(strain: f64, kpa: f64, frame: f64, solid: f64) -> Foam {
        let stress = Pressure::kpa(kpa);
        Foam::new(Made { strain, stress, frame, solid, gas_gone: Hours::hours(40.0) }).unwrap()
    }

    #[test]
    fn gas_alone_of_the_isothermal_law() {
        // p0 e / (1 - e - R) with p0 101.325 kPa, computed independently.
        for (solid, strain, kpa) in [
            (0.036, 0.25, 35.48),
            (0.036, 0.5, 109.19),
            (0.036, 0.6, 167.02),
            (0.1, 0.25, 38.97),
            (0.1, 0.5, 126.66),
            (0.2, 0.3, 60.80),
        ] {
            let through = 101.325 * 0.2 / (0.8 - solid);
            let foam = made(0.2, through, 0.0, solid);
            assert!((foam.stress(strain, Age::FRESH).get() - kpa).abs() < 5e-3);
        }
    }

    #[test]
    fn published_curve_of_a_polyethylene_foam() {
        // Data sheet of a polyethylene foam of 33 kg/m3 (customfoams.co.uk): 40, 115 and 175 kPa at
        // 25, 50 and 60 %. Its frame carries about 6 kPa of the first; the polymer has 918 kg/m3.
        let foam = made(0.25, 41.0, 6.0 / 41.0, 0.036);
        for (strain, kpa) in [(0.25, 40.0), (0.5, 115.0), (0.6, 175.0)] {
            let found = foam.stress(strain, Age::FRESH).get();
            assert_relative_eq!(found, kpa, max_relative = 0.03);
        }
        // Held for weeks it keeps its frame's share only (about 6 kPa of 40), less what that relaxes.
        let weeks = foam.after(Hours::hours(1000.0));
        let kept = foam.stress(0.25, weeks).get();
        assert!((4.0..=6.0).contains(&kept), "{kept} kPa");
        // Open cells: about 2.2 times the stress at 65 % that there is at 25 %.
        let factor = foam.stress(0.65, weeks) / foam.stress(0.25, weeks);
        assert!((2.0..=2.5).contains(&factor), "{factor}");
    }

    #[test]
    fn gas_is_spent_when_the_smaller_cells_are_at_outside_pressure() {
        for (strain, share) in [(0.25, 0.259), (0.4, 0.415), (0.5, 0.519)] {
            assert!((gas_spent(strain, 0.036) - share).abs() < 5e-4);
        }
    }

    #[test]
    fn half_the_gas_has_gone_in_ten_hours() {
        // Creep of an EVA foam of 275 kg/m3: 50 % of the cell air lost in about 10 h; the depleted
        // layer grows with the root of time, so that a quarter takes a quarter of that, and all 40 h.
        let foam = sponge();
        for (hours, kept) in [(0.0, 1.0), (2.5, 0.75), (10.0, 0.5), (40.0, 0.0), (500.0, 0.0)] {
            assert_relative_eq!(foam.after(Hours::hours(hours)).gas, kept, epsilon = 1e-12);
        }
    }

    #[test]
    fn warm_gas_presses_harder_by_its_absolute_pressure() {
        // Isochoric gas: at 25 % and R = 0, absolute pressure is p0 / 0.75; ten kelvins on 296.15 K
        // raise that by 10 / 296.15 of itself.
        let foam = made(0.25, 101.325 * 0.25 / 0.75, 0.0, 0.0);
        let [cool, warm] = [0.0, 10.0].map(|k| foam.stress(0.25, Age::FRESH.warmer(k)).get());
        let whole = 101.325 / 0.75 * 10.0 / 296.15;
        // The sum lets the warmth come in with the touch of the cells, 5/6 of it at 25 %.
        assert_relative_eq!(warm - cool, whole * 0.25 / 0.30, max_relative = 1e-9);
    }

    #[test]
    fn bad_numbers_are_refused() {
        let good = Made {
            strain: 0.3,
            stress: Pressure::kpa(40.0),
            frame: 0.5,
            solid: 0.1,
            gas_gone: Hours::hours(40.0),
        };
        assert!(Foam::new(good).is_ok());
        for bad in [
            Made { strain: 0.0, ..good },
            Made { strain: 0.9, ..good },
            Made { stress: Pressure::kpa(-1.0), ..good },
            Made { frame: 1.2, ..good },
            Made { solid: f64::NAN, ..good },
            Made { gas_gone: Hours::ZERO, ..good },
        ] {
            assert!(Foam::new(bad).is_err(), "{bad:?}");
        }
    }

    proptest! {
        #[test]
        fn stress_rises_with_strain_and_falls_with_time(
            e in 0.001..1.2_f64, more in 0.001..0.3_f64, hours in 0.0..5000.0_f64,
        ) {
            let foam = sponge();
            let age = foam.after(Hours::hours(hours));
            let [s, slope] = foam.at(e, age);
            prop_assert!(foam.at(e + more, age)[0] > s);
            prop_assert!(foam.stress(e, Age::FRESH).get() >= s - 1e-9);
            let step = 1e-6;
            let found = (foam.at(e + step, age)[0] - s) / step;
            prop_assert!((found - slope).abs() <= 1e-3 * slope.max(1.0));
            if e < foam.end() {
                prop_assert!((foam.strain(Pressure::kpa(s), age) - e).abs() < 1e-9);
            }
        }
    }
}
