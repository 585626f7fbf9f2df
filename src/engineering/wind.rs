//! Wind on lamp and box.
//!
//! Gust pressure `q = 1/2 rho v^2` and force `F = c_f q A` after EN 1991-1-4, with the local gust as
//! the speed. Lamps and boxes count as cuboids and take the signboard's coefficient (7.4.3), the force
//! of the whole shadow outward and on the longest lever. A tilted lamp also turns the wind up or down:
//! pressure is square to a face, and a face tilted by `t` shows the wind `cos t` of its area and pushes
//! along the trunk with `sin t` of that, so that the larger face gives at most `c_f q A sin t cos t`; the
//! other face pushes the other way.
//!
//! Site pose: Z up, Y outward. Not counted: shelter by trunk and leaves (both lower the force),
//! vibration.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

use super::account::Line;
use super::guard::{OutOfRange, finite, not_negative, positive};
use crate::standards::wind::{AIR_DENSITY, BluffBody, Terrain, beaufort};
use crate::units::{Angle, Area, Force, Length, Mass, Pressure, Speed};

/// Gravity, m/s2 (the conventional 9.80665 rounded).
pub(crate) const GRAVITY: f64 = 9.81;

/// Weight of a mass.
#[must_use]
pub(crate) fn weight(mass: Mass) -> Force {
    Force::newtons(mass.get() * GRAVITY)
}

/// A cuboid body: lamp or box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cuboid {
    /// Along X, across the yoke.
    pub width: Length,
    /// Along Z at tilt 0.
    pub height: Length,
    /// Along the beam.
    pub depth: Length,
}

impl Cuboid {
    /// Area seen along the beam's vertical plane, for a beam tilted by `tilt` out of level.
    #[must_use]
    pub(crate) fn front_area(&self, tilt: Angle) -> Area {
        let seen = self.height.get() * tilt.cos().abs() + self.depth.get() * tilt.sin().abs();
        Area::mm2(self.width.get() * seen)
    }

    /// Area seen across that plane; tilt does not change it.
    #[must_use]
    pub(crate) fn side_area(&self) -> Area {
        Area::mm2(self.height.get() * self.depth.get())
    }

    /// The larger of the faces that the tilt turns, front and top.
    fn larger_face(&self) -> Area {
        Area::mm2(self.width.get() * self.height.get().max(self.depth.get()))
    }

    /// The tilt in a range at which the front area is largest.
    ///
    /// The area is symmetric about level and largest at `atan(depth / height)` on either side.
    #[must_use]
    pub(crate) fn worst_tilt(&self, from: Angle, to: Angle) -> Angle {
        let peak = libm::atan2(self.depth.get(), self.height.get());
        let inside = |a: &Angle| *a >= from && *a <= to && a.abs().rad() <= FRAC_PI_2;
        let turns = [Angle::radians(peak), Angle::radians(-peak)];
        let candidates = [from, to].into_iter().chain(turns.into_iter().filter(inside));
        candidates.fold(
            from,
            |best, a| {
                if self.front_area(a) > self.front_area(best) { a } else { best }
            },
        )
    }
}

/// Wind on a body at its worst tilt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WindLoad {
    /// Gust that it was found for.
    pub gust: Speed,
    /// Gust pressure.
    pub pressure: Pressure,
    /// Force coefficient.
    pub coefficient: f64,
    /// Tilt with the largest front area.
    pub tilt: Angle,
    /// Largest front area.
    pub area: Area,
    /// Force in the beam's vertical plane.
    pub front: Force,
    /// Force across it.
    pub side: Force,
    /// Largest part of the force along the trunk, up or down, that a tilted lamp turns the wind into.
    pub along: Force,
}

/// Gust pressure `1/2 rho v^2` at 1.25 kg/m3.
///
/// # Errors
/// A negative or undefined speed.
pub(crate) fn dynamic_pressure(gust: Speed) -> Result<Pressure, OutOfRange> {
    let v = not_negative("the gust", gust.get())?;
    let q = finite("the gust's pressure", 0.5 * AIR_DENSITY * v * v)?;
    Ok(Pressure::kpa(q / PA_PER_KPA))
}

const PA_PER_KPA: f64 = 1000.0;
/// A kilopascal on a square millimetre, in newtons.
const NEWTONS_PER_KPA_MM2: f64 = 1e-3;

/// Wind force `c_f q A`.
#[must_use]
pub(crate) fn wind_force(coefficient: f64, pressure: Pressure, area: Area) -> Force {
    Force::newtons(coefficient * pressure.get() * area.get() * NEWTONS_PER_KPA_MM2)
}

