//! Dimensions of the tilt plate that carries a lamp with a hole pattern, and the choice of its bolts.
//!
//! The plate's own bolts are the planner's to choose: of the bolts that are common and of the circles on
//! which the lock bolt may stand, the pair with the smallest ear that holds the lamp after creep
//! ([`TiltLock`]). The plate is weighed as a solid block, so that the print is no heavier. Where none
//! holds, the smallest is drawn and the checks say so.

pub(crate) mod drawing;

use crate::design::cradle::pattern;
use crate::design::cradle::yoke::{
    FOOT_LAND, Lock, ROUND_HOLE, SWING_CLEARANCE, ear_end, swing_boxes,
};
use crate::design::saddle::whole_lines;
use crate::design::stability::{gust_on, turning};
use crate::engineering::strength::{Direction, Duration, TiltLock};
use crate::engineering::wind::weight;
use crate::params::{HolePattern, Job};
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::standards::polymer::polymer;
use crate::units::{Angle, Length, Mass};

/// Thickness of the plate and of its lugs.
const PLATE: Length = Length::mm(6.0);
/// Bolts for pivot and lock, the commonest first.
const BOLTS: [Thread; 3] = [Thread::M5, Thread::M6, Thread::M8];
/// Steps of the lock bolt's circle, and how many are tried: beyond, the ears outgrow most lamps.
const LOCK_STEP: Length = Length::mm(2.0);
const LOCK_STEPS: u32 = 16;

/// The plate between a base-plate lamp and the ears. Plate axes: X across, Y up at tilt 0, Z back
/// from the face on which the lamp sits.
#[derive(Debug, Clone, PartialEq)]
pub struct TiltPlate {
    /// Half width and half height.
    pub half: [Length; 2],
    /// Thickness of the plate.
    pub thickness: Length,
    /// Corner radius.
    pub corner: Length,
    /// Middles of the lamp's bolts.
    pub holes: Vec<[Length; 2]>,
    /// Clearance hole of those bolts.
    pub hole: Length,
    /// Inner and outer face of a lug, from the middle.
    pub lug_x: [Length; 2],
    /// Half the length of a lug's foot.
    pub lug_foot: Length,
    /// Radius of a lug's end about the pivot.
    pub lug_radius: Length,
    /// From the plate's back to the pivot.
    pub pivot: Length,
}

/// A plate, with the bolts on which it turns.
type Bolted = (TiltPlate, Thread, Lock);

/// The plate for a hole pattern, the thread of its bolts, and the lock bolt between plate and pivot.
pub(in crate::design) fn choose(holes: &HolePattern, thread: Thread, job: &Job) -> Bolted {
    let circles = || (0..=LOCK_STEPS).map(|k| LOCK_STEP * f64::from(k));
    let all = BOLTS.into_iter().flat_map(|bolt| circles().map(move |more| (bolt, more)));
    let mut all: Vec<_> = all.map(|(bolt, more)| bolted(holes, thread, bolt, more, job)).collect();
    all.sort_by(|(a, _), (b, _)| a.get().total_cmp(&b.get()));
    let best = all.iter().position(|(_, bolted)| holds(bolted, job)).unwrap_or(0);
    all.swap_remove(best).1
}

/// Whether friction holds the lamp on these bolts.
fn holds((plate, bolt, lock): &Bolted, job: &Job) -> bool {
    let lamp = &job.fixture;
    let print = crate::design::job_inputs::print(job);
    let Ok(wind) = gust_on(job) else { return false };
    let Ok(bearing_limit) = print.limit(Direction::InLayer, Duration::Gust) else { return false };
    let swing = swing_boxes(lamp, Some(plate));
    let weight = weight(lamp.mass + plate.block(polymer(print.polymer).density));
    let [weight, gust] = turning(job, &swing, weight, wind.front);
    let lock = TiltLock {
        thread: *bolt,
        lock_radius: Some(lock.radius),
        weight,
        gust,
        safety: job.site.safety,
        bearing_limit,
    };
    lock.solve().is_ok_and(|found| found.holds())
}

