//! The one judgement: does a print serve a trunk, and how hard may its straps be pulled there.
//!
//! A print serves a trunk when some pull, with room for a hand's scatter of a quarter both ways,
//! holds what hangs on it and harms nothing. Both are judged at their worst:
//!
//! - Holding, on new pads and after the hours given: friction of the pad at its low end bears weight and
//!   gust; the face does not tip with the safety factor; the loosest place of the pad keeps its least
//!   strain under the weight, and no strap goes slack by it; in a gust half of the pad at least stays in
//!   touch, as a footing must (`(e_x / b_x)^2 + (e_y / b_y)^2 <= 1/9`, DIN 1054, from memory). Each asks
//!   for a seat force, hence for a pull left in the strap, hence for a pull as pulled
//!   ([`Springs::pulled_for`]).
//! - Harming, in the moment of pulling and in a gust: the hardest place of the pad stays under its most
//!   strain and under what bark bears; the rim keeps its air; webbing, bark under the bare strap,
//!   printed passage and the hand or tool that pulls bear the tension.
//!
//! Friction of webbing has a low and a high end: the high one takes from the pull on its way to the
//! farthest saddle, which must hold; the low one leaves it at the nearest, which must not be crushed.
//!
//! Bark that stands off a circle presses its ridges into the pad: half the relief is taken off the
//! pad's most strain. Furrows under a pad that grips do no harm. A girth known within a tolerance is judged at both ends, and one pull must suit both.
//! Friction of webbing never carries a rigid saddle: the saddle hangs by its own pad.
//!
//! Loads: gust from before, pulling off or pressing on, with the part that a tilted lamp turns up or down
//! at its worst, and a quarter of the body's breadth off the middle (EN 1991-1-4, 7.4.3); gust from the side at the body's reach, and
//! a quarter of its depth off. A trunk that leans adds its part of the weight to pull and levers.
//! Outer straps hold against tilting by their own spring ([`Ring::seat_rate`]).

use std::f64::consts::TAU;

use super::foam::Age;
use super::guard::{OutOfRange, finite, not_negative, positive};
use super::seat::{Bed, Face, Levering, Pad, Pose, Pressed, nominal_gap};
use super::springs::{Loss, Mouth, Ring, Since, Springs, Webbing, tension_under};
use crate::units::{Angle, Force, Hours, Length, Pressure, Torque};

/// Share by which a pull of the hand may come out larger or smaller than meant. Scatter of tightening
/// by hand; common practice, no source.
pub(crate) const SCATTER: f64 = 0.25;
/// Most over least that leaves room for it on both sides.
pub(crate) const ROOM: f64 = (1.0 + SCATTER) / (1.0 - SCATTER);
/// Off-middle pressure of a gust, share of the body's breadth (EN 1991-1-4, 7.4.3).
const OFF_MIDDLE: f64 = 0.25;
/// Eccentricity in shares of the side at which half of a footing is out of touch: a third (DIN 1054, from
/// memory), so the force is at least three moments over the side.
const HALF_TOUCHES: f64 = 3.0;
const MM_PER_METRE: f64 = 1000.0;

/// Everything about a print that meets trunk and strap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Print {
    /// Its face, with the rim.
    pub face: Face,
    /// Its strap mouths.
    pub mouth: Mouth,
    /// What its passage bears for a season.
    pub passage: Bears,
    /// Straps, one above the other.
    pub straps: u32,
    /// From the middle to the lowest and the highest strap, which are mirror images.
    pub strap_height: Length,
}

/// What a printed passage bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bears {
    /// Most tension over the mouth's edge.
    pub edge: Force,
    /// Most force on the web behind the strap where it turns.
    pub web: Force,
}