/// Wind on a cuboid over a range of tilts.
///
/// # Errors
/// A measure that is not above zero, a negative gust, or a tilt beyond a quarter turn.
pub(crate) fn wind_on(
    body: Cuboid,
    tilt: [Angle; 2],
    gust: Speed,
    shape: BluffBody,
) -> Result<WindLoad, OutOfRange> {
    positive("the body's width", body.width.get())?;
    positive("the body's height", body.height.get())?;
    positive("the body's depth", body.depth.get())?;
    for t in tilt {
        finite("the tilt", t.rad())?;
        if t.abs().rad() > FRAC_PI_2 + 1e-12 {
            let needs = "between -90 and 90 deg";
            return Err(OutOfRange { what: "the tilt in degrees", value: t.deg(), needs });
        }
    }
    let pressure = dynamic_pressure(gust)?;
    let coefficient = shape.coefficient();
    let [a, b] = tilt;
    let worst = if a <= b { body.worst_tilt(a, b) } else { body.worst_tilt(b, a) };
    let area = body.front_area(worst);
    let front = wind_force(coefficient, pressure, area);
    finite("the wind's force", front.get())?;
    Ok(WindLoad {
        gust,
        pressure,
        coefficient,
        tilt: worst,
        area,
        front,
        side: wind_force(coefficient, pressure, body.side_area()),
        along: wind_force(coefficient, pressure, body.larger_face()) * steepest(a, b),
    })
}

/// The largest `|sin t cos t|` between two tilts.
fn steepest(a: Angle, b: Angle) -> f64 {
    let (low, high) = (a.rad().min(b.rad()), a.rad().max(b.rad()));
    let inside = [-FRAC_PI_4, FRAC_PI_4].iter().any(|t| (low..=high).contains(t));
    let at = |t: Angle| (t.sin() * t.cos()).abs();
    if inside { 0.5 } else { at(a).max(at(b)) }
}

/// Peak velocity pressure at a height, from a map's basic wind velocity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Peak {
    /// Roughness factor c_r.
    pub roughness: f64,
    /// Turbulence intensity I_v.
    pub turbulence: f64,
    /// Mean velocity v_m.
    pub mean: Speed,
    /// Peak velocity pressure q_p.
    pub pressure: Pressure,
    /// The steady speed with the same pressure: what to enter as the gust.
    pub gust: Speed,
}

/// Peak velocity pressure on flat ground (EN 1991-1-4, 4.3 to 4.5; orography and turbulence factor 1).
///
/// # Errors
/// A negative velocity, or a height outside 0 to 200 m.
#[cfg_attr(not(test), expect(dead_code, reason = "waits for wind by height and terrain"))]
pub(crate) fn peak(basic: Speed, height: Length, terrain: Terrain) -> Result<Peak, OutOfRange> {
    let v_b = not_negative("the basic wind velocity", basic.get())?;
    let z = not_negative("the height above ground", height.in_metres())?;
    if z > 200.0 {
        return Err(OutOfRange { what: "the height above ground", value: z, needs: "up to 200 m" });
    }
    let (z0, z_min) = terrain.roughness();
    let (z0, z) = (z0.in_metres(), z.max(z_min.in_metres()));
    let z0_ii = Terrain::II.roughness().0.in_metres();
    let logarithm = libm::log(z / z0);
    let roughness = 0.19 * libm::pow(z0 / z0_ii, 0.07) * logarithm;
    let turbulence = 1.0 / logarithm;
    let mean = roughness * v_b;
    let q =
        finite("the peak pressure", (1.0 + 7.0 * turbulence) * 0.5 * AIR_DENSITY * mean * mean)?;
    Ok(Peak {
        roughness,
        turbulence,
        mean: Speed::metres_per_second(mean),
        pressure: Pressure::kpa(q / PA_PER_KPA),
        gust: Speed::metres_per_second((2.0 * q / AIR_DENSITY).sqrt()),
    })
}

