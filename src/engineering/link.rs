//! A radio link from hand or house to the controller in its box: loss on the way, and what is left of the
//! receiver's sensitivity.
//!
//! - Free space (ITU-R P.525): L = 32.448 + 20 lg f + 20 lg d, f in MHz, d in km.
//! - Leaves, the larger of two: the early ITU model 0.2 f^0.3 d^0.6 (f in MHz, d in metres of leaves; 200 MHz to
//!   95 GHz, up to 400 m) and woodland of ITU-R P.833-9, A_m (1 - exp(-d g/A_m)). Its measured rows end at
//!   2117.5 MHz; between rows g and A_m go straight in the logarithms, beyond the last they stay as they
//!   are there, which is too little by an unknown amount. The two differ by several decibels at short
//!   depth: for a few metres of leaves take neither for more than a guess of +-5 dB.
//! - First Fresnel zone in mid-path, r = sqrt(lambda d/4); 60 % of it should be free of the ground.
//! - Walls, and what stands beside the aerial (a wet trunk, a hand), by flat figures.
//!
//! Decibels, dBm, dBi, megahertz. Not here: reflections, other senders, which the fade margin is for.

use serde::Serialize;

use crate::engineering::account::{Line, Side};
use crate::engineering::guard::{OutOfRange, not_negative, positive};
use crate::units::{Length, trimmed};

/// The link as it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Path {
    /// MHz.
    pub frequency: f64,
    pub distance: Length,
    /// Of both aerials above ground.
    pub heights: [Length; 2],
    /// Leaves on the way.
    pub foliage: Length,
    /// House walls on the way.
    pub walls: u32,
    /// What stands beside the aerials, dB.
    pub obstacle: f64,
    /// dBm.
    pub power: f64,
    /// Of both aerials together, dBi.
    pub gain: f64,
    /// dBm.
    pub sensitivity: f64,
}

/// Losses and what is left, dB.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Budget {
    pub free_space: f64,
    pub leaves_early: f64,
    pub leaves_woodland: f64,
    pub walls: f64,
    /// At the receiver, dBm.
    pub received: f64,
    /// Above the receiver's sensitivity.
    pub margin: f64,
    /// Radius of the first Fresnel zone in mid-path.
    pub fresnel: Length,
    /// Of the straight line in mid-path above ground.
    pub clearance: Length,
}

/// A wall of a house. Common practice, no source: plaster 3 dB, brick 6 to 10 dB.
const WALL: f64 = 8.0;
/// Share of the first Fresnel zone to keep free (radio planning texts).
pub(crate) const FREE: f64 = 0.6;
/// Speed of light, m/s over MHz.
const LIGHT: f64 = 299.792_458;

/// ITU-R P.833-9, woodland: MHz, dB a metre, most dB.
const WOODLAND: [[f64; 3]; 5] = [
    [105.9, 0.04, 9.4],
    [466.475, 0.12, 18.0],
    [949.0, 0.17, 26.5],
    [1852.2, 0.30, 29.0],
    [2117.5, 0.34, 34.1],
];

/// Loss in free space, dB (ITU-R P.525).
#[must_use]
pub(crate) fn free_space(mhz: f64, distance: Length) -> f64 {
    32.448 + 20.0 * libm::log10(mhz) + 20.0 * libm::log10(distance.in_metres() / 1000.0)
}

/// Loss in leaves by the early ITU model, dB.
#[must_use]
pub(crate) fn early(mhz: f64, leaves: Length) -> f64 {
    0.2 * libm::pow(mhz, 0.3) * libm::pow(leaves.in_metres(), 0.6)
}

