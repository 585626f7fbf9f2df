//! Bending of ears, strap passages and flange bars; the eye of a lanyard.
//!
//! Elastic beam formulas (any strength-of-materials text): rectangle `sigma = 6 M / (b h^2)`,
//! cantilever `M = F L`, `deflection = F L^3 / (3 E I)`, beam clamped at both ends under an even load
//! `M = F L / 12`.
//!
//! Print pose: the saddle stands on its lower end, layers level. Ear bending runs along the layers.
//! The web behind a strap passage spans the passage's height, so its bending pulls layers apart.
//!
//! The design stresses of [`super::limits`] hold all safety; loads enter unfactored.

use super::limits::{Direction, Duration, Print, StrengthError};
use crate::bisection::try_border;
use crate::engineering::account::{Line, Side};
use crate::engineering::guard::{OutOfRange, finite, not_negative, positive};
use crate::units::{Angle, Force, Length, Pressure};

/// A megapascal (newton a square millimetre) in kilopascals.
const KPA_PER_MPA: f64 = 1000.0;

/// Second moment of area of a rectangle, mm4; `depth` along the load.
fn second_moment(width: f64, depth: f64) -> f64 {
    width * depth * depth * depth / 12.0
}

/// Bending stress of a rectangle `6 M / (b h^2)`; `moment` in N.mm.
fn bending(moment: f64, width: f64, depth: f64) -> Pressure {
    Pressure::kpa(6.0 * moment / (width * depth * depth) * KPA_PER_MPA)
}

/// Root stress of a cantilever of rectangular section, `6 F L / (b h^2)`: an ear, or the bar of a
/// T-shaped saddle front beyond its stem.
///
/// # Errors
/// A negative force or arm, a section that is not above zero, a stress beyond all numbers.
pub(crate) fn cantilever_stress(
    force: Force,
    arm: Length,
    width: Length,
    depth: Length,
) -> Result<Pressure, OutOfRange> {
    let moment = not_negative("the force", force.get())? * not_negative("the arm", arm.get())?;
    let width = positive("the section's width", width.get())?;
    let depth = positive("the section's depth", depth.get())?;
    let stress = bending(moment, width, depth);
    finite("the bending stress", stress.get())?;
    Ok(stress)
}

/// Depth at which a cantilever of rectangular section bears a stress, `sqrt(6 F L / (b sigma))`: the
/// inverse of [`cantilever_stress`].
///
/// # Errors
/// As [`cantilever_stress`], or a stress that is not above zero.
pub(crate) fn cantilever_depth(
    force: Force,
    arm: Length,
    width: Length,
    stress: Pressure,
) -> Result<Length, OutOfRange> {
    let limit = positive("the stress", stress.get())?;
    // The stress falls with the square of the depth.
    let at_one = cantilever_stress(force, arm, width, Length::mm(1.0))?;
    Ok(Length::mm((at_one.get() / limit).sqrt()))
}

/// Tip deflection of a cantilever, `F L^3 / (3 E I)`.
///
/// # Errors
/// As [`cantilever_stress`], or a modulus that is not above zero.
pub(crate) fn cantilever_deflection(
    force: Force,
    arm: Length,
    width: Length,
    depth: Length,
    modulus: Pressure,
) -> Result<Length, OutOfRange> {
    let force = not_negative("the force", force.get())?;
    let arm = not_negative("the arm", arm.get())?;
    let width = positive("the section's width", width.get())?;
    let depth = positive("the section's depth", depth.get())?;
    let modulus = positive("the modulus", modulus.get())? / KPA_PER_MPA;
    let tip = force * arm * arm * arm / (3.0 * modulus * second_moment(width, depth));
    Ok(Length::mm(finite("the deflection", tip)?))
}

/// One of the yoke's two ears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ear {
    /// From the root at the saddle to the pivot.
    pub reach: Length,
    /// Across the yoke.
    pub thickness: Length,
    /// Upright, at the root.
    pub height: Length,
}

/// What the two ears carry together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct EarLoad {
    /// Weight of the lamp.
    pub weight: Force,
    /// Wind in the beam's vertical plane.
    pub front: Force,
    /// Wind across it.
    pub side: Force,
}

/// Stress and movement of an ear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct EarStress {
    /// From weight alone.
    pub sustained: Pressure,
    /// From weight and gust together.
    pub gust: Pressure,
    /// Allowed for weight alone.
    pub sustained_limit: Pressure,
    /// Allowed for weight and gust.
    pub gust_limit: Pressure,
    /// Sideways movement of the pivot in the gust.
    pub sway: Length,
}

