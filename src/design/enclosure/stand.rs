//! The stand that holds the pack's receiver upright: a block that grows out of the floor, the receiver
//! screwed to its right face.
//!
//! Box axes, millimetres. The stand is as thick as its screws are deep, or as a hand on the pack asks: a
//! cantilever across the layers, 6 F l / (b t^2), pushed sideways at the pack's outer end.

use super::{Component, Cuboid, HAND, PackPose, SKIN_LEAST, Standoff, mount};
use crate::design::cradle::pattern;
use crate::design::job_inputs::print;
use crate::engineering::strength::beam::cantilever_depth;
use crate::engineering::strength::{Direction, Duration};
use crate::params::{Battery, Job};
use crate::units::Length;

/// A stand before it has a place: Y from the pack's middle, Z from the back.
#[derive(Debug, Clone)]
pub(super) struct Stand {
    pub(super) thickness: f64,
    /// Lowest and highest Y.
    y: [f64; 2],
    top: f64,
    /// Y and Z of the holes.
    holes: Vec<[f64; 2]>,
    pub(super) hole: Standoff,
    /// Half of what stands, stand, plate and pack in X, pack in Y.
    pub(super) half: [f64; 2],
    /// Height of the pack's and the plate's lower and upper end.
    z: [f64; 2],
    plate: f64,
}

impl Stand {
    /// For a pack that stands on edge or end-on, `foot` above the back.
    pub(super) fn new(job: &Job, battery: &Battery, pose: PackPose, floor: f64, foot: f64) -> Self {
        let pack = pose.size(battery).map(Length::get);
        let z = [foot, foot + pack[2]];
        let hole = mount::formed(battery.receiver.thread);
        let r = hole.radius.get();
        let middle = f64::midpoint(z[0], z[1]);
        let pattern = pattern::points(&battery.receiver.holes);
        // The pattern's first axis runs along the pack's length.
        let holes: Vec<[f64; 2]> = pattern
            .into_iter()
            .map(|p| p.map(Length::get))
            .map(|[along, across]| match pose {
                PackPose::EndOn => [across, middle + along],
                _ => [along, middle + across],
            })
            .collect();
        let edge = |axis: usize, sign: f64| {
            holes.iter().map(|h| sign * h[axis] + r).fold(f64::NEG_INFINITY, f64::max)
        };
        let y = [-edge(0, -1.0), edge(0, 1.0)];
        let top = edge(1, 1.0);
        let [arm, width] = [z[1] - floor, y[1] - y[0]].map(Length::mm);
        // A print too soft for the day bears nothing; the rules say so.
        let limit = print(job).limit(Direction::AcrossLayers, Duration::Gust).ok();
        let by_hand = limit.and_then(|limit| cantilever_depth(HAND, arm, width, limit).ok());
        let by_screws = hole.bore_depth + SKIN_LEAST;
        let thickness = by_screws.max(by_hand.unwrap_or(Length::ZERO)).get();
        let plate = battery.receiver.thickness.get();
        let half = [(thickness + plate + pack[0]) / 2.0, pack[1] / 2.0];
        Self { thickness, y, top, holes, hole, half, z, plate }
    }

    /// Outline on the floor about the middle of what stands, lowest and highest corner.
    pub(super) fn foot(&self, at: [f64; 2]) -> [[f64; 2]; 2] {
        let left = at[0] - self.half[0];
        [[left, at[1] + self.y[0]], [left + self.thickness, at[1] + self.y[1]]]
    }

    /// Stand, plate, pack and holes about this middle, on this floor.
    pub(super) fn placed(&self, at: [f64; 2], floor: f64) -> Component {
        let [low, high] = self.foot(at);
        let mm = |low: [f64; 3], high: [f64; 3]| Cuboid {
            low: low.map(Length::mm),
            high: high.map(Length::mm),
        };
        let [from, to] = self.z;
        let (down, up) = (at[1] - self.half[1], at[1] + self.half[1]);
        let behind = high[0] + self.plate;
        Component {
            body: mm([behind, down, from], [at[0] + self.half[0], up, to]),
            plate: Some(mm([high[0], down, from], [behind, up, to])),
            holes: self.holes.iter().map(|[y, z]| [at[1] + y, *z].map(Length::mm)).collect(),
            post: self.hole,
            stand: Some(mm([low[0], low[1], floor], [high[0], high[1], self.top])),
        }
    }
}
