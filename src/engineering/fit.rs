//! How a rigid, padded face of radius Rc fits a trunk of radius r.
//!
//! Plan view, millimetres: the trunk's centre is the origin, +Y points outward, X runs across the
//! face. A face is an arc with half width w, measured as half its chord, and sagitta
//! h = s(Rc, w), where s(r, x) = r - sqrt(r^2 - x^2) is the height of a circular arc over its chord
//! (elementary geometry). A foam pad of free thickness t lies on the face.
//!
//! The gap at a point of the face is its least distance to the bark. With the face's middle at the
//! gap g0, the gap at its edge is sqrt(w^2 + (r + g0 - h)^2) - r, exactly; between the two it runs
//! monotonically. Strain is e = 1 - g / t. A face serves a trunk when some g0 keeps the strain
//! within its limits all over, that is, with g_most = t (1 - e_min), g_least = t (1 - e_max) and
//! the slack d = g_most - g_least = (e_max - e_min) t:
//!
//! ```text
//! s(r + g_most, w) - d  <=  s(Rc, w)  <=  s(r + g_least, w) + d
//! ```
//!
//! Both sides can be solved for r in closed form, so the trunks that a face serves are an interval.
//! A face concentric with the trunk, Rc = r + t (1 - e), compresses the pad evenly. For a pad thin
//! against the trunk the condition becomes |s(r, w) - s(Rc, w)| <= d.
//!
//! Not covered: bark that is not round within the face (see [`super::oval`]), foam that bulges
//! sideways, and a trunk that tapers (see [`super::taper`]).

mod lines;

pub(crate) use lines::lines;

use std::f64::consts::TAU;

use serde::Serialize;

use crate::units::Length;

/// The thickest girth that a job file may hold; served ranges without an upper end stop here.
pub(crate) const LARGEST_GIRTH: Length = Length::mm(6000.0);

/// Input with which no fit can be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// A length that must be above zero and finite.
    #[error("{what} must be more than 0 mm and finite, not {value}")]
    NotPositive {
        /// Which length.
        what: &'static str,
        /// What was given.
        value: Length,
    },
    /// A chord that the circle does not have.
    #[error("a half width of {half_width} does not fit on a radius of {radius}")]
    WiderThanRound {
        /// Half the chord.
        half_width: Length,
        /// The circle's radius.
        radius: Length,
    },
    /// Strain limits out of order.
    #[error(
        "pad strains must rise as 0 <= least <= nominal <= most < 1, least below most, not {least}, {nominal}, {most}"
    )]
    Strains {
        /// Least strain.
        least: f64,
        /// Strain aimed at.
        nominal: f64,
        /// Most strain.
        most: f64,
    },
    /// A share out of its range.
    #[error("{what} must lie above 0 and at most {most}, not {value}")]
    Share {
        /// Which share.
        what: &'static str,
        /// What was given.
        value: f64,
        /// The most it may be.
        most: f64,
    },
}

/// Gives the length back when it is positive and finite.
pub(super) fn positive(what: &'static str, value: Length) -> Result<Length, FitError> {
    if value.is_finite() && value > Length::ZERO {
        Ok(value)
    } else {
        Err(FitError::NotPositive { what, value })
    }
}

/// Radius of a round trunk from its girth, r = C / (2 pi).
#[must_use]
pub(crate) fn radius_of_girth(girth: Length) -> Length {
    girth / TAU
}

/// Girth of a round trunk from its radius, C = 2 pi r.
#[must_use]
pub(crate) fn girth_of_radius(radius: Length) -> Length {
    radius * TAU
}

/// Height of an arc of `radius` over its chord of twice `half_width`: s = r - sqrt(r^2 - x^2),
/// written as x^2 / (r + sqrt(r^2 - x^2)) so that a nearly flat arc keeps its digits.
///
/// # Errors
/// When the radius is not positive and finite, or the half width is negative or beyond the radius.
pub(crate) fn sagitta(radius: Length, half_width: Length) -> Result<Length, FitError> {
    let r = positive("radius", radius)?.get();
    let x = half_width.get();
    if !(0.0..=r).contains(&x) {
        return Err(FitError::WiderThanRound { half_width, radius });
    }
    Ok(Length::mm(arc_height(r, x)))
}

/// Radius of the arc with this sagitta over a chord of twice `half_width`:
/// r = x^2 / (2 s) + s / 2.
///
/// # Errors
/// When either length is not positive and finite. (A sagitta of zero is a flat face, which has no
/// radius.)
pub(crate) fn radius_of_sagitta(sagitta: Length, half_width: Length) -> Result<Length, FitError> {
    let s = positive("sagitta", sagitta)?.get();
    let x = positive("half width", half_width)?.get();
    positive("radius", Length::mm(arc_radius(s, x)))
}

