//! The box body: a tray with a flange that grows out of its walls, a groove for the gasket, posts
//! for the contents, bosses for the rails, and a downward wall with cable glands. Its name is
//! engraved on the outside of the left wall, which carries nothing else.
//!
//! Drawn in box axes (X right seen from outside, Y up the trunk, Z outward, back at Z = 0), which
//! are also the print pose but for a shift. No face but bridged roofs of glands overhangs more than
//! the printer's limit.
//!
//! The lanyard's eye is a prism of sixteen sides: it leaves through the flange's sloping underside,
//! and straight edges meet a slope exactly.

use std::f64::consts::PI;

use crate::design::enclosure::{
    Component, Cuboid, Enclosure, Lanyard, SKIN_LEAST, Standoff, WallHole,
};
use crate::design::marks::Engraving;
use crate::design::part::{self, Part, PartId, to_bed};
use crate::solid::{Frame, Loop, Outline, Path, Plane, Shell, Vec3, v};
use crate::units::Length;

/// Sides of the lanyard's eye.
const EYE_SIDES: usize = 16;

/// A circle about a point of the box's plan at height `z`, counter-clockwise seen from outside.
pub(super) fn circle(at: [Length; 2], radius: Length, z: f64) -> Loop {
    Outline::circle(at.map(Length::get), radius.get()).on(&Frame::level(z))
}

/// Corners of the lanyard's eye in plan, counter-clockwise; its flats are `diameter` apart.
pub(super) fn eye(lanyard: &Lanyard) -> Vec<[f64; 2]> {
    let step = PI / EYE_SIDES as f64;
    let corner = lanyard.diameter.get() / 2.0 / libm::cos(step);
    let [x, y] = lanyard.at.map(Length::get);
    (0..EYE_SIDES)
        .map(|i| {
            let angle = step * (2 * i + 1) as f64;
            [x + corner * libm::cos(angle), y + corner * libm::sin(angle)]
        })
        .collect()
}

/// Index of the straight edge of a level rounded rectangle that lies farthest this way.
fn side(outline: &Loop, way: Vec3) -> usize {
    let far = |i: usize| outline.0[i].at(0.5).dot(way);
    let straight = (0..outline.0.len()).filter(|&i| outline.0[i].arc.is_none());
    straight.max_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or_default()
}

/// Walls between two loops but for flat strips, which are handed back to be cut.
fn walls_with_open_sides<const N: usize>(
    shell: &mut Shell,
    label: &'static str,
    [from, to]: [&Loop; 2],
    open: [(usize, &'static str); N],
) -> [Plane; N] {
    for (i, (lower, upper)) in from.0.iter().zip(&to.0).enumerate() {
        if open.iter().all(|(side, _)| i != *side) {
            shell.ruled(label, *lower, *upper);
        }
    }
    open.map(|(side, label)| Plane::between(label, from.0[side], to.0[side]))
}

/// Outline of a hole in the downward wall: X and Z in the plane seen from below, u = X, v = Z.
fn wall_hole(hole: &WallHole) -> Outline {
    let [x, z] = hole.at.map(Length::get);
    let [r, roof, half] = [hole.radius, hole.roof, hole.roof_half].map(Length::get);
    // The tangent through the roof's end touches the circle where its angle is that of the end less
    // the angle between end and touching point.
    let end = (half * half + roof * roof).sqrt();
    let touch = libm::atan2(roof, half) - libm::acos((r / end).min(1.0));
    let mut path = Path::default();
    path.line_to([x + r * libm::cos(touch), z + r * libm::sin(touch)]);
    path.line_to([x + half, z + roof]);
    path.line_to([x - half, z + roof]);
    path.line_to([x - r * libm::cos(touch), z + r * libm::sin(touch)]);
    path.arc([x, z], PI + 2.0 * touch);
    path.close()
}

/// The plane of the downward wall at this Y: u = X, v = Z, its normal points down the trunk.
const fn down(y: f64) -> Frame {
    Frame::new(v(0.0, y, 0.0), Vec3::X, Vec3::Z)
}

/// A post with its blind hole from the top.
fn post(shell: &mut Shell, floor: &mut Plane, at: [Length; 2], standoff: &Standoff, z: f64) {
    let top_z = z + standoff.height.get();
    let foot = circle(at, standoff.radius, z);
    let mut top = shell.boss("post", floor, &foot, circle(at, standoff.radius, top_z));
    let mouth = circle(at, standoff.bore / 2.0, top_z);
    shell.blind_hole("post hole", &mut top, &mouth, standoff.bore_depth.get());
    shell.add(top);
}

/// The stand, with the receiver's screw holes in its right face.
fn stand(shell: &mut Shell, floor: &mut Plane, content: &Component, block: &Cuboid) {
    let [low, high] = [block.low, block.high].map(|c| c.map(Length::get));
    let corners = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]];
    let at = |z: f64| Loop::polygon(&corners.map(|[x, y]| v(x, y, z)));
    let (foot, top) = (at(low[2]), at(high[2]));
    floor.cut(&foot);
    let open = [(side(&foot, Vec3::X), "stand face")];
    let [mut face] = walls_with_open_sides(shell, "stand", [&foot, &top], open);
    let right = Frame::new(v(high[0], 0.0, 0.0), Vec3::Y, Vec3::Z);
    for hole in &content.holes {
        let mouth = Outline::circle(hole.map(Length::get), content.post.bore.get() / 2.0);
        shell.blind_hole("stand hole", &mut face, &mouth.on(&right), content.post.bore_depth.get());
    }
    shell.add(face);
    shell.add(Plane::new("stand", Vec3::Z, top));
}

