//! Battery chemistries: cell voltages, cold, charging limits and Peukert figures.
//!
//! Voltages a cell: lead-acid 2.00 V and lithium-ion 3.60 V nominal, 4.2 V full, 2.5 to 3.0 V cut
//! off (Battery University BU-303); lithium iron phosphate and nickel-metal hydride from memory.
//!
//! Voltage over charge: lithium-ion and lithium iron phosphate by slow discharges of cells on sale (Sunil,
//! Pattipati and Balasingam, IEEE Transactions on Instrumentation and Measurement, 2025, data published
//! with it; of the lithium-ion cells the lower value at each step); lead-acid and nickel-metal hydride
//! from memory. Under load and in the cold a cell stands lower than such curves: [`UNDER_LOAD`] is taken
//! off, on top of the drop in the pack's resistance.
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
pub(crate) const CHARGING: [Temperature; 2] =
    [Temperature::celsius(0.0), Temperature::celsius(45.0)];
/// Temperatures between which cells may be discharged.
pub(crate) const DISCHARGING: [Temperature; 2] =
    [Temperature::celsius(-20.0), Temperature::celsius(60.0)];

/// Voltage under load over that of a slow discharge, beside the pack's own resistance: cells that are
/// drawn from lag behind. Common practice, no source.
const UNDER_LOAD: f64 = 0.97;

/// Charge left, as a share, and the voltage of a cell that is discharged slowly.
const LI_ION: [(f64, f64); 8] = [
    (0.0, 2.50),
    (0.05, 3.15),
    (0.10, 3.33),
    (0.15, 3.42),
    (0.29, 3.57),
    (0.45, 3.69),
    (0.84, 4.06),
    (1.0, 4.19),
];
const LI_FE_PO4: [(f64, f64); 6] =
    [(0.0, 2.01), (0.027, 2.93), (0.053, 3.09), (0.089, 3.19), (0.30, 3.28), (1.0, 3.35)];
const LEAD_ACID: [(f64, f64); 5] =
    [(0.0, 1.75), (0.25, 2.01), (0.5, 2.04), (0.75, 2.07), (1.0, 2.11)];
const NI_MH: [(f64, f64); 4] = [(0.0, 1.0), (0.1, 1.18), (0.9, 1.28), (1.0, 1.35)];

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

    /// Voltage behind its resistance of a pack of this nominal voltage with this share of its charge
    /// left, under load; straight between the steps of the table.
    #[must_use]
    pub fn pack_left(self, nominal: Voltage, left: f64) -> Voltage {
        let table: &[(f64, f64)] = match self {
            Self::LiIon => &LI_ION,
            Self::LiFePo4 => &LI_FE_PO4,
            Self::LeadAcid => &LEAD_ACID,
            Self::NiMh => &NI_MH,
        };
        let left = left.clamp(0.0, 1.0);
        let cell = table.windows(2).find(|pair| left <= pair[1].0).map_or(table[0].1, |pair| {
            let [(from, low), (to, high)] = [pair[0], pair[1]];
            low + (high - low) * (left - from) / (to - from)
        });
        nominal * (cell * UNDER_LOAD / self.cell().nominal.get())
    }

    /// Share of the charge that is drawn where the job does not say: a fifth stays in lithium and nickel
    /// cells; lead-acid gives more over its life when only half is drawn (makers' cycle counts: 225 at
    /// 80 % depth against 750 at 50 %).
    #[must_use]
    pub fn usable(self) -> f64 {
        if self == Self::LeadAcid { 0.5 } else { 0.8 }
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
    fn cells_stand_at_their_measured_voltages_and_fall() {
        // Sunil et al. 2025, pseudo open-circuit voltages: 3.4193 V at 13.6 % and 3.5826 V at 29.2 % of
        // one lithium-ion cell, 3.4218 V at 15.1 % and 3.5737 V at 29.2 % of another; lithium iron
        // phosphate 3.1942 V at 8.9 %, 3.2772 V at 29.7 %. Ours lie at or a little under the lower ones.
        let slow = |c: Chemistry, left: f64| c.pack_left(c.cell().nominal, left).get() / UNDER_LOAD;
        for (c, left, volts) in [
            (Chemistry::LiIon, 0.1508, 3.4218),
            (Chemistry::LiIon, 0.2915, 3.5737),
            (Chemistry::LiIon, 0.4523, 3.6941),
            (Chemistry::LiFePo4, 0.0885, 3.1942),
            (Chemistry::LiFePo4, 0.2972, 3.2772),
        ] {
            let ours = slow(c, left);
            assert!(ours < volts + 0.003 && ours > volts - 0.02, "{c:?} {left}: {ours} V");
        }
        for c in [Chemistry::LiIon, Chemistry::LiFePo4, Chemistry::LeadAcid, Chemistry::NiMh] {
            let falls = (0..=100).map(|n| slow(c, f64::from(n) / 100.0)).collect::<Vec<_>>();
            assert!(falls.windows(2).all(|w| w[1] >= w[0]), "{c:?}");
            assert!(falls[100] <= c.cell().full.get(), "{c:?}");
        }
        // Energy over life, x capacity: 225 x 0.8 = 180 against 750 x 0.5 = 375 (makers' cycle counts).
        assert!(Chemistry::LeadAcid.usable() < Chemistry::LiIon.usable());
    }

    #[test]
    fn a_three_cell_pack_ends_at_nine_volts() {
        // Battery University BU-303: 3.60 V nominal, 4.2 V full, 3.0 V the upper usual cut-off.
        let pack = Voltage::volts(10.8);
        assert_relative_eq!(Chemistry::LiIon.pack_cutoff(pack).get(), 9.0, epsilon = 1e-12);
        assert_relative_eq!(Chemistry::LiIon.pack_full(pack).get(), 12.6, epsilon = 1e-12);
    }
}
