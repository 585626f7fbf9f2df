//! The one judgement: does a print serve a trunk, and how hard may its straps be pulled there.
//!
//! A print serves a trunk when some pull, with room for a hand's scatter of a quarter both ways,
//! holds what hangs on it and harms nothing. Both are judged at their worst:
//!
//! - Holding, on new pads and after the hours given: friction of the pad at its low end bears weight and gust; the
//!   face does not tip with the safety factor; the loosest place of the pad keeps its least strain
//!   under the weight, and its touch in a gust; no strap goes slack. Each asks for a seat force, hence for a pull left in the strap, hence for
//!   a pull as pulled ([`Springs::pulled_for`]).
//! - Harming, in the moment of pulling and in a gust: the hardest place of the pad stays under its most
//!   strain and under what bark bears; the rim keeps its air; webbing, bark under the bare strap,
//!   printed passage and the hand or tool that pulls bear the tension.
//!
//! Friction of webbing has a low and a high end: the high one takes from the pull on its way to the
//! farthest saddle, which must hold; the low one leaves it at the nearest, which must not be crushed.
//!
//! Bark that stands off a circle by its relief takes half of it from either end of the pad's range of
//! strains. A girth known within a tolerance is judged at both ends, and one pull must suit both.
//! Friction of webbing never carries a rigid saddle: the saddle hangs by its own pad.
//!
//! Loads: gust from before, pulling off or pressing on, its lever taken at its worst, and a quarter of
//! the body's breadth off the middle (EN 1991-1-4, 7.4.3); gust from the side at the body's reach, and
//! a quarter of its depth off. A trunk that leans adds its part of the weight to pull and levers.
//! Outer straps hold against tilting by their own spring ([`Ring::seat_rate`]).
//!
//! The girths that a print serves are one interval about the girth that its face was made for: the
//! misfit `|s(r, w) - s(Rc, w)|` grows away from there on both sides, and with it the least pull, while
//! the most falls. Turn and friction change the window slowly beside that. The interval is found from
//! that girth outward in equal steps of curvature, in which the misfit is nearly linear, and its
//! ends by bisection.

use std::f64::consts::TAU;

use super::foam::Age;
use super::guard::{OutOfRange, finite, not_negative, positive};
use super::seat::{Bed, Face, Levering, Pad, Pose, Pressed};
use super::springs::{Loss, Mouth, Ring, Since, Springs, Webbing};
use crate::bisection::border;
use crate::units::{Angle, Force, Hours, Length, Pressure, Torque};

/// Share by which a pull of the hand may come out larger or smaller than meant. Scatter of tightening
/// by hand; common practice, no source.
pub const SCATTER: f64 = 0.25;
/// Most over least that leaves room for it on both sides.
pub const ROOM: f64 = (1.0 + SCATTER) / (1.0 - SCATTER);
/// The thickest girth that a job file may hold.
const LARGEST_GIRTH: f64 = 6000.0;
/// Off-middle pressure of a gust, share of the body's breadth (EN 1991-1-4, 7.4.3).
const OFF_MIDDLE: f64 = 0.25;
const MM_PER_METRE: f64 = 1000.0;

/// Everything about a print that meets trunk and strap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print {
    /// Its face, with the rim.
    pub face: Face,
    /// Its strap mouths.
    pub mouth: Mouth,
    /// Most tension that its passage bears for a season.
    pub passage: Force,
    /// From the middle to the lowest and the highest strap, which are mirror images.
    pub strap_height: Length,
}

/// What hangs on one saddle, and the gust on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hung {
    /// Weight of everything on the saddle.
    pub weight: Force,
    /// Gust in the beam's vertical plane.
    pub front: Force,
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
}

/// Friction that nobody has measured on this bark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Of the pad on bark, at its low end: it holds.
    pub pad: f64,
    /// Of the webbing, both ends: the high one loses a pull on its way, the low one leaves it hard.
    pub loss: Loss,
}

/// How a strap is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tightener {
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

/// The straps of a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straps {
    /// How many, one above the other.
    pub count: u32,
    /// Width of the webbing.
    pub width: Length,
    /// Most tension for the webbing and its buckle.
    pub working_load: Force,
    /// The webbing as a spring.
    pub webbing: Webbing,
    /// How they are tightened.
    pub tightener: Tightener,
}