/// What is engraved on the body.
const MARK: [&str; 1] = ["BOX BODY"];

/// Draws the body.
#[must_use]
pub(crate) fn draw(plan: &Enclosure, engraving: Engraving) -> Part {
    let mut shell = Shell::default();
    let (land_z, root_z) = (plan.depth.get(), plan.flange.root.get());
    let rim_z = land_z - plan.flange.face.get();
    let floor_z = plan.floor.get();

    // Outside: back, walls, sloping underside, rim.
    let outer = plan.outer().outline();
    let foot = outer.on(&Frame::level(0.0));
    let root = outer.on(&Frame::level(root_z));
    let rim = plan.flange.rim.outline();
    let rim_low = rim.on(&Frame::level(rim_z));
    let rim_top = rim.on(&Frame::level(land_z));
    let mut back = Plane::new("back", -Vec3::Z, foot.reversed());
    let open = [(side(&foot, -Vec3::Y), "downward wall"), (side(&foot, -Vec3::X), "left wall")];
    let [mut downward, mut left] = walls_with_open_sides(&mut shell, "wall", [&foot, &root], open);
    let open = [(side(&root, Vec3::Y), "underside")];
    let [mut slope] = walls_with_open_sides(&mut shell, "underside", [&root, &rim_low], open);
    shell.walls("rim", &rim_low, &rim_top);

    // The land, its groove, and the cavity within.
    let mut land = Plane::new("outer land", Vec3::Z, rim_top);
    let level = Frame::level(land_z);
    let depth = plan.groove.section.depth.get();
    let mut groove =
        shell.pocket("groove", &mut land, &plan.groove.outer().outline().on(&level), depth);
    let inner = plan.groove.inner().outline();
    let mut inner_land = shell.boss(
        "groove",
        &mut groove,
        &inner.on(&Frame::level(land_z - depth)),
        inner.on(&level),
    );
    inner_land.label = INNER_LAND;
    groove.label = GROOVE_FLOOR;
    shell.add(groove);
    let mouth = plan.cavity.outline().on(&level);
    let inside = plan.cavity.outline().on(&Frame::level(floor_z));
    inner_land.cut(&mouth);
    shell.add(inner_land);
    let open = [(side(&mouth, -Vec3::Y), "downward wall inside")];
    let [mut downward_inside] =
        walls_with_open_sides(&mut shell, "inside", [&mouth, &inside], open);
    let mut floor = Plane::new("floor", Vec3::Z, inside);

    // Screws, and the lanyard's eye down to the slope.
    for at in &plan.screws.points {
        let mouth = circle(*at, plan.screws.bore / 2.0, land_z);
        shell.blind_hole("insert hole", &mut land, &mouth, plan.screws.bore_depth.get());
    }
    let corners = eye(&plan.lanyard);
    let on_slope = |[x, y]: [f64; 2]| {
        let (at, n) = (slope.loops[0].0[0].a, slope.normal);
        v(x, y, at.z - (n.x * (x - at.x) + n.y * (y - at.y)) / n.z)
    };
    let top: Vec<Vec3> = corners.iter().map(|c| v(c[0], c[1], land_z)).collect();
    let exit: Vec<Vec3> = corners.iter().map(|c| on_slope(*c)).collect();
    let (top, exit) = (Loop::polygon(&top), Loop::polygon(&exit));
    land.cut(&top);
    shell.walls("lanyard eye", &top, &exit);
    slope.loops.push(exit);
    shell.add(slope);
    shell.add(land);

    draw_glands(&mut shell, plan, &mut downward, &mut downward_inside);
    shell.add(downward);
    shell.add(downward_inside);
    let left_out = mark_wall(&mut shell, plan, &mut left, engraving);
    shell.add(left);

    // Posts and rail bosses inside; the rails' holes open at the back.
    for content in plan.components() {
        for at in content.posts() {
            post(&mut shell, &mut floor, *at, &content.post, floor_z);
        }
        if let Some(block) = &content.stand {
            stand(&mut shell, &mut floor, content, block);
        }
    }
    let boss = &plan.rail_boss;
    let behind = Frame::new(Vec3::default(), Vec3::Y, Vec3::X);
    for y in plan.rail_rows_y {
        for x in [-plan.rail_screw_x, plan.rail_screw_x] {
            let foot = circle([x, y], boss.radius, floor_z);
            let tip = circle([x, y], boss.radius, floor_z + boss.height.get());
            let cap = shell.boss("rail boss", &mut floor, &foot, tip);
            shell.add(cap);
            let mouth = Outline::circle([y.get(), x.get()], boss.bore.get() / 2.0).on(&behind);
            shell.blind_hole("rail hole", &mut back, &mouth, boss.bore_depth.get());
        }
    }
    shell.add(floor);
    shell.add(back);

    let print = to_bed(&shell);
    // Handles: every gland, the vent, the lanyard's eye.
    let genus = plan.glands.len() + usize::from(plan.vent.is_some()) + 1;
    Part { id: PartId::BoxBody, shell, print, genus, left_out }
}

