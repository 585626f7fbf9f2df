//! Dimensions of the saddle rails that hold the box.

pub mod drawing;

use crate::design::saddle::{Saddle, SaddleNeeds, height_for_straps, whole_lines};
use crate::design::stability::mouth_web;
use crate::params::{Job, Strap};
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::{Force, Length};

/// Screw from the rail into the box.
pub const THREAD: Thread = Thread::M4;
/// Plastic beyond the screw's washer, and between washer and the saddle's side.
const LAND: Length = Length::mm(2.0);
/// Width that a rail's pad wants: half of what steadies a box of common size. Common practice.
pub const WANTED_HALF_WIDTH: Length = Length::mm(32.0);

/// The pull that its passage is planned for: a hard pull of one hand (common practice, no source).
pub(in crate::design) const PULL: Force = Force::newtons(200.0);

/// A rail, every dimension settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Rail {
    /// Its saddle: one strap, a flange on both sides.
    pub saddle: Saddle,
    /// Middle of the screws, from the rail's middle.
    pub screw_x: Length,
    /// Clearance hole of the screws.
    pub hole: Length,
}

/// The strap of a rail: one, whatever the cradle has.
#[must_use]
pub fn strap(job: &Job) -> Strap {
    Strap { count: 1, ..job.strap.clone() }
}

/// How far from the middle the screws must at least stand for a pad of this half width on the
/// flattest face: the saddle's side, a driver's way past it, and half a washer.
#[must_use]
pub fn least_screw_x(pad_half_width: Length, job: &Job) -> Length {
    let flat = saddle(Length::metres(1.0), pad_half_width, pad_half_width, job);
    flat.half_width + flat.inner_fillet + THREAD.washer().outer / 2.0 + LAND
}

fn saddle(face_radius: Length, pad_half_width: Length, front: Length, job: &Job) -> Saddle {
    let strap = strap(job);
    let needs = SaddleNeeds {
        face_radius,
        pad_half_width,
        height: height_for_straps(&strap),
        front_half_width: front,
        mouth_web: mouth_web(job, PULL, pad_half_width),
    };
    Saddle::new(&needs, &strap, &job.printer)
}

impl Rail {
    /// The rail for a face, with its screws where the box has them.
    #[must_use]
    pub fn new(face_radius: Length, pad_half_width: Length, screw_x: Length, job: &Job) -> Self {
        let front =
            screw_x + THREAD.washer().outer / 2.0 + whole_lines(LAND * 2.0, job.printer.line);
        Self {
            saddle: saddle(face_radius, pad_half_width, front, job),
            screw_x,
            hole: THREAD.clearance_hole(HoleFit::Medium),
        }
    }
}
