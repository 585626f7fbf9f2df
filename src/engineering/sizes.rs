//! Fewest printed sizes for all trunks.
//!
//! A trunk is an interval of radii (tape tolerance, growth to come, oval bark); a size is a padded
//! face (see [`super::fit`]). The width of a face follows one rule: as wide as wished, but no wider
//! than `reach` times the thinnest trunk of its class, since a wide pad on a thin trunk would be
//! pushed along the bark at its edges. Millimetres.
//!
//! # Why taking trunks from the thinnest gives the least number
//! Let F(a) be the thickest radius that a face can serve when the thinnest trunk of its class has
//! radius a. A class is served exactly when its thickest radius is at most F(its thinnest). F falls
//! while the width is bound by the reach (a narrower pad bridges a larger step) and rises once it is
//! bound by the wish: it never rises and then falls. So for a <= b <= c, F(b) <= max(F(a), F(c)).
//! The first class must hold the thinnest trunk a; let it take every trunk up to F(a). If a plan put
//! one of these, T, elsewhere, move it here: its old class now starts at some c that does not fit
//! here, so F(c) > F(a), hence F(c) >= F(T), and the class is still served. Repeating this turns any
//! plan into the greedy one without adding a size. The same argument shows that a trunk left over by
//! the greedy plan can be served in no plan. The tests check both the shape of F and the count
//! against all partitions of small surveys.
//!
//! Not guaranteed: with sizes kept from an earlier print, the new ones are the least number for the
//! trunks that no kept size serves.

use std::f64::consts::TAU;

use serde::Serialize;

use super::fit::{
    Face, FitError, Foam, LARGEST_GIRTH, SAME, arc_height, arc_radius, edge_gap, girth_of_radius,
    positive, radius_of_girth,
};
use crate::bisection::border;
use crate::units::Length;

/// The widest that a face may be, as a share of the trunk's radius. At 0.8 the edge of the face
/// stands 53 degrees off its middle; beyond, pull on the straps presses it aside rather than on.
pub const REACH_LIMIT: f64 = 0.8;

/// The thickest pad that is proposed as a cure; twice what a job file allows is no longer a pad.
const THICKEST_CURE: f64 = 80.0;

/// The radii that one trunk may have over the life of a print.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TrunkRange {
    /// Thinnest.
    pub from: Length,
    /// Thickest.
    pub to: Length,
}

impl TrunkRange {
    /// A range of radii.
    ///
    /// # Errors
    /// When either end is not positive and finite, or they are the wrong way round (reported as the
    /// upper end).
    pub fn new(from: Length, to: Length) -> Result<Self, FitError> {
        positive("trunk radius", from)?;
        positive("trunk radius", to)?;
        if to < from {
            return Err(FitError::NotPositive { what: "range of trunk radii", value: to - from });
        }
        Ok(Self { from, to })
    }

    /// A round trunk: its girth less the tape tolerance, up to its girth with tolerance and the
    /// girth growth to come (growth a year times years).
    ///
    /// # Errors
    /// When no positive radius is left, or a length is negative or not finite.
    pub fn round(girth: Length, tolerance: Length, growth: Length) -> Result<Self, FitError> {
        positive("girth", girth)?;
        for (what, value) in [("girth tolerance", tolerance), ("growth", growth)] {
            if !(value >= Length::ZERO && value.is_finite()) {
                return Err(FitError::NotPositive { what, value });
            }
        }
        Self::new(radius_of_girth(girth - tolerance), radius_of_girth(girth + tolerance + growth))
    }
}

/// How faces are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SizeRule {
    foam: Foam,
    half_width: Length,
    reach: f64,
}

