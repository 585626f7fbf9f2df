//! Standard fuse ratings and what a fuse protects.
//!
//! Blade fuse-links: ISO 8820-3:2015, rated 32 V or 58 V, breaking capacity 1 kA (its scope); ratings of
//! types C and F from memory. Miniature cartridges 5 x 20 mm: IEC 60127-2, the R10 series (from
//! memory). gG: IEC 60269-1. A fuse must be rated for the voltage of the fully charged pack: above its
//! rating the arc may not go out. Above 58 V the choice is a gG link that its maker rates for direct
//! current of that voltage.
//!
//! Protection of a cable (IEC 60364-4-43): I_B <= I_n <= I_Z and I_2 <= 1.45 I_Z, where I_2 is the
//! current that surely opens the fuse. With k2 = I_2/I_n the second rule reads
//! I_n <= (1.45/k2) I_Z. The fuse should carry its load for hours without ageing: I_n >= 1.25 I_B
//! (marine and US practice for continuous loads, from memory).

use serde::Serialize;

use crate::units::{Current, Voltage};

/// Kinds of fuse that are met at a battery of up to 58 V.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FuseKind {
    /// Blade, ISO 8820-3.
    Blade,
    /// Miniature cartridge, IEC 60127-2.
    Cartridge,
    /// General purpose gG, IEC 60269.
    General,
}

/// Continuous load that a fuse is to carry, as a multiple (US and marine practice, from memory).
pub(crate) const CONTINUOUS: f64 = 1.25;
/// Share of the melting pulse that a fuse takes a thousand times and more without ageing (makers' guides have
/// 0.22 to 0.3, unverified).
pub(crate) const PULSE_SHARE: f64 = 0.25;
/// Overload that a cable bears for the conventional time (IEC 60364-4-43).
pub(crate) const CABLE_OVERLOAD: f64 = 1.45;

const BLADE: [f64; 13] = [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0];
const CARTRIDGE: [f64; 10] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 10.0];
const GENERAL: [f64; 10] = [2.0, 4.0, 6.0, 10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0];

impl FuseKind {
    /// The usual kind for a pack of this fully charged voltage.
    #[must_use]
    pub fn for_voltage(full: Voltage) -> Self {
        if full <= Self::BLADE_VOLTS[1] { Self::Blade } else { Self::General }
    }

    /// Rated voltages of blade fuses (ISO 8820-3:2015).
    const BLADE_VOLTS: [Voltage; 2] = [Voltage::volts(32.0), Voltage::volts(58.0)];

    /// What to ask for: `blade fuse 3 A, 58 V (ISO 8820-3)`.
    #[must_use]
    pub fn designation(self, rating: Current, full: Voltage) -> String {
        match self {
            Self::Blade => {
                let volts = Self::BLADE_VOLTS.into_iter().find(|&v| full <= v);
                let volts = volts.unwrap_or(Self::BLADE_VOLTS[1]);
                format!("blade fuse {rating}, {volts:.0} (ISO 8820-3)")
            }
            Self::Cartridge => format!("cartridge fuse 5 x 20 {rating} (IEC 60127-2)"),
            Self::General => {
                format!("gG fuse {rating}, rated for {full:.0} direct current or more (IEC 60269)")
            }
        }
    }

    /// Pulse, A2 s, that melts a fuse of this rating: about 0.9 I_n^2 s of a blade (makers' sheets have 0.9 to 1.6,
    /// unverified); of a quick cartridge and a gG link less and more, and taken the same.
    #[must_use]
    pub(crate) fn melting(self, rating: Current) -> f64 {
        0.9 * rating.get() * rating.get()
    }

    /// Standard ratings, smallest first.
    pub fn ratings(self) -> impl Iterator<Item = Current> {
        let series: &'static [f64] = match self {
            Self::Blade => &BLADE,
            Self::Cartridge => &CARTRIDGE,
            Self::General => &GENERAL,
        };
        series.iter().copied().map(Current::amps)
    }

    /// I_2/I_n: how many times its rating surely opens a fuse of this kind.
    ///
    /// Blade 1.35 (ISO 8820-3, as open programs cite it); cartridge 2.1 (IEC 60127-2); gG 2.1 up to 4 A,
    /// 1.9 below 16 A and 1.6 from there (IEC 60269-1, as design texts and open programs quote it).
    #[must_use]
    pub fn conventional_factor(self, rating: Current) -> f64 {
        match self {
            Self::Blade => 1.35,
            Self::Cartridge => 2.1,
            Self::General if rating <= Current::amps(4.0) => 2.1,
            Self::General if rating < Current::amps(16.0) => 1.9,
            Self::General => 1.6,
        }
    }

    /// The largest rating, standard or not, that protects a cable of ampacity `i_z`.
    #[must_use]
    pub fn largest_for(self, rating: Current, i_z: Current) -> Current {
        i_z * (CABLE_OVERLOAD / self.conventional_factor(rating)).min(1.0)
    }

    /// Whether a fuse of this rating protects a cable of ampacity `i_z` (IEC 60364-4-43).
    #[must_use]
    pub fn protects(self, rating: Current, i_z: Current) -> bool {
        rating <= self.largest_for(rating, i_z)
    }

    /// The smallest standard rating that carries `load` for hours and protects the cable.
    ///
    /// # Errors
    /// [`NoFuse`] when every rating is too small for the load or too large for the cable, or when
    /// the load is not a current.
    pub fn choose(self, load: Current, i_z: Current) -> Result<Current, NoFuse> {
        let least = load * CONTINUOUS;
        let candidate = self.ratings().find(|&rating| rating >= least);
        match candidate {
            Some(rating) if self.protects(rating, i_z) => Ok(rating),
            // A larger rating of the same kind protects a thicker cable only.
            _ => Err(NoFuse { least, next: candidate, most: self.largest_for(least, i_z) }),
        }
    }
}

