//! How tall a cradle must be, and how thick behind its straps, for what levers at it.
//!
//! A lamp and the gust on it lever at the saddle; the straps hold against that by pressing the pad. A
//! taller saddle needs less of a pull and spreads it over more bark; a thicker web behind the straps
//! bears the pull that is left. Both are chosen here before anything is drawn, so weights and
//! levers are estimates, and nothing here depends on the trunks: a tree more or less next
//! year must not change the cradles that are in hand. The checks weigh, measure and judge.
//!
//! Sums: [`crate::engineering::wind::peel`] solved for the height; friction as Coulomb has it;
//! [`Passage`] solved for the web.

use std::f64::consts::FRAC_PI_2;

use crate::design::Yoke;
use crate::design::cradle::yoke::SweptBody;
use crate::engineering::guard::OutOfRange;
use crate::engineering::strength::Passage;
use crate::engineering::wind::{Cuboid, WindLoad, weight, wind_on};
use crate::params::{Job, Tilt};
use crate::standards::webbing::webbing;
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Force, Length, Mass, Torque};

/// A printed cradle of common size; only an estimate.
const CRADLE: Mass = Mass::kg(0.4);
/// Share of the pull that friction on bark leaves at the far side of a trunk, about
/// `exp(-0.2 x 150 deg)`.
const ROUND_THE_TRUNK: f64 = 0.6;
/// Share of the bark's limit that is planned for, the rest left to uneven pads and to the estimates
/// here (judgement, no source; the check takes the whole limit).
const OF_BARK: f64 = 0.75;
/// Share of the pad's range of strains by which its mean lies above its loosest place.
const OF_STRAINS: f64 = 0.25;
/// Most that is planned to be pulled with one hand (common practice, no source).
const ONE_HAND: Force = Force::newtons(200.0);
/// Most that a passage is planned to bear: both hands (common practice, no source).
const BOTH_HANDS: Force = Force::newtons(300.0);
/// Radius of the trunk for which the height is chosen: a thicker one wants more pull, a thinner one
/// less.
const TRUNK: Length = Length::mm(300.0);
/// Heights go in steps, so that a lamp weighed again does not change every cradle.
const STEP: Length = Length::mm(10.0);
/// Steps in which a pad is made narrower.
const NARROWER: Length = Length::mm(1.0);
/// What a saddle is taller than its pad.
const RIMS: Length = Length::mm(8.0);
/// Beyond that, a cradle is no help but a burden.
const TALLEST: Length = Length::mm(300.0);
/// Thickest web: webbing so wide that it wants more is better taken narrower (judgement, no source).
const THICKEST_WEB: Length = Length::mm(20.0);
/// From the rigid face to the strap, in a saddle whose web is thick.
const OUT_TO_STRAP: Length = Length::mm(10.0);
/// From the pad's edge to the strap's mouth.
const BESIDE_PAD: Length = Length::mm(4.0);

/// What levers at a cradle: the moment about the bark in newton-millimetres, weight, gust.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Levered {
    moment: f64,
    weight: f64,
    gust: f64,
}

impl Levered {
    /// The lamp of a job in its yoke, before a saddle whose front stands so far out.
    pub(crate) fn of(job: &Job, yoke: &Yoke, front: Length) -> Option<Self> {
        let gust = gust_on(job).ok()?.front.get();
        let [out, up, _] = middle(&yoke.swing, &job.tilt);
        let reach = (job.pad.thickness + front + yoke.reach + out.max(Length::ZERO)).get();
        let weight = weight(job.fixture.mass + CRADLE).get();
        Some(Self { moment: weight * reach + gust * libm::hypot(reach, up.get()), weight, gust })
    }

    /// Forces that keep the pad pressed and the saddle from tipping, at this height of the pad.
    fn pressing(&self, height: f64, safety: f64) -> f64 {
        let pressed = 6.0 * self.moment / height + self.gust;
        pressed.max(safety * (2.0 * self.moment / height + self.gust))
    }

