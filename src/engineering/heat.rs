//! Heat: how warm a closed box and its cells get over controller loss and sun.
//!
//! A surface in still air gives off Q = A (h_c (T - T_air) + eps sigma (T^4 - T_air^4)), with
//! h_c = 1.42 ((T - T_air)/L)^(1/4) W/(m2 K), L the height in metres: natural convection on a
//! vertical plate in air, laminar (textbooks of heat transfer, for example Holman, table of
//! simplified equations for air, from memory). Q rises strictly with T, so that bisection finds T. A
//! closed box is two such films, outside and inside, with the wall's conduction between them:
//! the air inside stands above the inner wall as the outer wall stands above the air outside.
//! Published overall coefficients k of Q = k A dT (plastic 3.5, painted steel 5.5 W/(m2 K)) are the
//! check on this: two films of 7 to 9 in series give 3.5 to 4.5.
//!
//! Sun: absorptivity x irradiance x lit area, taken in at the outer wall.
//!
//! Assumptions: still air; surroundings as warm as the air; the back, against the tree, gives off
//! nothing; one temperature for the whole outer wall, which understates a lit lid and so is
//! given with the lid's own balance; cells as warm as the air in the box. Steady state, which takes
//! a few hours and so overstates a short evening.
//!
//! Units: metres, square metres and watts inside; the interface has the newtypes. Held to air of
//! -60..=80 C.

use serde::Serialize;

use crate::bisection::border;
use crate::engineering::account::{Line, Side};
use crate::engineering::guard::{OutOfRange, not_negative, positive};
use crate::units::{Area, Length, Power, Temperature, trimmed};

/// Stefan and Boltzmann's constant, W/(m2 K4) (CODATA).
pub(crate) const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// Absolute zero, C.
const ABSOLUTE_ZERO_C: f64 = -273.15;
/// Emissivity of plastics and paints (textbooks: 0.85 to 0.95).
pub(crate) const EMISSIVITY: f64 = 0.9;
/// Conductivity of printing polymers, W/(m K), the low end of 0.13 to 0.25 (from memory).
pub(crate) const POLYMER_CONDUCTIVITY: f64 = 0.13;
/// Solar absorptivity of dark plastics (0.90 to 0.95, from memory).
pub(crate) const ABSORPTIVITY_DARK: f64 = 0.95;
/// Solar absorptivity of light plastics (0.2 to 0.3 white; a used grey-white, from memory).
pub(crate) const ABSORPTIVITY_LIGHT: f64 = 0.4;
/// Cells warmer than this age fast (cell makers' charging limit; common practice for storage).
pub(crate) const CELLS_COMFORT: Temperature = Temperature::celsius(45.0);

/// How a surface gives heat to the air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Convection {
    /// A given coefficient, W/(m2 K): for worked examples.
    #[cfg(test)]
    Given(f64),
    /// Still air on an upright face of this height.
    Natural(Length),
}

/// A surface with one temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Surface {
    /// That gives off heat.
    pub area: Area,
    /// 0..=1.
    pub emissivity: f64,
    /// How air carries heat off.
    pub convection: Convection,
}

/// A closed box, its back on the tree.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Enclosure {
    /// Outer width across the trunk.
    pub width: Length,
    /// Outer height along the trunk.
    pub height: Length,
    /// Outer depth away from the trunk.
    pub depth: Length,
    /// Thickness of the wall.
    pub wall: Length,
}

/// One state of the box: air, heat made inside, and sun.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct State {
    /// Of the air outside.
    pub air: Temperature,
    /// Made inside, by controller and battery.
    pub inside: Power,
    /// Absorbed from the sun.
    pub sun: Power,
}