/// What hangs on one saddle, and the gust on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hung {
    /// Weight of everything on the saddle.
    pub weight: Force,
    /// Gust in the beam's vertical plane.
    pub front: Force,
    /// Part of that along the trunk.
    pub down: Force,
    /// Gust across it.
    pub side: Force,
    /// From the bark out to its middle.
    pub reach: Length,
    /// From the saddle's middle up to its middle; the sign does not matter.
    pub rise: Length,
    /// Breadth of the body, across the beam.
    pub breadth: Length,
    /// Depth of the body, along the beam.
    pub depth: Length,
    /// Lean of the trunk toward the saddle's side.
    pub lean: Angle,
    /// Moments about the level axis in still air and in a gust from before where a second saddle takes
    /// its part of them; else they follow from weight, gust and reach.
    pub couple: Option<[Torque; 2]>,
}

/// Friction that nobody has measured on this bark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Friction {
    /// Of the pad on bark, at its low end: it holds.
    pub pad: f64,
    /// Of the webbing, both ends: the high one loses a pull on its way, the low one leaves it hard.
    pub loss: Loss,
}

/// How a strap is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Tightener {
    /// A cam buckle: what the hand pulls stays, and no more.
    Cam {
        /// The most that one hand pulls.
        most: Force,
    },
    /// A ratchet: more than the hand, and in steps.
    Ratchet {
        /// The most that its handle reaches.
        most: Force,
        /// Webbing that one tooth takes up.
        step: Length,
    },
}

impl Tightener {
    fn most(self) -> Force {
        match self {
            Self::Cam { most } | Self::Ratchet { most, .. } => most,
        }
    }
}

/// What the straps of a ring are like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Straps {
    /// Width of the webbing.
    pub width: Length,
    /// Most tension for the webbing and its buckle.
    pub working_load: Force,
    /// The webbing as a spring.
    pub webbing: Webbing,
    /// How they are tightened.
    pub tightener: Tightener,
}

impl Straps {
    /// The most that webbing, buckle and whoever pulls reach.
    pub(crate) fn most(&self) -> Force {
        self.working_load.min(self.tightener.most())
    }
}

/// All that is the same for every trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Conditions {
    /// The pad.
    pub pad: Pad,
    /// How far the gap between bark and a circle varies under the face.
    pub relief: Length,
    /// How far the girth may be off, either way.
    pub tolerance: Length,
    /// Straps of the ring.
    pub straps: Straps,
    /// Saddles on the ring, evenly spread.
    pub saddles: u32,
    /// What hangs on each.
    pub hung: Hung,
    /// Friction.
    pub friction: Friction,
    /// Most pressure on bark, under pad and strap.
    pub bark: Pressure,
    /// Factor on loads against sliding and tipping.
    pub safety: f64,
    /// Hours for which one pull must last.
    pub relaxed: Hours,
    /// Half the face's width over the trunk's radius, at most.
    pub reach: f64,
}

/// What asks for the least pull.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Weight and side gust against the pad's friction.
    SlidesAside,
    /// Weight and outward gust against it.
    SlidesDown,
    /// Tipping over an edge of the pad.
    Tips,
    /// The pad under its least strain somewhere.
    Loose,
    /// More than half of the pad out of touch in a gust from before.
    OpensAbove,
    /// The same in a gust from the side.
    OpensAside,
}

/// What sets the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cap {
    /// Webbing or buckle.
    WorkingLoad,
    /// What hand or ratchet reaches.
    Tightener,
    /// The printed passage.
    Passage,
    /// Bark under the bare strap.
    BarkUnderStrap,
    /// Bark under the pad's hardest place.
    BarkUnderPad,
    /// Foam at its hardest place.
    PadCrushed,
    /// The rim on the bark.
    RimTouches,
}

/// The pulls between which a print holds and harms nothing; none when `least` is above `most`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Least pull that holds, infinite when none does.
    pub least: Force,
    /// What asks for it.
    pub need: Need,
    /// Most pull that harms nothing.
    pub most: Force,
    /// What sets it.
    pub cap: Cap,
    /// The step in which the pull can be set; zero for a cam.
    pub step: Force,
}