/// s(r, x) for 0 <= x <= r, unchecked.
pub(super) fn arc_height(r: f64, x: f64) -> f64 {
    x * x / (r + ((r - x) * (r + x)).max(0.0).sqrt())
}

/// Radius from sagitta s > 0 and half chord x, unchecked.
pub(super) fn arc_radius(s: f64, x: f64) -> f64 {
    x * x / (2.0 * s) + s / 2.0
}

/// The foam pad: free thickness and the strains between which it grips without bruising.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Foam {
    thickness: Length,
    least: f64,
    nominal: f64,
    most: f64,
}

impl Foam {
    /// A pad of this free thickness, to be compressed by `least..=most`, best by `nominal`
    /// (shares of the free thickness).
    ///
    /// # Errors
    /// When the thickness is not positive, or the strains are not 0 <= least <= nominal <= most < 1
    /// with room between least and most.
    pub fn new(thickness: Length, least: f64, nominal: f64, most: f64) -> Result<Self, FitError> {
        positive("pad thickness", thickness)?;
        if 0.0 <= least && least <= nominal && nominal <= most && most < 1.0 && least < most {
            Ok(Self { thickness, least, nominal, most })
        } else {
            Err(FitError::Strains { least, nominal, most })
        }
    }

    /// The same foam in another thickness.
    ///
    /// # Errors
    /// When the thickness is not positive.
    pub fn with_thickness(self, thickness: Length) -> Result<Self, FitError> {
        Self::new(thickness, self.least, self.nominal, self.most)
    }

    /// The same foam with a share of its range of strains, from 0 up to but not 1, kept for
    /// something else: half of it at either end.
    ///
    /// # Errors
    /// When the share is outside its range.
    pub fn keeping(self, share: f64) -> Result<Self, FitError> {
        let kept = (self.most - self.least) * share / 2.0;
        let (least, most) = (self.least + kept, self.most - kept);
        Self::new(self.thickness, least, self.nominal.clamp(least, most.max(least)), most)
    }

    /// Free thickness.
    #[must_use]
    pub fn thickness(self) -> Length {
        self.thickness
    }

    /// Least strain that still grips.
    #[must_use]
    pub fn least_strain(self) -> f64 {
        self.least
    }

    /// Strain aimed at.
    #[must_use]
    pub fn nominal_strain(self) -> f64 {
        self.nominal
    }

    /// Most strain.
    #[must_use]
    pub fn most_strain(self) -> f64 {
        self.most
    }

    /// Gap at the most strain.
    #[must_use]
    pub fn gap_least(self) -> Length {
        self.thickness * (1.0 - self.most)
    }

    /// Gap at the strain aimed at.
    #[must_use]
    pub fn gap_nominal(self) -> Length {
        self.thickness * (1.0 - self.nominal)
    }

    /// Gap at the least strain.
    #[must_use]
    pub fn gap_most(self) -> Length {
        self.thickness * (1.0 - self.least)
    }

    /// How far the gap may vary over a face: (e_max - e_min) t.
    #[must_use]
    pub fn slack(self) -> Length {
        self.thickness * (self.most - self.least)
    }

    /// Face radius concentric with a trunk of this radius, Rc = r + t (1 - e): the pad is
    /// compressed evenly.
    #[must_use]
    pub fn design_radius(self, trunk: Length) -> Length {
        trunk + self.gap_nominal()
    }

    fn strain_at(self, gap: f64) -> f64 {
        1.0 - gap / self.thickness.get()
    }
}

/// A rigid concave face: an arc of radius Rc over a chord of twice the half width.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Face {
    radius: Length,
    half_width: Length,
}

/// Radii of trunks that a face serves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Served {
    /// The thinnest trunk.
    pub from: Length,
    /// The thickest; `None` when any thicker trunk is served as well, up to a flat wall.
    pub to: Option<Length>,
}

impl Served {
    /// Whether a trunk of this radius is served.
    #[must_use]
    pub fn holds(self, trunk: Length) -> bool {
        let same = Length::mm(SAME);
        trunk + same >= self.from && self.to.is_none_or(|to| trunk <= to + same)
    }
}

/// Radii that agree to a millionth of a millimetre are the same: a size made to end exactly at a
/// trunk must serve it.
pub(super) const SAME: f64 = 1e-6;

/// Strain of the pad on one trunk, as shares of its free thickness.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PadFit {
    /// In the middle of the face.
    pub centre: f64,
    /// At both edges.
    pub edge: f64,
    /// Whether both lie within the foam's limits.
    pub served: bool,
}

