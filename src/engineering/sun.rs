//! Sun on an upright face: how strongly it shines on a lid that hangs on a trunk.
//!
//! A lid hangs upright, so that the sun never falls square on it: high sun grazes it, and low sun is
//! weakened by the air. Direct light square to the rays is 1353 x 0.7^(AM^0.678) W/m2 with the air mass
//! AM = 1/sin h for the sun's height h (Meinel and Meinel, Applied Solar Energy, 1976, as teaching texts on
//! photovoltaics print it); the sky adds a tenth of that on level ground (same texts). An upright face
//! sees half the sky and half the ground, which throws back a fifth (Liu and Jordan 1963):
//!
//! ```text
//! E = D cos h cos a + D/20 + (D sin h + D/10)/10
//! ```
//!
//! with a the angle between the sun's bearing and the face's. Where latitude and bearing are told, the
//! sun's way over the sky follows from declination 23.45 sin(360 (284 + n)/365) deg of day n and the hour
//! angle (Cooper 1969; Duffie and Beckman, Solar Engineering of Thermal Processes, chapter 1); else
//! the worst height and bearing that there are.
//!
//! Clear sky at sea level, solar time. Not here: clouds, shade of the tree, altitude, haze.

use std::f64::consts::PI;

use crate::engineering::account::Line;
use crate::units::Angle;

/// Where a face looks, and from where on earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Facing {
    /// North positive.
    pub latitude: Angle,
    /// Compass bearing of the face: 0 north, 90 east, 180 south.
    pub bearing: Angle,
    /// First and last day of the year, 1 to 366; from the first on to the last, over the year's end where
    /// the last is earlier.
    pub days: [u16; 2],
}

/// Sun at one moment: height above level, and compass bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sun {
    pub height: Angle,
    pub bearing: Angle,
}

/// Share of the light that level ground throws back: grass and gravel (Liu and Jordan 1963).
const GROUND: f64 = 0.2;
/// The sky's light on level ground over the direct light square to the rays.
const SKY: f64 = 0.1;
/// Steps of the search: heights of half a degree; hour angles of two degrees.
const HEIGHTS: u32 = 180;
const HOURS: u32 = 180;

/// Direct light square to the rays, W/m2; none from below the horizon.
#[must_use]
pub(crate) fn direct(height: Angle) -> f64 {
    let sin = height.sin();
    if sin <= 0.0 { 0.0 } else { 1353.0 * libm::pow(0.7, libm::pow(1.0 / sin, 0.678)) }
}

/// Light on an upright face that looks this far aside from the sun's bearing, W/m2.
#[must_use]
pub(crate) fn on_upright(height: Angle, aside: Angle) -> f64 {
    let direct = direct(height);
    let square = (height.cos() * aside.cos()).max(0.0);
    let ground = direct * (height.sin().max(0.0) + SKY);
    direct * square + 0.5 * SKY * direct + 0.5 * GROUND * ground
}

/// Height and bearing of the sun on day `day` of the year at `hour_angle` (0 at noon, 15 deg an hour,
/// afternoon positive).
#[must_use]
pub(crate) fn sun(latitude: Angle, day: u16, hour_angle: Angle) -> Sun {
    let declination =
        Angle::degrees(23.45 * libm::sin(2.0 * PI * (284.0 + f64::from(day)) / 365.0));
    let (sin_d, cos_d) = (declination.sin(), declination.cos());
    let (sin_l, cos_l) = (latitude.sin(), latitude.cos());
    let up = sin_l * sin_d + cos_l * cos_d * hour_angle.cos();
    // East and north of the sun's direction.
    let east = -cos_d * hour_angle.sin();
    let north = cos_l * sin_d - sin_l * cos_d * hour_angle.cos();
    Sun {
        height: Angle::radians(libm::asin(up.clamp(-1.0, 1.0))),
        bearing: Angle::radians(libm::atan2(east, north)),
    }
}

