//! The seal of a lid: groove, gasket, the lid's edge between its fasteners.
//!
//! A gasket lies in a rectangular groove of the flange; the flat lid presses it down to the groove's
//! depth, where the land stops it. Squeeze = 1 - depth / height of the free gasket. A round cord keeps
//! its volume: fill = (pi cord^2 / 4) / (width x depth) (makers' groove guides). A strip of
//! closed-cell sponge is compressed: its stress at the squeeze follows from its grade at 25 %
//! (ASTM D1056) by the gas in its cells, p ~ e / (1 - e - R) (Gibson and Ashby), and a share of its
//! deflection stays as set. Between two fasteners the lid's edge, stiffened by its skirt, is a beam
//! under the gasket's line load w: deflection k w L^4 / (384 E I), k = 5 on simple supports and 1
//! clamped (standard beam tables); the true value lies between, and 5 is used. Torque T = K F d (usual
//! short form).
//!
//! Millimetres, newtons; line loads in newtons a millimetre. Not covered: creep of the plastic beyond
//! its long-term modulus, gas that leaves the sponge (its frame and the set decide then).

mod lines;

pub(crate) use lines::lines;

use std::f64::consts::PI;

use serde::Serialize;

use crate::standards::GasketKind;
use crate::standards::gasket::{
    CORNER_PER_CORD, CORNER_PER_WIDTH, FILL_AIM, FILL_MOST, GRADE_1, GRADED_AT, SPONGE_ROOM,
    SPONGE_SET, SPONGE_SOLID, SPONGE_SQUEEZE_MOST, SQUEEZE_LEAST, SQUEEZE_MOST, WIDTH_PER_CORD,
};
use crate::standards::words::words;
use crate::units::{Force, Length, Pressure, Torque, trimmed};

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

words! {
    /// How the lid is closed.
    Closing {
        /// Printed knobs over hexagon screws that stay in the lid, turned by gloved fingers.
        Knobs "knobs",
        /// Socket cap screws, turned by a key.
        Screws "screws",
    }
}

/// What lies in the groove.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Gasket {
    /// A round cord.
    Cord {
        /// Its diameter.
        diameter: Length,
    },
    /// A strip of closed-cell sponge.
    Sponge {
        /// Free thickness.
        thickness: Length,
        /// Width.
        width: Length,
    },
}

/// Line load of a cord at its squeeze, N/mm: soft solid or firm foamed silicone cord (common practice, no
/// source).
const CORD_LOAD: f64 = 1.0;

impl Gasket {
    /// Which kind it is.
    #[must_use]
    pub const fn kind(&self) -> GasketKind {
        match self {
            Self::Cord { .. } => GasketKind::Cord,
            Self::Sponge { .. } => GasketKind::Sponge,
        }
    }

    /// How high it stands before it is pressed.
    #[must_use]
    pub const fn height(&self) -> Length {
        match self {
            Self::Cord { diameter } => *diameter,
            Self::Sponge { thickness, .. } => *thickness,
        }
    }

    /// Diameter of the cord, or width of the strip.
    #[must_use]
    pub const fn across(&self) -> Length {
        match self {
            Self::Cord { diameter } => *diameter,
            Self::Sponge { width, .. } => *width,
        }
    }

    /// Squeeze that is aimed at: face seals of cord take 20 to 30 % (seal makers' design guides), closed-cell
    /// sponge 25 to 30 %.
    #[must_use]
    pub const fn usual_squeeze(&self) -> f64 {
        match self {
            Self::Cord { .. } => 0.25,
            Self::Sponge { .. } => 0.3,
        }
    }

    /// The most squeeze that it bears.
    #[must_use]
    pub(crate) const fn most_squeeze(&self) -> f64 {
        match self {
            Self::Cord { .. } => SQUEEZE_MOST,
            Self::Sponge { .. } => SPONGE_SQUEEZE_MOST,
        }
    }

    /// Share of its deflection that stays when the lid is opened.
    const fn set(&self) -> f64 {
        match self {
            Self::Cord { .. } => 0.0,
            Self::Sponge { .. } => SPONGE_SET,
        }
    }