impl EarStress {
    /// Whether both stresses stay within their limits.
    #[must_use]
    pub(crate) fn holds(&self) -> bool {
        self.sustained <= self.sustained_limit && self.gust <= self.gust_limit
    }
}

impl Ear {
    /// Stresses at the root. Each ear takes half of every load as a cantilever of its own; the lamp
    /// between them would stiffen them, which is not counted. The front wind is taken as added weight.
    ///
    /// # Errors
    /// A measure out of range, or a polymer too soft for the day.
    pub(crate) fn stress(&self, load: &EarLoad, print: &Print) -> Result<EarStress, StrengthError> {
        let half = |f: Force| f * 0.5;
        let upright = |f| cantilever_stress(half(f), self.reach, self.thickness, self.height);
        let across = |f| cantilever_stress(half(f), self.reach, self.height, self.thickness);
        let sustained = upright(load.weight)?;
        let gust = sustained + upright(load.front)? + across(load.side)?;
        finite("the ear's stress", gust.get())?;
        Ok(EarStress {
            sustained,
            gust,
            sustained_limit: print.limit(Direction::InLayer, Duration::Sustained)?,
            gust_limit: print.limit(Direction::InLayer, Duration::Gust)?,
            sway: cantilever_deflection(
                half(load.side),
                self.reach,
                self.height,
                self.thickness,
                print.modulus()?,
            )?,
        })
    }
}

/// Bearing stress of a pin in its hole, `F / (d t)`.
///
/// # Errors
/// A negative force, a pin or wall that is not above zero.
pub(crate) fn bearing_stress(
    force: Force,
    pin: Length,
    wall: Length,
) -> Result<Pressure, OutOfRange> {
    let force = not_negative("the force", force.get())?;
    let area = positive("the pin's diameter", pin.get())? * positive("the wall", wall.get())?;
    Ok(Pressure::kpa(finite("the bearing stress", force / area * KPA_PER_MPA)?))
}

/// Eye of a lanyard, or an ear with a pulled hole: the larger of net-section tension
/// `F / (t (w - d))` and tear-out shear `F / (2 t e)` taken at twice its value, since shear strength
/// is counted as half of tensile strength (maximum shear theory).
///
/// # Errors
/// A negative force, a hole as wide as the eye, or a measure that is not above zero.
#[cfg_attr(not(test), expect(dead_code, reason = "waits for the lanyard"))]
pub(crate) fn eye_stress(
    force: Force,
    wall: Length,
    width: Length,
    hole: Length,
    edge: Length,
) -> Result<Pressure, OutOfRange> {
    let force = not_negative("the force", force.get())?;
    let wall = positive("the eye's thickness", wall.get())?;
    let net = positive("the eye's width beside its hole", width.get() - hole.get())?;
    let edge = positive("the distance from hole to edge", edge.get())?;
    let stress = f64::max(force / (wall * net), 2.0 * force / (2.0 * wall * edge));
    Ok(Pressure::kpa(finite("the eye's stress", stress * KPA_PER_MPA)?))
}

/// A strap passage: the strap presses on the web between passage and pad, at the rounded mouths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Passage {
    /// Clear height of the passage, along the trunk: the web's span.
    pub height: Length,
    /// Width of the webbing.
    pub strap_width: Length,
    /// Thickness of the web behind the strap at the mouth.
    pub web: Length,
    /// Radius of the mouth's edge.
    pub edge_radius: Length,
    /// Turn of the strap at one mouth.
    pub turn: Angle,
}

impl Passage {
    /// Bending stress of the web, across the layers. The mouth's force `2 T sin(turn / 2)` spreads
    /// at 45 degrees over a strip as wide as edge radius and web together, clamped above and below;
    /// the pad behind it would carry part of it, which is not counted.
    ///
    /// # Errors
    /// A negative tension or turn, a measure that is not above zero.
    pub(crate) fn web_stress(&self, tension: Force) -> Result<Pressure, OutOfRange> {
        let tension = not_negative("the strap's tension", tension.get())?;
        let turn = not_negative("the strap's turn at the mouth", self.turn.rad())?;
        let height = positive("the passage's height", self.height.get())?;
        let web = positive("the web behind the strap", self.web.get())?;
        let radius = positive("the radius of the strap mouth's edge", self.edge_radius.get())?;
        let force = 2.0 * tension * libm::sin(turn.min(std::f64::consts::PI) / 2.0);
        let stress = bending(force * height / 12.0, radius + web, web);
        finite("the web's stress", stress.get())?;
        Ok(stress)
    }

