//! Test pieces: minutes of printing that show whether hours will fit.
//!
//! Each is a flat prism printed as drawn (Z up from the bed), and says on itself what it tries: the
//! curve against the bark, the bolts and the gap of the yoke on the lamp, the cord, insert and gland
//! of the box.

use crate::design::cradle::yoke::Yoke;
use crate::design::enclosure::Enclosure;
use crate::design::marks::Engraving;
use crate::design::part::{self, Part, PartId, to_bed};
use crate::design::saddle::{Saddle, whole_layers};
use crate::solid::{Frame, Outline, Path, Plane, Shell, Vec3, corner, v};
use crate::units::Length;

/// Height of the test curve: stiff enough to hold against bark.
const SLICE: Length = Length::mm(8.0);
/// Plastic behind the deepest point of the slice.
const SLICE_BACK: Length = Length::mm(14.0);
/// Plastic round what a piece tries.
const WALL_AROUND: Length = Length::mm(5.0);
/// Plastic below a blind pocket.
const UNDER: Length = Length::mm(2.0);

/// A prism over an outline from the bed up, its top open for holes and marks.
fn slab(shell: &mut Shell, outline: &Outline, height: f64) -> (Plane, Plane) {
    let (low, high) = (outline.on(&Frame::level(0.0)), outline.on(&Frame::level(height)));
    shell.walls("outside", &low, &high);
    (Plane::new("bottom", -Vec3::Z, low.reversed()), Plane::new("top", Vec3::Z, high))
}

/// The middle of a mark on the top.
const fn on_top(x: Length, y: Length, height: f64) -> Frame {
    Frame::new(v(x.get(), y.get(), height), Vec3::X, Vec3::Y)
}

fn part(
    id: PartId,
    mut shell: Shell,
    faces: (Plane, Plane),
    genus: usize,
    left_out: Vec<String>,
) -> Part {
    shell.add(faces.0);
    shell.add(faces.1);
    Part { id, print: to_bed(&shell), shell, genus, left_out }
}

/// A slice with the curve of a saddle's rigid face: hold it with a strip of the foam against the
/// bark at the place of the cradle.
#[must_use]
pub(crate) fn curve(saddle: &Saddle, mark: &str, engraving: Engraving) -> Part {
    let radius = saddle.face_radius.get();
    let angle = saddle.pad_angle();
    let (x, y) = (radius * libm::sin(angle), radius * libm::cos(angle) - radius);
    let back = SLICE_BACK.get();
    let mut path = Path::default();
    path.line_to([x, y]);
    path.fillet([x, y], corner(x, back, 3.0), [-x, back]);
    path.fillet([x, back], corner(-x, back, 3.0), [-x, y]);
    path.line_to([-x, y]);
    path.arc([0.0, -radius], -2.0 * angle);
    let mut shell = Shell::default();
    let mut faces = slab(&mut shell, &path.close(), SLICE.get());
    let room = [saddle.pad_half_width * 2.0 - WALL_AROUND, SLICE_BACK - Length::mm(4.0)];
    let middle = on_top(Length::ZERO, SLICE_BACK / 2.0, SLICE.get());
    let line = format!("CURVE {mark}");
    let left_out = part::mark(&mut shell, &mut faces.1, &middle, &[&line], room, engraving);
    part(PartId::CurveTest(mark.to_owned()), shell, faces, 0, left_out)
}

