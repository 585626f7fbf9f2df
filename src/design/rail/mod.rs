//! Dimensions of the saddle rails that hold the box.

pub(crate) mod drawing;

use crate::design::saddle::{MouthNeeds, Saddle, SaddleNeeds, whole_lines};
use crate::params::Job;
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// Screw from the rail into the box.
pub(crate) const THREAD: Thread = Thread::M4;
/// Plastic beyond the screw's washer, and between washer and the saddle's side.
const LAND: Length = Length::mm(2.0);
/// Half widths between which a rail's pad is chosen: what steadies a small box, and what a box of common
/// size has room for (common practice, no source). A wide box takes wider ones.
pub(crate) const HALF_WIDTH: [Length; 2] = [Length::mm(32.0), Length::mm(48.0)];
const WIDEST: Length = Length::mm(72.0);
const WIDER: Length = Length::mm(4.0);
/// Straps of a rail: one, or more where that does not hold.
pub(crate) const STRAPS: [u32; 3] = [1, 2, 3];

/// Half widths of pads for a box that has its screws so far from the middle.
#[must_use]
pub(crate) fn half_widths(screw_x: Length, job: &Job) -> [Length; 2] {
    let [least, common] = HALF_WIDTH;
    let mut most = common;
    while most + WIDER <= WIDEST && least_screw_x(most + WIDER, job) <= screw_x {
        most += WIDER;
    }
    [least, most]
}

/// A rail, every dimension settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Rail {
    /// Its saddle, with a flange on both sides.
    pub saddle: Saddle,
    /// Middle of the screws, from the rail's middle.
    pub screw_x: Length,
    /// Clearance hole of the screws.
    pub hole: Length,
}

/// How far from the middle the screws must at least stand for a pad of this half width on the
/// flattest face: the saddle's side, a driver's way past it, and half a washer.
#[must_use]
pub(crate) fn least_screw_x(pad_half_width: Length, job: &Job) -> Length {
    let needs = SaddleNeeds {
        face_radius: Length::metres(1.0),
        pad_half_width,
        height: Length::ZERO,
        front_half_width: pad_half_width,
        mouth: MouthNeeds::default(),
        straps: 1,
    };
    let flat = Saddle::new(&needs, &job.strap, &job.printer);
    flat.half_width + flat.inner_fillet + THREAD.washer().outer / 2.0 + LAND
}

impl Rail {
    /// The rail with this saddle, whose front reaches over its screws, which are where the box has them.
    #[must_use]
    pub fn new(saddle: SaddleNeeds, screw_x: Length, job: &Job) -> Self {
        let front_half_width =
            screw_x + THREAD.washer().outer / 2.0 + whole_lines(LAND * 2.0, job.printer.line);
        let needs = SaddleNeeds { front_half_width, ..saddle };
        Self {
            saddle: Saddle::new(&needs, &job.strap, &job.printer),
            screw_x,
            hole: THREAD.clearance_hole(HoleFit::Medium),
        }
    }
}