    /// Pressure of the strap on the mouth's edge, `T / (R b)`.
    ///
    /// # Errors
    /// As [`Passage::web_stress`].
    pub(crate) fn edge_pressure(&self, tension: Force) -> Result<Pressure, OutOfRange> {
        bearing_stress(tension, self.edge_radius, self.strap_width)
    }

    /// Most tension over the mouth's edge, and most force on the web, whatever the turn.
    ///
    /// # Errors
    /// A measure out of range, or a polymer too soft for the day.
    pub(crate) fn bears(&self, print: &Print) -> Result<[Force; 2], StrengthError> {
        let one = Force::newtons(1.0);
        let edge =
            print.limit(Direction::InLayer, Duration::Sustained)? / self.edge_pressure(one)?;
        // Half a turn doubles the pull.
        let back = Self { turn: Angle::degrees(180.0), ..*self };
        let web =
            print.limit(Direction::AcrossLayers, Duration::Sustained)? / back.web_stress(one)?;
        Ok([edge, 2.0 * web].map(Force::newtons))
    }

    /// The least web that bears a tension: the root of `F L / 2 = s (R + t) t^2`, found by
    /// bisection, since the right side grows with `t`.
    ///
    /// # Errors
    /// As [`Passage::bears`].
    pub(crate) fn least_web(&self, tension: Force, print: &Print) -> Result<Length, StrengthError> {
        let limit = print.limit(Direction::AcrossLayers, Duration::Sustained)?;
        let stress = |t: f64| Self { web: Length::mm(t), ..*self }.web_stress(tension);
        let (mut low, mut high) = (WEB_FLOOR, WEB_FLOOR);
        while stress(high)? > limit {
            (low, high) = (high, 2.0 * high);
        }
        let bears = |t: f64| stress(t).map(|found| found <= limit);
        let [web, _] = try_border(high, low, BISECTIONS, bears)?;
        Ok(Length::mm(web))
    }
}

/// Thinnest web that prints: two lines of 0.4 mm.
const WEB_FLOOR: f64 = 0.8;
/// Halvings: a step of millimetres goes under a nanometre.
const BISECTIONS: usize = 40;

/// Bending stress of a saddle across its middle: two mouth forces of half the seat force each at
/// half width `W`, carried by an evenly pressed pad of half width `w`: `M = N |2 W - w| / 4`.
///
/// # Errors
/// A negative force, a measure that is not above zero.
#[expect(dead_code, reason = "waits for thinner saddles")]
pub(crate) fn saddle_stress(
    seat_force: Force,
    mouth_half_width: Length,
    pad_half_width: Length,
    height: Length,
    depth: Length,
) -> Result<Pressure, OutOfRange> {
    let mouth = positive("the half width at the strap's mouths", mouth_half_width.get())?;
    let pad = positive("the pad's half width", pad_half_width.get())?;
    let arm = Length::mm((2.0 * mouth - pad).abs() / 4.0);
    cantilever_stress(seat_force, arm, height, depth)
}

/// The account of an ear.
#[must_use]
pub(crate) fn ear_lines(ear: &Ear, load: &EarLoad, found: &EarStress) -> Vec<Line> {
    let dims =
        |line: Line| line.input("L", ear.reach).input("t", ear.thickness).input("h", ear.height);
    let (s, g) = (found.sustained, found.gust);
    vec![
        dims(Line::new(
            "ear under weight",
            "6 (W/2) L / (t h^2)",
            megapascals(s),
            "cantilever (strength of materials); design stress: tests, layer, creep and warm factor",
        )
        .input("W", load.weight))
        .against(Side::AtMost, s.get(), found.sustained_limit.get(), megapascals(found.sustained_limit)),
        dims(Line::new(
            "ear under weight and gust",
            "6 ((W + F)/2) L / (t h^2) + 6 (S/2) L / (h t^2)",
            megapascals(g),
            "cantilever (strength of materials); design stress: tests and warm factor",
        )
        .input("W", load.weight)
        .input("F", load.front)
        .input("S", load.side))
        .against(Side::AtMost, g.get(), found.gust_limit.get(), megapascals(found.gust_limit)),
    ]
}