impl SizeRule {
    /// Faces with this foam, of the wished half width, but no wider than `reach` times the radius of
    /// the thinnest trunk.
    ///
    /// # Errors
    /// When the half width is not positive and finite, or the reach not in 0..=[`REACH_LIMIT`].
    pub fn new(foam: Foam, half_width: Length, reach: f64) -> Result<Self, FitError> {
        positive("half width", half_width)?;
        if reach > 0.0 && reach <= REACH_LIMIT {
            Ok(Self { foam, half_width, reach })
        } else {
            Err(FitError::Share { what: "reach", value: reach, most: REACH_LIMIT })
        }
    }

    /// The foam.
    #[must_use]
    pub fn foam(&self) -> Foam {
        self.foam
    }

    /// Half width of a class whose thinnest trunk has this radius.
    #[must_use]
    pub fn half_width_for(&self, thinnest: Length) -> Length {
        self.half_width.min(thinnest * self.reach)
    }

    /// The same rule with another pad thickness.
    ///
    /// # Errors
    /// When the thickness is not positive.
    pub fn with_thickness(self, thickness: Length) -> Result<Self, FitError> {
        Ok(Self { foam: self.foam.with_thickness(thickness)?, ..self })
    }

    /// F(a): the thickest radius that a class can reach whose thinnest has radius `a`, both in
    /// millimetres; infinite when a face serves up to a flat wall.
    fn thickest(&self, a: f64) -> f64 {
        let w = self.half_width_for(Length::mm(a)).get();
        let sagitta = arc_height(a + self.foam.gap_most().get(), w) - 2.0 * self.foam.slack().get();
        if sagitta > w * 1e-6 {
            arc_radius(sagitta, w) - self.foam.gap_least().get()
        } else {
            f64::INFINITY
        }
    }

    fn can_serve(&self, range: TrunkRange) -> bool {
        range.to.get() <= self.thickest(range.from.get()) + SAME
    }

    /// The size for all radii from `a` to `b`, its radius chosen for the most even strain: the edge
    /// is as much looser than the middle on the thinnest trunk as it is tighter on the thickest.
    fn size_for(&self, range: TrunkRange) -> Result<Size, FitError> {
        let (a, b) = (range.from.get(), range.to.get());
        let w = self.half_width_for(range.from).get();
        let foam = self.foam;
        let (least, nominal, most) =
            (foam.gap_least().get(), foam.gap_nominal().get(), foam.gap_most().get());
        let uneven = |r: f64, h: f64| edge_gap(r, h, w, nominal) - nominal;
        // The deeper the hollow, the tighter the edge: bisect for the balance.
        let [shallow, deep] = [arc_height(b + nominal, w), arc_height(a + nominal, w)];
        let [shallow, deep] =
            border(shallow, deep, BISECTIONS, |h| uneven(a, h) + uneven(b, h) > 0.0);
        let low = arc_height(a + most, w) - foam.slack().get();
        let high = arc_height(b + least, w) + foam.slack().get();
        let sagitta = ((shallow + deep) / 2.0).max(low).min(high);
        Size::new(Face::new(Length::mm(arc_radius(sagitta, w)), Length::mm(w))?, self)
    }
}

/// Steps of a bisection: the span shrinks below the last digit of a double.
const BISECTIONS: usize = 60;

/// One printed size and the girths that it serves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Size {
    /// Radius of the concave face.
    pub face_radius: Length,
    /// Half the face's chord.
    pub half_width: Length,
    /// The thinnest girth served.
    pub girth_from: Length,
    /// The thickest girth served, [`LARGEST_GIRTH`] when there is no end.
    pub girth_to: Length,
}

impl Size {
    /// The girths that a face serves under a rule.
    ///
    /// # Errors
    /// When the face serves none.
    pub fn new(face: Face, rule: &SizeRule) -> Result<Self, FitError> {
        let empty = FitError::NotPositive { what: "range of girths served", value: Length::ZERO };
        let served = face.served(rule.foam).ok_or(empty)?;
        let thin = served.from.max(face.half_width() / rule.reach);
        let girth_from = girth_of_radius(thin);
        let girth_to = served.to.map_or(LARGEST_GIRTH, girth_of_radius).min(LARGEST_GIRTH);
        if girth_to < girth_from {
            return Err(empty);
        }
        Ok(Self { face_radius: face.radius(), half_width: face.half_width(), girth_from, girth_to })
    }

