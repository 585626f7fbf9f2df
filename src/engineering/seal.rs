//! The seal of a lid: groove, cord, screws.
//!
//! A round cord lies in a rectangular groove of the flange; the flat lid presses it down to the
//! groove's depth. Squeeze = 1 - depth / cord; fill = (pi cord^2 / 4) / (width x depth) (makers'
//! groove guides). Between two screws the lid's edge is a strip under the cord's line load w:
//! deflection k w L^4 / (384 E I), k = 5 on simple supports and 1 clamped (standard beam tables);
//! the true value lies between, and 5 is used. Screw torque T = K F d (usual short form).
//!
//! Millimetres, newtons; line loads in newtons a millimetre. Not covered: creep of the plastic (the
//! sheet gives dates for retightening) and cords that are not round.

mod lines;

pub use lines::lines;

use std::f64::consts::PI;

use serde::Serialize;

use crate::standards::gasket::{
    CORNER_PER_CORD, FILL_AIM, FILL_MOST, SQUEEZE_LEAST, WIDTH_PER_CORD,
};
use crate::units::{Force, Length, Pressure, Torque};

/// Input for which no seal can be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SealError {
    /// A value that must be above zero and finite.
    #[error("{what} must be more than 0 and finite, not {value}")]
    NotPositive {
        /// Which value.
        what: &'static str,
        /// What was given, in the unit of the argument.
        value: f64,
    },
    /// A squeeze that is none.
    #[error("the squeeze must lie above 0 and below 1, not {0}")]
    Squeeze(f64),
}

fn positive(what: &'static str, value: f64) -> Result<f64, SealError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(SealError::NotPositive { what, value })
    }
}

/// A rectangular groove for a round cord.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Groove {
    /// Cord diameter.
    pub cord: Length,
    /// Groove depth.
    pub depth: Length,
    /// Groove width.
    pub width: Length,
}

impl Groove {
    /// The groove for this cord and squeeze: depth cord (1 - squeeze), width by the quick rule
    /// (1.5 cord), or wider where the quick rule would fill it beyond the limit.
    ///
    /// # Errors
    /// When the cord is not positive and finite, or the squeeze not between 0 and 1.
    pub fn new(cord: Length, squeeze: f64) -> Result<Self, SealError> {
        let d = positive("cord diameter", cord.get())?;
        if !(squeeze > 0.0 && squeeze < 1.0) {
            return Err(SealError::Squeeze(squeeze));
        }
        let depth = d * (1.0 - squeeze);
        let for_fill = PI / 4.0 * d * d / (depth * FILL_AIM);
        let quick = d * WIDTH_PER_CORD;
        let quick_fill = PI / 4.0 * d * d / (depth * quick);
        let width = if quick_fill > FILL_MOST { for_fill } else { quick };
        Ok(Self { cord, depth: Length::mm(depth), width: Length::mm(width) })
    }

    /// Squeeze of the cord with the lid on its land.
    #[must_use]
    pub fn squeeze(&self) -> f64 {
        1.0 - self.depth / self.cord
    }

    /// Share of the groove's section that the cord takes.
    #[must_use]
    pub fn fill(&self) -> f64 {
        PI / 4.0 * (self.cord / self.width) * (self.cord / self.depth)
    }

    /// Fill when width and depth both come out smaller by the print's tolerance.
    ///
    /// # Errors
    /// When the tolerance is negative or leaves no groove.
    pub fn worst_fill(&self, tolerance: Length) -> Result<f64, SealError> {
        if tolerance < Length::ZERO {
            return Err(SealError::NotPositive { what: "print tolerance", value: tolerance.get() });
        }
        let tight = Self { depth: self.depth - tolerance, width: self.width - tolerance, ..*self };
        positive("groove depth less tolerance", tight.depth.get())?;
        positive("groove width less tolerance", tight.width.get())?;
        Ok(tight.fill())
    }

    /// Least and most squeeze when the depth is off by the print's tolerance either way.
    #[must_use]
    pub fn squeeze_band(&self, tolerance: Length) -> [f64; 2] {
        let off = tolerance.abs() / self.cord;
        [(self.squeeze() - off).max(0.0), (self.squeeze() + off).min(1.0)]
    }

    /// The least radius of the groove's centre line at a corner: three cords.
    #[must_use]
    pub fn least_corner(&self) -> Length {
        self.cord * CORNER_PER_CORD
    }

    /// How far the lid may stand off its land before the cord's squeeze falls below the least, with
    /// the print's tolerance against it; zero when the tolerance alone takes it all.
    #[must_use]
    pub fn allowed_gap(&self, tolerance: Length) -> Length {
        (self.cord * (self.squeeze() - SQUEEZE_LEAST) - tolerance.abs()).max(Length::ZERO)
    }
}

/// Cord to cut: its length and one cord diameter, which a scarf splice at 45 degrees takes.
#[must_use]
pub fn cord_to_cut(run: Length, cord: Length) -> Length {
    run + cord
}