impl Need {
    /// In words, after "is needed".
    #[must_use]
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::SlidesAside => "not to slide under weight and a gust from the side",
            Self::SlidesDown => "not to slide under weight and a gust that pulls outward",
            Self::Tips => "not to tip over an edge of the pad",
            Self::Loose => "to keep the pad pressed at its loosest place",
            Self::OpensAbove => "to keep half of the pad in touch in a gust from before",
            Self::OpensAside => "to keep half of the pad in touch in a gust from the side",
        }
    }
}

impl Cap {
    /// In words, before "allows".
    #[must_use]
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::WorkingLoad => "the webbing's working load",
            Self::Tightener => "the hand that pulls",
            Self::Passage => "the printed strap passage",
            Self::BarkUnderStrap => "the bark under the bare strap",
            Self::BarkUnderPad => "the bark under the pad",
            Self::PadCrushed => "the pad's largest strain",
            Self::RimTouches => "the rim round the pad, which must not touch the bark,",
        }
    }
}

impl Window {
    /// Most over least; zero when none holds.
    #[must_use]
    pub(crate) fn ratio(&self) -> f64 {
        if self.least.get() > 0.0 { self.most / self.least } else { f64::INFINITY }
    }

    /// Whether some pull holds and harms nothing.
    #[must_use]
    pub(crate) fn is_open(&self) -> bool {
        self.least <= self.most
    }

    /// Whether a hand that scatters by a quarter, or the next tooth of a ratchet, stays inside.
    #[must_use]
    pub(crate) fn has_room(&self) -> bool {
        self.most.get() >= ROOM * self.least.get() && self.most - self.least >= self.step
    }

    /// The pull to aim at: as far above the least as below the most, in proportion; in whole newtons
    /// where one lies inside. `None` when the window is empty.
    #[must_use]
    pub(crate) fn aim(&self) -> Option<Force> {
        let middle = (self.least.get() * self.most.get()).sqrt();
        let whole = [middle.round(), middle.ceil(), middle.floor()].map(Force::newtons);
        let inside = whole.into_iter().find(|t| *t >= self.least && *t <= self.most);
        self.is_open().then(|| inside.unwrap_or(Force::newtons(middle)))
    }

    /// The pulls that suit this window and another.
    fn and(self, other: Self) -> Self {
        let (low, high) = (
            if other.least > self.least { other } else { self },
            if other.most < self.most { other } else { self },
        );
        Self {
            least: low.least,
            need: low.need,
            most: high.most,
            cap: high.cap,
            step: self.step.max(other.step),
        }
    }
}

/// One load case: what it pulls off or presses on, and its levers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Case {
    /// Off the trunk.
    pub pull: Force,
    /// Onto it.
    pub press: Force,
    /// Moments about the middle of the pad.
    pub levering: Levering,
}

impl Hung {
    /// Weight alone, then a gust from before, then one from the side.
    #[must_use]
    pub(crate) fn cases(&self) -> [Case; 3] {
        let (reach, rise) = (self.reach.get(), self.rise.get().abs());
        let weight = self.weight.get();
        let (along, off) = (weight * self.lean.cos(), weight * self.lean.sin());
        let pitch = along * reach + off.abs() * rise;
        let (front, side) = (self.front.get(), self.side.get());
        let [pitch, more] = match self.couple {
            Some(couple) => {
                let [still, gust] = couple.map(|m| m.get() * MM_PER_METRE);
                [still, gust - still]
            }
            None => [pitch, front * rise + self.down.get() * reach],
        };
        let case = |gust: f64, more: f64, yaw: f64| Case {
            pull: Force::newtons((off + gust).max(0.0)),
            press: Force::newtons((gust - off).max(0.0)),
            levering: Levering {
                pitch: Torque::newton_metres((pitch + more) / MM_PER_METRE),
                yaw: Torque::newton_metres(yaw / MM_PER_METRE),
            },
        };
        [
            case(0.0, 0.0, 0.0),
            case(front, more, front * OFF_MIDDLE * self.breadth.get()),
            case(0.0, 0.0, side * (reach + OFF_MIDDLE * self.depth.get())),
        ]
    }