    /// The face of this size.
    ///
    /// # Errors
    /// When the two lengths make no arc.
    pub fn face(&self) -> Result<Face, FitError> {
        Face::new(self.face_radius, self.half_width)
    }

    /// The thinnest and the thickest girth served in whole millimetres, rounded inwards: what is
    /// engraved.
    #[must_use]
    pub fn engraved_girths(&self) -> [Length; 2] {
        [self.girth_from.get().ceil(), self.girth_to.get().floor()].map(Length::mm)
    }

    /// The girths that this size and another both serve; `None` when there are none.
    #[must_use]
    pub fn within(self, other: &Self) -> Option<Self> {
        let girth_from = self.girth_from.max(other.girth_from);
        let girth_to = self.girth_to.min(other.girth_to);
        (girth_from <= girth_to).then_some(Self { girth_from, girth_to, ..self })
    }

    /// Whether all radii of the trunk are served.
    #[must_use]
    pub fn serves(&self, range: TrunkRange) -> bool {
        let slack = Length::mm(SAME * TAU);
        girth_of_radius(range.from) + slack >= self.girth_from
            && girth_of_radius(range.to) <= self.girth_to + slack
    }
}

/// A trunk that no size can serve, and what would.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Unserved {
    /// Index of the trunk.
    pub trunk: usize,
    /// Its radii.
    pub range: TrunkRange,
    /// The thinnest pad of the same foam that serves it; `None` when no pad of a sensible thickness
    /// does.
    pub pad_thickness: Option<Length>,
    /// The widest half width at which the present pad serves it.
    pub half_width: Length,
}

/// Sizes and who gets which.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SizePlan {
    /// The sizes in use, thinnest trunks first.
    pub sizes: Vec<Size>,
    /// For each size, its index among the existing sizes when it was kept.
    pub kept: Vec<Option<usize>>,
    /// For each trunk its size; `None` when it cannot be served.
    pub assignment: Vec<Option<usize>>,
    /// The trunks without a size.
    pub unserved: Vec<Unserved>,
}

impl SizePlan {
    /// How many trunks get a size that is printed already: the reprints saved.
    #[must_use]
    pub fn reprints_saved(&self) -> usize {
        self.assignment
            .iter()
            .flatten()
            .filter(|s| self.kept.get(**s).is_some_and(Option::is_some))
            .count()
    }

    /// How many sizes have still to be printed.
    #[must_use]
    pub fn new_sizes(&self) -> usize {
        self.kept.iter().filter(|k| k.is_none()).count()
    }
}

/// The least number of sizes that serve all trunks that can be served.
///
/// O(n log n + n k) for n trunks and k sizes.
///
/// # Errors
/// When a range is not one (see [`TrunkRange::new`]).
pub fn fewest_sizes(trunks: &[TrunkRange], rule: &SizeRule) -> Result<SizePlan, FitError> {
    sizes_with_kept(&[], trunks, rule)
}

