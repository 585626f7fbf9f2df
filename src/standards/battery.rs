//! Battery chemistries: cell voltages, cold, charging limits and Peukert figures.
//!
//! Voltages a cell: lead-acid 2.00 V and lithium-ion 3.60 V nominal, 4.2 V full, 2.5 to 3.0 V cut
//! off (Battery University BU-303); lithium iron phosphate and nickel-metal hydride from memory.
//!
//! Capacity over temperature: lead-acid from 0 C up as a battery maker's one-hour discharge table
//! prints it against 25 C, below from the general figure of half the capacity at -18 C (Battery
//! University BU-502); other chemistries cautious figures from memory, for use when the maker's
//! sheet is not at hand.
//!
//! Peukert exponents: the cautious end of the ranges that Battery University BU-503 and trade
//! references give. The rating hour is that of the usual capacity mark: 20 h for lead-acid, 5 h for
//! lithium-ion (IEC 61960) and nickel-metal hydride (IEC 61951), from memory.
//!
//! Temperature limits: charging 0 to 45 C; discharge -20 to 60 C (makers' cell sheets).

use serde::Serialize;

use super::words::words;
use crate::units::{Hours, Temperature, Voltage};

words! {
    /// Cell chemistry.
    Chemistry {
        /// Lithium ion, about 3.6 V a cell.
        LiIon "li-ion",
        /// Lithium iron phosphate, about 3.2 V a cell.
        LiFePo4 "lifepo4",
        /// Lead acid, about 2 V a cell.
        LeadAcid "lead-acid",
        /// Nickel metal hydride, about 1.2 V a cell.
        NiMh "nimh",
    }
}

/// Voltages of one cell.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cell {
    /// By which packs are named.
    pub nominal: Voltage,
    /// Fully charged, at rest or at the end of charging, whichever a fixture meets.
    pub full: Voltage,
    /// Where discharge ends.
    pub cutoff: Voltage,
}

/// Peukert's law in reference-hour form: t = H (C/(I H))^k.
///
/// The raw form t = C/I^k forgets at which rate the capacity was rated and is not offered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Peukert {
    /// k, 1 for an ideal battery; 1..=1.5.
    pub exponent: f64,
    /// H, the hours at which the capacity is rated.
    pub rated: Hours,
}

/// Temperatures between which cells may be charged.
pub const CHARGING: [Temperature; 2] = [Temperature::celsius(0.0), Temperature::celsius(45.0)];
/// Temperatures between which cells may be discharged.
pub const DISCHARGING: [Temperature; 2] = [Temperature::celsius(-20.0), Temperature::celsius(60.0)];

/// Capacity factor at -20, -10, 0, 10, 20 C.
const COLD_STEPS_C: [f64; 5] = [-20.0, -10.0, 0.0, 10.0, 20.0];

impl Chemistry {
    /// Cell voltages.
    #[must_use]
    pub fn cell(self) -> Cell {
        let [nominal, full, cutoff] = match self {
            Self::LiIon => [3.6, 4.2, 3.0],
            Self::LiFePo4 => [3.2, 3.65, 2.5],
            Self::LeadAcid => [2.0, 2.45, 1.75],
            Self::NiMh => [1.2, 1.45, 1.0],
        }
        .map(Voltage::volts);
        Cell { nominal, full, cutoff }
    }

    /// Voltage at which a pack of this nominal voltage is taken as empty.
    ///
    /// Scaled by the cell's ratio, so that packs marked by another convention (3.7 V a cell) need no
    /// cell count.
    #[must_use]
    pub fn pack_cutoff(self, nominal: Voltage) -> Voltage {
        nominal * (self.cell().cutoff / self.cell().nominal)
    }

    /// Voltage of a freshly charged pack of this nominal voltage.
    #[must_use]
    pub fn pack_full(self, nominal: Voltage) -> Voltage {
        nominal * (self.cell().full / self.cell().nominal)
    }