/// The lid's edge as a strip between screws.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Strip {
    /// Width of the strip that bends: from the lid's rim to the inside of its sealing land.
    pub width: Length,
    /// Thickness of the lid there.
    pub thickness: Length,
    /// Modulus of elasticity.
    pub modulus: Pressure,
}

/// Bending of a strip between screws.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bow {
    /// On simple supports: the upper bound, on the safe side.
    pub supported: Length,
    /// Clamped at the screws: the lower bound.
    pub clamped: Length,
}

impl Strip {
    /// Stiffness E I in N mm2.
    fn stiffness(&self) -> Result<f64, SealError> {
        let b = positive("strip width", self.width.get())?;
        let t = positive("lid thickness", self.thickness.get())?;
        // 1 kPa is 0.001 N/mm2.
        let e = positive("modulus", self.modulus.get())? / 1000.0;
        Ok(e * b * t * t * t / 12.0)
    }

    /// Deflection midway between screws at this pitch, under a line load in N/mm.
    ///
    /// # Errors
    /// When a value is not positive and finite.
    pub fn bow(&self, line_load: f64, pitch: Length) -> Result<Bow, SealError> {
        let w = positive("line load", line_load)?;
        let l = positive("screw pitch", pitch.get())?;
        let clamped = positive("deflection", w * l * l * l * l / (384.0 * self.stiffness()?))?;
        Ok(Bow { supported: Length::mm(5.0 * clamped), clamped: Length::mm(clamped) })
    }

    /// The widest screw pitch at which the lid bows no more than `gap`, on simple supports:
    /// L = (384 E I gap / (5 w))^(1/4).
    ///
    /// # Errors
    /// When a value is not positive and finite.
    pub fn pitch(&self, line_load: f64, gap: Length) -> Result<Length, SealError> {
        let w = positive("line load", line_load)?;
        let gap = positive("allowed gap", gap.get())?;
        let fourth = positive("screw pitch", 384.0 * self.stiffness()? * gap / (5.0 * w))?;
        Ok(Length::mm(fourth.sqrt().sqrt()))
    }
}

/// Clamping force that each screw gives over what the cord pushes back: the land must close, and
/// printed plastic relaxes. Common practice, no source.
pub const PRELOAD_FACTOR: f64 = 2.0;

/// Force of one screw: line load x pitch x [`PRELOAD_FACTOR`].
///
/// # Errors
/// When a value is not positive and finite.
pub fn screw_force(line_load: f64, pitch: Length) -> Result<Force, SealError> {
    let force = positive("line load", line_load)? * positive("screw pitch", pitch.get())?;
    Ok(Force::newtons(positive("screw force", force * PRELOAD_FACTOR)?))
}

/// Nut factor of dry steel screws as received (bolt torque tables).
pub const NUT_FACTOR: f64 = 0.20;

/// Torque that gives a screw this force, T = K F d.
///
/// # Errors
/// When a value is not positive and finite.
pub fn screw_torque(force: Force, thread: Length, nut_factor: f64) -> Result<Torque, SealError> {
    let t = positive("nut factor", nut_factor)?
        * positive("screw force", force.get())?
        * positive("thread diameter", thread.in_metres())?;
    Ok(Torque::newton_metres(t))
}

/// A flange with a flat gasket, for the published spacing formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasketFlange {
    /// Width of the flange.
    pub flange: Length,
    /// Width of the gasket.
    pub gasket: Length,
    /// Thickness of the cover plate.
    pub thickness: Length,
    /// Modulus of the cover plate.
    pub modulus: Pressure,
    /// Difference of gasket height at the least and the most compression.
    pub height_difference: Length,
    /// Least gasket pressure, midway between screws.
    pub least_pressure: Pressure,
    /// Most gasket pressure, at the screws.
    pub most_pressure: Pressure,
}

/// Kilopascals in a pound-force per square inch.
const KPA_PER_PSI: f64 = 6.894_757;