    /// By how much the allowed gap grows with the squeeze, a whole squeeze being 1.
    #[must_use]
    pub(crate) fn gap_per_squeeze(&self) -> Length {
        self.height() * (1.0 - self.set() * (1.0 - SQUEEZE_LEAST))
    }

    /// Line load at this squeeze in N/mm, where nobody has measured it: of sponge, the stiffest of
    /// grade 1 over its width.
    #[must_use]
    pub(crate) fn usual_line_load(&self, squeeze: f64) -> f64 {
        match self {
            Self::Cord { .. } => CORD_LOAD,
            Self::Sponge { width, .. } => {
                let gas = |e: f64| e / (1.0 - e - SPONGE_SOLID).max(SPONGE_SOLID);
                // 1 kPa is 0.001 N/mm2.
                GRADE_1[1] / 1000.0 * gas(squeeze) / gas(GRADED_AT) * width.get()
            }
        }
    }
}

impl std::fmt::Display for Gasket {
    /// As on the buying list: `cord 3 mm`, `sponge 6 x 6 mm`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mm = |l: Length| trimmed(l.get(), 2);
        match self {
            Self::Cord { diameter } => write!(f, "cord {} mm", mm(*diameter)),
            Self::Sponge { thickness, width } => {
                write!(f, "sponge strip {} x {} mm", mm(*width), mm(*thickness))
            }
        }
    }
}

/// A rectangular groove and the gasket in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Groove {
    /// What lies in it.
    pub gasket: Gasket,
    /// Groove depth.
    pub depth: Length,
    /// Groove width.
    pub width: Length,
}

impl Groove {
    /// The groove for this gasket and squeeze: depth = height (1 - squeeze). Of a cord the width is that
    /// of the quick rule (1.5 cord), or wider where the quick rule would fill it beyond the limit; of a
    /// strip its own and room to bulge.
    ///
    /// # Errors
    /// When a size is not positive and finite, or the squeeze not between 0 and 1.
    pub fn new(gasket: Gasket, squeeze: f64) -> Result<Self, SealError> {
        let h = positive("height of the gasket", gasket.height().get())?;
        if !(squeeze > 0.0 && squeeze < 1.0) {
            return Err(SealError::Squeeze(squeeze));
        }
        let depth = h * (1.0 - squeeze);
        let width = match gasket {
            Gasket::Cord { .. } => {
                let for_fill = PI / 4.0 * h * h / (depth * FILL_AIM);
                let quick = h * WIDTH_PER_CORD;
                let quick_fill = PI / 4.0 * h * h / (depth * quick);
                if quick_fill > FILL_MOST { for_fill } else { quick }
            }
            Gasket::Sponge { width, .. } => {
                positive("width of the strip", width.get())? + SPONGE_ROOM
            }
        };
        Ok(Self { gasket, depth: Length::mm(depth), width: Length::mm(width) })
    }

    /// Squeeze of the gasket with the lid on its land.
    #[must_use]
    pub fn squeeze(&self) -> f64 {
        1.0 - self.depth / self.gasket.height()
    }

    /// Share of the groove's section that a cord takes; none of sponge, which is compressed.
    #[must_use]
    pub fn fill(&self) -> Option<f64> {
        match self.gasket {
            Gasket::Cord { diameter: d } => Some(PI / 4.0 * (d / self.width) * (d / self.depth)),
            Gasket::Sponge { .. } => None,
        }
    }

    /// Fill when width and depth both come out smaller by the print's tolerance.
    ///
    /// # Errors
    /// When the tolerance is negative or leaves no groove.
    pub fn worst_fill(&self, tolerance: Length) -> Result<Option<f64>, SealError> {
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
        let off = tolerance.abs() / self.gasket.height();
        [(self.squeeze() - off).max(0.0), (self.squeeze() + off).min(1.0)]
    }

    /// The least radius of the groove's centre line at a corner: three cords, two widths of a strip.
    #[must_use]
    pub fn least_corner(&self) -> Length {
        match self.gasket {
            Gasket::Cord { diameter } => diameter * CORNER_PER_CORD,
            Gasket::Sponge { width, .. } => width * CORNER_PER_WIDTH,
        }
    }

    /// Height to which the gasket springs back when the lid is opened after weeks.
    #[must_use]
    pub(crate) fn springs_back_to(&self) -> Length {
        self.gasket.height() * (1.0 - self.gasket.set() * self.squeeze())
    }