/// The account of a strap passage at a tension.
///
/// # Errors
/// As [`Passage::bears`].
pub(crate) fn passage_lines(
    passage: &Passage,
    tension: Force,
    print: &Print,
) -> Result<Vec<Line>, StrengthError> {
    let web = passage.web_stress(tension)?;
    let web_limit = print.limit(Direction::AcrossLayers, Duration::Sustained)?;
    let edge = passage.edge_pressure(tension)?;
    let edge_limit = print.limit(Direction::InLayer, Duration::Sustained)?;
    Ok(vec![
        Line::new(
            "web behind the strap, across the layers",
            "6 (2 T sin(turn/2) L / 12) / ((R + t) t^2)",
            megapascals(web),
            "beam clamped at both ends (strength of materials)",
        )
        .input("T", tension)
        .input("turn", passage.turn)
        .input("L", passage.height)
        .input("R", passage.edge_radius)
        .input("t", passage.web)
        .against(Side::AtMost, web.get(), web_limit.get(), megapascals(web_limit)),
        Line::new("strap on the mouth's edge", "T / (R b)", megapascals(edge), "belt pressure")
            .input("T", tension)
            .input("R", passage.edge_radius)
            .input("b", passage.strap_width)
            .against(Side::AtMost, edge.get(), edge_limit.get(), megapascals(edge_limit)),
    ])
}

/// A stress as `3.64 MPa`.
pub(crate) fn megapascals(stress: Pressure) -> String {
    format!("{} MPa", crate::units::trimmed(stress.get() / KPA_PER_MPA, 2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::PolymerKind;
    use crate::units::Temperature;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn petg() -> Print {
        Print { polymer: PolymerKind::Petg, warm: Temperature::celsius(30.0), dark: false }
    }
    fn mm(v: f64) -> Length {
        Length::mm(v)
    }
    fn n(v: f64) -> Force {
        Force::newtons(v)
    }

    #[test]
    fn cantilever_of_nash() {
        // Nash, Strength of Materials (Schaum): P = 5 kN, L = 2 m, E = 200 GPa, I = 4e-6 m4: 16.67 mm.
        // A square of the same I: side (12 I)^(1/4).
        let side = libm::pow(12.0 * 4e6, 0.25);
        let tip = cantilever_deflection(n(5e3), mm(2e3), mm(side), mm(side), Pressure::kpa(200e6))
            .unwrap();
        assert!((tip.get() - 16.67).abs() < 0.005);
    }

    #[test]
    fn rectangle_of_schaum() {
        // Schaum's outline: 0.1 m x 0.2 m, 20 kN.m: I = 6.667e-5 m4, 30 MPa.
        assert!((second_moment(100.0, 200.0) - 6.667e7).abs() < 1e4);
        let stress = cantilever_stress(n(20e3), mm(1e3), mm(100.0), mm(200.0)).unwrap();
        assert_relative_eq!(stress.get(), 30e3, max_relative = 1e-12);
    }

    #[test]
    fn passage_tension_and_web_are_inverse() {
        let passage = Passage {
            height: mm(26.2),
            strap_width: mm(25.0),
            web: mm(8.0),
            edge_radius: mm(4.0),
            turn: Angle::degrees(50.0),
        };
        let [_, force] = passage.bears(&petg()).unwrap();
        let most = force / (2.0 * Angle::degrees(25.0).sin());
        let web = passage.least_web(most, &petg()).unwrap();
        assert!((web.get() - 8.0).abs() < 1e-6);
        // Clamped beam by hand: F = 2 x 100 sin 25 deg = 84.52 N, M = F x 26.2 / 12 = 184.5 N.mm,
        // section 12 x 8^2 / 6 = 128 mm3: 1.442 MPa.
        let stress = passage.web_stress(n(100.0)).unwrap();
        assert!((stress.get() - 1442.0).abs() < 1.0);
    }

    #[test]
    fn eye_by_hand_and_bad_measures() {
        // 500 N, 6 thick, 20 wide, hole 8, edge 10: net 6.94 MPa, tear-out 2 x 4.17 = 8.33 MPa.
        let stress = eye_stress(n(500.0), mm(6.0), mm(20.0), mm(8.0), mm(10.0)).unwrap();
        assert!((stress.get() - 8333.0).abs() < 1.0);
        assert!(eye_stress(n(500.0), mm(6.0), mm(8.0), mm(8.0), mm(10.0)).is_err());
        assert!(cantilever_stress(n(f64::NAN), mm(1.0), mm(1.0), mm(1.0)).is_err());
        assert!(cantilever_stress(n(1e300), mm(1e300), mm(1.0), mm(1.0)).is_err());
        assert!(bearing_stress(n(10.0), mm(0.0), mm(1.0)).is_err());
    }

    proptest! {
        #[test]
        fn a_thicker_ear_is_never_more_stressed(t in 2.0..20.0_f64, more in 0.0..10.0_f64, f in 0.0..200.0_f64) {
            let load = EarLoad { weight: n(f), front: n(f), side: n(f) };
            let at = |t| Ear { reach: mm(60.0), thickness: mm(t), height: mm(50.0) }.stress(&load, &petg()).unwrap();
            prop_assert!(at(t + more).gust <= at(t).gust);
        }
    }
}
