//! Copper conductors: resistance and ampacity by size, strands and temperature.
//!
//! Resistance of one conductor at 20 C:
//! - metric sections: largest permitted value of IEC 60228 (plain copper), classes 1 and 2 for solid
//!   and stranded, class 5 for flexible;
//! - AWG: diameter d = 0.127 mm x 92^((36 - n)/39) (ASTM B258), annealed copper of 0.017241
//!   ohm mm2/m (IACS, IEC 60028); flexible strands lie in a helix and are taken as 2 % longer
//!   (ASTM B174 practice, from memory).
//!
//! Temperature: R = R20 (230 + t)/250, the inverse of the correction 250/(230 + t) that IEC 60228
//! annexes give for copper. Held to -40..=90 C, where the line is a fair fit.
//!
//! Ampacity of a two-core flexible cable in free air at 30 C: metric sections up to 2.5 mm2 as the
//! British lists for portable flexible cords (H05VV-F, H07RN-F) print them, 4 mm2 and up a cautious
//! figure from memory; AWG 18 to 12 from NFPA 70 (NEC) table 400.5(A), two current-carrying
//! conductors, thinner from memory. Warmer air: the square root of the remaining rise to 60 C over
//! 30 K, which gives the factors of BS 7671 for 60 C cords (0.91 at 35 C, 0.82 at 40 C; from
//! memory). Cooler air earns nothing. A coiled or buried cable carries less: the user may give the
//! cable's own figure instead.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

use crate::units::{Area, Current, Length, Resistance, Temperature};

/// A standard conductor size: `"1.5 mm2"` or `"AWG 16"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
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

/// How the copper is laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strands {
    /// Solid or coarsely stranded, for fixed wiring (IEC 60228 classes 1 and 2).
    Solid,
    /// Fine strands, for cables that are laid and taken up again (IEC 60228 class 5).
    Flexible,
}

/// Figures of one size.
struct Row {
    /// Section in mm2, or the AWG number.
    gauge: Gauge,
    /// Ampacity, A.
    ampacity: f64,
}

enum Gauge {
    /// Section in mm2; ohm/km at 20 C of class 1 and 2, and of class 5 (IEC 60228, plain copper).
    Metric(f64, f64, f64),
    /// Number (ASTM B258).
    Awg(i32),
}

#[rustfmt::skip]
const ROWS: [Row; 15] = [
    Row { gauge: Gauge::Metric(0.5, 36.0, 39.0), ampacity: 3.0 },
    Row { gauge: Gauge::Metric(0.75, 24.5, 26.0), ampacity: 6.0 },
    Row { gauge: Gauge::Metric(1.0, 18.1, 19.5), ampacity: 10.0 },
    Row { gauge: Gauge::Metric(1.5, 12.1, 13.3), ampacity: 15.0 },
    Row { gauge: Gauge::Metric(2.5, 7.41, 7.98), ampacity: 20.0 },
    Row { gauge: Gauge::Metric(4.0, 4.61, 4.95), ampacity: 25.0 },
    Row { gauge: Gauge::Metric(6.0, 3.08, 3.30), ampacity: 35.0 },
    Row { gauge: Gauge::Metric(10.0, 1.83, 1.91), ampacity: 48.0 },
    Row { gauge: Gauge::Awg(24), ampacity: 2.0 },
    Row { gauge: Gauge::Awg(22), ampacity: 3.0 },
    Row { gauge: Gauge::Awg(20), ampacity: 5.0 },
    Row { gauge: Gauge::Awg(18), ampacity: 10.0 },
    Row { gauge: Gauge::Awg(16), ampacity: 13.0 },
    Row { gauge: Gauge::Awg(14), ampacity: 18.0 },
    Row { gauge: Gauge::Awg(12), ampacity: 25.0 },
];

/// Resistivity of annealed copper at 20 C, ohm mm2/m (IACS, IEC 60028).
pub(crate) const ANNEALED_COPPER: f64 = 0.017_241;
/// Resistance of flexible over solid wire of the same AWG (ASTM B174 practice, from memory).
const STRAND_LAY: f64 = 1.02;
/// Coldest and warmest conductor for which the correction line is used.
pub(crate) const CONDUCTOR_TEMPERATURES: [Temperature; 2] =
    [Temperature::celsius(-40.0), Temperature::celsius(90.0)];
