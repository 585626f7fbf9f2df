//! The cradle: a saddle with two ears between which the lamp tilts.
//!
//! Printed standing on its lower end. The ears stand on the bed along their lower edge and leave it
//! at 45 degrees, so nothing hangs; pivot, slot and passages bridge a few millimetres.

use crate::design::cradle::yoke::Yoke;
use crate::design::marks::{self, Engraving};
use crate::design::part::{self, Part, PartId, to_bed};
use crate::design::saddle::Saddle;
use crate::design::saddle::drawing::{self, Foot};
use crate::solid::engrave::centred;
use crate::solid::{Frame, Outline, Path, Plane, Shell, Vec3, lettering, v};
use crate::units::{Angle, Length};

/// Draws a cradle; `tilt` is the range that the slot gives, `mark` the lines engraved on the front.
#[must_use]
pub(crate) fn draw(
    id: PartId,
    saddle: &Saddle,
    yoke: &Yoke,
    tilt: [Angle; 2],
    mark: &[&str],
    engraving: Engraving,
) -> Part {
    let mut shell = Shell::default();
    let (inner, outer) = (yoke.gap.get() / 2.0, yoke.outside().get());
    let height = yoke.foot_height.get();
    let feet = [Foot { x: [inner, outer], height }, Foot { x: [-outer, -inner], height }];
    let mut faces = drawing::draw(&mut shell, saddle, &feet);
    let room = [yoke.gap - MARK_LAND * 2.0, saddle.height - MARK_LAND * 2.0];
    // Seen from outside, -X is to the right.
    let middle = v(0.0, saddle.front_y.get(), saddle.height.get() / 2.0);
    let frame = Frame::new(middle, -Vec3::X, Vec3::Z);
    let left_out = part::mark(&mut shell, &mut faces.front, &frame, mark, room, engraving);
    for (index, foot) in feet.iter().enumerate() {
        let [left, mut right] = ear(&mut shell, saddle, yoke, foot, tilt);
        if index == 0 {
            tilt_scale(&mut shell, &mut right, saddle, yoke, tilt, engraving);
        }
        shell.add(left);
        shell.add(right);
    }
    shell.add(faces.front);
    shell.add(faces.top);
    faces.flange_backs.into_iter().flatten().for_each(|f| shell.add(f));
    let slots = usize::from(yoke.lock.is_some());
    let genus = saddle.passages.len() + 2 * (1 + slots);
    Part { id, print: to_bed(&shell), shell, genus, left_out }
}

/// Face kept free round a mark.
const MARK_LAND: Length = Length::mm(3.0);

/// Engraves ticks and numerals on the outer face of the right ear. They are read where the lock
/// bolt stands; without a lock, along the beam.
fn tilt_scale(
    shell: &mut Shell,
    face: &mut Plane,
    saddle: &Saddle,
    yoke: &Yoke,
    tilt: [Angle; 2],
    engraving: Engraving,
) {
    let scale = yoke.scale;
    let pivot = v(face.loops[0].0[0].a.x, (saddle.front_y + yoke.reach).get(), yoke.pivot_z.get());
    let frame = Frame::new(pivot, Vec3::Y, Vec3::Z);
    let zero = yoke.lock.map_or(Angle::ZERO, |lock| lock.angle);
    let polar =
        |radius: Length, angle: Angle| [radius.get() * angle.cos(), radius.get() * angle.sin()];
    let step = marks::TICK_STEP_DEG;
    let [first, last] = tilt.map(|t| t.deg() / f64::from(step));
    let mut regions = Vec::new();
    for i in (first - 1e-9).ceil() as i32..=(last + 1e-9).floor() as i32 {
        let degrees = i * step;
        let angle = zero + Angle::degrees(f64::from(degrees));
        let numbered = degrees % marks::NUMERAL_STEP_DEG == 0;
        let [from, to] = scale.ticks;
        let from = if numbered { from } else { from + (to - from) * SHORT_TICK };
        let half = engraving.stroke / 2.0;
        let ends = [polar(from + half, angle), polar(to - half, angle)];
        // Positive widths and finite points: neither call can refuse.
        regions.extend(lettering::tick(ends[0], ends[1], engraving.stroke).unwrap_or_default());
        if numbered {
            let text =
                lettering::outline(&degrees.to_string(), scale.numeral_height, engraving.stroke);
            regions.extend(centred(&text.unwrap_or_default(), polar(scale.numerals, angle)));
        }
    }
    shell.engrave(face, &frame, &regions, engraving.depth.get());
}

/// A tick without a numeral starts this share of the way out.
const SHORT_TICK: f64 = 0.35;

/// Side view of an ear: y outward, z up, starting at the foot's lower end.
fn side_view(saddle: &Saddle, yoke: &Yoke) -> Outline {
    let foot_y = saddle.front_y.get();
    let radius = yoke.end_radius.get();
    let centre = [foot_y + yoke.reach.get(), yoke.pivot_z.get()];
    let top = [foot_y, yoke.foot_height.get()];
    // A line at 45 degrees that touches the end from below meets the bed here.
    let leave = centre[0] - centre[1] + radius * std::f64::consts::SQRT_2;
    let from = [leave.max(foot_y), 0.0];
    let mut path = Path::default();
    path.line_to([foot_y, 0.0]);
    path.line_to(from);
    let start = tangent_angle(from, centre, radius, -1.0);
    let end = tangent_angle(top, centre, radius, 1.0);
    path.line_to([centre[0] + radius * libm::cos(start), centre[1] + radius * libm::sin(start)]);
    path.arc(centre, (end - start).rem_euclid(std::f64::consts::TAU));
    path.line_to(top);
    path.close()
}

/// Where a tangent from `p` touches a circle: the angle about its centre. `side` +1 touches above
/// the line from `p` to the centre, -1 below it.
fn tangent_angle(p: [f64; 2], centre: [f64; 2], radius: f64, side: f64) -> f64 {
    let d = [p[0] - centre[0], p[1] - centre[1]];
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
    let centre = [foot_y + yoke.reach.get(), yoke.pivot_z.get()];
    let mut cut = |label, outline: Outline| {
        let mouth = outline.on(&frame(right));
        shell.through_hole(label, &mut right_face, &mut left_face, &mouth, right - left);
    };
    cut("pivot hole", Outline::circle(centre, yoke.pivot_hole.get() / 2.0));
    if let Some(lock) = yoke.lock {
        let [from, to] = tilt.map(|t| (lock.angle + t).rad());
        cut("lock slot", Outline::arc_slot(centre, lock.radius.get(), lock.slot.get(), from, to));
    }
    [left_face, right_face]
}