    /// Least height of a cradle at which a pull with one hand holds, and bark bears it: `low` where
    /// that suffices, else the next step of ten millimetres.
    pub(crate) fn height(&self, job: &Job, half_width: Length, low: Length) -> Length {
        let kept = kept(job);
        // The bark under the pad's hardest place bears the fresh pull and the levering:
        // (6 M / H + gust) / kept + 6 M / H <= p 2 w H.
        let a = OF_BARK * job.pad.bark_limit.get() / 1000.0 * 2.0 * half_width.get();
        let b = self.gust / kept;
        let c = 6.0 * self.moment * (1.0 / kept + 1.0);
        let for_bark = (b + libm::sqrt(b * b + 4.0 * a * c)) / (2.0 * a);
        let most = seat_force(job, TRUNK, half_width) * ONE_HAND.min(job.strap.working_load).get();
        let safety = job.site.safety;
        let lever = |factor: f64, pull: f64| {
            let left = most - pull;
            if left > 0.0 { factor * self.moment / left } else { f64::INFINITY }
        };
        let for_hand = lever(6.0, self.gust).max(lever(2.0 * safety, safety * self.gust));
        let height = Length::mm(for_bark.max(for_hand)) + RIMS;
        if height <= low {
            return low;
        }
        let most = TALLEST.min(job.printer.bed[2]);
        let steps = (height / STEP - 1e-9).ceil().min((most / STEP + 1e-9).floor());
        low.max(STEP * steps)
    }

    /// The widest pad up to `wide`, half its width, for which one hand pulls the straps tight; where none
    /// is, the one that asks for the least pull. Wide pads on a tall saddle want more than a hand
    /// to be pressed at all.
    pub(crate) fn half_width(&self, job: &Job, [least, wide]: [Length; 2], low: Length) -> Length {
        let steps = ((wide - least) / NARROWER).floor() as u32;
        let mut best = (f64::INFINITY, wide);
        for half in (0..=steps).map(|k| wide - NARROWER * f64::from(k)) {
            let height = self.height(job, half, low);
            let pull = self.needed(job, height, half) / seat_force(job, TRUNK, half);
            if pull <= ONE_HAND.get() {
                return half;
            }
            if pull < best.0 {
                best = (pull, half);
            }
        }
        best.1
    }

    /// The pull that the straps of a cradle of this height are planned for, on a trunk like its face.
    pub(crate) fn pull(&self, job: &Job, height: Length, face: Length, half: Length) -> Force {
        let pull = Force::newtons(self.needed(job, height, half) / seat_force(job, face, half));
        pull.max(job.strap.tension).min(BOTH_HANDS.min(job.strap.working_load))
    }

    /// Force on the pad that holds the lamp and presses the pad, weeks later.
    fn needed(&self, job: &Job, height: Length, half: Length) -> f64 {
        let friction = job.pad.friction;
        let slides = job.site.safety * (self.weight + self.gust * (1.0 + friction)) / friction;
        let pad = (height - RIMS).get();
        let strain = job.pad.strain_min + OF_STRAINS * (job.pad.strain_max - job.pad.strain_min);
        let stress = job.pad.stress.get() / 1000.0 / job.pad.strain * strain;
        let grips = stress * pad * 2.0 * half.get();
        self.pressing(pad, job.site.safety).max(slides).max(grips)
    }
}

/// Share of the pull that is left at a saddle weeks later.
fn kept(job: &Job) -> f64 {
    webbing(job.strap.material).kept * ROUND_THE_TRUNK
}

/// Force that all straps of a saddle press with, weeks later, for a newton of pull on each.
fn seat_force(job: &Job, trunk: Length, half_width: Length) -> f64 {
    let turn = mouth_turn(job, trunk, half_width).rad();
    f64::from(job.strap.count) * 2.0 * libm::sin(turn.min(FRAC_PI_2)) * kept(job)
}

/// Turn of the strap at one mouth of a lone saddle: from its straight part in the passage to the
/// tangent of the trunk.
fn mouth_turn(job: &Job, trunk: Length, half_width: Length) -> Angle {
    let gap = job.pad.thickness * (1.0 - job.pad.strain);
    let (x, y) = ((half_width + BESIDE_PAD).get(), (trunk + gap + OUT_TO_STRAP).get());
    let turn = libm::atan2(x, y) + libm::acos((trunk.get() / libm::hypot(x, y)).min(1.0));
    Angle::radians(turn)
}