/// The account of the wind.
#[must_use]
pub(crate) fn lines(load: &WindLoad) -> Vec<Line> {
    let named = beaufort(load.gust).map_or_else(String::new, |b| {
        format!(" ({}, Beaufort {}, if it blew so all the time)", b.name, b.number)
    });
    vec![
        Line::new(
            "gust pressure",
            "rho v^2 / 2",
            format!("{:.0} Pa", load.pressure.get() * PA_PER_KPA),
            "EN 1991-1-4, 4.5",
        )
        .input("rho", format!("{AIR_DENSITY} kg/m3"))
        .input("v", format!("{}{named}", load.gust)),
        Line::new(
            "wind on the lamp",
            "c_f q A",
            load.front,
            "EN 1991-1-4, 5.3 and 7.4.3 (signboard)",
        )
        .input("c_f", load.coefficient)
        .input("q", format!("{:.0} Pa", load.pressure.get() * PA_PER_KPA))
        .input("A", format!("{:.0} at tilt {}", load.area, load.tilt)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn mps(v: f64) -> Speed {
        Speed::metres_per_second(v)
    }

    #[test]
    fn gust_pressures_of_en_1991_1_4() {
        // 1/2 x 1.25 v^2 (EN 1991-1-4, 4.5): printed to the tenth of a pascal.
        for (v, pascal) in [
            (10.0, 62.5),
            (15.0, 140.63),
            (20.0, 250.0),
            (25.0, 390.63),
            (30.0, 562.5),
            (40.0, 1000.0),
        ] {
            let q = dynamic_pressure(mps(v)).unwrap().get() * 1000.0;
            assert!((q - pascal).abs() <= 0.0051, "{v} m/s: {q} Pa");
        }
    }

    #[test]
    fn worked_signboard_of_en_1991_1_4() {
        // A published worked example after EN 1991-1-4: signboard 5 m x 7 m, z_e 5.00 m, v_b 33 m/s,
        // terrain I: c_r 1.055, I_v 0.1609, v_m 34.82 m/s, q_p 1.61 kN/m2, F_w 101.43 kN with the
        // rounded pressure.
        let p = peak(mps(33.0), Length::metres(5.0), Terrain::I).unwrap();
        assert!((p.roughness - 1.055).abs() < 5e-4);
        assert!((p.turbulence - 0.1609).abs() < 5e-5);
        assert!((p.mean.get() - 34.82).abs() < 0.01);
        assert!((p.pressure.get() - 1.61).abs() < 5e-3);
        let q_b = dynamic_pressure(mps(33.0)).unwrap();
        assert!((q_b.get() - 0.68).abs() < 5e-3);
        let area = Area::mm2(5000.0 * 7000.0);
        let c_f = BluffBody::Signboard.coefficient();
        let force = wind_force(c_f, Pressure::kpa(1.61), area).get() / 1000.0;
        assert!((force - 101.43).abs() < 5e-3);
        assert_relative_eq!(
            dynamic_pressure(p.gust).unwrap().get(),
            p.pressure.get(),
            epsilon = 1e-12
        );
    }

    #[test]
    fn force_on_plates_of_the_data_book() {
        // Coefficient 1.17 of a square plate (Aeronautical Engineer's Data Book, figure 5.13), with
        // 1.225 kg/m3: 20 m/s on 0.01 m2 gives 2.87 N; 25 m/s on 0.02 m2 8.96 N, a cube 8.04 N.
        let at = |v: f64| Pressure::kpa(0.5 * 1.225 * v * v / 1000.0);
        let square = BluffBody::SquarePlate.coefficient();
        assert!((wind_force(square, at(20.0), Area::mm2(1e4)).get() - 2.87).abs() < 5e-3);
        assert!((wind_force(square, at(25.0), Area::mm2(2e4)).get() - 8.96).abs() < 5e-3);
        let cube = BluffBody::Cube.coefficient();
        assert!((wind_force(cube, at(25.0), Area::mm2(2e4)).get() - 8.04).abs() < 5e-3);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(dynamic_pressure(mps(-1.0)).is_err());
        assert!(dynamic_pressure(mps(1e200)).is_err());
        assert!(peak(mps(20.0), Length::metres(300.0), Terrain::II).is_err());
        let flat =
            Cuboid { width: Length::mm(100.0), height: Length::ZERO, depth: Length::mm(50.0) };
        let level = [Angle::ZERO, Angle::ZERO];
        assert!(wind_on(flat, level, mps(20.0), BluffBody::Signboard).is_err());
        let cube = Cuboid { height: Length::mm(50.0), ..flat };
        let over = [Angle::ZERO, Angle::degrees(100.0)];
        assert!(wind_on(cube, over, mps(20.0), BluffBody::Signboard).is_err());
        let nan = [Angle::ZERO, Angle::radians(f64::NAN)];
        assert!(wind_on(cube, nan, mps(20.0), BluffBody::Signboard).is_err());
    }

    proptest! {
        #[test]
        fn worst_tilt_beats_every_tilt_in_the_range(
            h in 20.0..400.0_f64, d in 15.0..400.0_f64,
            a in -90.0..90.0_f64, b in -90.0..90.0_f64, t in 0.0..1.0_f64,
        ) {
            let body = Cuboid { width: Length::mm(100.0), height: Length::mm(h), depth: Length::mm(d) };
            let (from, to) = (a.min(b), a.max(b));
            let worst = body.worst_tilt(Angle::degrees(from), Angle::degrees(to));
            let any = Angle::degrees(from + t * (to - from));
            prop_assert!(body.front_area(worst).get() >= body.front_area(any).get() - 1e-6);
            prop_assert!(worst.deg() >= from - 1e-9 && worst.deg() <= to + 1e-9);
        }
    }
}
