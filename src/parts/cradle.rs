//! The cradle: a saddle with two ears between which the lamp tilts.
//!
//! Printed standing on its lower end. The ears stand on the bed along their lower edge and leave it
//! at 45 degrees, so nothing hangs; pivot, slot and passages bridge a few millimetres.

use crate::parts::saddle::{self, Foot};
use crate::parts::{Part, PartKind, to_bed};
use crate::plan::saddle::Saddle;
use crate::plan::yoke::Yoke;
use crate::solid::{Frame, Outline, Path, Plane, Shell, Vec3, v};
use crate::units::Angle;

/// Draws a cradle; `tilt` is the range that the slot gives.
#[must_use]
pub fn draw(name: &str, saddle: &Saddle, yoke: &Yoke, tilt: [Angle; 2]) -> Part {
    let mut shell = Shell::default();
    let (inner, outer) = (yoke.gap.get() / 2.0, yoke.outside().get());
    let height = yoke.foot_height.get();
    let feet = [Foot { x: [inner, outer], height }, Foot { x: [-outer, -inner], height }];
    let faces = saddle::draw(&mut shell, saddle, &feet);
    for foot in &feet {
        let [left, right] = ear(&mut shell, saddle, yoke, foot, tilt);
        shell.add(left);
        shell.add(right);
    }
    shell.add(faces.front);
    shell.add(faces.top);
    faces.flange_backs.into_iter().flatten().for_each(|f| shell.add(f));
    let slots = usize::from(yoke.lock.is_some());
    let genus = saddle.passages.len() + 2 * (1 + slots);
    Part { kind: PartKind::Cradle, name: name.into(), print: to_bed(&shell), shell, genus }
}

/// Side view of an ear: y outward, z up, starting at the foot's lower end.
fn side_view(saddle: &Saddle, yoke: &Yoke) -> Outline {
    let foot_y = saddle.front_y.get();
    let radius = yoke.end_radius.get();
    let center = [foot_y + yoke.reach.get(), yoke.pivot_z.get()];
    let top = [foot_y, yoke.foot_height.get()];
    // A line at 45 degrees that touches the end from below meets the bed here.
    let leave = center[0] - center[1] - radius * std::f64::consts::SQRT_2;
    let from = [leave.max(foot_y), 0.0];
    let mut path = Path::default();
    path.line_to([foot_y, 0.0]);
    path.line_to(from);
    let start = tangent_angle(from, center, radius, -1.0);
    let end = tangent_angle(top, center, radius, 1.0);
    path.line_to([center[0] + radius * libm::cos(start), center[1] + radius * libm::sin(start)]);
    path.arc(center, (end - start).rem_euclid(std::f64::consts::TAU));
    path.line_to(top);
    path.close()
}

/// Where a tangent from `p` touches a circle: the angle about its centre. `side` +1 touches above
/// the line from `p` to the centre, -1 below it.
fn tangent_angle(p: [f64; 2], center: [f64; 2], radius: f64, side: f64) -> f64 {
    let d = [p[0] - center[0], p[1] - center[1]];
    let distance = (d[0] * d[0] + d[1] * d[1]).sqrt();
    let towards = libm::atan2(d[1], d[0]);
    towards - side * libm::acos((radius / distance).clamp(-1.0, 1.0))
}

/// One ear; returns its side faces, left and right, with pivot hole and slot cut.
fn ear(
    shell: &mut Shell,
    saddle: &Saddle,
    yoke: &Yoke,
    foot: &Foot,
    tilt: [Angle; 2],
) -> [Plane; 2] {
    let [left, right] = [foot.x[0].min(foot.x[1]), foot.x[0].max(foot.x[1])];
    let frame = |x: f64| Frame::new(v(x, 0.0, 0.0), Vec3::Y, Vec3::Z);
    let outline = side_view(saddle, yoke);
    let (low, high) = (outline.on(&frame(left)), outline.on(&frame(right)));
    let foot_y = saddle.front_y.get();
    for (a, b) in low.0.iter().zip(&high.0) {
        let at_front = |y: f64| (y - foot_y).abs() < 1e-9;
        if !(a.arc.is_none() && at_front(a.a.y) && at_front(a.b.y)) {
            shell.ruled("ear edge", *a, *b);
        }
    }
    let mut left_face = Plane::new("ear", -Vec3::X, low.reversed());
    let mut right_face = Plane::new("ear", Vec3::X, high);
    let center = [foot_y + yoke.reach.get(), yoke.pivot_z.get()];
    let mut cut = |label, outline: Outline| {
        let mouth = outline.on(&frame(right));
        shell.through_hole(label, &mut right_face, &mut left_face, &mouth, right - left);
    };
    cut("pivot hole", Outline::circle(center, yoke.pivot_hole.get() / 2.0));
    if let Some(lock) = yoke.lock {
        let [from, to] = tilt.map(|t| (lock.angle + t).rad());
        cut("lock slot", Outline::arc_slot(center, lock.radius.get(), lock.slot.get(), from, to));
    }
    [left_face, right_face]
}
