//! The box lid: a plate with a flat sealing land, counterbored for the seal screws, recessed in the
//! middle where stiffness leaves material over, with the lanyard's eye. Its name is engraved in the
//! middle of the outer face, far from the sealing land.
//!
//! Drawn in box axes shifted so that the land lies at Z = 0, which is also the print pose: land on
//! the bed, as smooth as the bed is.

use super::body_drawing::{circle, eye};
use crate::design::enclosure::{Enclosure, SKIN_LEAST};
use crate::design::marks::Engraving;
use crate::design::part::{self, Part, PartId, to_bed};
use crate::solid::{Frame, Loop, Plane, Shell, Vec3, v};

/// What is engraved on the lid.
const MARK: [&str; 1] = ["BOX LID"];

/// Draws the lid.
#[must_use]
pub(crate) fn draw(plan: &Enclosure, engraving: Engraving) -> Part {
    let mut shell = Shell::default();
    let lid = &plan.lid;
    let thickness = lid.thickness.get();
    let rim = plan.flange.rim;
    let foot = rim.outline().on(&Frame::level(0.0));
    let edge = rim.outline().on(&Frame::level(thickness - lid.chamfer.get()));
    let crown = rim.grown(-lid.chamfer).outline().on(&Frame::level(thickness));
    let mut land = Plane::new("land", -Vec3::Z, foot.reversed());
    shell.walls("edge", &foot, &edge);
    shell.walls("chamfer", &edge, &crown);
    let mut face = Plane::new("face", Vec3::Z, crown);

    let depth = lid.counterbore_depth.get();
    for at in &plan.screws.points {
        let mouth = circle(*at, lid.counterbore / 2.0, thickness);
        let mut seat = shell.pocket("counterbore", &mut face, &mouth, depth);
        let hole = circle(*at, lid.hole / 2.0, thickness - depth);
        shell.through_hole("screw hole", &mut seat, &mut land, &hole, thickness - depth);
        shell.add(seat);
    }
    let corners: Vec<Vec3> = eye(&plan.lanyard).iter().map(|c| v(c[0], c[1], thickness)).collect();
    shell.through_hole("lanyard eye", &mut face, &mut land, &Loop::polygon(&corners), thickness);
    let (frame, half) = lid.mark_area();
    let room = engraving.room_on(lid.panel, SKIN_LEAST, half.map(|h| h * 2.0));
    let left_out = if let Some(recess) = &lid.recess {
        let mouth = recess.outline().on(&Frame::level(thickness));
        let depth = (lid.thickness - lid.panel).get();
        let mut panel = shell.pocket("panel", &mut face, &mouth, depth);
        let left_out = part::mark(&mut shell, &mut panel, &frame, &MARK, room, engraving);
        shell.add(panel);
        left_out
    } else {
        part::mark(&mut shell, &mut face, &frame, &MARK, room, engraving)
    };
    shell.add(face);
    shell.add(land);

    let print = to_bed(&shell);
    // Handles: every screw and the lanyard's eye.
    let genus = plan.screws.points.len() + 1;
    Part { id: PartId::BoxLid, shell, print, genus, left_out }
}
