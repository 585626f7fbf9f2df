//! Light where it is not wanted: limits by the brightness of the surroundings.
//!
//! Zones E0 to E4: CIE 150:2017 (as given in the International Lighting Vocabulary, 17-29-176, and
//! road lighting handbooks). Illuminances on the windows of others, before and after curfew: CIE 150
//! as remembered; no page with the table was at hand, so check them against the local rule.

use serde::Serialize;

use crate::units::Illuminance;

/// Environmental zone of CIE 150.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Zone {
    /// Intrinsically dark: observatories, dark-sky reserves.
    E0,
    /// Dark: uninhabited country.
    E1,
    /// Low district brightness: sparsely inhabited country.
    E2,
    /// Medium district brightness: villages, suburbs.
    E3,
    /// High district brightness: town centres.
    E4,
}

#[cfg_attr(not(test), expect(dead_code, reason = "waits for the limits of glare"))]
impl Zone {
    /// Every zone, darkest first.
    pub const ALL: [Self; 5] = [Self::E0, Self::E1, Self::E2, Self::E3, Self::E4];

    /// Most vertical illuminance on a neighbour's window before curfew; `None` in E0, where there
    /// should be no such light at all. From memory.
    #[must_use]
    pub fn before_curfew(self) -> Option<Illuminance> {
        [None, Some(2.0), Some(5.0), Some(10.0), Some(25.0)][self as usize].map(Illuminance::lux)
    }

    /// The same after curfew. From memory.
    #[must_use]
    pub fn after_curfew(self) -> Option<Illuminance> {
        [None, Some(0.1), Some(1.0), Some(2.0), Some(5.0)][self as usize].map(Illuminance::lux)
    }

    /// The darkest zone whose limit before curfew allows this illuminance.
    #[must_use]
    pub fn allowing(light: Illuminance) -> Option<Self> {
        Self::ALL.into_iter().find(|z| z.before_curfew().is_some_and(|limit| light <= limit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_rise_with_the_zone_and_fall_after_curfew() {
        let lit = &Zone::ALL[1..];
        assert!(lit.windows(2).all(|z| z[0].before_curfew() < z[1].before_curfew()));
        assert!(lit.iter().all(|z| z.after_curfew() < z.before_curfew()));
        assert_eq!(Zone::E0.before_curfew(), None);
        // CIE 150:2017, from memory: 10 lx at a window in a suburb before curfew.
        assert_eq!(Zone::allowing(Illuminance::lux(9.0)), Some(Zone::E3));
        assert_eq!(Zone::allowing(Illuminance::lux(26.0)), None);
    }
}