/// Temperatures in a box at rest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct BoxTemperatures {
    /// Of the outer wall.
    pub outer_wall: Temperature,
    /// Of the inner wall.
    pub inner_wall: Temperature,
    /// Of the air inside, and of the cells in it.
    pub inside: Temperature,
    /// Of the lid, when the sun falls on it and its area alone gives the heat off.
    pub lid: Temperature,
    /// Overall coefficient of inside over outside, W/(m2 K); none without heat inside.
    pub overall: Option<f64>,
}

/// Air for which the correlation is used, C.
const AIR_RANGE_C: std::ops::RangeInclusive<f64> = -60.0..=80.0;
/// Air properties in the correlation are near enough up to this wall temperature, C.
const HOTTEST_C: f64 = 250.0;
/// Halvings of the bracket: 60 leave nothing of 330 K.
const HALVINGS: usize = 60;

impl Surface {
    fn check(&self) -> Result<(), OutOfRange> {
        positive("the surface's area", self.area.get())?;
        not_negative("the emissivity", self.emissivity)?;
        not_negative("1 less the emissivity", 1.0 - self.emissivity)?;
        match self.convection {
            #[cfg(test)]
            Convection::Given(h) => not_negative("the convection coefficient", h)?,
            Convection::Natural(height) => positive("the surface's height", height.get())?,
        };
        Ok(())
    }

    /// Watts given off at `t` to air and surroundings at `air`, `t` not below `air`.
    fn given_off(&self, t: f64, air: f64) -> f64 {
        let rise = (t - air).max(0.0);
        let h = match self.convection {
            #[cfg(test)]
            Convection::Given(h) => h,
            Convection::Natural(height) => 1.42 * libm::sqrt(libm::sqrt(rise / height.in_metres())),
        };
        let fourth = |c: f64| libm::pow(c - ABSOLUTE_ZERO_C, 4.0);
        let radiated = self.emissivity * STEFAN_BOLTZMANN * (fourth(t) - fourth(air));
        self.area.get() * 1e-6 * (h * rise + radiated)
    }

    /// The temperature at which the surface gives off this power.
    ///
    /// # Errors
    /// [`OutOfRange`] for a number outside its range, or a surface that would pass 250 C.
    pub(crate) fn temperature(
        &self,
        power: Power,
        air: Temperature,
    ) -> Result<Temperature, OutOfRange> {
        self.check()?;
        let power = not_negative("the heat", power.get())?;
        if !AIR_RANGE_C.contains(&air.get()) {
            let needs = "between -60 and 80 C";
            return Err(OutOfRange { what: "the air", value: air.get(), needs });
        }
        self.bisect(power, air.get())
    }

    fn bisect(&self, power: f64, air: f64) -> Result<Temperature, OutOfRange> {
        if power > self.given_off(HOTTEST_C, air) {
            let needs = "little enough to stay below 250 C";
            return Err(OutOfRange { what: "the heat in watts", value: power, needs });
        }
        let [cold, hot] = border(air, HOTTEST_C, HALVINGS, |at| self.given_off(at, air) < power);
        Ok(Temperature::celsius(0.5 * (cold + hot)))
    }
}

/// Overall coefficient k of Q = k A dT, W/(m2 K).
///
/// # Errors
/// [`OutOfRange`] when area or rise is not above zero, or the power is negative.
pub(crate) fn overall_coefficient(power: Power, area: Area, rise: f64) -> Result<f64, OutOfRange> {
    let power = not_negative("the heat", power.get())?;
    Ok(power / (positive("the area", area.get())? * 1e-6 * positive("the rise", rise)?))
}

/// Power that the sun gives to a lit face.
///
/// # Errors
/// [`OutOfRange`] for an absorptivity outside 0..=1, or an area or irradiance below zero.
pub(crate) fn sun(area: Area, absorptivity: f64, irradiance: f64) -> Result<Power, OutOfRange> {
    not_negative("1 less the absorptivity", 1.0 - absorptivity)?;
    let share = not_negative("the absorptivity", absorptivity)?;
    let lit = not_negative("the lit area", area.get())? * 1e-6;
    Ok(Power::watts(share * lit * not_negative("the irradiance", irradiance)?))
}