    /// Peukert figures for use when the maker gives none.
    #[must_use]
    pub fn peukert(self) -> Peukert {
        let (exponent, rated) = match self {
            Self::LiIon | Self::LiFePo4 => (1.05, 5.0),
            Self::LeadAcid => (1.20, 20.0),
            Self::NiMh => (1.10, 5.0),
        };
        Peukert { exponent, rated: Hours::hours(rated) }
    }

    /// Share of the rated capacity that is left at this cell temperature, linear between the table's
    /// steps of 10 K; 1 from 20 C to 60 C.
    ///
    /// # Errors
    /// Below -20 C the table ends and most makers forbid discharge; above 60 C too.
    pub fn capacity_factor(self, cells: Temperature) -> Result<f64, CellTemperature> {
        let [coldest, warmest] = DISCHARGING;
        if !(cells >= coldest && cells <= warmest) {
            return Err(CellTemperature { cells });
        }
        let factors = match self {
            Self::LiIon => [0.55, 0.70, 0.85, 0.93, 1.0],
            Self::LiFePo4 => [0.50, 0.65, 0.80, 0.90, 1.0],
            Self::LeadAcid => [0.46, 0.65, 0.84, 0.90, 0.99],
            Self::NiMh => [0.45, 0.65, 0.85, 0.95, 1.0],
        };
        let t = cells.get();
        for (step, pair) in COLD_STEPS_C.windows(2).zip(factors.windows(2)) {
            if t <= step[1] {
                let share = (t - step[0]) / (step[1] - step[0]);
                return Ok(pair[0] + share * (pair[1] - pair[0]));
            }
        }
        Ok(factors[factors.len() - 1])
    }
}

/// The cells are outside the temperatures at which they may be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("cells at {cells} may not be discharged: -20 to 60 C")]
pub struct CellTemperature {
    /// What was asked for.
    pub cells: Temperature,
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn cold_takes_capacity_as_published() {
        let at = |c: Chemistry, t: f64| c.capacity_factor(Temperature::celsius(t)).unwrap();
        // A battery maker's table, discharge over 60 minutes against 25 C.
        for (t, loss) in [(0.0, 0.16), (10.0, 0.10), (20.0, 0.01)] {
            assert_relative_eq!(at(Chemistry::LeadAcid, t), 1.0 - loss, epsilon = 1e-12);
        }
        // Between: the same table prints -12 % at 5 C and -6 % at 15 C.
        assert!((at(Chemistry::LeadAcid, 5.0) - 0.88).abs() < 0.015);
        assert!((at(Chemistry::LeadAcid, 15.0) - 0.94).abs() < 0.015);
        // Battery University BU-502: typically half at -18 C; makers' figures spread about it.
        for c in [Chemistry::LiIon, Chemistry::LiFePo4, Chemistry::LeadAcid, Chemistry::NiMh] {
            assert!((at(c, -18.0) - 0.5).abs() < 0.1, "{c:?} {}", at(c, -18.0));
            assert!(at(c, 40.0) >= 0.99);
        }
    }

    #[test]
    fn capacity_never_grows_in_the_cold_and_ends_at_the_table() {
        for c in [Chemistry::LiIon, Chemistry::LiFePo4, Chemistry::LeadAcid, Chemistry::NiMh] {
            let mut last = 0.0;
            for tenth in -200..=600 {
                let f = c.capacity_factor(Temperature::celsius(f64::from(tenth) / 10.0)).unwrap();
                assert!(f >= last && f <= 1.0);
                last = f;
            }
            for t in [-20.1, 60.1, f64::NAN] {
                assert!(c.capacity_factor(Temperature::celsius(t)).is_err());
            }
            let cell = c.cell();
            assert!(cell.cutoff < cell.nominal && cell.nominal < cell.full);
        }
    }

    #[test]
    fn a_three_cell_pack_ends_at_nine_volts() {
        // Battery University BU-303: 3.60 V nominal, 4.2 V full, 3.0 V the upper usual cut-off.
        let pack = Voltage::volts(10.8);
        assert_relative_eq!(Chemistry::LiIon.pack_cutoff(pack).get(), 9.0, epsilon = 1e-12);
        assert_relative_eq!(Chemistry::LiIon.pack_full(pack).get(), 12.6, epsilon = 1e-12);
    }
}