/// The strongest light on an upright face, W/m2: over the days and hours where it is told where the
/// face looks, else at the worst height with the sun straight before it.
#[must_use]
pub(crate) fn strongest(facing: Option<Facing>) -> f64 {
    let Some(Facing { latitude, bearing, days: [first, last] }) = facing else {
        let at = |half: u32| on_upright(Angle::degrees(f64::from(half) * 0.5), Angle::ZERO);
        return (0..=HEIGHTS).map(at).fold(0.0, f64::max);
    };
    let mut most: f64 = 0.0;
    let length = if last >= first { last - first } else { 365 + last - first };
    for day in (0..=length).map(|d| (first + d - 1) % 365 + 1) {
        for step in 0..HOURS {
            let hour = Angle::degrees(f64::from(step) * 2.0 - 180.0);
            let Sun { height, bearing: from } = sun(latitude, day, hour);
            if height > Angle::ZERO {
                most = most.max(on_upright(height, from - bearing));
            }
        }
    }
    most
}

/// The strongest sun on the lid as an account line.
#[must_use]
pub(crate) fn line(strongest: f64) -> Line {
    Line::new(
        "strongest sun on the upright lid",
        "D cos h cos a + D/20 + (D sin h + D/10)/10, D = 1353 x 0.7^(AM^0.678), AM = 1/sin h",
        format!("{strongest:.0} W/m2"),
        "Meinel and Meinel, Applied Solar Energy (1976); Liu and Jordan (1963) for sky and ground",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn deg(v: f64) -> Angle {
        Angle::degrees(v)
    }

    #[test]
    fn the_sun_stands_where_the_textbook_has_it() {
        // Duffie and Beckman, example 1.6.2 (from memory): 43 N, 13 February, 9:30 solar time: zenith
        // angle 66.5 deg, 40.0 deg east of south; the same place on 1 July at 6:30 pm: 79.6 deg,
        // 112.0 deg west of south.
        let morning = sun(deg(43.0), 44, deg(-37.5));
        assert!((90.0 - morning.height.deg() - 66.5).abs() < 0.3, "{}", morning.height);
        assert!((morning.bearing.deg() - 140.0).abs() < 0.5, "{}", morning.bearing);
        let evening = sun(deg(43.0), 182, deg(97.5));
        assert!((90.0 - evening.height.deg() - 79.6).abs() < 0.3, "{}", evening.height);
        assert!((evening.bearing.deg().rem_euclid(360.0) - 292.0).abs() < 0.5);
    }

    #[test]
    fn direct_light_is_that_of_the_air_mass() {
        // Air mass 1.5: 0.846 kW/m2 by the formula (teaching texts give 1.353 x 0.7^(1.5^0.678)); air
        // mass 1: 947 W/m2.
        assert!((direct(deg(90.0)) - 947.1).abs() < 0.1);
        let am15 = Angle::radians(libm::asin(1.0 / 1.5));
        assert!((direct(am15) - 846.0).abs() < 2.0, "{}", direct(am15));
        assert!(direct(deg(-1.0)).abs() < 1e-12);
    }

    #[test]
    fn no_upright_face_takes_the_full_sun() {
        // By hand at 35 deg: D = 1353 x 0.7^(1.7434^0.678) = 804.8; 804.8 x 0.819 + 40.2 + 0.1 x (461.6 +
        // 80.5) = 753.7 W/m2.
        assert!((on_upright(deg(35.0), Angle::ZERO) - 753.7).abs() < 0.5);
        let worst = strongest(None);
        assert!((750.0..760.0).contains(&worst), "{worst}");
        // In June at 52 N a lid to the north sees the sun at its sides only; one to the south at noon,
        // high: both less than the worst.
        let at = |bearing: f64| {
            let facing = Facing { latitude: deg(52.0), bearing: deg(bearing), days: [152, 181] };
            strongest(Some(facing))
        };
        assert!(at(0.0) < 350.0 && at(180.0) < 700.0, "{} {}", at(0.0), at(180.0));
        assert!(at(90.0) > at(180.0) && at(90.0) <= worst);
        // East and west are alike.
        assert!((at(90.0) - at(270.0)).abs() < 10.0);
        // In the southern winter the north is the sunny side.
        let south = Facing { latitude: deg(-35.0), bearing: deg(0.0), days: [172, 172] };
        assert!(strongest(Some(south)) > 600.0);
        // Over the year's end.
        let winter = Facing { latitude: deg(52.0), bearing: deg(180.0), days: [355, 10] };
        assert!(strongest(Some(winter)) > 300.0);
    }
}