impl Enclosure {
    /// Outer area that gives off heat: all faces but the back.
    #[must_use]
    pub(crate) fn area(&self) -> Area {
        let (w, h, d) = (self.width.get(), self.height.get(), self.depth.get());
        Area::mm2(w * h + 2.0 * d * (w + h))
    }

    /// Area of the lid.
    #[must_use]
    pub(crate) fn lid(&self) -> Area {
        Area::mm2(self.width.get() * self.height.get())
    }

    /// Temperatures of the box in a lasting state.
    ///
    /// # Errors
    /// [`OutOfRange`] for sizes not above zero, heat below zero, air outside -60..=80 C, or more heat
    /// than the box gives off below 250 C.
    pub(crate) fn temperatures(&self, state: State) -> Result<BoxTemperatures, OutOfRange> {
        for (what, size) in [
            ("the box's width", self.width),
            ("the box's height", self.height),
            ("the box's depth", self.depth),
            ("the box's wall", self.wall),
        ] {
            positive(what, size.get())?;
        }
        not_negative("the sun's heat", state.sun.get())?;
        let inside = not_negative("the heat inside", state.inside.get())?;
        let face = Surface {
            area: self.area(),
            emissivity: EMISSIVITY,
            convection: Convection::Natural(self.height),
        };
        let outer_wall = face.temperature(state.inside + state.sun, state.air)?;
        let area = self.area().get() * 1e-6;
        let across = inside * self.wall.in_metres() / (POLYMER_CONDUCTIVITY * area);
        let inner_wall = outer_wall + Temperature::celsius(across);
        let air_inside = face.bisect(inside, inner_wall.get())?;
        let rise = (air_inside - state.air).get();
        // All of the sun on the lid, given off by the lid alone (its inside is still air), and its
        // share of the heat inside.
        let lid = Surface { area: self.lid(), ..face };
        let lid_share = state.inside * (self.lid() / self.area());
        Ok(BoxTemperatures {
            outer_wall,
            inner_wall,
            inside: air_inside,
            lid: lid.temperature(state.sun + lid_share, state.air)?,
            overall: overall_coefficient(state.inside, self.area(), rise)
                .ok()
                .filter(|k| inside > 0.0 && state.sun == Power::ZERO && k.is_finite()),
        })
    }
}

/// Pressure of a closed box against the air outside, hPa, when it cools from `warm`, where it was let
/// equal, to `cold`: Gay-Lussac's law at sea level, the walls stiff. 0 where it does not cool.
#[must_use]
pub(crate) fn breathing(warm: Temperature, cold: Temperature) -> f64 {
    let fall = (warm - cold).get().max(0.0);
    SEA_LEVEL_HPA * fall / (warm.get() - ABSOLUTE_ZERO_C)
}

/// Air pressure at sea level, hPa (ISO 2533).
const SEA_LEVEL_HPA: f64 = 1013.25;