/// The yoke's gap as a slot, and beside it the holes of pivot and lock at their distance: push the
/// slot over the bosses (or the lugs), then the bolts through the holes.
#[must_use]
pub(crate) fn yoke(yoke: &Yoke, engraving: Engraving) -> Part {
    let thickness = yoke.ear.get();
    let arm = whole_layers(WALL_AROUND + yoke.pivot_hole / 2.0, engraving.depth).get();
    let half = yoke.gap.get() / 2.0;
    let wide = half + thickness;
    let reach = 2.0 * arm + yoke.lock.map_or(0.0, |l| l.radius.get()) + 6.0;
    // A U seen from above; the bar carries the holes and the label.
    let bar = reach.max(18.0);
    let outline = Outline::polygon(&[
        corner(-wide, 0.0, 2.0),
        corner(wide, 0.0, 2.0),
        corner(wide, bar + 12.0, 1.0),
        corner(half, bar + 12.0, 1.0),
        corner(half, bar, 0.5),
        corner(-half, bar, 0.5),
        corner(-half, bar + 12.0, 1.0),
        corner(-wide, bar + 12.0, 1.0),
    ]);
    let mut shell = Shell::default();
    let (mut bottom, mut top) = slab(&mut shell, &outline, thickness);
    let mut holes = vec![([arm - wide, arm], yoke.pivot_hole.get())];
    if let Some(lock) = yoke.lock {
        holes.push(([arm - wide, arm + lock.radius.get()], lock.slot.get()));
    }
    for &(at, diameter) in &holes {
        let mouth = Outline::circle(at, diameter / 2.0).on(&Frame::level(thickness));
        shell.through_hole("hole", &mut top, &mut bottom, &mouth, thickness);
    }
    let left = 2.0 * arm - wide;
    let room = [Length::mm(wide - left - 6.0), Length::mm(bar - 6.0)];
    let middle = on_top(Length::mm((left + wide) / 2.0), Length::mm(bar / 2.0), thickness);
    let left_out = part::mark(&mut shell, &mut top, &middle, &["BOLTS", "GAP"], room, engraving);
    part(PartId::YokeTest, shell, (bottom, top), holes.len(), left_out)
}

/// A stretch of groove, an insert's hole and a gland's hole of the box.
#[must_use]
pub(crate) fn seal(enclosure: &Enclosure, engraving: Engraving) -> Part {
    let screws = &enclosure.screws;
    let width = enclosure.groove.section.width;
    let thickness = enclosure.groove.section.depth.max(screws.bore_depth) + UNDER;
    let gland = enclosure.glands.first().map(|e| e.hole.size.hole());
    let gland_room = gland.map_or(Length::ZERO, |d| d + WALL_AROUND);
    let (length, groove_y) = (Length::mm(50.0), WALL_AROUND + width / 2.0);
    let second =
        groove_y + width / 2.0 + WALL_AROUND + gland.unwrap_or(screws.bore).max(screws.bore) / 2.0;
    let depth = second + gland.unwrap_or(screws.bore).max(screws.bore) / 2.0 + WALL_AROUND;
    let size = [length.get() + gland_room.get(), depth.get()];
    let middle = [size[0] / 2.0, size[1] / 2.0];
    let mut shell = Shell::default();
    let outline = Outline::rounded_rectangle(middle, size, 2.0);
    let (mut bottom, mut top) = slab(&mut shell, &outline, thickness.get());
    let level = Frame::level(thickness.get());
    let groove = Outline::rounded_rectangle(
        [middle[0], groove_y.get()],
        [size[0] - 2.0 * WALL_AROUND.get(), width.get()],
        width.get() / 2.0 - 0.01,
    );
    shell.blind_hole("groove", &mut top, &groove.on(&level), enclosure.groove.section.depth.get());
    let bore_x = WALL_AROUND + screws.bore / 2.0;
    let bore = Outline::circle([bore_x.get(), second.get()], screws.bore.get() / 2.0);
    shell.blind_hole("insert hole", &mut top, &bore.on(&level), screws.bore_depth.get());
    let mut genus = 0;
    let mut free_to = Length::mm(size[0]) - WALL_AROUND;
    if let Some(gland) = gland {
        let x = free_to - gland / 2.0;
        let mouth = Outline::circle([x.get(), second.get()], gland.get() / 2.0).on(&level);
        shell.through_hole("gland hole", &mut top, &mut bottom, &mouth, thickness.get());
        genus = 1;
        free_to = x - gland / 2.0;
    }
    let free_from = bore_x + screws.bore / 2.0;
    let room =
        [free_to - free_from - Length::mm(4.0), depth - groove_y - width / 2.0 - Length::mm(4.0)];
    let at = on_top((free_from + free_to) / 2.0, second, thickness.get());
    let left_out = part::mark(&mut shell, &mut top, &at, &["SEAL"], room, engraving);
    part(PartId::SealTest, shell, (bottom, top), genus, left_out)
}