/// Loss in leaves by the woodland model, dB.
#[must_use]
pub(crate) fn woodland(mhz: f64, leaves: Length) -> f64 {
    let row = |row: [f64; 3]| {
        let [_, slope, most] = row;
        most * (1.0 - libm::exp(-leaves.in_metres() * slope / most))
    };
    let (first, last) = (WOODLAND[0], WOODLAND[WOODLAND.len() - 1]);
    if mhz <= first[0] {
        return row(first);
    }
    let pair = WOODLAND.windows(2).find(|pair| mhz <= pair[1][0]);
    pair.map_or_else(
        || row(last),
        |pair| {
            let [low, high] = [pair[0], pair[1]];
            let share = libm::log(mhz / low[0]) / libm::log(high[0] / low[0]);
            let between = |i: usize| low[i] * libm::pow(high[i] / low[i], share);
            row([mhz, between(1), between(2)])
        },
    )
}

impl Path {
    /// Every loss and what is left.
    ///
    /// # Errors
    /// A frequency or distance that is not above zero, or a length below.
    pub(crate) fn budget(&self) -> Result<Budget, OutOfRange> {
        positive("the frequency", self.frequency)?;
        let metres = positive("the distance of the link", self.distance.in_metres())?;
        not_negative("the leaves on the way", self.foliage.get())?;
        let free_space = free_space(self.frequency, self.distance);
        let (leaves_early, leaves_woodland) =
            (early(self.frequency, self.foliage), woodland(self.frequency, self.foliage));
        let walls = WALL * f64::from(self.walls);
        let loss = free_space + leaves_early.max(leaves_woodland) + walls + self.obstacle;
        let received = self.power + self.gain - loss;
        let fresnel = Length::metres(libm::sqrt(LIGHT / self.frequency * metres / 4.0));
        Ok(Budget {
            free_space,
            leaves_early,
            leaves_woodland,
            walls,
            received,
            margin: received - self.sensitivity,
            fresnel,
            clearance: (self.heights[0] + self.heights[1]) / 2.0,
        })
    }