    /// How far the lid may stand off its land before the squeeze of the gasket, its set taken off, falls
    /// below the least, with the print's tolerance against it; zero when the tolerance alone takes it all.
    #[must_use]
    pub fn allowed_gap(&self, tolerance: Length) -> Length {
        self.free_gap(tolerance).max(Length::ZERO)
    }

    /// The same, below zero where the tolerance takes more than all of it.
    pub(crate) fn free_gap(&self, tolerance: Length) -> Length {
        self.springs_back_to() * (1.0 - SQUEEZE_LEAST) - self.depth - tolerance.abs()
    }
}

/// Gasket to cut: its run, and what the joint takes: a scarf splice at 45 degrees one cord, a butt joint
/// of sponge one thickness, with which it is pressed against itself.
#[must_use]
pub(crate) fn gasket_to_cut(run: Length, gasket: &Gasket) -> Length {
    run + gasket.height()
}

/// The lid's edge as a beam between fasteners: a flat strip, and a skirt that hangs from its outer edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Strip {
    /// Width of the strip that bends: from the lid's outer edge to the inside of its sealing land.
    pub width: Length,
    /// Thickness of the lid there.
    pub thickness: Length,
    /// Thickness and depth of the skirt below the strip; zero without one.
    pub skirt: [Length; 2],
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
    /// Second moment of area about the level axis through the section's middle, mm4: two rectangles by
    /// the parallel axis theorem.
    ///
    /// # Errors
    /// When a size is not positive and finite; the skirt may be nothing.
    pub fn second_moment(&self) -> Result<f64, SealError> {
        let b = positive("strip width", self.width.get())?;
        let t = positive("lid thickness", self.thickness.get())?;
        let [web, deep] = self.skirt.map(|l| l.get().max(0.0));
        let (strip, skirt) = (b * t, web * deep);
        // Distance of the two rectangles' middles.
        let apart = (t + deep) / 2.0;
        let own = (strip * t * t + skirt * deep * deep) / 12.0;
        positive("second moment", own + strip * skirt / (strip + skirt) * apart * apart)
    }

    /// Stiffness E I in N mm2.
    fn stiffness(&self) -> Result<f64, SealError> {
        // 1 kPa is 0.001 N/mm2.
        Ok(positive("modulus", self.modulus.get())? / 1000.0 * self.second_moment()?)
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
pub(crate) const PRELOAD_FACTOR: f64 = 2.0;

/// Force of one screw: line load x pitch x [`PRELOAD_FACTOR`].
///
/// # Errors
/// When a value is not positive and finite.
pub(crate) fn screw_force(line_load: f64, pitch: Length) -> Result<Force, SealError> {
    let force = positive("line load", line_load)? * positive("screw pitch", pitch.get())?;
    Ok(Force::newtons(positive("screw force", force * PRELOAD_FACTOR)?))
}

/// Nut factor of dry steel screws as received (bolt torque tables).
pub(crate) const NUT_FACTOR: f64 = 0.20;

/// Torque that gives a screw this force, T = K F d.
///
/// # Errors
/// When a value is not positive and finite.
pub(crate) fn screw_torque(
    force: Force,
    thread: Length,
    nut_factor: f64,
) -> Result<Torque, SealError> {
    let t = positive("nut factor", nut_factor)?
        * positive("screw force", force.get())?
        * positive("thread diameter", thread.in_metres())?;
    Ok(Torque::newton_metres(t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    fn cord(diameter: f64) -> Gasket {
        Gasket::Cord { diameter: mm(diameter) }
    }

    #[test]
    fn a_published_groove_depth() {
        // Worked example of a gland design page (Gioang gasket): cord 2.62 mm, 20 % squeeze, depth
        // 2.10 mm.
        let g = Groove::new(cord(2.62), 0.20).unwrap();
        assert_relative_eq!(g.depth.get(), 2.10, epsilon = 5e-3);
    }

    #[test]
    fn the_quick_rule_of_groove_makers() {
        // Depth 0.75 and width 1.5 times the cord (The O-Ring Store, cord groove page).
        for (diameter, depth, width) in [(1.78, 1.35, 2.67), (2.62, 1.96, 3.94), (3.53, 2.64, 5.31)]
        {
            let g = Groove::new(cord(diameter), 0.25).unwrap();
            assert_relative_eq!(g.depth.get(), depth, epsilon = 0.02);
            assert_relative_eq!(g.width.get(), width, epsilon = 0.02);
            // pi / 4 / (0.75 x 1.5) for every cord.
            assert_relative_eq!(g.fill().unwrap(), 0.6981, epsilon = 5e-5);
        }
        // A deep squeeze gets a wider groove in place of one that is too full.
        assert!(Groove::new(cord(3.0), 0.40).unwrap().fill().unwrap() <= FILL_MOST);
    }

    #[test]
    fn squeeze_and_fill_move_with_the_print() {
        let g = Groove::new(cord(3.0), 0.25).unwrap();
        let [least, most] = g.squeeze_band(mm(0.15));
        assert_relative_eq!(least, 0.20, epsilon = 1e-12);
        assert_relative_eq!(most, 0.30, epsilon = 1e-12);
        // pi 9 / 4 / (2.1 x 4.35).
        assert_relative_eq!(g.worst_fill(mm(0.15)).unwrap().unwrap(), 0.77379, epsilon = 5e-5);
        assert!(g.worst_fill(mm(3.0)).is_err());
        // 3 (0.25 - 0.10) - 0.15 mm.
        assert_relative_eq!(g.allowed_gap(mm(0.15)).get(), 0.30, epsilon = 1e-12);
        assert_eq!(g.allowed_gap(mm(1.0)), Length::ZERO);
    }

    #[test]
    fn a_strip_between_screws() {
        // Standard beam tables (5 w L^4 / 384 E I, w L^4 / 384 E I): E 2000 MPa, strip 12 x 4 mm,
        // 1 N/mm, 40 mm.
        let flat = Strip {
            width: mm(12.0),
            thickness: mm(4.0),
            skirt: [Length::ZERO; 2],
            modulus: Pressure::kpa(2e6),
        };
        assert_relative_eq!(flat.second_moment().unwrap(), 64.0, epsilon = 1e-12);
        // An angle of 20 x 6 and 3.6 x 12 mm, middle 5.39 mm below the face, digits by hand.
        let angle = Strip {
            width: mm(20.0),
            thickness: mm(6.0),
            skirt: [mm(3.6), mm(12.0)],
            modulus: Pressure::kpa(1e6),
        };
        assert_relative_eq!(angle.second_moment().unwrap(), 3451.5, epsilon = 1.0);
        let strip = flat;
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
    fn published_forces_of_a_sponge_strip() {
        // ASTM D1056, grade 1 at 25 %: 2 to 5 psi. A strip of 10 mm and 600 mm: 82.7 to 206.8 N.
        let strip = Gasket::Sponge { thickness: mm(6.0), width: mm(10.0) };
        assert_relative_eq!(strip.usual_line_load(0.25) * 600.0, 206.8, max_relative = 2e-3);
        assert_relative_eq!(GRADE_1[0] / 1000.0 * 10.0 * 600.0, 82.7, max_relative = 2e-3);
        // Gas alone, R 0.1, p0 101.325 kPa: 38.97 kPa at 25 %, 126.66 at 50 % (digits recomputed).
        let ratio = strip.usual_line_load(0.5) / strip.usual_line_load(0.25);
        assert_relative_eq!(ratio, 126.66 / 38.97, max_relative = 1e-3);
    }

    #[test]
    fn sponge_springs_back_less_than_it_was_pressed() {
        let strip = Gasket::Sponge { thickness: mm(6.0), width: mm(6.0) };
        let g = Groove::new(strip, 0.3).unwrap();
        assert_relative_eq!(g.depth.get(), 4.2, epsilon = 1e-12);
        assert_relative_eq!(g.width.get(), 7.0, epsilon = 1e-12);
        // 6 (1 - 0.4 x 0.3); 0.9 of it less the depth and 0.1 mm.
        assert_relative_eq!(g.springs_back_to().get(), 5.28, epsilon = 1e-12);
        assert_relative_eq!(g.allowed_gap(mm(0.1)).get(), 0.452, epsilon = 1e-12);
        assert_eq!(g.fill(), None);
    }
}
