//! How tall a cradle must be, and how thick behind its straps, for what levers at it.
//!
//! A lamp and the gust on it lever at the saddle; the straps hold against that by pressing the pad. A
//! taller saddle needs less of a pull and spreads it over more bark; a thicker web behind the straps
//! bears the pull that is left. Both are chosen here before anything is drawn, and nothing here
//! depends on the girths: a tree more or less next year must not change the cradles that are in
//! hand. Whether a pull holds is judged by [`crate::engineering::pull`], on a trunk of common size.

use std::f64::consts::FRAC_PI_2;

use crate::design::cradle::yoke::SideBox;
use crate::design::saddle::Saddle;
use crate::design::seating;
use crate::engineering::fit::girth_of_radius;
use crate::engineering::guard::OutOfRange;
use crate::engineering::pull::{self, Bears, Conditions, Hung, Print, ROOM};
use crate::engineering::seat::nominal_gap;
use crate::engineering::strength::Passage;
use crate::engineering::wind::{Cuboid, WindLoad, wind_on};
use crate::params::{Job, Tilt};
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Force, Length, Torque};

/// Most that a passage is planned to bear: both hands, and the least: one (common practice, no source).
const PLANNED: [Force; 2] = [Force::newtons(120.0), Force::newtons(300.0)];
/// Most over least pull that height and width are chosen for: the hand's scatter, and as much again for
/// trunks that the face misfits (judgement, no source).
const ROOMY: f64 = 1.5 * ROOM;
/// Radius of the trunk for which the height is chosen: a thicker one wants more pull, a thinner one
/// less.
const TRUNK: Length = Length::mm(300.0);
/// Heights go in steps, so that a lamp weighed again does not change every cradle.
const STEP: Length = Length::mm(10.0);
/// Steps in which a pad is made narrower.
const NARROWER: Length = Length::mm(4.0);
/// Beyond that, a cradle is no help but a burden.
const TALLEST: Length = Length::mm(300.0);
/// Thickest web: webbing so wide that it wants more is better taken narrower (judgement, no source).
const THICKEST_WEB: Length = Length::mm(20.0);
/// From the rigid face to the strap, in a saddle whose web is thick.
const OUT_TO_STRAP: Length = Length::mm(10.0);
/// From the pad's edge to the strap's mouth.
const BESIDE_PAD: Length = Length::mm(4.0);

/// How a cradle is proportioned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Proportions {
    /// Half width of the pad.
    pub(crate) half_width: Length,
    /// Height of the saddle.
    pub(crate) height: Length,
    /// The pull that its passages are planned for.
    pub(crate) pull: Force,
}

/// The least height from `low` up, and the widest pad between these, on which the pull has ample room
/// on a trunk of common size; where none has, the ones that leave most. `saddle` draws a saddle
/// with a face, a half width and a height, `hung` says what it carries.
pub(crate) fn proportions(
    job: &Job,
    [least, wide]: [Length; 2],
    low: Length,
    saddle: &dyn Fn(Length, Length, Length) -> Saddle,
    hung: &dyn Fn(&Saddle) -> Hung,
) -> Result<Proportions, OutOfRange> {
    let relief = job.trunks.iter().map(|t| t.bark.relief()).fold(Length::ZERO, Length::max);
    let common = seating::conditions(job, job.strap.count)?;
    let common = Conditions { relief, ..common };
    let face = TRUNK + nominal_gap(&common.pad);
    let most = TALLEST.min(job.printer.bed[2]).max(low);
    let heights = ((most - low) / STEP).floor() as u32;
    let widths = ((wide - least) / NARROWER).floor() as u32;
    let mut best = (0.0, Proportions { half_width: wide, height: low, pull: PLANNED[0] });
    for height in (0..=heights).map(|k| low + STEP * f64::from(k)) {
        for half_width in (0..=widths).map(|k| wide - NARROWER * f64::from(k)) {
            let saddle = saddle(face, half_width, height);
            // Its passages are drawn for the pull that is found here.
            let print = Print { passage: ANY, ..seating::print(job, &saddle) };
            let conditions = Conditions { hung: hung(&saddle), ..common };
            let window = pull::judge(&print, &conditions, girth_of_radius(TRUNK));
            let Some(window) = window.filter(|w| w.ratio() > best.0) else { continue };
            let [few, many] = PLANNED;
            let pull = (window.least * ROOMY).max(few).min(many);
            best = (window.ratio(), Proportions { half_width, height, pull });
            if window.has_room() && window.ratio() >= ROOMY {
                return Ok(best.1);
            }
        }
    }
    Ok(best.1)
}

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

/// Web behind the strap at the mouths that bears a pull on a trunk of common size, where less turn and
/// more pull go with thicker trunks; no more than is worth printing, and none for a print too soft for
/// the day (which the checks tell).
pub(crate) fn mouth_web(job: &Job, pull: Force, half_width: Length) -> Length {
    let print = crate::design::job_inputs::print(job);
    let passage = Passage {
        height: job.strap.width + 2.0 * job.strap.clearance,
        strap_width: job.strap.width,
        web: THICKEST_WEB,
        edge_radius: crate::design::saddle::mouth_radius(&job.strap),
        turn: mouth_turn(job, TRUNK, half_width),
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
pub(crate) fn turning(job: &Job, swing: &[SideBox], weight: Force, front: Force) -> [Torque; 2] {
    let [out, _, off] = middle(swing, &job.tilt);
    let arm = off + job.fixture.height * OFF_MIDDLE;
    let torque = |force: Force, arm: Length| force.get() * arm.get().abs() / 1000.0;
    [torque(weight, out), torque(front, arm)].map(Torque::newton_metres)
}

/// The middle of the lamp as [`swing`] has it.
pub(crate) fn middle(swing: &[SideBox], tilt: &Tilt) -> [Length; 3] {
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
        assert!(of(20.0) >= of(8.0));
    }

    #[test]
    fn the_web_bears_the_pull_that_it_is_planned_for() {
        let (job, half) = (job(2.0, 15.0), Length::mm(40.0));
        let web = mouth_web(&job, Force::newtons(150.0), half);
        assert!(web > Length::ZERO && web < THICKEST_WEB, "{web}");
        let thicker = mouth_web(&job, Force::newtons(225.0), half);
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
