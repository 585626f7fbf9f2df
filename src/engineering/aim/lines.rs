//! The aim of one lamp as account lines.

use super::{AimError, Beam, Crown, Sight};
use crate::engineering::account::{Line, Side};
use crate::units::{Angle, Illuminance, trimmed};

const LAW: &str = "generalised Lambert law (Moreno and Sun, Optics Express 16, 2008)";

/// Elevation, intensity, light on the crown and light lost for a beam of this elevation. `title`
/// names the trunk.
///
/// # Errors
/// When the elevation is not finite.
pub(crate) fn lines(
    title: &str,
    crown: Crown,
    beam: Beam,
    elevation: Angle,
) -> Result<Vec<Line>, AimError> {
    let wished = Line::new(
        format!("{title}: elevation that the crown asks for"),
        "elevation of the crown's edge + beam angle / 2, at most 90 deg",
        crown.tilt(beam),
        "geometry",
    )
    .input("edge", crown.edge_elevation())
    .input("beam angle", beam.half_angle() * 2.0);
    let intensity = Line::new(
        format!("{title}: intensity in the middle of the beam"),
        "flux (m + 1) / (2 pi), m = ln 0.5 / ln cos(beam angle / 2)",
        format!("{} cd", trimmed(beam.intensity(), 0)),
        LAW,
    )
    .input("flux", beam.flux)
    .input("beam angle", beam.half_angle() * 2.0);
    let mut told = vec![wished, intensity];
    if let Some((throw, light)) = crown.throw(elevation).zip(crown.light(beam, elevation)) {
        told.push(
            Line::new(format!("{title}: light on the crown"), "I sin(elevation) / d^2", light, LAW)
                .input("I", format!("{} cd", trimmed(beam.intensity(), 0)))
                .input("elevation", elevation)
                .input("d", format!("{} m", trimmed(throw.in_metres(), 2))),
        );
        told.push(
            Line::new(
                format!("{title}: spot across the beam"),
                "2 d tan(beam angle / 2)",
                format!("{} m", trimmed(beam.spot(throw).in_metres(), 2)),
                "geometry",
            )
            .input("d", format!("{} m", trimmed(throw.in_metres(), 2)))
            .input("beam angle", beam.half_angle() * 2.0),
        );
    }
    told.push(
        Line::new(
            format!("{title}: light that misses the crown"),
            "rays of equal light traced to the crown's base",
            format!("{} %", trimmed(crown.missing(beam, elevation)? * 100.0, 0)),
            "geometry",
        )
        .input("elevation", elevation),
    );
    Ok(told)
}

/// Light at a window or a road against its limit. `title` names lamp and place.
///
/// # Errors
/// When the elevation is not finite.
pub(crate) fn spill_line(
    title: &str,
    sight: Sight,
    beam: Beam,
    elevation: Angle,
    limit: Illuminance,
) -> Result<Line, AimError> {
    let light = sight.light(beam, elevation)?;
    Ok(Line::new(
        title,
        "I0 cos(off axis)^m cos(incidence) / d^2, m = ln 0.5 / ln cos(beam angle / 2)",
        light,
        LAW,
    )
    .input("I0", format!("{} cd", trimmed(beam.intensity(), 0)))
    .input("off axis", (elevation - sight.elevation()).abs())
    .input("incidence", sight.elevation().abs())
    .input("d", format!("{} m", trimmed(libm::hypot(sight.level, sight.rise) / 1000.0, 2)))
    .input("beam angle", beam.half_angle() * 2.0)
    .against(Side::AtMost, light.get(), limit.get(), limit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Length, LuminousFlux};

    #[test]
    fn the_lines_carry_results_and_limits() {
        let beam = Beam::new(LuminousFlux::lumens(400.0), Angle::degrees(25.0)).unwrap();
        let [offset, lamp, base, spread] = [0.3, 2.0, 7.0, 12.0].map(Length::metres);
        let crown = Crown::new(offset, lamp, base, spread).unwrap();
        // Straight up over 5 m, by hand: 400 lm x 4.7578 cd/lm = 1903 cd, 76.1 lx, 2.217 m.
        let told = lines("oak", crown, beam, Angle::degrees(90.0)).unwrap();
        let results: Vec<&str> = told.iter().skip(1).map(|l| l.result.as_str()).collect();
        assert_eq!(results, ["1903 cd", "76.12 lx", "2.22 m", "0 %"]);
        // Below the crown nothing is lit, and all is lost.
        let low = lines("oak", crown, beam, Angle::degrees(5.0)).unwrap();
        assert_eq!(low.len(), 3);
        assert_eq!(low[2].result, "100 %");
        let sight = Sight::new(Length::metres(10.3), lamp, offset, lamp).unwrap();
        let limit = Illuminance::lux(5.0);
        let line = spill_line("window", sight, beam, Angle::ZERO, limit).unwrap();
        assert!(line.fails());
    }
}
