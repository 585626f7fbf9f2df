//! How tall and wide a saddle must be, and how thick behind its straps, for what levers at it.
//!
//! A lamp and the gust on it lever at the saddle; the straps hold against that by pressing the pad. A
//! larger pad needs less of a pull and spreads it over more bark; a thicker web behind the straps
//! bears the pull that is left. Both are chosen here before anything is drawn: of the pads on which
//! the pull has ample room on the thinnest, the thickest and the most leaning trunk of each kind of bark,
//! the one with the least area. Whether a pull holds is judged by [`crate::engineering::pull`]. What is
//! in hand goes first, so that a tree more or less next year does not change the cradles.

use std::f64::consts::FRAC_PI_2;

use crate::design::cradle::yoke::SweptBody;
use crate::design::saddle::{MouthNeeds, mouth_radius};
use crate::design::seating;
use crate::engineering::guard::OutOfRange;
use crate::engineering::pull::{Bears, Conditions, Hung, Print, ROOM, Window};
use crate::engineering::sizes::{SizeRule, TrunkRange, Wanted};
use crate::engineering::strength::Passage;
use crate::engineering::wind::{Cuboid, WindLoad, wind_on};
use crate::params::{Job, Tilt};
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Force, Length, Torque};

/// Least pull that a passage is planned to bear: one hand's (common practice, no source).
const ONE_HAND: Force = Force::newtons(120.0);
/// A web is planned for so much more than the pull: how far the strap turns is only estimated before the
/// saddle is drawn, and estimated too small by up to this share.
const TURNS_MORE: f64 = 1.15;
/// Most over least pull that height and width are chosen for: the hand's scatter, and a tenth for what
/// is planned here and weighed later (judgement, no source).
const ROOMY: f64 = 1.1 * ROOM;
/// Heights go in steps, so that a lamp weighed again does not change every cradle.
const STEP: Length = Length::mm(10.0);
/// Steps in which a pad is made narrower.
const NARROWER: Length = Length::mm(4.0);
/// Beyond that, a cradle is no help but a burden.
pub(crate) const TALLEST: Length = Length::mm(300.0);
/// Thickest web: webbing so wide that it wants more is better taken narrower (judgement, no source).
const THICKEST_WEB: Length = Length::mm(20.0);
/// From the rigid face to the strap, in a saddle whose web is thick.
const OUT_TO_STRAP: Length = Length::mm(10.0);
/// From the pad's edge to the strap's mouth.
const BESIDE_PAD: Length = Length::mm(4.0);

/// How a saddle is proportioned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Proportions {
    /// Half width of the pad.
    pub(crate) half_width: Length,
    /// Height of the saddle.
    pub(crate) height: Length,
    /// The pull that its passages are planned for.
    pub(crate) pull: Force,
}

/// What saddles of one kind are proportioned for.
pub(crate) struct Sought<'a> {
    /// What is the same for every trunk.
    pub(crate) common: &'a Conditions,
    /// The trunks that ask for most.
    pub(crate) ends: Vec<Wanted>,
    /// Draws a print with a face, a half width and a height, and says what hangs on it.
    pub(crate) print: &'a dyn Fn(Length, Length, Length) -> (Print, Hung),
}

/// Of each roughness of bark and number of saddles: the thinnest trunk, the thickest, and those that lean
/// most to the saddle's side and away.
pub(crate) fn ends(all: &[Wanted]) -> Vec<Wanted> {
    let mut groups: Vec<[Wanted; 4]> = Vec::new();
    for &wanted in all {
        let same = |g: &&mut [Wanted; 4]| {
            let (a, b) = (g[0].situation, wanted.situation);
            a.relief == b.relief && a.saddles == b.saddles
        };
        let Some([thin, thick, toward, away]) = groups.iter_mut().find(same) else {
            groups.push([wanted; 4]);
            continue;
        };
        if wanted.range.from < thin.range.from {
            *thin = wanted;
        }
        if wanted.range.to > thick.range.to {
            *thick = wanted;
        }
        if wanted.situation.lean > toward.situation.lean {
            *toward = wanted;
        }
        if wanted.situation.lean < away.situation.lean {
            *away = wanted;
        }
    }
    let mut ends: Vec<Wanted> = Vec::new();
    for wanted in groups.into_iter().flatten() {
        if !ends.contains(&wanted) {
            ends.push(wanted);
        }
    }
    ends
}

