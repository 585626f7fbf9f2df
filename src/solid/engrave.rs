//! Engraving: plane regions cut as pockets into a plane face, as part of the exact solid.
//!
//! A region (a letter, a tick, an arrow) becomes one pocket; the holes of a region (the inside of an
//! `O`) stay as islands level with the face. Nothing is cut from a mesh, so the STEP file shows the
//! marks too, and they cost no boolean operation.

use super::edge::Loop;
use super::lettering::Region;
use super::shell::{Plane, Shell};
use crate::space::Frame;

/// Label of the walls of a mark.
pub(crate) const MARK: &str = "mark";
/// Label of the floor of a mark.
pub(crate) const MARK_FLOOR: &str = "mark floor";

impl Shell {
    /// Cuts regions into a plane, `depth` deep. The frame lies in the plane and has its normal.
    pub fn engrave(&mut self, carrier: &mut Plane, frame: &Frame, regions: &[Region], depth: f64) {
        let place = |points: &[[f64; 2]]| {
            Loop::polygon(&points.iter().map(|&p| frame.point(p)).collect::<Vec<_>>())
        };
        for region in regions {
            let mut floor = self.pocket(MARK, carrier, &place(&region.outer), depth);
            floor.label = MARK_FLOOR;
            for hole in &region.holes {
                let top = place(hole).reversed();
                let foot = top.shifted(carrier.normal * -depth);
                let island = self.boss(MARK, &mut floor, &foot, top);
                self.add(island);
            }
            self.add(floor);
        }
    }
}

/// Regions moved within their plane.
#[must_use]
pub(crate) fn moved(regions: &[Region], by: [f64; 2]) -> Vec<Region> {
    let shift =
        |points: &Vec<[f64; 2]>| points.iter().map(|p| [p[0] + by[0], p[1] + by[1]]).collect();
    let one =
        |r: &Region| Region { outer: shift(&r.outer), holes: r.holes.iter().map(shift).collect() };
    regions.iter().map(one).collect()
}

/// Smallest rectangle round regions: lowest and highest corner.
#[must_use]
pub(crate) fn extent(regions: &[Region]) -> [[f64; 2]; 2] {
    let points = regions.iter().flat_map(|r| &r.outer);
    points.fold([[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]], |[low, high], p| {
        [[low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])]]
    })
}

/// Regions with their middle at `at`.
#[must_use]
pub(crate) fn centred(regions: &[Region], at: [f64; 2]) -> Vec<Region> {
    let [low, high] = extent(regions);
    moved(regions, [at[0] - (low[0] + high[0]) / 2.0, at[1] - (low[1] + high[1]) / 2.0])
}
