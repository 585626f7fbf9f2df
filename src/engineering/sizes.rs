//! Fewest printed sizes for all trunks.
//!
//! A trunk is an interval of radii (growth to come, oval bark) and a situation; a size is a padded face
//! that serves all its trunks in the sense of [`super::pull`]. The width of a face follows one rule: as
//! wide as wished, but no wider than the reach round the thinnest trunk of its class, since a wide pad
//! on a thin trunk would be pushed along the bark at its edges. Millimetres.
//!
//! Method: trunks of one roughness of bark make classes of their own. From the thinnest trunk left, the
//! flattest face that still serves it is found by bisection over the face's curvature; it reaches
//! farthest up, and the class takes every trunk that it serves. What a face serves is an interval
//! ([`super::served`]), so that the class is as wide as one face allows, and taking trunks from the
//! thinnest gives few sizes. The face printed is the middle, in curvature, between that flattest
//! face and the most curved one that serves the whole class.
//!
//! A trunk is served when its size holds one lamp there, upright, which is what is engraved, and also
//! what this trunk carries and how it leans.
//!
//! Not guaranteed: the least number of sizes over all ways to sort the trunks.

use serde::Serialize;

use super::fit::{Face, FitError, girth_of_radius, positive, radius_of_girth};
use super::pull::{self, Conditions, Hung, Print, Window};
use super::seat::nominal_gap;
use super::served;
use crate::units::{Angle, Length};

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
    pub(crate) fn new(from: Length, to: Length) -> Result<Self, FitError> {
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
    pub(crate) fn round(
        girth: Length,
        tolerance: Length,
        growth: Length,
    ) -> Result<Self, FitError> {
        positive("girth", girth)?;
        for (what, value) in [("girth tolerance", tolerance), ("growth", growth)] {
            if !(value >= Length::ZERO && value.is_finite()) {
                return Err(FitError::NotPositive { what, value });
            }
        }
        Self::new(radius_of_girth(girth - tolerance), radius_of_girth(girth + tolerance + growth))
    }
}

/// What differs from trunk to trunk beside its girth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Situation {
    /// How far the bark stands off a circle under the face.
    pub relief: Length,
    /// Saddles on the ring.
    pub saddles: u32,
    /// Lean toward the saddle's side.
    pub lean: Angle,
}

impl Situation {
    /// One saddle on an upright trunk with this bark: what is engraved holds for it.
    #[must_use]
    pub(crate) fn plain(self) -> Self {
        Self { saddles: 1, lean: Angle::ZERO, ..self }
    }
}

/// What a trunk asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Wanted {
    /// Its radii.
    pub range: TrunkRange,
    /// What else counts.
    pub situation: Situation,
}

/// How faces are laid out, and what they are judged by.
#[derive(Clone, Copy)]
pub(crate) struct SizeRule<'a> {
    /// Half width wished for.
    pub half_width: Length,
    /// All that does not depend on the face; relief, saddles and load are replaced.
    pub common: &'a Conditions,
    /// The print with a face of this radius and half width, and what hangs on it.
    pub print: &'a dyn Fn(Length, Length) -> (Print, Hung),
}

/// A size that is there, as it was printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Printed {
    /// Its face and the girths that it bears.
    pub size: Size,
    /// The print.
    pub print: Print,
    /// What hangs on it.
    pub hung: Hung,
}

/// A face under a rule.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Candidate<'a> {
    common: &'a Conditions,
    print: Print,
    hung: Hung,
}

