//! Lengths of the cables on one trunk, where the job does not write them.
//!
//! Lamps stand evenly round the trunk at one height; the box hangs under the first of them, its glands
//! down. A cable runs from the lamp to the bark, along the bark, and out again; each end has a loop
//! from which water drips. From the box it comes out below, passes beside the box, and goes up. A tenth
//! is added for knots and bark, and the sum is rounded up to 0.1 m. Lengths are along the cable, mm.
//!
//! Good enough to buy and to sum the drop by; not here: the way from trunk to trunk, which no plan knows.

use super::Plan;
use crate::engineering::account::Line;
use crate::params::Job;
use crate::units::Length;

/// Free height between what hangs above and the box. Common practice, no source.
pub(crate) const BELOW: Length = Length::mm(60.0);
/// What a loop adds from which water drips: some 6 cm down and up again. Common practice, no source.
const DRIP: Length = Length::mm(120.0);
/// From the gland to the terminals, with some to cut again. Common practice, no source.
const INSIDE: Length = Length::mm(300.0);
/// Of the sum, for knots, ties and rough bark. Common practice, no source.
const SLACK: f64 = 0.1;
/// Cables are cut to this, upward.
const STEP: f64 = 100.0;

/// Cables on one trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct OnTrunk {
    /// Between neighbouring lamps.
    pub(crate) lamp_to_lamp: Length,
    /// Between the box and the lamp above it.
    pub(crate) box_to_lamp: Length,
    /// Between the last lamp round the trunk and the box, to close a ring.
    pub(crate) last_to_box: Length,
    /// From bark to bark, from lamp to lamp.
    around: Length,
    /// From the bark to the lamp.
    out: Length,
    /// From the box's glands to the middle of the cradles, past the box's side.
    rise: Length,
}

impl OnTrunk {
    /// How the lengths came about.
    pub(crate) fn lines(&self) -> [Line; 2] {
        const SOURCE: &str = "the plan; loops, ends and slack by common practice, no source";
        [
            Line::new(
                "cable between neighbouring lamps on one trunk",
                "1.1 (around + 2 out + 2 drip), upward to 0.1 m",
                self.lamp_to_lamp,
                SOURCE,
            )
            .input("around", self.around)
            .input("out", self.out)
            .input("drip", DRIP),
            Line::new(
                "cable between the box and the lamp above it",
                "1.1 (inside + rise + out + 2 drip), upward to 0.1 m",
                self.box_to_lamp,
                SOURCE,
            )
            .input("inside", INSIDE)
            .input("rise", self.rise)
            .input("out", self.out)
            .input("drip", DRIP),
        ]
    }
}

/// The cables on this trunk of the job. Lamps that have no cradle yet count as close to the bark.
pub(crate) fn on_trunk(job: &Job, plan: &Plan, trunk: usize) -> OnTrunk {
    let mine = job.trunks.get(trunk);
    let lamps = mine.map_or(1, |t| t.fixtures.max(1));
    let cradle = plan.trunks.get(trunk).and_then(|t| t.cradle).and_then(|c| plan.cradles.get(c));
    let [front, half_height] =
        cradle.map_or([Length::ZERO; 2], |c| [c.saddle.front_y, c.saddle.height / 2.0]);
    let out = job.pad.free_thickness() + front + plan.yoke.reach;
    let around = mine.map_or(Length::ZERO, |t| t.girth) / f64::from(lamps);
    let [half_width, height] = plan.enclosure.as_ref().map_or([Length::ZERO; 2], |enclosure| {
        let [half_width, half] = enclosure.outer().half;
        [half_width, half * 2.0]
    });
    let rise = half_width + height + BELOW + half_height;
    let from_box = INSIDE + rise + out + DRIP * 2.0;
    let to_cut = |sum: Length| Length::mm((sum.get() * (1.0 + SLACK) / STEP).ceil() * STEP);
    OnTrunk {
        lamp_to_lamp: to_cut(around + out * 2.0 + DRIP * 2.0),
        box_to_lamp: to_cut(from_box),
        last_to_box: to_cut(if lamps > 1 { from_box + around } else { from_box }),
        around,
        out,
        rise,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{PreviousSet, plan};
    use crate::params::read;

    const WALNUT: &str = include_str!("../../params/walnut-arbour.toml");

    #[test]
    fn lengths_follow_trunk_lamps_and_box() {
        let of = |text: &str| {
            let job = read(text).unwrap().job;
            on_trunk(&job, &plan(&job, &PreviousSet::default()).unwrap(), 0)
        };
        let four = of(WALNUT);
        // By hand: 1.92 m round the trunk for four lamps is 0.48 m of bark from lamp to lamp; the
        // cable is that, out and back, two loops, and a tenth.
        assert!((four.around.get() - 480.0).abs() < 1e-9);
        let by_hand = 1.1 * (480.0 + 2.0 * four.out.get() + 240.0);
        assert!((0.0..=100.0).contains(&(four.lamp_to_lamp.get() - by_hand)));
        assert!((four.lamp_to_lamp.get() / 100.0).fract() < 1e-9);
        // Two lamps stand twice as far apart; the box hangs under the first as before.
        let two = of(&WALNUT.replace("fixtures = 4", "fixtures = 2"));
        let farther = (two.lamp_to_lamp - four.lamp_to_lamp).get();
        assert!((farther - 1.1 * 480.0).abs() <= 100.0, "{farther}");
        assert_eq!(two.box_to_lamp, four.box_to_lamp);
        // The ring closes over one gap more than the lead has.
        assert!(four.last_to_box > four.box_to_lamp);
        let one = of(&WALNUT.replace("fixtures = 4", "fixtures = 1"));
        assert_eq!(one.last_to_box, one.box_to_lamp);
    }
}