/// Engraves the left wall, from its foot to the flange's root: read with the box on its back, as it
/// leaves the bed. Inside, the wall carries nothing but the floor.
fn mark_wall(
    shell: &mut Shell,
    plan: &Enclosure,
    wall: &mut Plane,
    engraving: Engraving,
) -> Vec<String> {
    let outer = plan.outer();
    let root = plan.flange.root;
    let long = (outer.half[1] - outer.radius) * 2.0 - MARK_LAND * 2.0;
    let room = engraving.room_on(plan.wall, SKIN_LEAST, [long, root - MARK_LAND * 2.0]);
    let x = (outer.centre[0] - outer.half[0]).get();
    let middle = v(x, outer.centre[1].get(), root.get() / 2.0);
    part::mark(shell, wall, &Frame::new(middle, -Vec3::Y, Vec3::Z), &MARK, room, engraving)
}

/// Face kept free round the mark.
const MARK_LAND: Length = Length::mm(3.0);

/// Labels of the groove's floor and of the land between groove and cavity, for whoever follows the
/// seal line on the finished body.
pub(crate) const GROOVE_FLOOR: &str = "groove floor";
/// See [`GROOVE_FLOOR`].
pub(crate) const INNER_LAND: &str = "inner land";

/// Glands, and the vent in its seat.
fn draw_glands(shell: &mut Shell, plan: &Enclosure, outside: &mut Plane, inside: &mut Plane) {
    let y = -plan.outer().half[1].get() + plan.outer().centre[1].get();
    let wall = plan.wall.get();
    for gland in &plan.glands {
        let mouth = wall_hole(&gland.hole).on(&down(y));
        shell.through_hole("gland hole", outside, inside, &mouth, wall);
    }
    if let Some(vent) = &plan.vent {
        let seat_y = y - vent.seat.get();
        let at = vent.hole.at.map(Length::get);
        let foot = Outline::circle(at, vent.foot_radius.get()).on(&down(y));
        let tip = Outline::circle(at, vent.seat_radius.get()).on(&down(seat_y));
        let mut seat = shell.boss("vent seat", outside, &foot, tip);
        let mouth = wall_hole(&vent.hole).on(&down(seat_y));
        shell.through_hole("vent hole", &mut seat, inside, &mouth, wall + vent.seat.get());
        shell.add(seat);
    }
}

#[cfg(test)]
mod tests;