impl Candidate<'_> {
    /// The print.
    #[must_use]
    pub(crate) fn print(&self) -> &Print {
        &self.print
    }

    /// What it is judged by in a situation.
    #[must_use]
    pub(crate) fn conditions(&self, s: Situation) -> Conditions {
        Conditions {
            relief: s.relief,
            saddles: s.saddles,
            hung: Hung { lean: s.lean, ..self.hung },
            ..*self.common
        }
    }

    /// Whether it serves all that a trunk asks for.
    #[must_use]
    pub(crate) fn serves(&self, wanted: &Wanted) -> bool {
        self.room(wanted) > 0.0
    }

    /// The least ratio of most to least pull over all that a trunk asks for; zero where it has no room.
    fn room(&self, wanted: &Wanted) -> f64 {
        self.tightest(wanted).filter(Window::has_room).map_or(0.0, |w| w.ratio())
    }

    /// The window with the least room over all that a trunk asks for; none where it cannot sit.
    pub(crate) fn tightest(&self, wanted: &Wanted) -> Option<Window> {
        let (range, plain) = (wanted.range, wanted.situation.plain());
        let mut tightest: Option<Window> = None;
        for situation in [Some(wanted.situation), (plain != wanted.situation).then_some(plain)] {
            let Some(conditions) = situation.map(|s| self.conditions(s)) else { continue };
            for radius in [Some(range.from), (range.to > range.from).then_some(range.to)] {
                let Some(girth) = radius.map(girth_of_radius) else { continue };
                let window = pull::judge(&self.print, &conditions, girth)?;
                let looser = |t: &Window| {
                    let no_step = |w: &Window| w.most - w.least >= w.step;
                    (no_step(t), t.ratio()) <= (no_step(&window), window.ratio())
                };
                tightest = tightest.filter(looser).or(Some(window));
            }
        }
        tightest
    }

    /// The girths served in a situation, looked for first about a radius.
    fn served(&self, situation: Situation, near: Length) -> Option<[Length; 2]> {
        let near = Some(girth_of_radius(near));
        served::served_girths(&self.print, &self.conditions(situation), near)
    }
}

impl<'a> SizeRule<'a> {
    /// Half width of a class whose thinnest trunk has this radius.
    #[must_use]
    pub(crate) fn half_width_for(&self, thinnest: Length) -> Length {
        let thinnest = thinnest - radius_of_girth(self.common.tolerance);
        self.half_width.min(thinnest * self.common.reach)
    }

    /// A face under this rule.
    #[must_use]
    pub(crate) fn candidate(&self, face_radius: Length, half_width: Length) -> Candidate<'a> {
        let (print, hung) = (self.print)(face_radius, half_width);
        Candidate { common: self.common, print, hung }
    }

    /// A size that is there.
    #[must_use]
    pub(crate) fn in_hand(&self, printed: &Printed) -> Candidate<'a> {
        Candidate { common: self.common, print: printed.print, hung: printed.hung }
    }

    /// The face concentric with the middle of a trunk's radii.
    #[must_use]
    pub(crate) fn made_for(&self, range: TrunkRange) -> Candidate<'a> {
        let face = (range.from + range.to) / 2.0 + nominal_gap(&self.common.pad);
        self.candidate(face, self.half_width_for(range.from))
    }

    /// The size with this face, and the girths about this trunk's that it serves on plain trunks with such
    /// bark; none when it serves none.
    fn size(&self, radius: Length, half_width: Length, first: &Wanted) -> Option<Size> {
        let face = self.candidate(radius, half_width);
        let [girth_from, girth_to] = face.served(first.situation.plain(), first.range.from)?;
        Some(Size { face_radius: radius, half_width, girth_from, girth_to })
    }

    /// Curvature of the face concentric with a trunk.
    fn curvature(&self, trunk: f64) -> f64 {
        1.0 / (trunk + nominal_gap(&self.common.pad).get())
    }

    /// The class that begins with the first trunk and its size: positions in `left`. None when no face
    /// serves that trunk.
    fn class(&self, left: &[usize], all: &[Wanted]) -> Option<(Size, Vec<usize>)> {
        let first = &all[*left.first()?];
        let w = self.half_width_for(first.range.from);
        let at = |c: f64| self.candidate(Length::mm(1.0 / c), w);
        let [thin, thick] = [first.range.from, first.range.to].map(|r| self.curvature(r.get()));
        let start = MIDDLES.map(|share| thick + share * (thin - thick));
        let start = start.into_iter().find(|c| at(*c).serves(first))?;
        let thickest = left.iter().map(|&t| all[t].range.to.get()).fold(0.0, f64::max);
        let flattest = farthest(start, self.curvature(thickest), |c| at(c).serves(first));
        let face = at(flattest);
        let mut intervals: Vec<(Situation, Option<[Length; 2]>)> = Vec::new();
        let class = serving(&face, &mut intervals, left, all, first);
        // The thickest trunk of each situation decides how far the face may curve.
        let mut ends: Vec<&Wanted> = vec![first];
        for wanted in class.iter().map(|&t| &all[t]) {
            match ends[1..].iter_mut().find(|e| e.situation == wanted.situation) {
                Some(end) if end.range.to >= wanted.range.to => {}
                Some(end) => *end = wanted,
                None => ends.push(wanted),
            }
        }
        let limit = self.curvature(first.range.from.get() * ROUNDER).min(1.0 / (w.get() * DEEPEST));
        let roundest = farthest(flattest, limit, |c| {
            let face = at(c);
            ends.iter().all(|e| face.serves(e))
        });
        let middle = 0.5 * (flattest + roundest);
        let holds = serving(&at(middle), &mut Vec::new(), &class, all, first).len() == class.len();
        let curvature = if holds { middle } else { flattest };
        let size = self.size(Length::mm(1.0 / curvature), w, first)?;
        Some((size, class))
    }
}