impl GasketFlange {
    /// Screw spacing C = [480 (a / b) E t^3 dH / (13 Pmin + 2 Pmax)]^(1/4), the gasket makers'
    /// formula in inch and pound units (variables as published; the constants 480, 13 and 2 are from
    /// memory). a is the flange's width, b the gasket's.
    ///
    /// # Errors
    /// When a value is not positive and finite.
    #[cfg_attr(not(test), expect(dead_code, reason = "waits for the closure of the lid"))]
    pub fn spacing(&self) -> Result<Length, SealError> {
        let inches = |what, l: Length| positive(what, l.get() / crate::units::MM_PER_INCH);
        let psi = |what, p: Pressure| positive(what, p.get() / KPA_PER_PSI);
        let ratio = inches("flange width", self.flange)? / inches("gasket width", self.gasket)?;
        let t = inches("cover thickness", self.thickness)?;
        let stiff = psi("modulus", self.modulus)? * t * t * t;
        let rise = inches("height difference", self.height_difference)?;
        let load = 13.0 * psi("least pressure", self.least_pressure)?
            + 2.0 * psi("most pressure", self.most_pressure)?;
        let fourth = positive("spacing", 480.0 * ratio * stiff * rise / load)?;
        Ok(Length::inches(fourth.sqrt().sqrt()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn a_published_groove_depth() {
        // Worked example of a gland design page (Gioang gasket): cord 2.62 mm, 20 % squeeze, depth
        // 2.10 mm.
        let g = Groove::new(mm(2.62), 0.20).unwrap();
        assert_relative_eq!(g.depth.get(), 2.10, epsilon = 5e-3);
    }

    #[test]
    fn the_quick_rule_of_groove_makers() {
        // Depth 0.75 and width 1.5 times the cord (The O-Ring Store, cord groove page).
        for (cord, depth, width) in [(1.78, 1.35, 2.67), (2.62, 1.96, 3.94), (3.53, 2.64, 5.31)] {
            let g = Groove::new(mm(cord), 0.25).unwrap();
            assert_relative_eq!(g.depth.get(), depth, epsilon = 0.02);
            assert_relative_eq!(g.width.get(), width, epsilon = 0.02);
            // pi / 4 / (0.75 x 1.5) for every cord.
            assert_relative_eq!(g.fill(), 0.6981, epsilon = 5e-5);
        }
        // A deep squeeze gets a wider groove in place of one that is too full.
        assert!(Groove::new(mm(3.0), 0.40).unwrap().fill() <= FILL_MOST);
    }

    #[test]
    fn squeeze_and_fill_move_with_the_print() {
        let g = Groove::new(mm(3.0), 0.25).unwrap();
        let [least, most] = g.squeeze_band(mm(0.15));
        assert_relative_eq!(least, 0.20, epsilon = 1e-12);
        assert_relative_eq!(most, 0.30, epsilon = 1e-12);
        // pi 9 / 4 / (2.1 x 4.35).
        assert_relative_eq!(g.worst_fill(mm(0.15)).unwrap(), 0.77379, epsilon = 5e-5);
        assert!(g.worst_fill(mm(3.0)).is_err());
        // 3 (0.25 - 0.10) - 0.15 mm.
        assert_relative_eq!(g.allowed_gap(mm(0.15)).get(), 0.30, epsilon = 1e-12);
        assert_eq!(g.allowed_gap(mm(1.0)), Length::ZERO);
    }

    #[test]
    fn a_strip_between_screws() {
        // Standard beam tables (5 w L^4 / 384 E I, w L^4 / 384 E I): E 2000 MPa, strip 12 x 4 mm,
        // 1 N/mm, 40 mm.
        let strip = Strip { width: mm(12.0), thickness: mm(4.0), modulus: Pressure::kpa(2e6) };
        let bow = strip.bow(1.0, mm(40.0)).unwrap();
        assert_relative_eq!(bow.supported.get(), 0.260, epsilon = 5e-4);
        assert_relative_eq!(bow.clamped.get(), 0.0521, epsilon = 5e-5);
        // Twice the pitch, sixteen times the gap.
        let wide = strip.bow(1.0, mm(80.0)).unwrap();
        assert_relative_eq!(wide.supported / bow.supported, 16.0, epsilon = 1e-9);
        assert_relative_eq!(strip.pitch(1.0, bow.supported).unwrap().get(), 40.0, epsilon = 1e-9);
        assert!(strip.bow(f64::NAN, mm(40.0)).is_err());
    }

    #[test]
    fn a_published_bolt_torque() {
        // Engineering toolbox calculators, bolt torque: M10, K 0.2, 50 N.m gives 25 kN.
        let t = screw_torque(Force::newtons(25_000.0), mm(10.0), 0.2).unwrap();
        assert_relative_eq!(t.get(), 50.0, epsilon = 1e-9);
        let f = screw_force(1.0, mm(40.0)).unwrap();
        assert_relative_eq!(f.get(), 80.0, epsilon = 1e-12);
    }

    #[test]
    fn published_gasket_spacing() {
        let psi = |v: f64| Pressure::kpa(v * KPA_PER_PSI);
        let flange = |e: f64, t: f64, low: f64, high: f64| GasketFlange {
            flange: mm(20.0),
            gasket: mm(20.0),
            thickness: Length::inches(t),
            modulus: psi(e),
            height_difference: Length::inches(0.02),
            least_pressure: psi(low),
            most_pressure: psi(high),
        };
        // Engineers Edge, gasket cover compression: a gasket of half the flange's width spaces the
        // bolts 1.19 times as far.
        let full = flange(1e7, 0.125, 20.0, 50.0);
        let half = GasketFlange { gasket: mm(10.0), ..full };
        let ratio = half.spacing().unwrap() / full.spacing().unwrap();
        assert_relative_eq!(ratio, 1.19, epsilon = 1e-3);
        // Digits by hand from the formula, with its constants from memory.
        assert_relative_eq!(full.spacing().unwrap().get() / 25.4, 4.777, epsilon = 5e-4);
        let plastic = flange(3e5, 0.157, 5.0, 15.0);
        assert_relative_eq!(plastic.spacing().unwrap().get(), 83.6, epsilon = 0.05);
    }
}
