//! Parts that are the same on all trunks: how many there are, and how many have still to be printed.
//!
//! A box or a tilt plate of another year is used again when its shape is the one that would be drawn
//! today. What is not used stays known for the years to come.

use serde::{Deserialize, Serialize};

use super::cradle::Yoke;
use super::enclosure::Enclosure;
use super::job_plan::{Before, shape_hash};
use super::tilt_plate::TiltPlate;
use crate::units::Mass;

/// Which part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CommonKind {
    /// Box body and lid.
    Box,
    /// The plate between a lamp with a hole pattern and the ears.
    TiltPlate,
}

/// Copies of one shape that there are, or will be when this year's are printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Common {
    /// Which part.
    pub kind: CommonKind,
    /// Hash of its shape.
    pub shape: String,
    /// How many.
    pub copies: u32,
}

/// The common parts of a year.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Commons {
    /// All that there are, those of no use this year included.
    pub all: Vec<Common>,
    /// Boxes to print.
    pub boxes: u32,
    /// Tilt plates to print.
    pub tilt_plates: u32,
}

impl Commons {
    pub(super) fn of(
        before: &Before,
        boxes: (Option<&Enclosure>, u32),
        plates: (&Yoke, u32),
    ) -> Self {
        let mut commons = Self::default();
        if before.in_hand {
            commons.all.clone_from(&before.common);
        }
        if let (Some(enclosure), wanted) = boxes {
            commons.boxes = commons.take(CommonKind::Box, box_shape(enclosure), wanted);
        }
        if let (Yoke { plate: Some(plate), .. }, wanted) = plates {
            let shape = plate_shape(plate, plates.0);
            commons.tilt_plates = commons.take(CommonKind::TiltPlate, shape, wanted);
        }
        commons
    }

    /// Takes so many copies of a shape, and returns how many of them have to be printed.
    fn take(&mut self, kind: CommonKind, shape: String, wanted: u32) -> u32 {
        match self.all.iter_mut().find(|c| c.kind == kind && c.shape == shape) {
            Some(known) => {
                let prints = wanted.saturating_sub(known.copies);
                known.copies = known.copies.max(wanted);
                prints
            }
            None => {
                self.all.push(Common { kind, shape, copies: wanted });
                wanted
            }
        }
    }
}

/// Hash of what shapes the box: neither the reasons nor the mass of what lies in it.
fn box_shape(enclosure: &Enclosure) -> String {
    shape_hash(&Enclosure { reasons: Vec::new(), contents: Mass::ZERO, ..enclosure.clone() })
}

fn plate_shape(plate: &TiltPlate, yoke: &Yoke) -> String {
    shape_hash(&(plate, yoke.pivot_hole, yoke.lock))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::plan;
    use crate::params::{self, Job};
    use crate::units::Length;

    fn quillmere() -> Job {
        params::read(include_str!("../../params/quillmere-stories.toml")).expect("it reads").job
    }

    #[test]
    fn a_box_of_the_same_shape_is_printed_once() {
        let mut job = quillmere();
        let first = plan(&job, &Before::default()).expect("a plan");
        assert_eq!(first.common.boxes, first.boxes);
        // One more trunk carries a box; what the battery weighs shapes nothing.
        let dark = job.trunks.iter().position(|t| !t.carries_box).expect("a trunk without a box");
        job.trunks[dark].carries_box = true;
        job.battery.as_mut().expect("a battery").mass = Mass::kg(2.5);
        let second = plan(&job, &first.as_before()).expect("a plan");
        assert_eq!((second.boxes, second.common.boxes), (first.boxes + 1, 1));
        // A longer pack wants another box; the old ones stay known.
        let battery = job.battery.as_mut().expect("a battery");
        battery.length += Length::mm(20.0);
        let third = plan(&job, &second.as_before()).expect("a plan");
        assert_eq!(third.common.boxes, third.boxes);
        assert_eq!(third.common.all.len(), 2);
        assert_eq!(third.common.all[0].copies, second.boxes);
        // Nothing is in hand of a set that was not printed.
        let unprinted = Before { in_hand: false, ..first.as_before() };
        assert_eq!(plan(&job, &unprinted).expect("a plan").common.all.len(), 1);
    }

    #[test]
    fn a_tilt_plate_is_used_again() {
        let text = include_str!("../../params/orchard-supper.toml");
        let job = params::read(text).expect("it reads").job;
        let first = plan(&job, &Before::default()).expect("a plan");
        assert_eq!(first.common.tilt_plates, first.lamps);
        let second = plan(&job, &first.as_before()).expect("a plan");
        assert_eq!(second.common.tilt_plates, 0);
    }
}