/// Which trunks a face serves, by the interval of girths in each situation.
fn serving(
    face: &Candidate<'_>,
    intervals: &mut Vec<(Situation, Option<[Length; 2]>)>,
    who: &[usize],
    all: &[Wanted],
    first: &Wanted,
) -> Vec<usize> {
    let mut holds = |wanted: &Wanted, situation: Situation| {
        let known = intervals.iter().position(|(s, _)| *s == situation);
        let index = known.unwrap_or_else(|| {
            intervals.push((situation, face.served(situation, first.range.from)));
            intervals.len() - 1
        });
        intervals[index].1.is_some_and(|girths| within(wanted.range, girths))
    };
    let serves = |t: &&usize| {
        let wanted = &all[**t];
        wanted == first
            || (holds(wanted, wanted.situation.plain()) && holds(wanted, wanted.situation))
    };
    who.iter().filter(serves).copied().collect()
}

/// Whether all radii lie within girths.
fn within(range: TrunkRange, [from, to]: [Length; 2]) -> bool {
    let slack = Length::mm(SLACK);
    girth_of_radius(range.from) + slack >= from && girth_of_radius(range.to) <= to + slack
}

/// Girths that agree to a thousandth of a millimetre are the same.
const SLACK: f64 = 1e-3;
/// Where between its thinnest and its thickest radius a face is tried for a trunk, first the middle.
const MIDDLES: [f64; 5] = [0.5, 0.25, 0.75, 0.0, 1.0];
/// A face more curved than one for a trunk of this share of the radius serves none of the class.
const ROUNDER: f64 = 0.7;
/// The least radius of a face in half widths.
const DEEPEST: f64 = 1.02;
/// Halvings of a range of curvature: a millimetre of a face's radius of 300.
const HALVINGS: usize = 10;

/// The farthest from `good` toward `limit` that still serves.
fn farthest(mut good: f64, limit: f64, serves: impl Fn(f64) -> bool) -> f64 {
    if serves(limit) {
        return limit;
    }
    let mut bad = limit;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (good + bad);
        if serves(middle) { good = middle } else { bad = middle }
    }
    good
}

/// One printed size and the girths that it serves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Size {
    /// Radius of the concave face.
    pub face_radius: Length,
    /// Half the face's chord.
    pub half_width: Length,
    /// The thinnest girth served.
    pub girth_from: Length,
    /// The thickest girth served.
    pub girth_to: Length,
}

impl Size {
    /// The face of this size.
    ///
    /// # Errors
    /// When the two lengths make no arc.
    pub(crate) fn face(&self) -> Result<Face, FitError> {
        Face::new(self.face_radius, self.half_width)
    }

    /// The thinnest and the thickest girth served in whole millimetres, rounded inwards: what is
    /// engraved.
    #[must_use]
    pub(crate) fn engraved_girths(&self) -> [Length; 2] {
        let (from, to) = (self.girth_from.get() - SLACK, self.girth_to.get() + SLACK);
        [from.ceil(), to.floor()].map(Length::mm)
    }

    /// Whether all radii lie within what is engraved.
    #[must_use]
    pub(crate) fn serves(&self, range: TrunkRange) -> bool {
        within(range, [self.girth_from, self.girth_to])
    }
}