/// Conductor temperature at which common sheathed cords are rated.
const CORD_LIMIT_C: f64 = 60.0;
/// Air temperature at which the ampacities are printed.
const RATED_AIR_C: f64 = 30.0;

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

    /// How many of [`Self::ALL`] are metric sections.
    const METRIC: usize = 8;

    fn row(self) -> &'static Row {
        &ROWS[self as usize]
    }

    /// The sizes sold beside this one, thinnest first: metric sections or AWG.
    #[must_use]
    pub fn series(self) -> &'static [Self] {
        let (metric, awg) = Self::ALL.split_at(Self::METRIC);
        if (self as usize) < Self::METRIC { metric } else { awg }
    }

    /// The sizes to choose from for a flexible cable that is laid and taken up by hand, thinnest first:
    /// 0.75 mm2 and up for mechanical strength (IEC 60364-5-52, table 52.2, from memory).
    #[must_use]
    pub fn strong_enough() -> &'static [Self] {
        &Self::ALL[1..Self::METRIC]
    }

    /// Thinnest and thickest outer diameter of two-core rubber cord of this size: H05RN-F up to 1 mm2,
    /// H05RR-F 1.5 and 2.5 mm2, H07RN-F from 4 mm2 (EN 50525-2-21, unverified). AWG as the next metric
    /// size up.
    #[must_use]
    pub fn cord(self) -> [Length; 2] {
        const CORDS: [(f64, [f64; 2]); 8] = [
            (0.5, [4.8, 6.4]),
            (0.75, [5.7, 7.4]),
            (1.0, [6.1, 8.0]),
            (1.5, [7.6, 9.8]),
            (2.5, [9.0, 11.6]),
            (4.0, [11.8, 15.1]),
            (6.0, [13.1, 16.8]),
            (10.0, [17.7, 22.6]),
        ];
        let section = self.area().get();
        let row = CORDS.iter().find(|(area, _)| section <= area * 1.05);
        row.map_or(CORDS[7].1, |row| row.1).map(Length::mm)
    }

    /// Copper section.
    #[must_use]
    pub fn area(self) -> Area {
        match self.row().gauge {
            Gauge::Metric(section, ..) => Area::mm2(section),
            Gauge::Awg(n) => {
                let d = awg_diameter(n).get();
                Area::mm2(std::f64::consts::PI / 4.0 * d * d)
            }
        }
    }

    /// Resistance of one conductor of a kilometre at 20 C.
    #[must_use]
    pub fn per_kilometre(self, strands: Strands) -> Resistance {
        Resistance::ohms(match (&self.row().gauge, strands) {
            (Gauge::Metric(_, solid, _), Strands::Solid) => *solid,
            (Gauge::Metric(_, _, flexible), Strands::Flexible) => *flexible,
            (Gauge::Awg(_), Strands::Solid) => 1000.0 * ANNEALED_COPPER / self.area().get(),
            (Gauge::Awg(_), Strands::Flexible) => {
                1000.0 * ANNEALED_COPPER * STRAND_LAY / self.area().get()
            }
        })
    }

    /// Resistance of one conductor of this length and temperature.
    ///
    /// # Errors
    /// A temperature outside [`CONDUCTOR_TEMPERATURES`], or a length that is negative or not finite.
    pub fn resistance(
        self,
        strands: Strands,
        length: Length,
        temperature: Temperature,
    ) -> Result<Resistance, ConductorError> {
        if !(length.is_finite() && length >= Length::ZERO) {
            return Err(ConductorError::Length(length));
        }
        let factor = temperature_factor(temperature)?;
        Ok(self.per_kilometre(strands) * (length.in_metres() / 1000.0) * factor)
    }

    /// What a two-core flexible cable carries in free air of this temperature.
    ///
    /// # Errors
    /// Air outside [`CONDUCTOR_TEMPERATURES`].
    pub fn ampacity(self, air: Temperature) -> Result<Current, ConductorError> {
        in_range(air)?;
        let rise = (CORD_LIMIT_C - air.get()) / (CORD_LIMIT_C - RATED_AIR_C);
        Ok(Current::amps(self.row().ampacity) * rise.clamp(0.0, 1.0).sqrt())
    }
}

/// Diameter of a solid wire of this AWG number (ASTM B258).
fn awg_diameter(number: i32) -> Length {
    Length::mm(0.127 * libm::pow(92.0, f64::from(36 - number) / 39.0))
}

/// Resistance of copper at `t` over that at 20 C: (230 + t)/250 (IEC 60228 annex).
///
/// # Errors
/// A temperature outside [`CONDUCTOR_TEMPERATURES`].
pub(crate) fn temperature_factor(t: Temperature) -> Result<f64, ConductorError> {
    in_range(t)?;
    Ok((230.0 + t.get()) / 250.0)
}

fn in_range(t: Temperature) -> Result<(), ConductorError> {
    let [coldest, warmest] = CONDUCTOR_TEMPERATURES;
    if t >= coldest && t <= warmest { Ok(()) } else { Err(ConductorError::Temperature(t)) }
}