    fn check(&self) -> Result<(), OutOfRange> {
        for (what, value) in [
            ("the weight", self.weight.get()),
            ("the gust from before", self.front.get()),
            ("the gust along the trunk", self.down.get()),
            ("the gust from the side", self.side.get()),
            ("the reach from the bark", self.reach.get()),
            ("the body's breadth", self.breadth.get()),
            ("the body's depth", self.depth.get()),
        ] {
            not_negative(what, value)?;
        }
        finite("the body's height above the saddle", self.rise.get())?;
        finite("the trunk's lean", self.lean.rad())?;
        Ok(())
    }
}

/// A print on a trunk of one radius, ready to be asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seated<'a> {
    print: &'a Print,
    conditions: &'a Conditions,
    radius: f64,
    springs: Springs,
    cases: [Case; 3],
}

impl<'a> Seated<'a> {
    /// A print on a round trunk.
    ///
    /// # Errors
    /// A measure out of range; a trunk too thin for the print.
    pub(crate) fn new(
        print: &'a Print,
        conditions: &'a Conditions,
        radius: Length,
    ) -> Result<Self, OutOfRange> {
        let gap = nominal_gap(&conditions.pad);
        let counts = [print.straps, conditions.saddles];
        let ring = Ring::round(radius, gap, &print.mouth, counts, conditions.friction.loss)?;
        Self::with_ring(print, conditions, radius, ring)
    }

    /// A print on bark of this radius, with the strap's path as it is: for trunks that are not round.
    ///
    /// # Errors
    /// As [`Seated::new`].
    pub(crate) fn with_ring(
        print: &'a Print,
        conditions: &'a Conditions,
        radius: Length,
        ring: Ring,
    ) -> Result<Self, OutOfRange> {
        let reach = positive("the pad's reach round the trunk", conditions.reach)?;
        if print.face.half_width.get() > reach * radius.get() * (1.0 + SAME) {
            let needs = "at most the pad's reach round the trunk";
            let value = print.face.half_width.get();
            return Err(OutOfRange { what: "the pad's half width", value, needs });
        }
        not_negative("the bark's relief", conditions.relief.get())?;
        positive("the pad's friction", conditions.friction.pad)?;
        positive("the pressure that bark bears", conditions.bark.get())?;
        positive("the safety factor", conditions.safety)?;
        positive("the strap's width", conditions.straps.width.get())?;
        not_negative("the passage's tension", print.passage.edge.get())?;
        not_negative("the force on the passage's web", print.passage.web.get())?;
        conditions.hung.check()?;
        let bed = Bed::new(&print.face, conditions.pad, radius)?;
        let rate = conditions.straps.webbing.rate(ring.length)?;
        let z = not_negative("the height of the outer straps", print.strap_height.get())?;
        let heights = [-z, z].map(Length::mm);
        // One strap sits in the middle and holds against no tilting.
        let levers = if print.straps > 1 { &heights[..] } else { &[] };
        let bed = bed.with_straps(ring.seat_rate(rate), levers)?;
        let springs = Springs::new(bed, ring, conditions.straps.webbing)?;
        let cases = conditions.hung.cases();
        Ok(Self { print, conditions, radius: radius.get(), springs, cases })
    }

    /// Strap and pads.
    #[must_use]
    pub(crate) fn springs(&self) -> &Springs {
        &self.springs
    }

    /// The load cases: weight alone, gust from before, gust from the side.
    #[must_use]
    pub(crate) fn cases(&self) -> &[Case; 3] {
        &self.cases
    }