/// A trunk that no size can serve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unserved {
    /// Index of the trunk.
    pub trunk: usize,
    /// Its radii.
    pub range: TrunkRange,
    /// The window of pulls on the face made for the middle of its radii, that radius alone; none where it
    /// cannot sit there at all. With room there, the radii are too far apart for one face.
    pub window: Option<Window>,
}

/// Sizes and who gets which.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SizePlan {
    /// The sizes in use, thinnest trunks first.
    pub sizes: Vec<Size>,
    /// For each size, its index among the existing sizes when it was kept.
    pub kept: Vec<Option<usize>>,
    /// For each trunk its size; `None` when it cannot be served.
    pub assignment: Vec<Option<usize>>,
    /// The trunks without a size.
    pub unserved: Vec<Unserved>,
}

/// Few sizes that serve all trunks that can be served; a trunk that an existing size serves keeps it
/// (of several, the one that leaves most room for the pull).
///
/// # Errors
/// When a range is not one, or an existing size has no face.
pub(crate) fn sizes_with_kept(
    existing: &[Printed],
    all: &[Wanted],
    rule: &SizeRule<'_>,
) -> Result<SizePlan, FitError> {
    for t in all {
        TrunkRange::new(t.range.from, t.range.to)?;
    }
    for printed in existing {
        printed.size.face()?;
    }
    let mut chosen: Vec<(Size, Option<usize>, Vec<usize>)> =
        existing.iter().enumerate().map(|(i, p)| (p.size, Some(i), Vec::new())).collect();
    let mut left = Vec::new();
    for (t, wanted) in all.iter().enumerate() {
        let mut best: Option<(f64, usize)> = None;
        for (i, printed) in existing.iter().enumerate() {
            if printed.size.serves(wanted.range) {
                let room = rule.in_hand(printed).room(wanted);
                if room > best.map_or(0.0, |b| b.0) {
                    best = Some((room, i));
                }
            }
        }
        match best {
            Some((_, i)) => chosen[i].2.push(t),
            None => left.push(t),
        }
    }
    chosen.retain(|(_, _, who)| !who.is_empty());
    left.sort_by(|&i, &j| {
        let key = |t: usize| {
            let Wanted { range, situation } = &all[t];
            [situation.relief.get(), range.from.get(), range.to.get()]
        };
        let pairs = key(i).into_iter().zip(key(j));
        pairs.fold(std::cmp::Ordering::Equal, |o, (a, b)| o.then(a.total_cmp(&b)))
    });
    let mut unserved = Vec::new();
    while let Some(&first) = left.first() {
        let relief = all[first].situation.relief;
        let same = left.iter().take_while(|&&t| all[t].situation.relief == relief).count();
        match rule.class(&left[..same], all) {
            Some((size, class)) => {
                left.retain(|t| !class.contains(t));
                chosen.push((size, None, class));
            }
            None => {
                left.remove(0);
                unserved.push(without(first, &all[first], rule));
            }
        }
    }
    chosen.sort_by(|a, b| a.0.girth_from.get().total_cmp(&b.0.girth_from.get()));
    let mut assignment = vec![None; all.len()];
    for (s, (_, _, who)) in chosen.iter().enumerate() {
        for &t in who {
            assignment[t] = Some(s);
        }
    }
    unserved.sort_by_key(|u| u.trunk);
    let (sizes, kept) = chosen.into_iter().map(|(size, kept, _)| (size, kept)).unzip();
    Ok(SizePlan { sizes, kept, assignment, unserved })
}

/// Why no face serves a trunk.
fn without(trunk: usize, wanted: &Wanted, rule: &SizeRule<'_>) -> Unserved {
    let (range, face) = (wanted.range, rule.made_for(wanted.range));
    let girth = girth_of_radius((range.from + range.to) / 2.0);
    let plain = pull::judge(face.print(), &face.conditions(wanted.situation.plain()), girth);
    let own = pull::judge(face.print(), &face.conditions(wanted.situation), girth);
    let window = match (plain, own) {
        (Some(plain), Some(own)) if own.ratio() > plain.ratio() => Some(plain),
        (_, own) => own,
    };
    Unserved { trunk, range, window }
}

#[cfg(test)]
mod tests;