impl PadFit {
    /// How uneven the strain is: edge less centre.
    #[must_use]
    pub fn unevenness(self) -> f64 {
        self.edge - self.centre
    }
}

impl Face {
    /// A face of this radius and half width.
    ///
    /// # Errors
    /// When either is not positive and finite, or the half width exceeds the radius.
    pub fn new(radius: Length, half_width: Length) -> Result<Self, FitError> {
        positive("face radius", radius)?;
        positive("half width", half_width)?;
        if half_width > radius {
            return Err(FitError::WiderThanRound { half_width, radius });
        }
        Ok(Self { radius, half_width })
    }

    /// The radius Rc.
    #[must_use]
    pub fn radius(self) -> Length {
        self.radius
    }

    /// Half the chord, w.
    #[must_use]
    pub fn half_width(self) -> Length {
        self.half_width
    }

    /// Sagitta h = s(Rc, w).
    #[must_use]
    pub fn sagitta(self) -> Length {
        Length::mm(arc_height(self.radius.get(), self.half_width.get()))
    }

    /// The radii of trunks that the face serves through this foam; `None` when it serves none
    /// (the pad is thicker than the hollow is deep and wide).
    #[must_use]
    pub fn served(self, foam: Foam) -> Option<Served> {
        let (h, w, slack) = (self.sagitta().get(), self.half_width.get(), foam.slack().get());
        // Beyond a half circle an arc grows no thinner with its sagitta.
        let thin = arc_radius((h + slack).min(w), w) - foam.gap_most().get();
        let from = Length::mm(thin.max(0.0));
        let flat_enough = h - slack;
        let to = (flat_enough > w * FLAT)
            .then(|| Length::mm(arc_radius(flat_enough, w)) - foam.gap_least());
        match to {
            Some(to) if to < from || to <= Length::ZERO => None,
            _ => Some(Served { from, to }),
        }
    }

    /// Strain in the middle and at the edges on a trunk of this radius. The face is pressed on until
    /// the mean strain is the nominal one, then moved as little as brings both within the limits,
    /// when that can be. (The gap's profile is a parabola to second order, so its mean lies a third
    /// of the way from middle to edge.)
    ///
    /// # Errors
    /// When the radius is not positive and finite.
    pub fn fit(self, foam: Foam, trunk: Length) -> Result<PadFit, FitError> {
        let r = positive("trunk radius", trunk)?.get();
        let (h, w) = (self.sagitta().get(), self.half_width.get());
        let (low, nominal, high) =
            (foam.gap_least().get(), foam.gap_nominal().get(), foam.gap_most().get());
        let edge_of = |g0: f64| edge_gap(r, h, w, g0);
        let mut g0 = nominal - (edge_of(nominal) - nominal) / 3.0;
        // The middle gap that puts the edge at a given gap, where the trunk is wide enough.
        let middle_for = |gap: f64| (r + gap >= w).then(|| h + gap - arc_height(r + gap, w));
        let served = self.served(foam).is_some_and(|s| s.holds(trunk));
        if served {
            let floor = middle_for(low).map_or(low, |m| m.max(low));
            let ceiling = middle_for(high).map_or(high, |m| m.min(high));
            g0 = g0.max(floor).min(ceiling);
        }
        Ok(PadFit { centre: foam.strain_at(g0), edge: foam.strain_at(edge_of(g0)), served })
    }
}

/// A sagitta below this share of the half width is flat: the arc's radius is then beyond any trunk,
/// and its digits are lost.
const FLAT: f64 = 1e-6;

/// Gap at the edge of a face with sagitta h and half width w whose middle stands g0 off a trunk of
/// radius r.
pub(super) fn edge_gap(r: f64, h: f64, w: f64, g0: f64) -> f64 {
    libm::hypot(w, r + g0 - h) - r
}

/// Room left between a trunk's girth and the ends of a served range, and how long growth takes to
/// use it up.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Margin {
    /// Girth above the thin end; negative when the trunk is too thin.
    pub below: Length,
    /// Girth left to the thick end; negative when the trunk is too thick.
    pub above: Length,
    /// Years until the thick end at the growth given; `None` without growth, 0 when past it.
    pub years: Option<f64>,
}

/// Margin of a girth within `[from, to]`, with girth growth a year.
#[must_use]
pub(crate) fn margin(girth: Length, from: Length, to: Length, growth: Length) -> Margin {
    let above = to - girth;
    let years = (growth > Length::ZERO).then(|| (above / growth).max(0.0));
    Margin { below: girth - from, above, years: years.filter(|y| y.is_finite()) }
}

#[cfg(test)]
mod tests;
