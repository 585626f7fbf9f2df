//! Battery or controller as it is turned in the box: half sizes, posts, and how far it reaches.
//!
//! Millimetres in box axes, about the thing's middle.

use super::{Component, Cuboid, Standoff};
use crate::units::Length;

/// A thing with posts, as it is turned in the box; coordinates about its middle.
pub(super) struct Piece {
    pub(super) half: [f64; 2],
    pub(super) posts: Vec<[f64; 2]>,
    pub(super) standoff: Standoff,
}

impl Piece {
    /// Of this length and width; its hole pattern's first axis runs along its length. Upright it is
    /// turned a quarter counter-clockwise, so that its length runs along Y.
    pub(super) fn new(
        length: Length,
        width: Length,
        upright: bool,
        holes: Vec<[Length; 2]>,
        standoff: Standoff,
    ) -> Self {
        let [along, across] = [length.get() / 2.0, width.get() / 2.0];
        let holes = holes.into_iter().map(|p| p.map(Length::get));
        let (half, posts) = if upright {
            ([across, along], holes.map(|[x, y]| [-y, x]).collect())
        } else {
            ([along, across], holes.collect())
        };
        Self { half, posts, standoff }
    }

    /// Of what stands beside a stand: nothing of it is on posts.
    pub(super) const fn standing(half: [f64; 2], standoff: Standoff) -> Self {
        Self { half, posts: Vec::new(), standoff }
    }

    /// How far it reaches from its middle toward `sign` along `axis`, with free space beside the
    /// thing and beside its posts.
    pub(super) fn reach(&self, axis: usize, sign: f64, beside: f64, beside_post: f64) -> f64 {
        let radius = self.standoff.radius.get();
        let posts = self.posts.iter().map(|p| sign * p[axis] + radius + beside_post);
        posts.fold(self.half[axis] + beside, f64::max)
    }

    /// In its place in the box, standing on posts whose tops are `top` above the back.
    pub(super) fn content(
        &self,
        at: [f64; 2],
        top: f64,
        plate: Option<f64>,
        height: f64,
    ) -> Component {
        let cuboid = |low: f64, high: f64| Cuboid {
            low: [at[0] - self.half[0], at[1] - self.half[1], low].map(Length::mm),
            high: [at[0] + self.half[0], at[1] + self.half[1], high].map(Length::mm),
        };
        let foot = top + plate.unwrap_or(0.0);
        Component {
            body: cuboid(foot, foot + height),
            plate: plate.map(|_| cuboid(top, foot)),
            holes: self
                .posts
                .iter()
                .map(|p| [at[0] + p[0], at[1] + p[1]].map(Length::mm))
                .collect(),
            post: self.standoff,
            stand: None,
        }
    }
}

/// Least distance of a corner from both walls so that it keeps `free` from a corner rounded by
/// `radius`.
pub(super) fn corner_distance(free: f64, radius: f64) -> f64 {
    if radius > free { radius - (radius - free) * std::f64::consts::FRAC_1_SQRT_2 } else { free }
}
