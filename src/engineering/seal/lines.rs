//! The seal of a lid as account lines.

use super::{
    Gasket, Groove, NUT_FACTOR, PRELOAD_FACTOR, SealError, Strip, screw_force, screw_torque,
};
use crate::engineering::account::{Line, Side};
use crate::standards::gasket::{FILL_MOST, GRADE_1, SPONGE_SET, SPONGE_SOLID, SQUEEZE_LEAST};
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
    let height = groove.gasket.height();
    let mut told = vec![
        Line::new("depth of the groove", "height (1 - squeeze)", groove.depth, guides)
            .input("height", height)
            .input("squeeze", percent(groove.squeeze())),
    ];
    if let Some(worst) = groove.worst_fill(tolerance)? {
        told.push(
            Line::new(
                "fill of the groove, printed tight",
                "(pi cord^2 / 4) / ((width - tolerance) (depth - tolerance))",
                percent(worst),
                guides,
            )
            .input("cord", height)
            .input("width", groove.width)
            .input("depth", groove.depth)
            .input("tolerance", tolerance)
            .against(Side::AtMost, worst, FILL_MOST, percent(FILL_MOST)),
        );
    }
    let least = groove.squeeze_band(tolerance)[0];
    told.push(
        Line::new(
            "least squeeze, printed deep",
            "1 - (depth + tolerance) / height",
            percent(least),
            "enclosure gasket guides",
        )
        .input("depth", groove.depth)
        .input("tolerance", tolerance)
        .input("height", height)
        .against(Side::AtLeast, least, SQUEEZE_LEAST, percent(SQUEEZE_LEAST)),
    );
    if let Gasket::Sponge { width, .. } = groove.gasket {
        let load = groove.gasket.usual_line_load(groove.squeeze());
        told.push(
            Line::new(
                "line load of grade 1 sponge",
                "p25 b (e / (1 - e - R)) / (0.25 / (0.75 - R))",
                format!("{} N/mm", trimmed(load, 2)),
                "ASTM D1056, stiffest of the grade at 25 %; gas in the cells by Gibson and Ashby",
            )
            .input("p25", format!("{} kPa", trimmed(GRADE_1[1], 1)))
            .input("b", width)
            .input("e", percent(groove.squeeze()))
            .input("R", trimmed(SPONGE_SOLID, 2)),
        );
        told.push(
            Line::new(
                "height after weeks under the lid",
                "height (1 - set squeeze)",
                groove.springs_back_to(),
                "set from memory",
            )
            .input("height", height)
            .input("set", percent(SPONGE_SET))
            .input("squeeze", percent(groove.squeeze())),
        );
    }
    let bow = strip.bow(line_load, pitch)?;
    let allowed = groove.allowed_gap(tolerance);
    let [web, deep] = strip.skirt;
    told.push(
        Line::new(
            "second moment of the lid's edge",
            "(b t^3 + s h^3) / 12 + b t s h / (b t + s h) ((t + h) / 2)^2",
            format!("{} mm4", trimmed(strip.second_moment()?, 0)),
            "parallel axis theorem",
        )
        .input("b", strip.width)
        .input("t", strip.thickness)
        .input("s", web)
        .input("h", deep),
    );
    told.push(
        Line::new(
            "bow of the lid between fasteners",
            "5 w L^4 / (384 E I)",
            format!("{:.3}", bow.supported),
            "beam on simple supports, standard beam tables; clamped it is a fifth",
        )
        .input("w", format!("{} N/mm", trimmed(line_load, 2)))
        .input("L", pitch)
        .input("E", format!("{} N/mm2", trimmed(strip.modulus.get() / 1000.0, 0)))
        .input("I", format!("{} mm4", trimmed(strip.second_moment()?, 0)))
        .against(Side::AtMost, bow.supported.get(), allowed.get(), allowed),
    );
    let force = screw_force(line_load, pitch)?;
    told.push(
        Line::new("force of a fastener of the lid", "w L k", force, "common practice, no source")
            .input("w", format!("{} N/mm", trimmed(line_load, 2)))
            .input("L", pitch)
            .input("k", trimmed(PRELOAD_FACTOR, 2)),
    );
    let torque = screw_torque(force, thread, NUT_FACTOR)?;
    told.push(
        Line::new("torque of a fastener of the lid", "K F d", torque, "bolt torque tables")
            .input("K", trimmed(NUT_FACTOR, 2))
            .input("F", force)
            .input("d", thread),
    );
    Ok(told)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Pressure;

    #[test]
    fn the_lines_carry_results_and_limits() {
        let cord = Gasket::Cord { diameter: Length::mm(3.0) };
        let groove = Groove::new(cord, 0.25).unwrap();
        let strip = Strip {
            width: Length::mm(12.0),
            thickness: Length::mm(4.0),
            skirt: [Length::ZERO; 2],
            modulus: Pressure::kpa(2e6),
        };
        let [pitch, thread, tolerance] = [40.0, 4.0, 0.15].map(Length::mm);
        let told = lines(&groove, &strip, 1.0, pitch, thread, tolerance).unwrap();
        let results: Vec<&str> = told.iter().map(|l| l.result.as_str()).collect();
        // 3 x 0.75; pi 9 / 4 / (4.35 x 2.1); 1 - 2.4 / 3; 12 x 64 / 12; standard beam tables;
        // 1 x 40 x 2; 0.2 x 80 N x 4 mm.
        let expected = ["2.25 mm", "77.4 %", "20 %", "64 mm4", "0.26 mm", "80 N", "0.064 N.m"];
        assert_eq!(results, expected);
        assert!(told.iter().all(|l| !l.fails()));
        assert_eq!(told[4].limit.as_deref(), Some("at most 0.3 mm"));
        assert!(lines(&groove, &strip, 0.0, pitch, thread, tolerance).is_err());
    }
}