/// All that is the same for every trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
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
    /// The pad out of touch somewhere in a gust from before, or a strap slack.
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

impl Window {
    /// Whether some pull holds and harms nothing.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.least <= self.most
    }

    /// Whether a hand that scatters by a quarter, or the next tooth of a ratchet, stays inside.
    #[must_use]
    pub fn has_room(&self) -> bool {
        self.most.get() >= ROOM * self.least.get() && self.most - self.least >= self.step
    }

    /// The pull to aim at: as far above the least as below the most, in proportion; in whole newtons
    /// where one lies inside. `None` when the window is empty.
    #[must_use]
    pub fn aim(&self) -> Option<Force> {
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
pub struct Case {
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
    pub fn cases(&self) -> [Case; 3] {
        let (reach, rise) = (self.reach.get(), self.rise.get().abs());
        let weight = self.weight.get();
        let (along, off) = (weight * self.lean.cos(), weight * self.lean.sin());
        let pitch = along * reach + off.abs() * rise;
        let case = |gust: f64, more: f64, yaw: f64| Case {
            pull: Force::newtons((off + gust).max(0.0)),
            press: Force::newtons((gust - off).max(0.0)),
            levering: Levering {
                pitch: Torque::newton_metres((pitch + more) / MM_PER_METRE),
                yaw: Torque::newton_metres(yaw / MM_PER_METRE),
            },
        };
        let (front, side) = (self.front.get(), self.side.get());
        [
            case(0.0, 0.0, 0.0),
            case(front, front * libm::hypot(reach, rise), front * OFF_MIDDLE * self.breadth.get()),
            case(0.0, 0.0, side * (reach + OFF_MIDDLE * self.depth.get())),
        ]
    }

    fn check(&self) -> Result<(), OutOfRange> {
        for (what, value) in [
            ("the weight", self.weight.get()),
            ("the gust from before", self.front.get()),
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
pub struct Seated<'a> {
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
    pub fn new(
        print: &'a Print,
        conditions: &'a Conditions,
        radius: Length,
    ) -> Result<Self, OutOfRange> {
        let pad = &conditions.pad;
        let gap = pad.thickness * (1.0 - 0.5 * (pad.least + pad.most));
        let counts = [conditions.straps.count, conditions.saddles];
        let ring = Ring::round(radius, gap, &print.mouth, counts, conditions.friction.loss)?;
        Self::with_ring(print, conditions, radius, ring)
    }

    /// A print on bark of this radius, with the strap's path as it is: for trunks that are not round.
    ///
    /// # Errors
    /// As [`Seated::new`].
    pub fn with_ring(
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
        not_negative("the passage's tension", print.passage.get())?;
        conditions.hung.check()?;
        let bed = Bed::new(&print.face, conditions.pad, radius)?;
        let rate = conditions.straps.webbing.rate(ring.length)?;
        let z = not_negative("the height of the outer straps", print.strap_height.get())?;
        let heights = [-z, z].map(Length::mm);
        // One strap sits in the middle and holds against no tilting.
        let levers = if conditions.straps.count > 1 { &heights[..] } else { &[] };
        let bed = bed.with_straps(ring.seat_rate(rate), levers)?;
        let springs = Springs::new(bed, ring, conditions.straps.webbing)?;
        let cases = conditions.hung.cases();
        Ok(Self { print, conditions, radius: radius.get(), springs, cases })
    }

    /// Strap and pads.
    #[must_use]
    pub fn springs(&self) -> &Springs {
        &self.springs
    }

    /// The load cases: weight alone, gust from before, gust from the side.
    #[must_use]
    pub fn cases(&self) -> &[Case; 3] {
        &self.cases
    }

    /// The pull that must be left in the straps when the foam has this age, infinite when none is
    /// enough, and what asks for it.
    #[must_use]
    pub fn needed(&self, age: Age) -> (Force, Need) {
        let c = self.conditions;
        let (mu, safety) = (c.friction.pad, c.safety);
        let [width, height] =
            [2.0 * self.print.face.half_width.get(), self.print.face.height.get()];
        let [still, front, aside] = &self.cases;
        let (weight, side) = (c.hung.weight.get(), c.hung.side.get());
        let gust = c.hung.front.get();
        // The side gust turns the saddle round the trunk, and in its own plane.
        let round = side * (1.0 + c.hung.reach.get() / self.radius);
        let spin = side * c.hung.rise.get().abs() / mean_lever(width, height);
        let slides_aside = safety * (libm::hypot(weight, round) + spin) / mu + still.pull.get();
        let slides_down = safety * (weight + gust) / mu + safety * front.pull.get();
        let tips = |case: &Case| {
            let Levering { pitch, yaw } = case.levering;
            let edge = 2.0 * MM_PER_METRE * (pitch.get() / height + yaw.get() / width);
            safety * (edge + case.pull.get())
        };
        // The pad grips where weight hangs on it, and stays in touch in a gust.
        let grips = c.pad.least + self.relief();
        let presses =
            |strain: f64, case: &Case| match self.springs.bed.loosest(strain, case.levering, age) {
                Some(pose) => (pose.force + case.pull).get().max(self.taut(&pose)),
                None => f64::INFINITY,
            };
        let asked = [
            (slides_aside, Need::SlidesAside),
            (slides_down, Need::SlidesDown),
            (tips(front).max(tips(aside)), Need::Tips),
            (presses(grips, still), Need::Loose),
            (presses(self.relief(), front), Need::OpensAbove),
            (presses(self.relief(), aside), Need::OpensAside),
        ];
        let (force, need) =
            asked.into_iter().fold((0.0, Need::SlidesAside), |a, b| if b.0 > a.0 { b } else { a });
        (Force::newtons(force / self.springs.seat()), need)
    }

    /// How the pad lies at the farthest saddle with so much left in the straps, in one load case (of
    /// [`Seated::cases`]); `None` when the face tips off. The lamp's sag is that of the first case, its
    /// nod in a gust what the second adds.
    #[must_use]
    pub fn lies(&self, left: Force, case: &Case, age: Age) -> Option<Pressed> {
        let force = (left * self.springs.seat() - case.pull).max(Force::ZERO);
        let pose = self.springs.bed.under(force, case.levering, age)?;
        Some(self.springs.bed.pressed(&pose, age))
    }

    /// How the pad is pressed at the nearest saddle in the moment of pulling, a gust pressing on.
    #[must_use]
    pub fn bears(&self, pull: Force, case: &Case) -> Option<Pressed> {
        let force = pull * (self.springs.ring.seat() * self.springs.ring.share[1]) + case.press;
        let pose = self.springs.bed.under(force, case.levering, Age::FRESH)?;
        Some(self.springs.bed.pressed(&pose, Age::FRESH))
    }

    /// The seat force at which the outer strap that the tilt relieves is still taut.
    fn taut(&self, pose: &Pose) -> f64 {
        let c = &self.conditions.straps;
        if c.count < 2 {
            return 0.0;
        }
        let moved = self.springs.bed.tilt(pose).rad() * self.print.strap_height.get();
        f64::from(c.count) * self.springs.ring.seat_rate(self.springs.rate()) * moved
    }

    /// The most pull on new pads, and what sets it.
    #[must_use]
    pub fn most(&self) -> (Force, Cap) {
        let c = self.conditions;
        let mut most = (c.straps.working_load.get(), Cap::WorkingLoad);
        let mut cap = |pull: f64, what: Cap| {
            if pull < most.0 {
                most = (pull, what);
            }
        };
        cap(c.straps.tightener.most().get(), Cap::Tightener);
        cap(self.print.passage.get(), Cap::Passage);
        if let Some(radius) = self.springs.ring.bare {
            // p = T / (r b) (Mott, band brakes).
            let area = radius.get() * c.straps.width.get();
            cap(c.bark.get() * area * NEWTONS, Cap::BarkUnderStrap);
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
    pub fn window(&self) -> Result<Window, OutOfRange> {
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

/// Kilopascals on square millimetres to newtons.
const NEWTONS: f64 = 1e-3;
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
pub fn judge(print: &Print, conditions: &Conditions, girth: Length) -> Option<Window> {
    let at = |girth: Length| Seated::new(print, conditions, girth / TAU).ok()?.window().ok();
    let off = conditions.tolerance;
    if off > Length::ZERO { Some(at(girth - off)?.and(at(girth + off)?)) } else { at(girth) }
}

/// Whether a print serves a trunk of this girth, with room for the hand's scatter.
#[must_use]
pub fn serves(print: &Print, conditions: &Conditions, girth: Length) -> bool {
    judge(print, conditions, girth).is_some_and(|window| window.has_room())
}

/// The thinnest and the thickest girth that a print serves, up to the largest that a job may have;
/// `None` when it serves none.
#[must_use]
pub fn served_girths(print: &Print, conditions: &Conditions) -> Option<[Length; 2]> {
    let pad = &conditions.pad;
    let served = |curvature: f64| serves(print, conditions, Length::mm(TAU / curvature));
    // Curvature 1 / r: from the thinnest trunk that the face goes on to the thickest of a job.
    let thinnest = (conditions.reach / print.face.half_width.get()).max(0.0);
    let thickest = TAU / LARGEST_GIRTH;
    if thinnest <= thickest || thinnest.is_nan() {
        return None;
    }
    let nominal = pad.thickness.get() * (1.0 - 0.5 * (pad.least + pad.most));
    let made_for = (1.0 / (print.face.radius.get() - nominal).max(SAME)).clamp(thickest, thinnest);
    let step = (thinnest - thickest) / f64::from(STEPS);
    let in_range = |c: &f64| (thickest..=thinnest).contains(c);
    // Nearest first, so that the interval found is the one about the girth that it was made for.
    let outward = (0..=STEPS).flat_map(|i| {
        let off = step * f64::from(i);
        [made_for + off, made_for - off].into_iter().filter(in_range)
    });
    let start = outward.into_iter().find(|c| served(*c))?;
    let end = |sign: f64, limit: f64| {
        let mut good = start;
        loop {
            let next = if sign > 0.0 { (good + step).min(limit) } else { (good - step).max(limit) };
            if !served(next) {
                return border(good, next, HALVINGS, &served)[0];
            }
            good = next;
            #[allow(clippy::float_cmp)] // The limit itself was reached.
            if good == limit {
                return good;
            }
        }
    };
    Some([end(1.0, thinnest), end(-1.0, thickest)].map(|c| Length::mm(TAU / c)))
}

/// Steps of curvature over all trunks that a face goes on.
const STEPS: u32 = 64;
/// Halvings of a step: below a thousandth of a millimetre of girth.
const HALVINGS: usize = 24;

/// How a print can be tried on a trunk that it does not serve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rehearsal {
    /// The thinnest foam of the same kind with which it holds there.
    pub foam: Option<Length>,
    /// A shim behind the pad with which it does.
    pub shim: Option<Shim>,
}

/// A packing between face and pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shim {
    /// Behind the middle, thinning out to both edges: for a trunk flatter than the face.
    Middle(Length),
    /// Behind both edges, thinning out to the middle: for a trunk rounder than the face.
    Edges(Length),
}

/// Foams are looked for in steps of a millimetre, shims of half a millimetre.
const FOAM_STEP: f64 = 1.0;
const SHIM_STEP: f64 = 0.5;
/// The thickest foam that a job file takes, and the thickest shim worth cutting.
const THICKEST_FOAM: f64 = 40.0;
const THICKEST_SHIM: f64 = 12.0;

/// Which foam, or which shim, would make a print hold on this girth, in the conditions given: for a
/// rehearsal these are still air.
#[must_use]
pub fn rehearsal(print: &Print, conditions: &Conditions, girth: Length) -> Rehearsal {
    let foam = (1..)
        .map(|i| FOAM_STEP * f64::from(i))
        .skip_while(|t| *t < THINNEST_FOAM)
        .take_while(|t| *t <= THICKEST_FOAM)
        .map(Length::mm)
        .find(|&thickness| {
            let pad = Pad { thickness, ..conditions.pad };
            serves(print, &Conditions { pad, ..*conditions }, girth)
        });
    let (rc, w) = (print.face.radius.get(), print.face.half_width.get());
    let sagitta = w * w / (rc + ((rc - w) * (rc + w)).max(0.0).sqrt());
    let steps = (1..).map(|i| SHIM_STEP * f64::from(i)).take_while(|s| *s <= THICKEST_SHIM);
    let shim = steps.flat_map(|s| [s, -s]).find(|change| {
        let deep = sagitta + change;
        if deep <= w * FLAT || deep > w {
            return false;
        }
        let radius = Length::mm(w * w / (2.0 * deep) + deep / 2.0);
        let face = Face { radius, ..print.face };
        serves(&Print { face, ..*print }, conditions, girth)
    });
    let shim = shim.map(|s| match s > 0.0 {
        true => Shim::Edges(Length::mm(s)),
        false => Shim::Middle(Length::mm(-s)),
    });
    Rehearsal { foam, shim }
}

/// Thinnest foam that a job file takes.
const THINNEST_FOAM: f64 = 3.0;
/// A sagitta below this share of the half width has no radius worth a number.
const FLAT: f64 = 1e-6;

#[cfg(test)]
pub(super) mod tests {
    use super::super::seat::Rim;
    use super::super::seat::tests::{face, pad};
    use super::super::springs::tests::polyester;
    use super::*;
    use proptest::prelude::*;

    /// A small floodlight: 0.5 kg and its cradle, gust of 15 m/s.
    pub(in super::super) fn hung() -> Hung {
        Hung {
            weight: Force::newtons(8.0),
            front: Force::newtons(2.5),
            side: Force::newtons(1.0),
            reach: Length::mm(75.0),
            rise: Length::mm(20.0),
            breadth: Length::mm(96.0),
            depth: Length::mm(42.0),
            lean: Angle::ZERO,
        }
    }

    pub(in super::super) fn conditions() -> Conditions {
        Conditions {
            pad: Pad { least: 0.05, ..pad() },
            relief: Length::mm(1.0),
            tolerance: Length::mm(3.0),
            straps: Straps {
                count: 2,
                width: Length::mm(25.0),
                working_load: Force::newtons(500.0),
                webbing: polyester(),
                tightener: Tightener::Cam { most: Force::newtons(350.0) },
            },
            saddles: 1,
            hung: hung(),
            friction: Friction { pad: 0.4, loss: Loss { bark: [0.15, 0.3], print: [0.15, 0.25] } },
            bark: Pressure::kpa(100.0),
            safety: 1.5,
            relaxed: Hours::hours(168.0),
            reach: 0.6,
        }
    }

    pub(in super::super) fn print(radius: f64, half_width: f64, height: f64) -> Print {
        let rim = Rim {
            half_width: Length::mm(half_width + 3.0),
            depth: Length::mm(1.2),
            air: Length::mm(1.0),
        };
        Print {
            face: Face { rim: Some(rim), ..face(radius, half_width, height) },
            mouth: Mouth {
                half_width: Length::mm(half_width + 7.0),
                out: Length::mm(8.0),
                radius: Length::mm(3.0),
            },
            passage: Force::newtons(400.0),
            strap_height: Length::mm(height / 2.0 - 18.0),
        }
    }

    fn mm(value: f64) -> Length {
        Length::mm(value)
    }

    const SOME: Length = Length::mm(880.0);

    /// A print made for the girth of 880 mm.
    fn made_for() -> Print {
        print(147.0, 45.0, 110.0)
    }

    fn window(print: &Print, conditions: &Conditions) -> Window {
        judge(print, conditions, SOME).expect("it can sit there")
    }

    #[test]
    fn at_the_pull_aimed_at_nothing_is_crushed_and_nothing_opens() {
        let c = Conditions { tolerance: Length::ZERO, ..conditions() };
        let print = made_for();
        let seated = Seated::new(&print, &c, SOME / TAU).unwrap();
        let window = seated.window().unwrap();
        assert!(window.has_room(), "{window:?}");
        let since = Since { wet: true, ..Since::only(c.relaxed) };
        for pull in [window.least, window.aim().unwrap(), window.most] {
            let fresh = seated.bears(pull, &seated.cases()[1]).unwrap();
            assert!(fresh.most <= c.pad.most - 0.05 + 1e-5, "{fresh:?}");
            assert!(fresh.peak <= c.bark);
            let springs = seated.springs();
            let age = springs.age(&since);
            let (left, _) = springs.left(pull, Age::FRESH, age, &since).unwrap();
            let [still, front, aside] = seated.cases();
            let lies = |case| seated.lies(left, case, age).unwrap().least;
            assert!(lies(still) >= c.pad.least + 0.05 - 1e-5, "{}", lies(still));
            assert!(lies(front) >= 0.05 - 1e-5 && lies(aside) >= 0.05 - 1e-5);
            // Coulomb: the pad alone bears weight and side gust with the safety factor.
            let hold = c.friction.pad * (left * springs.seat()).get();
            assert!(hold >= 1.5 * libm::hypot(8.0, 1.0 + 75.0 / (880.0 / TAU)));
        }
        // One newton outside either end something fails.
        let over = seated.bears(window.most + Force::newtons(2.0), &seated.cases()[1]).unwrap();
        assert!(window.cap == Cap::PadCrushed && over.most > c.pad.most - 0.05);
    }

    #[test]
    fn the_aim_is_the_geometric_middle_and_never_below_the_least() {
        let of = |least: f64, most: f64| Window {
            least: Force::newtons(least),
            need: Need::Loose,
            most: Force::newtons(most),
            cap: Cap::PadCrushed,
            step: Force::ZERO,
        };
        assert_eq!(of(100.0, 225.0).aim(), Some(Force::newtons(150.0)));
        // From 150 a quarter less and more stays inside; 1.25 / 0.75 is the least ratio.
        assert!(of(100.0, 167.0).has_room() && !of(100.0, 166.0).has_room());
        assert_eq!(of(100.2, 101.4).aim(), Some(Force::newtons(101.0)));
        assert_eq!(of(100.2, 100.6).aim().map(|t| t.get() > 100.2), Some(true));
        assert_eq!(of(100.0, 99.0).aim(), None);
    }

    #[test]
    fn friction_holds_by_its_low_end_and_loses_by_its_high_end() {
        let base = conditions();
        let with = |pad: f64, bark: [f64; 2]| {
            let friction = Friction { pad, loss: Loss { bark, ..base.friction.loss } };
            window(&made_for(), &Conditions { friction, ..base })
        };
        let start = with(0.4, [0.15, 0.3]);
        let lossy = with(0.4, [0.15, 0.4]);
        assert!(lossy.least > start.least && lossy.most == start.most);
        let slippery = with(0.4, [0.05, 0.3]);
        assert!(slippery.least == start.least && slippery.most < start.most);
        // Webbing that grips the bark never carries the saddle.
        let sliding = with(0.02, [0.15, 0.3]);
        assert!(matches!(sliding.need, Need::SlidesAside | Need::SlidesDown));
        assert!(with(0.02, [0.15, 0.4]).least > sliding.least);
    }

    #[test]
    fn gusts_from_the_side_ask_for_a_wider_pad() {
        // A lamp 400 mm broad and deep on a pad 56 mm wide: the turn about the upright axis governs,
        // and without its levers the same print needs much less.
        let wide = Hung {
            front: Force::newtons(15.0),
            side: Force::newtons(12.0),
            breadth: mm(400.0),
            depth: mm(120.0),
            ..hung()
        };
        let with = |half_width: f64, hung: Hung| {
            let conditions = Conditions { hung, ..conditions() };
            let print = print(147.0, half_width, 110.0);
            let seated = Seated::new(&print, &conditions, SOME / TAU).unwrap();
            seated.needed(Age::FRESH).0.get() * seated.springs().seat()
        };
        let still = Hung { breadth: Length::ZERO, side: Force::ZERO, ..wide };
        assert!(with(28.0, wide) > 1.5 * with(28.0, still));
        // The kern of a rectangle asks for 6 M / B at least when all else is left out.
        let yaw = 12.0 * (75.0 + 30.0);
        assert!(with(28.0, wide) > 6.0 * yaw / 56.0);
        let opens = |half_width: f64| {
            let bed = Bed::new(&face(147.0, half_width, 110.0), pad(), SOME / TAU).unwrap();
            let levering = wide.cases()[2].levering;
            bed.loosest(0.0, levering, Age::FRESH).unwrap().force.get()
        };
        assert!(opens(45.0) < opens(28.0));
    }

    #[test]
    fn lean_relief_and_tolerance_narrow_the_window() {
        let base = conditions();
        let start = window(&made_for(), &base);
        let leaning = |degrees: f64| {
            let hung = Hung { lean: Angle::degrees(degrees), ..hung() };
            window(&made_for(), &Conditions { hung, ..base })
        };
        // Toward the lamp the weight pulls off, away from it it presses on.
        assert!(leaning(12.0).least > start.least && leaning(-12.0).most < start.most);
        let rough = window(&made_for(), &Conditions { relief: mm(2.3), ..base });
        assert!(rough.least > start.least && rough.most < start.most);
        let unsure = window(&made_for(), &Conditions { tolerance: mm(15.0), ..base });
        assert!(unsure.least > start.least && unsure.most < start.most);
    }

    #[test]
    fn a_cam_ends_at_the_hand_and_a_ratchet_at_its_teeth() {
        let base = conditions();
        let with = |tightener| {
            let straps = Straps { tightener, ..base.straps };
            window(&made_for(), &Conditions { straps, ..base })
        };
        let hand = with(Tightener::Cam { most: Force::newtons(120.0) });
        assert_eq!((hand.most, hand.cap), (Force::newtons(120.0), Cap::Tightener));
        // Teeth of 5 mm on webbing of nearly 40 N/mm: one click is wider than the window.
        let most = Force::newtons(1000.0);
        let coarse = with(Tightener::Ratchet { most, step: mm(5.0) });
        assert!(coarse.step > Force::newtons(150.0) && !coarse.has_room());
        assert!(with(Tightener::Ratchet { most, step: mm(1.0) }).has_room());
    }

    #[test]
    fn what_no_print_serves_gets_foam_or_a_shim_for_a_rehearsal() {
        let still = Hung { front: Force::ZERO, side: Force::ZERO, ..hung() };
        let c = Conditions { hung: still, ..conditions() };
        let print = made_for();
        let [from, to] = served_girths(&print, &c).unwrap();
        for (girth, flatter) in [(from - mm(80.0), false), (to + mm(150.0), true)] {
            assert!(!serves(&print, &c, girth));
            let found = rehearsal(&print, &c, girth);
            let thickness = found.foam.expect("a foam");
            assert!(thickness > c.pad.thickness, "{thickness}");
            let other = Conditions { pad: Pad { thickness, ..c.pad }, ..c };
            assert!(serves(&print, &other, girth));
            match found.shim.expect("a shim") {
                Shim::Middle(shim) => assert!(flatter && shim <= mm(6.0), "{shim}"),
                Shim::Edges(shim) => assert!(!flatter && shim <= mm(6.0), "{shim}"),
            }
        }
    }

    #[test]
    fn what_cannot_sit_has_no_window() {
        let c = conditions();
        assert_eq!(judge(&made_for(), &c, mm(300.0)), None);
        assert_eq!(served_girths(&print(20.0, 45.0, 110.0), &c), None);
        let bad = Conditions { safety: 0.0, ..c };
        assert_eq!(judge(&made_for(), &bad, SOME), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn every_girth_inside_is_served_and_none_outside(
            made_for in 450.0..4000.0_f64, w in 28.0..60.0_f64, height in 80.0..160.0_f64,
            thickness in 8.0..25.0_f64, relief in 0.0..3.0_f64, saddles in 1_u32..4,
            weight in 4.0..20.0_f64, gust in 0.0..8.0_f64, elongation in 0.03..0.15_f64,
        ) {
            let base = conditions();
            let hung = Hung {
                weight: Force::newtons(weight),
                front: Force::newtons(gust),
                side: Force::newtons(gust / 2.0),
                ..hung()
            };
            let webbing = Webbing { elongation, ..polyester() };
            let c = Conditions {
                pad: Pad { thickness: mm(thickness), ..base.pad },
                relief: mm(relief),
                straps: Straps { webbing, ..base.straps },
                saddles,
                hung,
                ..base
            };
            let print = print(made_for / TAU + 0.7 * thickness, w, height);
            if let Some([from, to]) = served_girths(&print, &c) {
                let mut girth = from.get();
                while girth <= to.get() {
                    prop_assert!(serves(&print, &c, mm(girth)), "{girth} in {from} to {to}");
                    girth += 10.0;
                }
                prop_assert!(!serves(&print, &c, from - mm(20.0)));
                if to.get() < LARGEST_GIRTH - 1e-3 {
                    prop_assert!(!serves(&print, &c, to + mm(20.0)));
                }
            } else {
                prop_assert!(!serves(&print, &c, mm(made_for)));
            }
        }
    }
}