/// The box's sums as account lines.
#[must_use]
pub(crate) fn lines(
    title: &str,
    shell: &Enclosure,
    state: State,
    found: &BoxTemperatures,
) -> Vec<Line> {
    let source = "natural convection on an upright face and Stefan-Boltzmann radiation (Holman, \
                  Heat Transfer); still air, back closed";
    let wall = Line::new(
        format!("{title}: outer wall of the box"),
        "Q = A (1.42 (dT/L)^0.25 dT + 0.9 sigma (T^4 - T_air^4)), solved for T",
        found.outer_wall,
        source,
    )
    .input("Q inside", state.inside)
    .input("Q sun", state.sun)
    .input("A", format!("{} m2", trimmed(shell.area().get() * 1e-6, 4)))
    .input("L", shell.height)
    .input("T_air", state.air);
    let cells = Line::new(
        format!("{title}: air and cells in the box"),
        "inner wall = outer wall + Q t/(k A); then the same film balance inside",
        found.inside,
        source,
    )
    .input("t", shell.wall)
    .input("k", format!("{POLYMER_CONDUCTIVITY} W/(m K)"))
    .input("inner wall", found.inner_wall)
    .within(
        Side::AtMost,
        found.inside.get(),
        CELLS_COMFORT.get(),
        format!("{CELLS_COMFORT} (cells age fast above)"),
    );
    vec![wall, cells]
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    const fn c(t: f64) -> Temperature {
        Temperature::celsius(t)
    }

    fn square_metres(a: f64) -> Area {
        Area::mm2(a * 1e6)
    }

    #[test]
    fn surface_of_cengel() {
        // Y. A. Cengel, Heat Transfer, natural convection: 0.03 m2, emissivity 0.8, h 6.696 W/(m2 K),
        // air and surroundings at 20 C, 8 W: 42.6 C.
        let surface = Surface {
            area: square_metres(0.03),
            emissivity: 0.8,
            convection: Convection::Given(6.696),
        };
        let t = surface.temperature(Power::watts(8.0), c(20.0)).unwrap();
        assert!((t.get() - 42.6).abs() < 0.05, "{t}");
    }

    #[test]
    fn film_coefficients_of_the_correlation() {
        // h = 1.42 (dT/L)^(1/4), L in metres, by hand.
        for (rise, height, h) in
            [(10.0, 0.1, 4.49), (20.0, 0.1, 5.34), (10.0, 0.2, 3.78), (20.0, 0.3, 4.06)]
        {
            let face = Surface {
                area: square_metres(1.0),
                emissivity: 0.0,
                convection: Convection::Natural(Length::metres(height)),
            };
            let found = face.given_off(20.0 + rise, 20.0) / rise;
            assert!((found - h).abs() < 0.005, "{found} for {h}");
        }
        // Radiation alone, per kelvin of a small rise: 4 eps sigma T^3 at eps 0.9, by hand.
        for (t, h) in [(10.0, 4.63), (20.0, 5.14), (30.0, 5.69), (40.0, 6.27)] {
            let convection = Convection::Given(0.0);
            let face = Surface { area: square_metres(1.0), emissivity: 0.9, convection };
            let found = face.given_off(t + 5e-4, t - 5e-4) / 1e-3;
            assert!((found - h).abs() < 0.006, "{found} for {h} at {t} C");
        }
    }

    #[test]
    fn a_cooling_box_draws_in() {
        // By hand: air of 50 C cooled to 10 C at one volume: 1013.25 x 40/323.15 = 125.4 hPa.
        assert!((breathing(c(50.0), c(10.0)) - 125.4).abs() < 0.05);
        assert!(breathing(c(10.0), c(20.0)).abs() < 1e-12);
    }

    #[test]
    fn published_boxes_agree_with_two_films() {
        // Electrical cabinet, 48 x 36 x 16 in, 300 W, a maker's graph: 42 ft2 (all faces), a rise of
        // 30 F (16.7 K), so k = 4.5 W/(m2 K).
        let inch = Length::inches;
        let area = 2.0 * (48.0 * 36.0 + 48.0 * 16.0 + 36.0 * 16.0) / 144.0;
        assert!((area - 42.67_f64).abs() < 0.01);
        let area = square_metres(42.67 * 0.3048 * 0.3048);
        let k = overall_coefficient(Power::watts(300.0), area, 30.0 / 1.8).unwrap();
        assert!((k - 4.5).abs() < 0.1, "{k}");
        // Ours, without the back (its area shared out for the comparison), lies between the published
        // plastic 3.5 and painted steel 5.5 W/(m2 K), less a printed wall's own resistance.
        let cabinet = Enclosure {
            width: inch(36.0),
            height: inch(48.0),
            depth: inch(16.0),
            wall: inch(0.08),
        };
        let inside = Power::watts(300.0) * (cabinet.area() / area);
        let state = State { air: c(20.0), inside, sun: Power::ZERO };
        let found = cabinet.temperatures(state).unwrap();
        let ours = found.overall.unwrap();
        assert!((3.5..=5.5).contains(&ours), "{ours}");
        let rise = (found.inside - state.air).get();
        assert!((rise / (30.0 / 1.8) - 1.0).abs() < 0.25, "{rise} K");
    }

    #[test]
    fn small_box_by_the_published_coefficients() {
        // 200 x 150 x 100 mm, 0.13 m2, 5 W: 7.0 K at 5.5 and 11.0 K at 3.5 W/(m2 K).
        let area = square_metres(0.13);
        for (rise, k) in [(7.0, 5.5), (11.0, 3.5)] {
            let found = overall_coefficient(Power::watts(5.0), area, rise).unwrap();
            assert!((found - k).abs() < 0.05, "{found}");
        }
    }

    #[test]
    fn a_black_lid_takes_in_more_than_the_controller_makes() {
        // By hand: 0.95 x 0.02 m2 x 1000 W/m2 = 19 W.
        let p = sun(square_metres(0.02), 0.95, 1000.0).unwrap();
        assert_relative_eq!(p.get(), 19.0, epsilon = 1e-12);
    }

    #[test]
    fn sun_and_loss_warm_the_box_in_order() {
        let shell = Enclosure {
            width: Length::mm(150.0),
            height: Length::mm(200.0),
            depth: Length::mm(100.0),
            wall: Length::mm(2.4),
        };
        let dark = State { air: c(30.0), inside: Power::ZERO, sun: Power::ZERO };
        let still = shell.temperatures(dark).unwrap();
        assert_relative_eq!(still.inside.get(), 30.0, epsilon = 1e-6);
        assert_eq!(still.overall, None);
        let warm = shell.temperatures(State { inside: Power::watts(3.0), ..dark }).unwrap();
        let lit = shell
            .temperatures(State {
                inside: Power::watts(3.0),
                sun: sun(shell.lid(), 0.95, 1000.0).unwrap(),
                ..dark
            })
            .unwrap();
        for t in [warm, lit] {
            assert!(t.outer_wall < t.inner_wall && t.inner_wall < t.inside);
        }
        assert!(lit.inside > warm.inside && lit.lid > lit.outer_wall);
    }

    #[test]
    fn numbers_out_of_range_are_refused() {
        let shell = Enclosure {
            width: Length::mm(150.0),
            height: Length::mm(200.0),
            depth: Length::mm(100.0),
            wall: Length::mm(2.4),
        };
        let state = State { air: c(20.0), inside: Power::watts(3.0), sun: Power::ZERO };
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert!(Enclosure { depth: Length::mm(bad), ..shell }.temperatures(state).is_err());
        }
        for bad in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
            let inside = Power::watts(bad);
            assert!(shell.temperatures(State { inside, ..state }).is_err());
            assert!(shell.temperatures(State { sun: inside, ..state }).is_err());
        }
        for bad in [f64::NAN, -61.0, 81.0] {
            assert!(shell.temperatures(State { air: c(bad), ..state }).is_err());
        }
        assert!(sun(square_metres(0.02), 1.1, 1000.0).is_err());
    }

    proptest! {
        #[test]
        fn what_comes_in_goes_out(
            area in 0.001..2.0f64,
            emissivity in 0.0..=1.0f64,
            height in 20.0..2000.0f64,
            air in -40.0..60.0f64,
            flux in 0.0..300.0f64,
        ) {
            let face = Surface {
                area: square_metres(area),
                emissivity,
                convection: Convection::Natural(Length::mm(height)),
            };
            let power = flux * area;
            let t = face.temperature(Power::watts(power), c(air)).unwrap();
            let out = face.given_off(t.get(), air);
            prop_assert!((out - power).abs() < 1e-6 * (1.0 + power), "{power} W in, {out} W out");
        }
    }
}
