//! Wind on lamp and box, and the seat force that keeps a saddle from peeling off the trunk.
//!
//! Gust pressure `q = 1/2 rho v^2` and force `F = c_f q A` after EN 1991-1-4, with the local gust as
//! the speed. Lamps and boxes count as cuboids and take the signboard's coefficient (7.4.3). A tilted
//! lamp deflects the wind, so the force along the beam's vertical plane may point any way in that
//! plane: it is counted in whole as a pull away from the trunk, as added weight, and on the longest
//! lever. That is on the safe side.
//!
//! Peel: pad of height `H` under a total seat force `N` and a moment `M`. It stays pressed over its
//! full height while the resultant lies in the kern, `M <= N H / 6`, and it tips off its edge at
//! `M = N H / 2` (any strength-of-materials text). The first is held for the loads as they are, the
//! second with the safety factor. Straps at different heights each stay tight while
//! `n >= M z_max / sum z^2` (elastic bolt group).
//!
//! Site pose: Z up, Y outward. Not counted: shelter by trunk and leaves (both lower the force),
//! vibration.

use std::f64::consts::FRAC_PI_2;

use super::account::Line;
use super::guard::{OutOfRange, finite, not_negative, positive};
use crate::standards::wind::{AIR_DENSITY, BluffBody, Terrain, beaufort};
use crate::units::{Angle, Area, Force, Length, Mass, Pressure, Speed, Torque};

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
const MM_PER_METRE: f64 = 1000.0;

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
    })
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

/// What tries to lever a saddle off the trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PeelInput<'a> {
    /// Weight of everything on the saddle.
    pub weight: Force,
    /// Wind in the beam's vertical plane.
    pub wind: Force,
    /// From the bark to the pivot (or the box's middle), outward.
    pub reach: Length,
    /// From the saddle's middle to the pivot, up; its sign does not matter.
    pub rise: Length,
    /// Height of the pad.
    pub pad_height: Length,
    /// Heights of the straps above the saddle's middle.
    pub strap_heights: &'a [Length],
    /// Factor on weight and wind against tipping off.
    pub safety: f64,
}

/// The seat force, all straps together, that keeps the saddle on the trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Peel {
    /// Levering moment, unfactored.
    pub moment: Torque,
    /// Pull away from the trunk, unfactored.
    pub pull: Force,
    /// Seat force that keeps the pad pressed over its full height.
    pub for_pad: Force,
    /// Seat force that keeps the saddle from tipping off, with the safety factor.
    pub for_hold: Force,
    /// Seat force that keeps every strap tight; none when all straps are at one height.
    pub for_straps: Option<Force>,
}

impl Peel {
    /// The largest of the three.
    #[must_use]
    pub(crate) fn needed(&self) -> Force {
        let pad = self.for_pad.max(self.for_hold);
        self.for_straps.map_or(pad, |straps| straps.max(pad))
    }
}

/// Straps so near the middle hang at one height, mm: a lever of a rounding error would ask for any
/// force.
const SAME_HEIGHT: f64 = 0.1;

/// Seat force that holds against levering: `M = weight reach + wind hypot(reach, rise)`, and the
/// whole wind as a pull.
///
/// # Errors
/// A negative load or lever, a pad height or safety not above zero.
pub(crate) fn peel(input: &PeelInput<'_>) -> Result<Peel, OutOfRange> {
    let safety = positive("the safety factor", input.safety)?;
    let weight = not_negative("the weight", input.weight.get())?;
    let wind = not_negative("the wind's force", input.wind.get())?;
    let reach = not_negative("the reach from the bark", input.reach.get())?;
    let rise = finite("the pivot's height above the saddle's middle", input.rise.get())?;
    let height = positive("the pad's height", input.pad_height.get())?;
    let moment = weight * reach + wind * libm::hypot(reach, rise);
    let for_pad = finite("the levering force", 6.0 * moment / height + wind)?;
    let for_hold = finite("the levering force", safety * (2.0 * moment / height + wind))?;

    let count = input.strap_heights.len() as f64;
    let mut squares = 0.0;
    let mut farthest = 0.0_f64;
    for z in input.strap_heights {
        let z = finite("a strap's height", z.get())?;
        squares += z * z;
        farthest = farthest.max(z.abs());
    }
    let for_straps = if farthest > SAME_HEIGHT {
        let force = count * moment * farthest / squares + wind;
        Some(Force::newtons(finite("the straps' levering force", force)?))
    } else {
        None
    };
    Ok(Peel {
        moment: Torque::newton_metres(moment / MM_PER_METRE),
        pull: Force::newtons(wind),
        for_pad: Force::newtons(for_pad),
        for_hold: Force::newtons(for_hold),
        for_straps,
    })
}

