//! Ears and tilt lock: what the lamp's weight and the gust ask of them.
//!
//! The lamp turns about the pivot, its middle off the pivot: the farthest out and up that it comes in
//! the tilt range is found exactly. The gust may press off the middle by a quarter of the lamp's
//! height (EN 1991-1-4, 7.4.3, which gives a quarter of the width for signboards).

use std::f64::consts::FRAC_PI_2;

use super::{Absent, Section, Shared};
use crate::engineering::strength::beam::ear_lines;
use crate::engineering::strength::{
    Direction, Duration, Ear, EarLoad, EarStress, Print, TiltLock, TiltLockResult, lock,
};
use crate::engineering::wind::{Cuboid, WindLoad, weight, wind_on};
use crate::params::{Job, Tilt};
use crate::plan::Plan;
use crate::sums::prints::Prints;
use crate::tables::wind::BluffBody;
use crate::units::{Length, Torque};

/// Off-middle pressure of the gust, as a share of the lamp's height.
const OFF_MIDDLE: f64 = 0.25;

/// Loads and results of the yoke.
pub(crate) struct YokeSums {
    /// Wind on the lamp.
    pub(crate) wind: WindLoad,
    /// What both ears carry.
    pub(crate) load: EarLoad,
    /// How far the lamp's middle comes out beyond the pivot.
    pub(crate) out: Length,
    /// How far it comes above or below the pivot.
    pub(crate) up: Length,
    /// An ear.
    pub(crate) ear: Ear,
    /// Its stresses.
    pub(crate) stress: Result<EarStress, Absent>,
    /// The lock.
    pub(crate) lock: Result<TiltLock, Absent>,
}

impl YokeSums {
    pub(crate) fn of(
        job: &Job,
        plan: &Plan,
        print: &Print,
        prints: &Prints,
    ) -> Result<Self, Absent> {
        let (lamp, yoke) = (&job.fixture, &plan.yoke);
        let body = Cuboid { width: lamp.width, height: lamp.height, depth: lamp.depth };
        let tilt = [job.tilt.min, job.tilt.max];
        let wind =
            wind_on(body, tilt, job.site.gust, BluffBody::Signboard).map_err(Absent::fault)?;
        let plate = match &yoke.plate {
            None => crate::units::Mass::ZERO,
            Some(_) => prints.mass("tilt-plate").ok_or_else(|| {
                Absent::told("the mass of tilt-plate is not known, it was not made")
            })?,
        };
        let load =
            EarLoad { weight: weight(lamp.mass + plate), front: wind.front, side: wind.side };
        let [out, up, off] = yoke.swing.first().map_or([Length::ZERO; 3], |body| {
            let middle = |[a, b]: [Length; 2]| ((a + b) / 2.0).get();
            swing(middle(body.y), middle(body.z), &job.tilt)
        });
        let ear = Ear { reach: yoke.reach, thickness: yoke.ear, height: yoke.foot_height };
        let arm = off + lamp.height * OFF_MIDDLE;
        let demand = load.weight.get() * out.get().abs() + load.front.get() * arm.get();
        let lock = print.limit(Direction::InLayer, Duration::Gust).map_err(Absent::told);
        let lock = lock.map(|bearing_limit| TiltLock {
            thread: yoke.thread,
            lock_radius: yoke.lock.map(|l| l.radius),
            demand: Torque::newton_metres(demand / 1000.0),
            safety: job.site.safety,
            bearing_limit,
        });
        // A print too soft for the day is told by the check of the ears.
        let stress = ear.stress(&load, print).map_err(Absent::told);
        Ok(Self { wind, load, out: out.max(Length::ZERO), up, ear, stress, lock })
    }

    /// How the lock fares.
    pub(crate) fn locked(&self) -> Result<(TiltLock, TiltLockResult), Absent> {
        let lock = self.lock.clone()?;
        Ok((lock, lock.solve().map_err(Absent::fault)?))
    }
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

pub(crate) fn section(shared: &Shared<'_>) -> Section {
    let mut section = Section::new("yoke: ears and tilt lock");
    let yoke = match &shared.yoke {
        Ok(yoke) => yoke,
        Err(why) => {
            section.absent.push(why.to_string());
            return section;
        }
    };
    let stress = yoke.stress.as_ref().map_err(Clone::clone);
    section.take(stress.map(|found| ear_lines(&yoke.ear, &yoke.load, found)));
    section.take(yoke.locked().map(|(lock, found)| lock::lines(&lock, &found)));
    section
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Angle;

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