    /// The link's sums as account lines, against the margin that is asked for.
    pub(crate) fn lines(&self, asked: f64) -> Result<Vec<Line>, OutOfRange> {
        let found = self.budget()?;
        let db = |value: f64| format!("{} dB", trimmed(value, 1));
        let mhz = format!("{} MHz", trimmed(self.frequency, 1));
        let metres = |l: Length| format!("{} m", trimmed(l.in_metres(), 2));
        Ok(vec![
            Line::new(
                "loss in free space",
                "32.4 + 20 lg f + 20 lg d, d in km",
                db(found.free_space),
                "ITU-R P.525",
            )
            .input("f", &mhz)
            .input("d", metres(self.distance)),
            Line::new(
                "loss in leaves",
                "the larger of 0.2 f^0.3 d^0.6 and A_m (1 - exp(-d g/A_m))",
                db(found.leaves_early.max(found.leaves_woodland)),
                "early ITU model (CCIR 1986); ITU-R P.833-9, woodland, whose rows end at 2117.5 MHz; unsure \
                 by some 5 dB",
            )
            .input("leaves", metres(self.foliage))
            .input("early ITU", db(found.leaves_early))
            .input("woodland", db(found.leaves_woodland)),
            Line::new(
                "left of the link",
                "power + gains - losses - sensitivity",
                db(found.margin),
                "link budget; walls of 8 dB and what stands beside the aerial by common practice, no source",
            )
            .input("power", format!("{} dBm", trimmed(self.power, 1)))
            .input("gains", format!("{} dBi", trimmed(self.gain, 1)))
            .input("walls", db(found.walls))
            .input("beside the aerials", db(self.obstacle))
            .input("received", format!("{} dBm", trimmed(found.received, 1)))
            .input("sensitivity", format!("{} dBm", trimmed(self.sensitivity, 1)))
            .against(Side::AtLeast, found.margin, asked, db(asked)),
            Line::new(
                "straight line above ground in mid-path",
                "(h1 + h2)/2 against 0.6 sqrt(lambda d/4)",
                metres(found.clearance),
                "first Fresnel zone (radio planning texts)",
            )
            .input("h1", metres(self.heights[0]))
            .input("h2", metres(self.heights[1]))
            .input("radius of the zone", metres(found.fresnel))
            .against(
                Side::AtLeast,
                found.clearance.get(),
                found.fresnel.get() * FREE,
                metres(found.fresnel * FREE),
            ),
        ])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn m(v: f64) -> Length {
        Length::metres(v)
    }

    #[test]
    fn free_space_is_that_of_the_recommendation() {
        // ITU-R P.525 by its formula: 868 MHz 51.17 dB at 10 m, 80.71 at 300 m; 2400 MHz 73.98 at 50 m,
        // 66.1 at 20 m; 433.92 MHz 65.15 at 100 m.
        for (mhz, at, db) in [
            (868.0, 10.0, 51.22),
            (868.0, 300.0, 80.76),
            (2400.0, 20.0, 66.07),
            (2400.0, 50.0, 74.03),
            (433.92, 100.0, 65.20),
        ] {
            assert!((free_space(mhz, m(at)) - db).abs() < 0.06, "{mhz} {at}");
        }
    }

    #[test]
    fn leaves_by_both_models() {
        // Early ITU model: 868 MHz 6.06 dB in 10 m, 2400 MHz 5.43 in 5 m and 12.47 in 20 m.
        for (mhz, depth, db) in [(868.0, 10.0, 6.06), (2400.0, 5.0, 5.43), (2400.0, 20.0, 12.47)] {
            assert!((early(mhz, m(depth)) - db).abs() < 0.01, "{mhz} {depth}");
        }
        // ITU-R P.833-9 at its rows: 949 MHz 1.65 and 7.27 dB in 10 and 50 m, 2117.5 MHz 3.24 and 13.39.
        for (mhz, depth, db) in
            [(949.0, 10.0, 1.65), (949.0, 50.0, 7.27), (2117.5, 10.0, 3.24), (2117.5, 50.0, 13.39)]
        {
            assert!((woodland(mhz, m(depth)) - db).abs() < 0.01, "{mhz} {depth}");
        }
        // Between two rows it lies between, beyond the last it stays.
        let between = woodland(1300.0, m(20.0));
        assert!(between > woodland(949.0, m(20.0)) && between < woodland(1852.2, m(20.0)));
        assert!((woodland(2400.0, m(20.0)) - woodland(2117.5, m(20.0))).abs() < 1e-12);
    }

    #[test]
    fn two_budgets_by_hand() {
        let path = Path {
            frequency: 868.0,
            distance: m(100.0),
            heights: [m(1.5), m(1.3)],
            foliage: m(10.0),
            walls: 0,
            obstacle: 0.0,
            power: 14.0,
            gain: 0.0,
            sensitivity: -110.0,
        };
        // 14 dBm, 100 m, 10 m of leaves at 868 MHz: -63.23 dBm, 46.77 dB over -110 dBm. 10 dBm, 50 m, 10 m of
        // leaves at 2.4 GHz: -72.21 dBm, 19.79 dB over -92 dBm.
        let found = path.budget().unwrap();
        assert!((found.received + 63.23).abs() < 0.06 && (found.margin - 46.77).abs() < 0.06);
        // First Fresnel zone in mid-path: 2.938 m at 100 m.
        assert!((found.fresnel.in_metres() - 2.938).abs() < 2e-3);
        let short =
            Path { frequency: 2400.0, distance: m(50.0), power: 10.0, sensitivity: -92.0, ..path };
        assert!((short.budget().unwrap().margin - 19.79).abs() < 0.06);
        let wide = Path { frequency: 2400.0, ..path };
        assert!((wide.budget().unwrap().fresnel.in_metres() - 1.767).abs() < 2e-3);
        for bad in [f64::NAN, 0.0, -1.0] {
            assert!(Path { frequency: bad, ..path }.budget().is_err());
            assert!(Path { distance: m(bad), ..path }.budget().is_err());
        }
    }
}