impl Sought<'_> {
    /// How well these proportions serve: of each trunk the share of ample room that its tightest window
    /// has, added up, and where that has no room at all, half the share of the middle of its radii alone; and
    /// the largest pull that any needs. Stops where `beaten` is out of reach.
    fn score(&self, half_width: Length, height: Length, beaten: f64) -> (f64, Force) {
        let print = |face: Length, half: Length| {
            let (print, hung) = (self.print)(face, half, height);
            // Its passages are drawn for the pull that is found here.
            (Print { passage: ANY, ..print }, hung)
        };
        let rule = SizeRule { half_width, common: self.common, print: &print };
        let (mut score, mut least) = (0.0, Force::ZERO);
        for (n, wanted) in self.ends.iter().enumerate() {
            let face = rule.made_for(wanted.range);
            let share = |window: &Window| (window.ratio() / ROOMY).min(1.0);
            match face.tightest(wanted).filter(Window::has_room) {
                Some(window) => {
                    score += share(&window);
                    least = least.max(window.least);
                }
                None => {
                    let middle = (wanted.range.from + wanted.range.to) / 2.0;
                    let alone =
                        Wanted { range: TrunkRange { from: middle, to: middle }, ..*wanted };
                    if let Some(window) = face.tightest(&alone) {
                        score += 0.5 * share(&window);
                        if window.least.is_finite() {
                            least = least.max(window.least);
                        }
                    }
                }
            }
            if score + ((self.ends.len() - n - 1) as f64) <= beaten {
                break;
            }
        }
        (score, least)
    }

    /// The least pad between these half widths and heights on which the pull has ample room everywhere;
    /// where none has, the one that leaves most. With its score, at most the number of trunks.
    pub(crate) fn proportions(
        &self,
        [narrow, wide]: [Length; 2],
        [low, high]: [Length; 2],
    ) -> (Proportions, f64) {
        let heights = ((high - low).max(Length::ZERO) / STEP).floor() as u32;
        let widths = ((wide - narrow).max(Length::ZERO) / NARROWER).floor() as u32;
        let (few, many) = (ONE_HAND, self.common.straps.most().max(ONE_HAND));
        let all = self.ends.len() as f64;
        let at = |n: u32, k: u32| [wide - NARROWER * f64::from(n), low + STEP * f64::from(k)];
        let with = |[half_width, height]: [Length; 2], least: Force| Proportions {
            half_width,
            height,
            pull: (least * ROOMY).max(few).min(many),
        };
        // A taller pad of one width holds what a lower one does: the least height is found by halving.
        let ample = (0..=widths).filter_map(|n| {
            let full = |k: u32| {
                let [half, height] = at(n, k);
                let (score, least) = self.score(half, height, all - MISSED);
                (score >= all).then_some(least)
            };
            let (mut low, mut high, mut least) = (0, heights, full(heights)?);
            while low < high {
                let middle = (low + high) / 2;
                match full(middle) {
                    Some(found) => (high, least) = (middle, found),
                    None => low = middle + 1,
                }
            }
            Some(with(at(n, high), least))
        });
        let area = |p: &Proportions| p.half_width.get() * p.height.get();
        if let Some(found) = ample.min_by(|a, b| area(a).total_cmp(&area(b))) {
            return (found, all);
        }
        let mut best = (with(at(0, 0), Force::ZERO), 0.0);
        // Where none is ample, every few steps of the height tell.
        let stride = (heights / COARSE).max(1) as usize;
        let some = (0..=widths).flat_map(|n| (0..=heights).step_by(stride).map(move |k| at(n, k)));
        for [half_width, height] in some {
            let (score, least) = self.score(half_width, height, best.1);
            if score > best.1 {
                best = (with([half_width, height], least), score);
            }
        }
        best
    }

    /// Whether every trunk gets its room on prints of these proportions.
    pub(crate) fn served_by(&self, p: &Proportions) -> bool {
        let print = |face: Length, half: Length| {
            let (print, hung) = (self.print)(face, half, p.height);
            (Print { passage: ANY, ..print }, hung)
        };
        let rule = SizeRule { half_width: p.half_width, common: self.common, print: &print };
        self.ends.iter().all(|wanted| rule.made_for(wanted.range).serves(wanted))
    }
}

