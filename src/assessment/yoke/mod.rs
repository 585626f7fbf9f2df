//! Ears and tilt lock: what the lamp's weight and the gust ask of them.
//!
//! The lamp turns about the pivot, its middle off the pivot: the farthest out and up that it comes in
//! the tilt range is found exactly. The gust may press off the middle by a quarter of the lamp's
//! height (EN 1991-1-4, 7.4.3, which gives a quarter of the width for signboards).

pub(super) mod ear_overstressed;
pub(super) mod ear_too_warm;
pub(super) mod falls;
pub(super) mod lamp_holes_crowded;
pub(super) mod lanyard_overloaded;
pub(super) mod lock_slot_crowded;
pub(super) mod pattern_edge;
pub(super) mod polymer_fades;
pub(super) mod swing_clearance;
pub(super) mod tilt_lock_slips;

use super::Subject;
use super::calculations::{Section, Shared, Unavailable};
use super::prints::Prints;
use crate::design::stability::{gust_on, turning};
use crate::design::{PartId, Plan};
use crate::engineering::account::Line;
use crate::engineering::strength::beam::ear_lines;
use crate::engineering::strength::{
    Direction, Duration, Ear, EarLoad, EarStress, Print, TiltLock, TiltLockResult, lock,
};
use crate::engineering::wind::{WindLoad, weight};
use crate::finding::Finding;
use crate::params::Job;

/// Loads and results of the yoke.
#[derive(Debug, Clone)]
pub(crate) struct Yoke {
    /// Wind on the lamp.
    pub(crate) wind: WindLoad,
    /// What both ears carry.
    pub(crate) load: EarLoad,
    /// An ear.
    pub(crate) ear: Ear,
    /// Its stresses.
    pub(crate) stress: Result<EarStress, Unavailable>,
    /// The lock.
    pub(crate) lock: Result<TiltLock, Unavailable>,
}

impl Yoke {
    pub(crate) fn of(
        job: &Job,
        plan: &Plan,
        print: &Print,
        prints: &Prints,
    ) -> Result<Self, Unavailable> {
        let (lamp, yoke) = (&job.fixture, &plan.yoke);
        let wind = gust_on(job).map_err(Unavailable::failed)?;
        let plate = match &yoke.plate {
            None => crate::units::Mass::ZERO,
            Some(_) => prints.known_mass(&PartId::TiltPlate)?,
        };
        let load =
            EarLoad { weight: weight(lamp.mass + plate), front: wind.front, side: wind.side };
        let ear = Ear { reach: yoke.reach, thickness: yoke.ear, height: yoke.foot_height };
        let [by_weight, by_gust] = turning(job, &yoke.swing, load.weight, load.front);
        let lock = print.limit(Direction::InLayer, Duration::Gust).map_err(Unavailable::elsewhere);
        let lock = lock.map(|bearing_limit| TiltLock {
            thread: yoke.thread,
            lock_radius: yoke.lock.map(|l| l.radius),
            weight: by_weight,
            gust: by_gust,
            safety: job.site.safety,
            bearing_limit,
        });
        // A print too soft for the day is reported by the rule of the ears.
        let stress = ear.stress(&load, print).map_err(Unavailable::elsewhere);
        Ok(Self { wind, load, ear, stress, lock })
    }

    /// How the lock fares.
    pub(crate) fn locked(&self) -> Result<(TiltLock, TiltLockResult), Unavailable> {
        let lock = self.lock.clone()?;
        Ok((lock, lock.solve().map_err(Unavailable::failed)?))
    }
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
    section.take(ear_too_warm::body(shared.job).map(|body| {
        vec![
            Line::new(
                "body of the lamp on the warmest day",
                "as measured, or 0.8 power = A (h_c dT + eps sigma (T^4 - T_air^4))",
                format!("{body:.0}"),
                "natural convection and radiation (Holman, Heat Transfer)",
            )
            .input("power", shared.job.fixture.power),
        ]
    }));
    section.take(yoke.locked().map(|(lock, found)| lock::lines(&lock, &found)));
    section
}

/// What a rule finds of the ears, which all cradles share.
fn of_cradles(subject: &Subject<'_>, found: Option<Finding>) -> Vec<Finding> {
    let cradles = subject.plan().map_or(&[][..], |plan| &plan.cradles);
    found.map(|f| cradles.iter().fold(f, |f, size| f.part(size.id()))).into_iter().collect()
}
