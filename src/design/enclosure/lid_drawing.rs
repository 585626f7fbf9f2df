//! The box lid: a plate with a flat sealing land, a skirt that drops over the body's rim, holes for the
//! fasteners with pockets for the rings that keep them, and the lanyard's eye. In the middle it is
//! recessed on the inside where stiffness leaves material over; there its name is engraved.
//!
//! Drawn in box axes shifted so that the land lies at Z = 0. It prints on its outer face, the skirt
//! upward, so that nothing overhangs.

use super::body_drawing::{circle, eye};
use crate::design::enclosure::{Enclosure, SKIN_LEAST};
use crate::design::marks::Engraving;
use crate::design::part::{self, Part, PartId, face_down};
use crate::solid::{Frame, Loop, Plane, Shell, Vec3, v};

/// What is engraved on the lid.
const MARK: [&str; 1] = ["BOX LID"];

/// Draws the lid.
#[must_use]
pub(crate) fn draw(plan: &Enclosure, engraving: Engraving) -> Part {
    let mut shell = Shell::default();
    let lid = &plan.lid;
    let thickness = lid.thickness.get();
    let [_, skirt] = lid.edge.skirt.map(crate::units::Length::get);
    let level = |z: f64| Frame::level(z);
    let (outside, inside) = (lid.cover.outline(), lid.over_rim.outline());
    let foot = outside.on(&level(-skirt));
    let edge = outside.on(&level(thickness - lid.chamfer.get()));
    let crown = lid.cover.grown(-lid.chamfer).outline().on(&level(thickness));
    shell.walls("edge", &foot, &edge);
    shell.walls("chamfer", &edge, &crown);
    let mut face = Plane::new("face", Vec3::Z, crown);
    // Within the skirt the land, as a pocket from below.
    let mut ring = Plane::new("skirt", -Vec3::Z, foot.reversed());
    let mouth = inside.on(&level(-skirt)).reversed();
    let mut land = shell.pocket("skirt inside", &mut ring, &mouth, skirt);
    land.label = "land";
    shell.add(ring);

    for at in &plan.screws.points {
        let mouth = circle(*at, lid.ring / 2.0, 0.0).reversed();
        let depth = lid.ring_depth.get();
        let mut seat = shell.pocket("ring pocket", &mut land, &mouth, depth);
        let hole = circle(*at, lid.hole / 2.0, depth).reversed();
        shell.through_hole("screw hole", &mut seat, &mut face, &hole, thickness - depth);
        shell.add(seat);
    }
    let corners: Vec<Vec3> = eye(&plan.lanyard).iter().map(|c| v(c[0], c[1], thickness)).collect();
    shell.through_hole("lanyard eye", &mut face, &mut land, &Loop::polygon(&corners), thickness);
    let (frame, half) = lid.mark_area();
    let room = engraving.room_on(lid.panel, SKIN_LEAST, half.map(|h| h * 2.0));
    let left_out = if let Some(recess) = &lid.recess {
        let mouth = recess.outline().on(&level(0.0)).reversed();
        let mut panel = shell.pocket("panel", &mut land, &mouth, lid.recess_depth().get());
        let left_out = part::mark(&mut shell, &mut panel, &frame, &MARK, room, engraving);
        shell.add(panel);
        left_out
    } else {
        part::mark(&mut shell, &mut land, &frame, &MARK, room, engraving)
    };
    shell.add(face);
    shell.add(land);

    let print = face_down(&shell);
    // Handles: every fastener and the lanyard's eye.
    let genus = plan.screws.points.len() + 1;
    Part { id: PartId::BoxLid, shell, print, genus, left_out }
}
