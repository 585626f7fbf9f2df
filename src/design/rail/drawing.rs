//! The rail: a saddle with screw flanges, two of which hold the box on a trunk.
//!
//! The only trunk-dependent part of the box: a thicker trunk reprints two rails, never the box. The
//! flat front lies on the box's back; a screw on each side goes through the flange into the box.

use crate::design::marks::Engraving;
use crate::design::part::{Part, PartId, to_bed};
use crate::design::rail::Rail;
use crate::design::saddle::drawing;
use crate::solid::{Frame, Outline, Shell, Vec3, v};

/// Draws a rail; `mark` is engraved on its upper end.
#[must_use]
pub(crate) fn draw(id: PartId, rail: &Rail, mark: &[&str], engraving: Engraving) -> Part {
    let mut shell = Shell::default();
    let mut faces = drawing::draw(&mut shell, &rail.saddle, &[]);
    let front_y = rail.saddle.front_y.get();
    if let (Some(backs), Some(flange_y)) = (&mut faces.flange_backs, rail.saddle.flange_y) {
        // Right flange first, as the saddle draws it.
        for (flange, side) in backs.iter_mut().zip([1.0, -1.0]) {
            // Normal +Y of the front: u = Z, v = X.
            let frame = Frame::new(v(0.0, front_y, 0.0), Vec3::Z, Vec3::X);
            let at = [rail.saddle.height.get() / 2.0, side * rail.screw_x.get()];
            let mouth = Outline::circle(at, rail.hole.get() / 2.0).on(&frame);
            shell.through_hole(
                "screw hole",
                &mut faces.front,
                flange,
                &mouth,
                front_y - flange_y.get(),
            );
        }
    }
    let left_out = drawing::mark_top(&mut shell, &mut faces.top, &rail.saddle, mark, engraving);
    shell.add(faces.front);
    shell.add(faces.top);
    faces.flange_backs.into_iter().flatten().for_each(|f| shell.add(f));
    let genus = rail.saddle.passages.len() + 2;
    Part { id, print: to_bed(&shell), shell, genus, left_out }
}
