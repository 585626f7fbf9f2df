//! The control of the lamps: the radio link to the box, and the wired signal from lamp to lamp.

pub(super) mod link_weak;
pub(super) mod signal_too_far;

use super::calculations::Section;
use crate::engineering::link::Path;
use crate::params::{Job, Link};

/// The link of a job as its sum takes it.
pub(super) fn path(link: &Link) -> Path {
    Path {
        frequency: link.frequency,
        distance: link.distance,
        heights: [link.sender_height, link.receiver_height],
        foliage: link.foliage,
        walls: link.walls,
        obstacle: link.obstacle,
        power: link.power,
        gain: link.gain,
        sensitivity: link.sensitivity,
    }
}

/// The account of the link; none without one.
pub(super) fn section(job: &Job) -> Option<Section> {
    let link = job.link.as_ref()?;
    let mut section = Section::new("radio link");
    section.take(path(link).lines(link.fade_margin));
    Some(section)
}