/// As [`fewest_sizes`], but a trunk that an existing size serves keeps it (of several, the one that
/// compresses the pad most evenly); new sizes are made for the rest only. What an existing size
/// serves is worked out anew from its face and the rule's foam.
///
/// # Errors
/// When a range is not one, or an existing size has no face.
pub fn sizes_with_kept(
    existing: &[Size],
    trunks: &[TrunkRange],
    rule: &SizeRule,
) -> Result<SizePlan, FitError> {
    for t in trunks {
        TrunkRange::new(t.from, t.to)?;
    }
    let printed = existing.iter().map(Size::face).collect::<Result<Vec<_>, _>>()?;
    let printed: Vec<(usize, Face, Size)> = printed
        .into_iter()
        .enumerate()
        .filter_map(|(i, face)| Some((i, face, Size::new(face, rule).ok()?.within(&existing[i])?)))
        .collect();

    let mut chosen: Vec<(Size, Option<usize>, Vec<usize>)> =
        printed.iter().map(|&(i, _, size)| (size, Some(i), Vec::new())).collect();
    let mut left = Vec::new();
    for (t, range) in trunks.iter().enumerate() {
        match most_even(&printed, *range, rule)? {
            Some(slot) => chosen[slot].2.push(t),
            None => left.push(t),
        }
    }
    chosen.retain(|(_, _, who)| !who.is_empty());

    left.sort_by(|&i, &j| {
        let (p, q) = (&trunks[i], &trunks[j]);
        p.from.get().total_cmp(&q.from.get()).then(p.to.get().total_cmp(&q.to.get()))
    });
    let mut unserved = Vec::new();
    while let Some(&thinnest) = left.iter().find(|&&t| {
        let servable = rule.can_serve(trunks[t]);
        if !servable {
            unserved.push(cure(t, trunks[t], rule));
        }
        servable
    }) {
        let thickest = rule.thickest(trunks[thinnest].from.get()) + SAME;
        // Everything thinner was found unservable just now, so it leaves the queue as well.
        let start = left.iter().position(|&t| t == thinnest).unwrap_or(0);
        let (class, rest): (Vec<usize>, Vec<usize>) =
            left[start..].iter().partition(|&&t| trunks[t].to.get() <= thickest);
        let to = class.iter().map(|&t| trunks[t].to).fold(Length::ZERO, Length::max);
        let size = rule.size_for(TrunkRange { from: trunks[thinnest].from, to })?;
        chosen.push((size, None, class));
        left = rest;
    }

    chosen.sort_by(|a, b| a.0.girth_from.get().total_cmp(&b.0.girth_from.get()));
    let mut assignment = vec![None; trunks.len()];
    for (s, (_, _, who)) in chosen.iter().enumerate() {
        for &t in who {
            assignment[t] = Some(s);
        }
    }
    unserved.sort_by_key(|u| u.trunk);
    let (sizes, kept) = chosen.into_iter().map(|(size, kept, _)| (size, kept)).unzip();
    Ok(SizePlan { sizes, kept, assignment, unserved })
}

/// The printed size that serves a trunk with the most even strain, as its position in `printed`.
fn most_even(
    printed: &[(usize, Face, Size)],
    range: TrunkRange,
    rule: &SizeRule,
) -> Result<Option<usize>, FitError> {
    let mut best: Option<(f64, usize)> = None;
    for (slot, (_, face, size)) in printed.iter().enumerate() {
        if size.serves(range) {
            let thin = face.fit(rule.foam, range.from)?.unevenness().abs();
            let thick = face.fit(rule.foam, range.to)?.unevenness().abs();
            let worst = thin.max(thick);
            if best.is_none_or(|(least, _)| worst < least) {
                best = Some((worst, slot));
            }
        }
    }
    Ok(best.map(|(_, slot)| slot))
}

/// What would serve a trunk that no size serves. A thicker pad and a narrower face both close the
/// gap monotonically, so each is found by bisection, on the side that serves.
fn cure(trunk: usize, range: TrunkRange, rule: &SizeRule) -> Unserved {
    let thick = |t: f64| rule.with_thickness(Length::mm(t)).is_ok_and(|r| r.can_serve(range));
    let pad_thickness = thick(THICKEST_CURE).then(|| {
        let thin = rule.foam.thickness().get();
        Length::mm(border(THICKEST_CURE, thin, BISECTIONS, thick)[0])
    });
    let narrow = |w: f64| SizeRule { half_width: Length::mm(w), ..*rule }.can_serve(range);
    let [served, _] = border(0.0, rule.half_width_for(range.from).get(), BISECTIONS, narrow);
    Unserved { trunk, range, pad_thickness, half_width: Length::mm(served) }
}

#[cfg(test)]
mod tests;
