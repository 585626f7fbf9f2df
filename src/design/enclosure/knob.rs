//! The knob on a fastener of the lid: a hexagon with rounded corners, held and turned by gloved fingers,
//! over the head of a hexagon screw that it turns.
//!
//! Own axes: the foot at Z = 0 stands on the lid, the screw's axis is Z. That is also the print pose: the
//! pocket of the head is open above, and nothing overhangs.
//!
//! The screw goes in from above, through knob and lid; a rubber ring on its thread under the lid keeps all
//! three together. Flats and head height after ISO 4017.

use std::f64::consts::PI;

use crate::design::part::{Part, PartId, to_bed};
use crate::solid::{Frame, Outline, Plane, Shell, Vec3, corner};
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// Across the flats: what three gloved fingers turn (common practice, no source).
pub(crate) const KNOB_ACROSS: f64 = 28.0;
/// Height: the fingers' end joints (common practice, no source).
const HEIGHT: f64 = 14.0;
/// Radius of the upright edges, and chamfer of the level ones: kind to hands.
const ROUND: f64 = 5.0;
const CHAMFER: f64 = 1.0;
/// Plastic between the screw's head and the lid.
const SEAT: f64 = 5.0;
/// Play of the head in its pocket: enough for a print that runs full, too little to turn in.
const PLAY: f64 = 0.3;

/// Length of the screw that lies in the knob.
pub(crate) const GRIP: Length = Length::mm(SEAT);

/// A hexagon about the axis, this wide across the flats.
fn hexagon(across: f64, radius: f64) -> Outline {
    let far = across / f64::sqrt(3.0);
    let corners = (0..6).map(|i| {
        let (s, c) = libm::sincos(PI / 3.0 * f64::from(i));
        corner(far * c, far * s, radius)
    });
    Outline::polygon(&corners.collect::<Vec<_>>())
}

/// Draws the knob for screws of this thread.
#[must_use]
pub(crate) fn draw(thread: Thread) -> Part {
    let mut shell = Shell::default();
    let level = |z: f64| Frame::level(z);
    let full = hexagon(KNOB_ACROSS, ROUND);
    let less = hexagon(KNOB_ACROSS - 2.0 * CHAMFER, ROUND - CHAMFER);
    let foot = less.on(&level(0.0));
    let low = full.on(&level(CHAMFER));
    let high = full.on(&level(HEIGHT - CHAMFER));
    let crown = less.on(&level(HEIGHT));
    shell.walls("chamfer", &foot, &low);
    shell.walls("grip", &low, &high);
    shell.walls("chamfer", &high, &crown);
    let mut bottom = Plane::new("foot", -Vec3::Z, foot.reversed());
    let mut top = Plane::new("top", Vec3::Z, crown);
    let pocket = hexagon(thread.hexagon_head().flats.get() + PLAY, 0.0).on(&level(HEIGHT));
    let mut seat = shell.pocket("head pocket", &mut top, &pocket, HEIGHT - SEAT);
    let hole = thread.clearance_hole(HoleFit::Medium).get() / 2.0;
    let mouth = Outline::circle([0.0; 2], hole).on(&level(SEAT));
    shell.through_hole("screw hole", &mut seat, &mut bottom, &mouth, SEAT);
    for plane in [seat, top, bottom] {
        shell.add(plane);
    }
    let print = to_bed(&shell);
    Part { id: PartId::Knob, shell, print, genus: 1, left_out: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::enclosure::WALL_LEAST;
    use crate::solid::Pose;

    /// Prism of a hexagon 28 mm across with rounded corners, less chamfers, pocket and hole: by hand.
    #[test]
    fn the_knob_has_the_volume_of_its_closed_form() {
        for thread in [Thread::M3, Thread::M4, Thread::M5] {
            let head = thread.hexagon_head();
            assert!(head.height.get() <= HEIGHT - SEAT, "{thread}");
            let wall = (KNOB_ACROSS - head.flats.get() - PLAY) / 2.0;
            assert!(wall >= WALL_LEAST.get(), "{thread}: {wall}");
            let part = draw(thread);
            let body = part.body().unwrap();
            assert_eq!(body.genus(), 1);
            // Area of a hexagon s^2 sqrt(3)/2; a rounded corner of 120 degrees takes
            // r^2 (tan 30 - pi/6).
            let corner = libm::tan(PI / 6.0) - PI / 6.0;
            let area = |s: f64, r: f64| s * s * f64::sqrt(3.0) / 2.0 - 6.0 * r * r * corner;
            let ends = {
                // Prismatoid between two similar outlines, Simpson's rule is exact.
                let [a, m, b] = [26.0, 27.0, 28.0].map(|s| area(s, (s - 18.0) / 2.0));
                2.0 * (a + 4.0 * m + b) / 6.0
            };
            let head = area(thread.hexagon_head().flats.get() + 0.3, 0.0) * 9.0;
            let hole = PI * (thread.clearance_hole(HoleFit::Medium).get() / 2.0).powi(2) * 5.0;
            let expected = area(28.0, 5.0) * 12.0 + ends - head - hole;
            let found = body.volume();
            assert!((found.get() / expected - 1.0).abs() < 1e-9, "{thread}: {found} {expected}");
            assert!(part.shell.sew(&Pose::IDENTITY).is_ok());
        }
    }
}
