//! The tilt plate: carries a lamp's hole pattern and turns between the ears of a cradle.
//!
//! Plate axes: X across, Y up at tilt 0, Z back from the face on which the lamp sits. Printed on that
//! face, lugs up.

use crate::design::cradle::yoke::Lock;
use crate::design::marks::Engraving;
use crate::design::part::{self, Part, PartId, to_bed};
use crate::design::tilt_plate::TiltPlate;
use crate::solid::{Frame, Outline, Path, Plane, Pose, Shell, Vec3, v};
use crate::units::Length;

/// Draws the plate; `pivot_hole` and the lock's bolt go through both lugs.
#[must_use]
pub(crate) fn draw(
    plate: &TiltPlate,
    pivot_hole: Length,
    lock: Option<Lock>,
    mark: &[&str],
    engraving: Engraving,
) -> Part {
    let mut shell = Shell::default();
    let thickness = plate.thickness.get();
    let size = plate.half.map(|h| 2.0 * h.get());
    let outline = Outline::rounded_rectangle([0.0, 0.0], size, plate.corner.get());
    let (low, high) = (outline.on(&Frame::level(0.0)), outline.on(&Frame::level(thickness)));
    shell.walls("outside", &low, &high);
    let mut seat = Plane::new("lamp seat", -Vec3::Z, low.reversed());
    let mut back = Plane::new("plate back", Vec3::Z, high);
    for [x, y] in &plate.holes {
        let hole = Outline::circle([x.get(), y.get()], plate.hole.get() / 2.0);
        shell.through_hole(
            "lamp hole",
            &mut back,
            &mut seat,
            &hole.on(&Frame::level(thickness)),
            thickness,
        );
    }
    for side in [-1.0, 1.0] {
        lug(&mut shell, &mut back, plate, side, pivot_hole.get(), lock);
    }
    // Between the lugs, clear of bolt heads: a strip across the middle.
    let heads =
        plate.holes.iter().map(|h| h[1].abs() - plate.hole).fold(plate.half[1], Length::min);
    let room = [
        plate.lug_x[0] * 2.0 - Length::mm(4.0),
        (heads * 2.0 - Length::mm(4.0)).max(Length::mm(0.1)),
    ];
    let frame = Frame::level(thickness);
    let left_out = part::mark(&mut shell, &mut back, &frame, mark, room, engraving);
    shell.add(seat);
    shell.add(back);
    let genus = plate.holes.len() + 2 * (1 + usize::from(lock.is_some()));
    Part { id: PartId::TiltPlate, print: to_bed(&shell), shell, genus, left_out }
}

/// One lug, standing on the plate's back.
fn lug(
    shell: &mut Shell,
    back: &mut Plane,
    plate: &TiltPlate,
    side: f64,
    pivot_hole: f64,
    lock: Option<Lock>,
) {
    let foot_z = plate.thickness.get();
    let foot = plate.lug_foot.get();
    let radius = plate.lug_radius.get();
    let centre = [0.0, foot_z + plate.pivot.get()];
    // A tangent from the end of the foot to the round end; the other side mirrors it.
    let distance = (foot * foot + plate.pivot.get() * plate.pivot.get()).sqrt();
    let down = libm::atan2(-plate.pivot.get(), foot);
    let touch = down + libm::acos((radius / distance).clamp(-1.0, 1.0));
    let mut path = Path::default();
    path.line_to([-foot, foot_z]);
    path.line_to([foot, foot_z]);
    path.line_to([centre[0] + radius * libm::cos(touch), centre[1] + radius * libm::sin(touch)]);
    path.arc(centre, std::f64::consts::PI - 2.0 * touch);
    let outline = path.close();

    let [near, far] = plate.lug_x.map(|x| x.get() * side);
    let [left, right] = [near.min(far), near.max(far)];
    let frame = |x: f64| Frame::new(v(x, 0.0, 0.0), Vec3::Y, Vec3::Z);
    let (low, high) = (outline.on(&frame(left)), outline.on(&frame(right)));
    for (a, b) in low.0.iter().zip(&high.0) {
        let at_foot = |z: f64| (z - foot_z).abs() < 1e-9;
        if a.arc.is_none() && at_foot(a.a.z) && at_foot(a.b.z) {
            // Its foot is the carrier's hole; counter-clockwise seen from the back.
            let corners = [a.a, b.a, b.b, a.b];
            back.cut(&crate::solid::Loop::polygon(&corners));
        } else {
            shell.ruled("lug edge", *a, *b);
        }
    }
    let mut left_face = Plane::new("lug", -Vec3::X, low.reversed());
    let mut right_face = Plane::new("lug", Vec3::X, high);
    let mut cut = |label, centre: [f64; 2], diameter: f64| {
        let mouth = Outline::circle(centre, diameter / 2.0).on(&frame(right));
        shell.through_hole(label, &mut right_face, &mut left_face, &mouth, right - left);
    };
    cut("pivot hole", centre, pivot_hole);
    if let Some(lock) = lock {
        cut("lock hole", [0.0, centre[1] - lock.radius.get()], lock.slot.get());
    }
    shell.add(left_face);
    shell.add(right_face);
}

/// From plate axes to the lamp's axes about the pivot at tilt 0: X across, Y along the beam, Z up.
#[must_use]
pub(crate) fn to_pivot(plate: &TiltPlate) -> Pose {
    let mut pose = Pose { rows: [Vec3::X, -Vec3::Z, Vec3::Y], shift: v(0.0, 0.0, 0.0) };
    pose.shift = v(0.0, (plate.thickness + plate.pivot).get(), 0.0);
    pose
}