/// Heights tried where none is ample.
const COARSE: u32 = 8;
/// A score this much below the best is not the best.
const MISSED: f64 = 1e-9;
/// A passage that bears anything.
const ANY: Bears = Bears { edge: Force::newtons(1e6), web: Force::newtons(1e6) };

/// Turn of the strap at one mouth of a lone saddle: from its straight part in the passage to the
/// tangent of the trunk.
fn mouth_turn(job: &Job, trunk: Length, half_width: Length) -> Angle {
    let gap = seating::gap(job);
    let (x, y) = ((half_width + BESIDE_PAD).get(), (trunk + gap + OUT_TO_STRAP).get());
    let turn = libm::atan2(x, y) + libm::acos((trunk.get() / libm::hypot(x, y)).min(1.0));
    Angle::radians(turn)
}

/// What must bear a pull at the mouths on a trunk of this radius, where less turn and more pull go with
/// thicker trunks; the web no thicker than is worth printing, and nothing for a print too soft for the day
/// (which the checks tell).
pub(crate) fn mouth(job: &Job, pull: Force, half_width: Length, trunk: Length) -> MouthNeeds {
    let print = crate::design::job_inputs::print(job);
    let least = mouth_radius(&job.strap);
    let passage = Passage {
        height: job.strap.width + 2.0 * job.strap.clearance,
        strap_width: job.strap.width,
        web: THICKEST_WEB,
        edge_radius: least,
        turn: mouth_turn(job, trunk, half_width),
    };
    let web = passage.least_web(pull * TURNS_MORE, &print);
    // Pressure on the edge goes with its roundness, p = T / (r b).
    let radius = passage.bears(&print).map(|[edge, _]| least * (pull / edge));
    let radius = radius.unwrap_or(least).min(ROUNDEST);
    let steps = (radius / ROUNDING - HAIR).ceil();
    MouthNeeds {
        web: web.map_or(Length::ZERO, |web| web.min(THICKEST_WEB)),
        radius: (ROUNDING * steps).max(least),
    }
}

/// Roundings of mouths go in steps of half a millimetre, up to the roundest worth printing.
const ROUNDING: Length = Length::mm(0.5);
const ROUNDEST: Length = Length::mm(8.0);
/// A step that is exceeded by less is not.
const HAIR: f64 = 1e-9;

/// The gust on the lamp anywhere in its tilt range.
pub(crate) fn gust_on(job: &Job) -> Result<WindLoad, OutOfRange> {
    let lamp = &job.fixture;
    let body = Cuboid { width: lamp.width, height: lamp.height, depth: lamp.depth };
    wind_on(body, [job.tilt.min, job.tilt.max], job.site.gust, BluffBody::Signboard)
}

/// Off-middle pressure of the gust, as a share of the lamp's height (EN 1991-1-4, 7.4.3, which gives a
/// quarter of the width for signboards).
const OFF_MIDDLE: f64 = 0.25;