/// No standard rating lies between the load and the cable.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, thiserror::Error)]
#[error(
    "the load asks for a fuse of at least {least}, the cable for at most {most}: no standard rating lies between"
)]
pub struct NoFuse {
    /// 1.25 times the load.
    pub least: Current,
    /// The next standard rating, when there is one.
    pub next: Option<Current>,
    /// The largest rating that protects the cable.
    pub most: Current,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amps(a: f64) -> Current {
        Current::amps(a)
    }

    #[test]
    fn g_g_limits_are_those_of_the_cable_rule() {
        // Design texts on IEC 60364-4-43: I_Z 10 A carries a gG fuse of at most 10/1.31 = 7.63 A.
        let small = FuseKind::General.largest_for(amps(6.0), amps(10.0));
        assert!((small.get() - 7.63).abs() < 0.005, "{small}");
        // IEC 60269-1: a gG fuse of 4 A surely opens at 8.4 A only; a cable of 5.3 A bears 7.685 A.
        assert!(!FuseKind::General.protects(amps(4.0), amps(5.3)));
        assert!((FuseKind::General.largest_for(amps(4.0), amps(5.3)).get() - 3.6595).abs() < 1e-4);
        // From 16 A: I_Z/1.1.
        let large = FuseKind::General.largest_for(amps(16.0), amps(20.0));
        assert!((large.get() - 20.0 / 1.1).abs() < 0.1, "{large}");
        assert!(!FuseKind::General.protects(amps(10.0), amps(10.0)));
        assert!(FuseKind::Blade.protects(amps(10.0), amps(10.0)));
    }

    #[test]
    fn the_fuse_is_rated_for_the_full_pack() {
        // ISO 8820-3: 32 V and 58 V. Ten lithium-ion cells stand at 42 V, fourteen at 58.8 V.
        let told = |volts: f64| {
            let full = Voltage::volts(volts);
            FuseKind::for_voltage(full).designation(amps(3.0), full)
        };
        assert_eq!(told(16.8), "blade fuse 3 A, 32 V (ISO 8820-3)");
        assert_eq!(told(42.0), "blade fuse 3 A, 58 V (ISO 8820-3)");
        assert!(told(58.8).starts_with("gG fuse 3 A, rated for 59 V direct"), "{}", told(58.8));
    }

    #[test]
    fn both_rules_hold_for_every_choice_and_no_smaller_rating_serves() {
        for kind in [FuseKind::Blade, FuseKind::Cartridge, FuseKind::General] {
            for load in 1..400 {
                let load = amps(f64::from(load) * 0.1);
                for i_z in [3.0, 6.0, 10.0, 15.0, 20.0, 25.0, 35.0, 48.0].map(amps) {
                    let serves = |n: Current| {
                        n >= load * 1.25
                            && n <= i_z
                            && n * kind.conventional_factor(n) <= i_z * (1.45 + 1e-12)
                    };
                    let first = kind.ratings().find(|&n| serves(n));
                    assert_eq!(kind.choose(load, i_z).ok(), first, "{kind:?} {load} {i_z}");
                }
            }
        }
    }

    #[test]
    fn between_the_ratings_there_is_a_reason() {
        let none = FuseKind::Blade.choose(amps(9.0), amps(13.0)).unwrap_err();
        assert_eq!(none.least, amps(11.25));
        assert_eq!(none.next, Some(amps(15.0)));
        assert_eq!(none.most, amps(13.0));
        assert!(FuseKind::Blade.choose(amps(f64::NAN), amps(13.0)).is_err());
        assert_eq!(FuseKind::Blade.choose(amps(100.0), amps(900.0)).unwrap_err().next, None);
    }
}