/// The account of wind and peel.
#[must_use]
pub(crate) fn lines(load: &WindLoad, input: &PeelInput<'_>, peel: &Peel) -> Vec<Line> {
    let named = beaufort(load.gust).map_or_else(String::new, |b| {
        format!(" ({}, Beaufort {}, if it blew so all the time)", b.name, b.number)
    });
    let mut lines = vec![
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
        Line::new(
            "levering moment on the saddle",
            "weight reach + wind sqrt(reach^2 + rise^2)",
            format!("{:.1}", peel.moment),
            "statics; the wind's direction taken at its worst",
        )
        .input("weight", input.weight)
        .input("wind", input.wind)
        .input("reach", format!("{:.0}", input.reach))
        .input("rise", format!("{:.0}", input.rise)),
        Line::new(
            "seat force that keeps the pad pressed",
            "6 M / H + pull",
            format!("{:.0}", peel.for_pad),
            "kern of a rectangle (strength of materials)",
        )
        .input("M", format!("{:.1}", peel.moment))
        .input("H", input.pad_height)
        .input("pull", format!("{:.0}", peel.pull)),
        Line::new(
            "seat force that keeps the saddle from tipping off",
            "safety (2 M / H + pull)",
            format!("{:.0}", peel.for_hold),
            "moments about the pad's edge (statics)",
        )
        .input("safety", input.safety)
        .input("M", format!("{:.1}", peel.moment))
        .input("H", input.pad_height)
        .input("pull", format!("{:.0}", peel.pull)),
    ];
    if let Some(force) = peel.for_straps {
        let heights: Vec<String> = input.strap_heights.iter().map(|z| format!("{z:.0}")).collect();
        lines.push(
            Line::new(
                "seat force that keeps each strap tight",
                "n M z_max / sum z^2 + pull",
                format!("{force:.0}"),
                "elastic bolt group",
            )
            .input("n", input.strap_heights.len())
            .input("M", format!("{:.1}", peel.moment))
            .input("z", heights.join(", "))
            .input("pull", format!("{:.0}", peel.pull)),
        );
    }
    lines
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
    fn kern_of_a_rectangle() {
        // Strength of materials: edge pressure N/A (1 - 6 e/H) is zero at e = H/6.
        let input = PeelInput {
            weight: Force::newtons(10.0),
            wind: Force::ZERO,
            reach: Length::mm(100.0),
            rise: Length::ZERO,
            pad_height: Length::mm(120.0),
            strap_heights: &[Length::mm(40.0), Length::mm(-40.0)],
            safety: 1.0,
        };
        let found = peel(&input).unwrap();
        assert_relative_eq!(found.moment.get(), 1.0);
        let eccentricity = found.moment.get() * 1000.0 / found.for_pad.get();
        assert_relative_eq!(eccentricity, 120.0 / 6.0, max_relative = 1e-14);
        // Tipping about the edge: 1 N.m over 60 mm.
        assert_relative_eq!(found.for_hold.get(), 1000.0 / 60.0, max_relative = 1e-14);
        // Two straps 80 mm apart, each at M/s: 1000/80 = 12.5 N, 25 N together.
        assert_relative_eq!(found.for_straps.unwrap().get(), 25.0, max_relative = 1e-14);
        let single = PeelInput { strap_heights: &[Length::ZERO], ..input };
        assert_eq!(peel(&single).unwrap().for_straps, None);
        // Middle of the passage less middle of the saddle: no lever, but for rounding.
        let heights = [Length::mm(1.4e-14)];
        let rounded = PeelInput { strap_heights: &heights, ..single };
        assert_eq!(peel(&rounded).unwrap().for_straps, None);
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

        #[test]
        fn more_wind_needs_more_seat_force(wind in 0.0..200.0_f64, more in 0.0..50.0_f64) {
            let needed = |f: f64| peel(&PeelInput {
                weight: Force::newtons(15.0), wind: Force::newtons(f), reach: Length::mm(90.0),
                rise: Length::mm(-20.0), pad_height: Length::mm(140.0),
                strap_heights: &[Length::mm(50.0), Length::mm(-50.0)], safety: 2.0,
            }).unwrap().needed();
            prop_assert!(needed(wind + more) >= needed(wind));
        }
    }
}