/// What turns the lamp about its pivot at the worst tilt of the range: its weight, and the gust off
/// its middle.
pub(crate) fn turning(job: &Job, swing: &[SweptBody], weight: Force, front: Force) -> [Torque; 2] {
    let [out, _, off] = middle(swing, &job.tilt);
    let arm = off + job.fixture.height * OFF_MIDDLE;
    let torque = |force: Force, arm: Length| force.get() * arm.get().abs() / 1000.0;
    [torque(weight, out), torque(front, arm)].map(Torque::newton_metres)
}

/// The middle of the lamp as [`swing`] has it.
pub(crate) fn middle(swing: &[SweptBody], tilt: &Tilt) -> [Length; 3] {
    let middle = |[a, b]: [Length; 2]| ((a + b) / 2.0).get();
    swing
        .first()
        .map_or([Length::ZERO; 3], |lamp| self::swing(middle(lamp.y), middle(lamp.z), tilt))
}

/// The largest level distance, the largest height either way and the distance of a point that turns
/// with the lamp, from the pivot, over the tilt range.
fn swing(y: f64, z: f64, tilt: &Tilt) -> [Length; 3] {
    let rho = libm::hypot(y, z);
    let at = libm::atan2(z, y);
    let (from, to) = (at + tilt.min.rad(), at + tilt.max.rad());
    let turns = (-4..=4).map(|k| FRAC_PI_2 * f64::from(k)).filter(|a| (from..=to).contains(a));
    let angles: Vec<f64> = turns.chain([from, to]).collect();
    let out = angles.iter().map(|a| rho * libm::cos(*a)).fold(f64::NEG_INFINITY, f64::max);
    let back = angles.iter().map(|a| -rho * libm::cos(*a)).fold(f64::NEG_INFINITY, f64::max);
    let up = angles.iter().map(|a| (rho * libm::sin(*a)).abs()).fold(0.0, f64::max);
    // Behind the pivot the weight turns the lamp the other way, as hard.
    [out.max(back), up, rho].map(Length::mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params;
    use crate::units::Mass;

    fn job(mass: f64, gust: f64) -> Job {
        let text = include_str!("../../params/one-lamp.toml");
        let mut job = params::read(text).expect("the demo job reads").job;
        job.fixture.mass = Mass::kg(mass);
        job.site.gust = crate::units::Speed::metres_per_second(gust);
        job
    }

    #[test]
    fn a_stronger_gust_asks_for_a_taller_cradle_or_a_wider_pad() {
        let of = |gust: f64| {
            let plan = crate::design::plan(&job(1.0, gust), &Default::default()).expect("a plan");
            let saddle = plan.cradles[0].saddle.clone();
            saddle.height * saddle.pad_half_width.get()
        };
        assert!(of(20.0) > of(8.0));
    }

    #[test]
    fn the_web_bears_the_pull_that_it_is_planned_for() {
        let (job, half) = (job(2.0, 15.0), Length::mm(40.0));
        let trunk = Length::mm(300.0);
        let web = mouth(&job, Force::newtons(150.0), half, trunk).web;
        assert!(web > Length::ZERO && web < THICKEST_WEB, "{web}");
        let thicker = mouth(&job, Force::newtons(225.0), half, trunk).web;
        assert!(thicker > web && thicker <= THICKEST_WEB, "{thicker}");
    }

    #[test]
    fn a_point_ahead_of_the_pivot_is_farthest_out_when_level() {
        let tilt = Tilt { min: Angle::degrees(-10.0), max: Angle::degrees(90.0) };
        let [out, up, rho] = swing(30.0, 0.0, &tilt);
        assert_eq!([out.get(), up.get(), rho.get()], [30.0, 30.0, 30.0]);
        // From 30 to 60 degrees: cos 30 out, sin 60 up.
        let tilt = Tilt { min: Angle::degrees(30.0), max: Angle::degrees(60.0) };
        let [out, up, _] = swing(30.0, 0.0, &tilt);
        assert!((out.get() - 25.981).abs() < 1e-3 && (up.get() - 25.981).abs() < 1e-3);
    }
}