/// Why a conductor has no resistance or ampacity.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ConductorError {
    /// The tables do not reach this temperature.
    #[error("{0} is outside the copper table, -40 to 90 C")]
    Temperature(Temperature),
    /// Not a length.
    #[error("a conductor cannot be {0} long")]
    Length(Length),
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

impl Serialize for ConductorSize {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn ten_metre_runs_drop_as_the_iec_60228_rows_say() {
        // IEC 60228 class 5 at 20 C: 20 m of wire at 2 A; three decimals by hand.
        let drops = [1.560, 1.040, 0.780, 0.532, 0.319, 0.198];
        for (size, drop) in ConductorSize::ALL.into_iter().zip(drops) {
            let r = size
                .resistance(Strands::Flexible, Length::metres(20.0), Temperature::celsius(20.0))
                .unwrap();
            assert!((2.0 * r.get() - drop).abs() < 0.0006, "{size}: {}", 2.0 * r.get());
        }
        assert_eq!(ConductorSize::Mm2_1_5.per_kilometre(Strands::Solid).get(), 12.1);
    }

    #[test]
    fn temperature_correction_is_that_of_iec_60228() {
        // IEC 60228 annex: factors that bring a measured value to 20 C.
        for (t, k) in [
            (10.0, 1.042),
            (15.0, 1.020),
            (20.0, 1.0),
            (25.0, 0.980),
            (30.0, 0.962),
            (40.0, 0.926),
            (50.0, 0.893),
            (60.0, 0.862),
            (70.0, 0.833),
            (90.0, 0.781),
        ] {
            let ours = 1.0 / temperature_factor(Temperature::celsius(t)).unwrap();
            assert!((ours - k).abs() < 0.0006, "{t} C: {ours} for {k}");
        }
    }

    #[test]
    fn awg_follows_astm_b258() {
        // ASTM B258 diameters (mm), areas (mm2) and the ohm per 1000 ft of wire tables.
        let feet = Length::inches(12_000.0);
        for (size, area, ohms) in [
            (ConductorSize::Awg24, 0.2047, 25.67),
            (ConductorSize::Awg22, 0.3255, 16.14),
            (ConductorSize::Awg20, 0.5176, 10.15),
            (ConductorSize::Awg18, 0.8230, 6.385),
            (ConductorSize::Awg16, 1.3087, 4.016),
            (ConductorSize::Awg14, 2.0809, 2.525),
            (ConductorSize::Awg12, 3.3088, 1.588),
        ] {
            assert_relative_eq!(size.area().get(), area, max_relative = 2e-4);
            let r = size.resistance(Strands::Solid, feet, Temperature::celsius(20.0)).unwrap();
            assert_relative_eq!(r.get(), ohms, max_relative = 5e-4);
        }
        assert_relative_eq!(awg_diameter(36).get(), 0.127);
        // The ends of the series: 4/0 (number -3) is 0.4600 in.
        assert_relative_eq!(awg_diameter(-3).get(), 0.46 * 25.4, max_relative = 1e-12);
    }

    #[test]
    fn ampacity_grows_with_section_and_falls_with_warmth() {
        let air = Temperature::celsius;
        for series in [ConductorSize::Mm2_1.series(), ConductorSize::Awg12.series()] {
            for pair in series.windows(2) {
                assert!(pair[0].area() < pair[1].area());
                assert!(
                    pair[0].ampacity(air(30.0)).unwrap() < pair[1].ampacity(air(30.0)).unwrap()
                );
            }
        }
        // BS 7671 factors for 60 C cords at 35 and 40 C (from memory): 0.91 and 0.82.
        for (t, factor) in [(10.0, 1.0), (35.0, 0.91), (40.0, 0.82), (60.0, 0.0)] {
            let i = ConductorSize::Mm2_1.ampacity(air(t)).unwrap();
            assert!((i.get() / 10.0 - factor).abs() < 0.005, "{t}: {i}");
        }
    }

    #[test]
    fn outside_the_table_is_an_error() {
        let one = Length::metres(1.0);
        for t in [-41.0, 91.0, f64::NAN, f64::INFINITY] {
            let t = Temperature::celsius(t);
            assert!(ConductorSize::Mm2_1.resistance(Strands::Flexible, one, t).is_err());
            assert!(ConductorSize::Mm2_1.ampacity(t).is_err());
        }
        let t = Temperature::celsius(20.0);
        assert!(ConductorSize::Mm2_1.resistance(Strands::Solid, Length::mm(-1.0), t).is_err());
    }

    #[test]
    fn names_are_read_back() {
        for size in ConductorSize::ALL {
            assert_eq!(size.to_string().parse(), Ok(size));
            assert!(size.series().contains(&size));
        }
        assert!("3 mm2".parse::<ConductorSize>().is_err());
    }
}