/// Web behind the strap at the mouths that bears a pull on a trunk like the face; no more than is
/// worth printing, and none for a print too soft for the day (which the checks tell).
pub(crate) fn mouth_web(job: &Job, pull: Force, face: Length, half_width: Length) -> Length {
    let print = crate::design::job_inputs::print(job);
    let passage = Passage {
        height: job.strap.width + 2.0 * job.strap.clearance,
        strap_width: job.strap.width,
        web: THICKEST_WEB,
        edge_radius: crate::design::saddle::mouth_radius(&job.strap),
        turn: mouth_turn(job, face, half_width),
    };
    passage.least_web(pull, &print).map_or(Length::ZERO, |web| web.min(THICKEST_WEB))
}

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
    use crate::engineering::wind::{PeelInput, peel};
    use crate::params;

    fn job(mass: f64, gust: f64) -> Job {
        let text = include_str!("../../params/one-lamp.toml");
        let mut job = params::read(text).expect("the demo job reads").job;
        job.fixture.mass = Mass::kg(mass);
        job.site.gust = crate::units::Speed::metres_per_second(gust);
        job
    }

    fn levered(job: &Job) -> Levered {
        let (yoke, ..) = Yoke::new(job, Length::mm(60.0));
        Levered::of(job, &yoke, Length::mm(25.0)).expect("a load")
    }

    /// At the height chosen, one hand's pull keeps the pad pressed after the kern rule (strength of
    /// materials: a rectangle stays pressed while M / N <= H / 6); one step lower it does not, or
    /// the bark is pressed too hard.
    #[test]
    fn the_height_is_the_least_that_a_hand_holds_and_bark_bears() {
        let half = Length::mm(40.0);
        for (mass, gust) in [(1.0, 12.0), (2.5, 16.0), (4.0, 20.0), (1.0, 25.0)] {
            let job = job(mass, gust);
            let load = levered(&job);
            let serves = |height: Length| {
                let input = PeelInput {
                    weight: Force::newtons(load.moment),
                    wind: Force::ZERO,
                    reach: Length::mm(1.0),
                    rise: Length::ZERO,
                    pad_height: height - RIMS,
                    strap_heights: &[],
                    safety: job.site.safety,
                };
                let needed = peel(&input).expect("in range").for_pad.get() + load.gust;
                let kept = kept(&job);
                let pad = (height - RIMS).get();
                let pressed = needed / kept + 6.0 * load.moment / pad;
                let bark = OF_BARK * job.pad.bark_limit.get() / 1000.0 * 2.0 * half.get() * pad;
                let hand = ONE_HAND.get() * seat_force(&job, TRUNK, half);
                pressed <= bark * (1.0 + 1e-9) && load.pressing(pad, job.site.safety) <= hand
            };
            let height = load.height(&job, half, Length::ZERO);
            assert!(height < TALLEST, "{mass} kg, {gust} m/s: {height}");
            assert!(serves(height), "{mass} kg, {gust} m/s: {height}");
            assert!(!serves(height - STEP), "{mass} kg, {gust} m/s: {height} is too tall");
        }
    }

    #[test]
    fn the_web_bears_the_pull_that_it_is_planned_for() {
        let job = job(2.0, 15.0);
        let (face, half) = (Length::mm(250.0), Length::mm(40.0));
        let pull = levered(&job).pull(&job, Length::mm(120.0), face, half);
        assert!(pull >= job.strap.tension && pull <= BOTH_HANDS, "{pull}");
        let web = mouth_web(&job, pull, face, half);
        assert!(web > Length::ZERO && web < THICKEST_WEB, "{web}");
        let thicker = mouth_web(&job, pull * 1.5, face, half);
        assert!(thicker > web && thicker <= THICKEST_WEB, "{thicker}");
    }

    /// A tree more next year must not change the cradles in hand.
    #[test]
    fn trunks_do_not_change_the_height() {
        let mut job = job(2.0, 15.0);
        let before = levered(&job).height(&job, Length::mm(40.0), Length::ZERO);
        job.trunks[0].girth = Length::metres(3.0);
        assert_eq!(levered(&job).height(&job, Length::mm(40.0), Length::ZERO), before);
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