/// The plate with this bolt, the lock bolt's circle so much wider than it must be; first the radius
/// of the ear's end.
fn bolted(
    holes: &HolePattern,
    thread: Thread,
    bolt: Thread,
    wider: Length,
    job: &Job,
) -> (Length, Bolted) {
    let line = job.printer.line;
    let holes = pattern::points(holes);
    let farthest =
        |axis: usize| holes.iter().map(|p| p[axis].abs()).fold(Length::ZERO, Length::max);
    let [x, y] = [farthest(0), farthest(1)];
    let head = thread.washer().outer / 2.0;
    let lug = whole_lines(PLATE, line);
    // Lugs stand outside the bolt heads, so that every bolt can be reached.
    let inner = x + head + Length::mm(1.5);
    let lug_x = [inner, inner + lug];
    let slot = bolt.clearance_hole(HoleFit::Medium);
    let washer = bolt.washer().outer;
    let lug_radius = (slot / 2.0 + ROUND_HOLE).max(washer / 2.0 + Length::mm(1.0));
    // The washers of pivot and lock must not meet.
    let lock_radius = washer + Length::mm(2.0) + wider;
    let lock = Lock { radius: lock_radius, angle: Angle::ZERO, slot };
    // Plate and lamp may be wider than the yoke: they pass in front of the ears' ends.
    let (_, end_radius) = ear_end(bolt, Some(&lock), job);
    let pivot = (lock_radius + lug_radius).max(end_radius + SWING_CLEARANCE);
    let lug_foot = lug_radius + Length::mm(2.0);
    let plate = TiltPlate {
        half: [
            lug_x[1] + FOOT_LAND + Length::mm(0.5),
            (y + head + ROUND_HOLE).max(lug_foot + FOOT_LAND + Length::mm(3.0)),
        ],
        thickness: whole_lines(PLATE, job.printer.layer),
        corner: Length::mm(3.0),
        holes,
        hole: thread.clearance_hole(HoleFit::Medium),
        lug_x,
        lug_foot,
        lug_radius,
        pivot,
    };
    (end_radius, (plate, bolt, lock))
}

impl TiltPlate {
    /// Mass of the blocks that hold the plate and its lugs, for a density in grams a cubic
    /// centimetre.
    fn block(&self, density: f64) -> Mass {
        let mm3 = |[x, y, z]: [Length; 3]| x.get() * y.get() * z.get();
        let [x, y] = self.half.map(|h| h * 2.0);
        let lug =
            [self.lug_x[1] - self.lug_x[0], self.lug_foot * 2.0, self.pivot + self.lug_radius];
        Mass::kg((mm3([x, y, self.thickness]) + 2.0 * mm3(lug)) * 1e-6 * density)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params;
    use crate::units::Speed;

    fn orchard() -> Job {
        let text = include_str!("../../../params/orchard-supper.toml");
        params::read(text).expect("the demo job reads").job
    }

    fn chosen(job: &Job) -> Bolted {
        let params::Mount::BasePlate { pattern, thread } = &job.fixture.mount else {
            panic!("the demo job has a base plate");
        };
        choose(pattern, *thread, job)
    }

    #[test]
    fn a_light_lamp_turns_on_the_commonest_bolt() {
        let job = orchard();
        let (_, bolt, lock) = chosen(&job);
        assert_eq!((bolt, lock.radius), (Thread::M5, Thread::M5.washer().outer + Length::mm(2.0)));
    }

    /// The heavier the lamp, the larger the ear, and it holds until no bolt does.
    #[test]
    fn bolts_grow_with_the_lamp() {
        let mut job = orchard();
        let mut last = Length::ZERO;
        let mut grew = 0;
        for mass in [0.6, 1.5, 3.0, 4.5, 6.0] {
            job.fixture.mass = Mass::kg(mass);
            let found = chosen(&job);
            assert!(holds(&found, &job), "{mass} kg");
            let (_, end) = {
                let (_, bolt, lock) = &found;
                ear_end(*bolt, Some(lock), &job)
            };
            assert!(end >= last, "{mass} kg");
            grew += u32::from(end > last);
            last = end;
        }
        assert!(grew >= 3, "the ear grew {grew} times");
        job.fixture.mass = Mass::kg(50.0);
        job.site.gust = Speed::metres_per_second(60.0);
        let found = chosen(&job);
        assert!(!holds(&found, &job));
        assert_eq!(found.1, Thread::M5);
    }
}
