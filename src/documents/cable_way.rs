//! The way of the first lamp's cable: from the lamp through a loop from which water drips to the bark,
//! and down, or past the box and from below into its gland.

use std::f64::consts::TAU;

use super::Subject;
use super::mounted::StrapGeometry;
use crate::space::{Vec3, v};

/// What hangs on the trunk from its straps, and where the first lamp's cable leaves it.
pub(super) struct MountedCradles {
    /// Lowest and highest point.
    pub(super) span: [f64; 2],
    pub(super) straps: StrapGeometry,
    /// Behind the lamp, and below it.
    pub(super) cable: [Vec3; 2],
    /// Half the width of lamp and ears.
    pub(super) half_width: f64,
    /// Of the cable.
    pub(super) radius: f64,
}

/// The box on the trunk.
pub(super) struct MountedBox {
    pub(super) span: [f64; 2],
    pub(super) straps: StrapGeometry,
    /// Lower ends of the glands.
    pub(super) mouths: Vec<Vec3>,
    pub(super) half_width: f64,
}

/// Free way between a cable and what it passes, mm, and depth of a loop from which water drips.
const CABLE_CLEARANCE: f64 = 24.0;
pub(super) const LOOP: f64 = 45.0;

impl MountedCradles {
    /// Bearing toward +X and distance from the axis at which a cable on the bark passes beside what
    /// is so wide.
    pub(super) fn beside(&self, half_width: f64, straps: &StrapGeometry) -> (f64, f64) {
        let wide = half_width.max(self.half_width) + CABLE_CLEARANCE;
        // Out of the way where the trunk is wide enough, else round its side.
        let bearing = libm::asin((wide / straps.reach(TAU / 4.0)).clamp(0.5, 0.94));
        (bearing, straps.reach(bearing).max(self.straps.reach(bearing)) + 2.0 * self.radius)
    }

    /// From the lamp through a loop to the bark, and down to a height.
    pub(super) fn down_to(&self, bearing: f64, reach: f64, end: f64) -> Vec<Vec3> {
        let (s, c) = libm::sincos(bearing);
        let bark = |z: f64| v(reach * s, reach * c, z);
        let [behind, below] = self.cable;
        let low = self.span[0];
        let middle = (below + bark(low)) * 0.5;
        let mut way = vec![behind, below, v(middle.x, middle.y, low - LOOP), bark(low)];
        // Down again from the crest, clear of the loop's own foot.
        let crest = low + LOOP / 2.0;
        let (s, c) = libm::sincos(bearing + 2.5 * CABLE_CLEARANCE / reach);
        let aside = |z: f64| v(reach * s, reach * c, z);
        way.push((bark(crest) + aside(crest)) * 0.5);
        let foot = low - LOOP / 2.0;
        way.extend([foot, foot.midpoint(end), end].map(aside));
        way
    }

    /// Past the box, and from below into its gland.
    pub(super) fn way_to_gland(&self, boxed: &MountedBox, mouth: Vec3) -> Vec<Vec3> {
        let (bearing, reach) = self.beside(boxed.half_width, &boxed.straps);
        let mut way = self.down_to(bearing, reach, boxed.span[0]);
        let last = way.last().copied().unwrap_or(mouth);
        let loop_z = mouth.z - LOOP;
        // In front of the bark, not through it.
        let front = reach.max(f64::midpoint(last.y, mouth.y));
        way.push(v(f64::midpoint(last.x, mouth.x), front, loop_z - LOOP / 2.0));
        way.extend([v(mouth.x, mouth.y, loop_z + LOOP / 2.0), mouth]);
        way
    }
}

/// Half the thickness of the cable that the first gland takes; a lamp's usual cable without one.
pub(super) fn cable_radius(subject: &Subject<'_>) -> f64 {
    const USUAL: f64 = 7.0;
    let taken = subject.job.glands.first().map(|e| e.size.cable());
    taken.map_or(USUAL, |[least, most]| f64::midpoint(least.get(), most.get())) / 2.0
}
