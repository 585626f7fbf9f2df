//! Inrush: what the lamps' input capacitors draw at the moment of switching on.
//!
//! A loop of one resistance and one capacity: peak V/R, time constant R C, energy C V^2/2, and
//! the pulse that warms a fuse, I^2 t = C V^2/(2 R), which is exact for such a loop. All capacitors count as one
//! behind the battery's resistance and the cable to the first lamp: farther lamps see more resistance,
//! so that this is the most. Inductance lowers the peak, not the energy.

use crate::engineering::account::Line;
use crate::engineering::guard::{OutOfRange, positive};
use crate::units::{Current, Resistance, Voltage, trimmed};

/// A pulse at switching on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Inrush {
    pub(crate) peak: Current,
    /// A2 s.
    pub(crate) pulse: f64,
    /// Microseconds.
    pub(crate) time: f64,
    /// Millijoules.
    pub(crate) energy: f64,
}

/// The pulse of a capacity in microfarads.
///
/// # Errors
/// A number that is not above zero.
pub(crate) fn inrush(
    volts: Voltage,
    microfarads: f64,
    loop_resistance: Resistance,
) -> Result<Inrush, OutOfRange> {
    let v = positive("the voltage", volts.get())?;
    let c = positive("the capacity", microfarads)? * 1e-6;
    let r = positive("the resistance of the loop", loop_resistance.get())?;
    Ok(Inrush {
        peak: Current::amps(v / r),
        pulse: c * v * v / (2.0 * r),
        time: r * c * 1e6,
        energy: c * v * v / 2.0 * 1e3,
    })
}

/// The pulse as an account line, against what the fuse may take.
pub(crate) fn line(volts: Voltage, microfarads: f64, r: Resistance, found: &Inrush) -> Line {
    Line::new(
        "pulse of the lamps' capacitors at switching on",
        "C V^2/(2 R)",
        format!("{} A2s", trimmed(found.pulse, 3)),
        "a resistance and a capacity in one loop",
    )
    .input("C", format!("{} uF", trimmed(microfarads, 1)))
    .input("V", volts)
    .input("R", r)
    .input("peak", format!("{:.0}", found.peak))
    .input("time constant", format!("{} us", trimmed(found.time, 0)))
    .input("energy", format!("{} mJ", trimmed(found.energy, 2)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pulses_by_hand() {
        // 26 V, 23.5 uF, 0.1 ohm: 260 A, 7.94 mJ, 0.0794 A2s. 12 V, 470 uF, 0.1 ohm: 120 A, 0.338 A2s, 47 us. 12 V, six
        // lamps of 220 uF, 0.2 ohm: 60 A, 0.475 A2s, 264 us. All from the formulas.
        for (v, c, r, peak, pulse, time) in [
            (26.0, 23.5, 0.1, 260.0, 0.0794, 2.35),
            (12.0, 470.0, 0.1, 120.0, 0.338, 47.0),
            (12.0, 6.0 * 220.0, 0.2, 60.0, 0.475, 264.0),
        ] {
            let found = inrush(Voltage::volts(v), c, Resistance::ohms(r)).unwrap();
            assert!((found.peak.get() - peak).abs() < 1e-9);
            assert!((found.pulse - pulse).abs() < 5e-4, "{}", found.pulse);
            assert!((found.time - time).abs() < 1e-6);
        }
        let found = inrush(Voltage::volts(26.0), 23.5, Resistance::ohms(0.1)).unwrap();
        assert!((found.energy - 7.94).abs() < 0.005);
        assert!(inrush(Voltage::volts(12.0), 0.0, Resistance::ohms(0.1)).is_err());
        assert!(inrush(Voltage::volts(12.0), 1.0, Resistance::ohms(f64::NAN)).is_err());
    }
}