    /// The pull that must be left in the straps when the foam has this age, infinite when none is
    /// enough, and what asks for it.
    #[must_use]
    pub(crate) fn needed(&self, age: Age) -> (Force, Need) {
        let c = self.conditions;
        let (mu, safety) = (c.friction.pad, c.safety);
        let [width, height] =
            [2.0 * self.print.face.half_width.get(), self.print.face.height.get()];
        let [still, front, aside] = &self.cases;
        let (weight, side) = (c.hung.weight.get(), c.hung.side.get());
        // The side gust turns the saddle round the trunk, and in its own plane.
        let round = side * (1.0 + c.hung.reach.get() / self.radius);
        let spin = side * c.hung.rise.get().abs() / mean_lever(width, height);
        let slides_aside = safety * (libm::hypot(weight, round) + spin) / mu + still.pull.get();
        let slides_down = safety * ((weight + c.hung.down.get()) / mu + front.pull.get());
        let tips = |case: &Case| {
            let Levering { pitch, yaw } = case.levering;
            let edge = 2.0 * MM_PER_METRE * (pitch.get() / height + yaw.get() / width);
            safety * (edge + case.pull.get())
        };
        let opens = |case: &Case| {
            let Levering { pitch, yaw } = case.levering;
            let off = libm::hypot(pitch.get() / height, yaw.get() / width);
            HALF_TOUCHES * MM_PER_METRE * off + case.pull.get()
        };
        let loose = match self.springs.bed.loosest(c.pad.least, still.levering, age) {
            Some(pose) => (pose.force + still.pull).get().max(self.taut(&pose)),
            None => f64::INFINITY,
        };
        let asked = [
            (slides_aside, Need::SlidesAside),
            (slides_down, Need::SlidesDown),
            (tips(front).max(tips(aside)), Need::Tips),
            (loose, Need::Loose),
            (opens(front), Need::OpensAbove),
            (opens(aside), Need::OpensAside),
        ];
        let (force, need) =
            asked.into_iter().fold((0.0, Need::SlidesAside), |a, b| if b.0 > a.0 { b } else { a });
        (Force::newtons(force / self.springs.seat()), need)
    }

    /// How the pad lies at the farthest saddle with so much left in the straps, in one load case (of
    /// [`Seated::cases`]); `None` when the face tips off. The lamp's sag is that of the first case, its
    /// nod in a gust what the second adds.
    #[must_use]
    pub(crate) fn lies(&self, left: Force, case: &Case, age: Age) -> Option<Pressed> {
        let force = (left * self.springs.seat() - case.pull).max(Force::ZERO);
        let pose = self.springs.bed.under(force, case.levering, age)?;
        Some(self.springs.bed.pressed(&pose, age))
    }

    /// How the pad is pressed at the nearest saddle in the moment of pulling, a gust pressing on.
    #[must_use]
    pub(crate) fn bears(&self, pull: Force, case: &Case) -> Option<Pressed> {
        let force = pull * (self.springs.ring.seat() * self.springs.ring.share[1]) + case.press;
        let pose = self.springs.bed.under(force, case.levering, Age::FRESH)?;
        Some(self.springs.bed.pressed(&pose, Age::FRESH))
    }

    /// The seat force at which the outer strap that the tilt relieves is still taut.
    fn taut(&self, pose: &Pose) -> f64 {
        let straps = self.print.straps;
        if straps < 2 {
            return 0.0;
        }
        let moved = self.springs.bed.tilt(pose).rad() * self.print.strap_height.get();
        f64::from(straps) * self.springs.ring.seat_rate(self.springs.rate()) * moved
    }

    /// The most pull on new pads, and what sets it.
    #[must_use]
    pub(crate) fn most(&self) -> (Force, Cap) {
        let c = self.conditions;
        let mut most = (c.straps.working_load.get(), Cap::WorkingLoad);
        let mut cap = |pull: f64, what: Cap| {
            if pull < most.0 {
                most = (pull, what);
            }
        };
        cap(c.straps.tightener.most().get(), Cap::Tightener);
        // Where the strap turns over one of the two mouths, the web carries both of its ends.
        let mouth = 2.0 * libm::sin(0.25 * self.springs.ring.turn.rad());
        cap(self.print.passage.edge.get(), Cap::Passage);
        cap(self.print.passage.web.get() / mouth, Cap::Passage);
        if let Some(radius) = self.springs.ring.bare {
            let tension = tension_under(c.bark, radius, c.straps.width);
            cap(tension.get(), Cap::BarkUnderStrap);
        }
        let crushed = c.pad.most - self.relief();
        let bruised = c.pad.foam.strain(c.bark, Age::FRESH) - self.relief();
        let strain = crushed.min(bruised);
        for case in &self.cases[1..] {
            match self.springs.bed.hardest(strain, case.levering, Age::FRESH) {
                None => cap(0.0, Cap::PadCrushed),
                Some(pose) => {
                    let seat = self.springs.ring.seat() * self.springs.ring.share[1];
                    let pull = (pose.force - case.press).get() / seat;
                    cap(pull.max(0.0), self.limited_by(&pose, crushed, bruised));
                }
            }
        }
        (Force::newtons(most.0), most.1)
    }

