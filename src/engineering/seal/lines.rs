//! The seal of a lid as account lines.

use super::{Groove, NUT_FACTOR, PRELOAD_FACTOR, SealError, Strip, screw_force, screw_torque};
use crate::engineering::account::{Line, Side};
use crate::standards::gasket::{FILL_MOST, SQUEEZE_LEAST};
use crate::units::{Length, trimmed};

/// Groove, fill, squeeze, bow and torque, in the order in which they are redone by hand. `line_load`
/// in N/mm, `thread` the screw's diameter.
///
/// # Errors
/// When a value is not positive and finite, or the tolerance leaves no groove.
pub(crate) fn lines(
    groove: &Groove,
    strip: &Strip,
    line_load: f64,
    pitch: Length,
    thread: Length,
    tolerance: Length,
) -> Result<Vec<Line>, SealError> {
    let percent = |e: f64| format!("{} %", trimmed(e * 100.0, 1));
    let guides = "groove guides of seal makers";
    let depth = Line::new("depth of the groove", "cord (1 - squeeze)", groove.depth, guides)
        .input("cord", groove.cord)
        .input("squeeze", percent(groove.squeeze()));
    let worst = groove.worst_fill(tolerance)?;
    let fill = Line::new(
        "fill of the groove, printed tight",
        "(pi cord^2 / 4) / ((width - tolerance) (depth - tolerance))",
        percent(worst),
        guides,
    )
    .input("cord", groove.cord)
    .input("width", groove.width)
    .input("depth", groove.depth)
    .input("tolerance", tolerance)
    .against(Side::AtMost, worst, FILL_MOST, percent(FILL_MOST));
    let least = groove.squeeze_band(tolerance)[0];
    let squeeze = Line::new(
        "least squeeze, printed deep",
        "1 - (depth + tolerance) / cord",
        percent(least),
        "enclosure gasket guides",
    )
    .input("depth", groove.depth)
    .input("tolerance", tolerance)
    .input("cord", groove.cord)
    .against(Side::AtLeast, least, SQUEEZE_LEAST, percent(SQUEEZE_LEAST));
    let bow = strip.bow(line_load, pitch)?;
    let allowed = groove.allowed_gap(tolerance);
    let bows = Line::new(
        "bow of the lid between screws",
        "5 w L^4 / (384 E b t^3 / 12)",
        format!("{:.3}", bow.supported),
        "beam on simple supports, standard beam tables; clamped it is a fifth",
    )
    .input("w", format!("{} N/mm", trimmed(line_load, 2)))
    .input("L", pitch)
    .input("E", format!("{} N/mm2", trimmed(strip.modulus.get() / 1000.0, 0)))
    .input("b", strip.width)
    .input("t", strip.thickness)
    .against(Side::AtMost, bow.supported.get(), allowed.get(), allowed);
    let force = screw_force(line_load, pitch)?;
    let screw = Line::new("force of a lid screw", "w L k", force, "common practice, no source")
        .input("w", format!("{} N/mm", trimmed(line_load, 2)))
        .input("L", pitch)
        .input("k", trimmed(PRELOAD_FACTOR, 2));
    let torque = screw_torque(force, thread, NUT_FACTOR)?;
    let torque = Line::new("torque of a lid screw", "K F d", torque, "bolt torque tables")
        .input("K", trimmed(NUT_FACTOR, 2))
        .input("F", force)
        .input("d", thread);
    Ok(vec![depth, fill, squeeze, bows, screw, torque])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Pressure;

    #[test]
    fn the_lines_carry_results_and_limits() {
        let groove = Groove::new(Length::mm(3.0), 0.25).unwrap();
        let strip = Strip {
            width: Length::mm(12.0),
            thickness: Length::mm(4.0),
            modulus: Pressure::kpa(2e6),
        };
        let [pitch, thread, tolerance] = [40.0, 4.0, 0.15].map(Length::mm);
        let told = lines(&groove, &strip, 1.0, pitch, thread, tolerance).unwrap();
        let results: Vec<&str> = told.iter().map(|l| l.result.as_str()).collect();
        // 3 x 0.75; pi 9 / 4 / (4.35 x 2.1); 1 - 2.4 / 3; standard beam tables; 1 x 40 x 2;
        // 0.2 x 80 N x 4 mm.
        assert_eq!(results, ["2.25 mm", "77.4 %", "20 %", "0.26 mm", "80 N", "0.064 N.m"]);
        assert!(told.iter().all(|l| !l.fails()));
        assert_eq!(told[3].limit.as_deref(), Some("at most 0.3 mm"));
        assert!(lines(&groove, &strip, 0.0, pitch, thread, tolerance).is_err());
    }
}