    /// The window of pulls on new pads.
    ///
    /// # Errors
    /// Never for a print that could be seated; kept for sums of numbers beyond all size.
    pub(crate) fn window(&self) -> Result<Window, OutOfRange> {
        let since = Since { wet: true, ..Since::only(self.conditions.relaxed) };
        let (left, need) = self.needed(self.springs.age(&since));
        let later = match left.is_finite() {
            true => self.springs.pulled_for(left, &since)?,
            false => left,
        };
        // New foam is stiffer: the same strain asks for more of it.
        let at_once = self.needed(Age::FRESH);
        let (least, need) = if at_once.0 > later { at_once } else { (later, need) };
        let (mut most, mut cap) = self.most();
        // A pad that has settled brings the rim nearer at the same pull.
        if let Some(pose) = self.settled_rim(&since) {
            let left = (pose.force - self.cases[1].press).get().max(0.0) / self.springs.seat();
            let pull = self.springs.pulled_for(Force::newtons(left), &since)?;
            if pull < most {
                (most, cap) = (pull, Cap::RimTouches);
            }
        }
        let step = match self.conditions.straps.tightener {
            Tightener::Cam { .. } => Force::ZERO,
            Tightener::Ratchet { step, .. } => Force::newtons(self.springs.rate() * step.get()),
        };
        Ok(Window { least, need, most, cap, step })
    }

    /// The settled pose at which the rim has just its air left in a gust.
    fn settled_rim(&self, since: &Since) -> Option<Pose> {
        self.print.face.rim?;
        let end = self.conditions.pad.foam.end();
        self.springs.bed.hardest(end, self.cases[1].levering, self.springs.age(since))
    }

    /// Half the bark's relief, in strain of the pad.
    fn relief(&self) -> f64 {
        0.5 * self.conditions.relief.get() / self.conditions.pad.thickness.get()
    }

    fn limited_by(&self, pose: &Pose, crushed: f64, bruised: f64) -> Cap {
        match self.springs.bed.air_left(pose) {
            Some(air) if air.get() < SAME => Cap::RimTouches,
            _ if bruised < crushed => Cap::BarkUnderPad,
            _ => Cap::PadCrushed,
        }
    }
}

/// Lengths that agree to a millionth are the same.
const SAME: f64 = 1e-6;

/// Mean distance of a rectangle's points from its middle, the lever of friction against turning in
/// its own plane. It lies between 0.937 (square) and sqrt(3)/2 (line) of the radius of gyration; the
/// low end is taken.
fn mean_lever(width: f64, height: f64) -> f64 {
    0.25 * (width * width + height * height).sqrt()
}

/// The one judgement: the pulls with which a print serves a trunk of this girth, girth tolerance
/// included. A print that cannot sit there at all has no window.
#[must_use]
pub(crate) fn judge(print: &Print, conditions: &Conditions, girth: Length) -> Option<Window> {
    let at = |girth: Length| Seated::new(print, conditions, girth / TAU).ok()?.window().ok();
    let off = conditions.tolerance;
    if off > Length::ZERO { Some(at(girth - off)?.and(at(girth + off)?)) } else { at(girth) }
}

/// Whether a print serves a trunk of this girth, with room for the hand's scatter.
#[must_use]
pub(crate) fn serves(print: &Print, conditions: &Conditions, girth: Length) -> bool {
    judge(print, conditions, girth).is_some_and(|window| window.has_room())
}

#[cfg(test)]
pub(crate) mod tests;
