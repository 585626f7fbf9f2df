//! Everything that hangs on one trunk, where it hangs: for pictures and for the viewer.
//!
//! Scene axes: the trunk's axis is Z, up; the first cradle and the box look toward +Y; Z = 0 is the
//! lower end of the cradle. Millimetres. Bearings run counter-clockwise seen from above.
//!
//! Printed parts are their exact solids, meshed coarser than for printing. Pads are drawn as they are
//! squeezed when the plan is made ([`crate::engineering::seat::nominal_gap`]), straps on the hull of
//! [`crate::engineering::strap`]. Lamp, pack and controller are drawn as the boxes that were measured.
//! Buckles, glands and the first lamp's cable are drawn by `fittings`; the cables from tree to tree are
//! not. Where the box hangs below the cradle is the user's choice; the picture leaves `BELOW` free
//! between the two. The scene stands upright and straight, so that it can be measured; [`apply_taper_and_lean`]
//! gives it the trunk's taper and lean.

use std::f64::consts::TAU;

use super::cable_way::{LOOP, MountedBox, MountedCradles, cable_radius};
use super::fittings::{cable, gland};
use super::lamp::lamp;
use super::mounted::{SeatedSaddle, StrapGeometry};
use super::scene::{Appearance, Piece, PreviewMeshes};
use super::shapes::{cuboid, loft, with};
use super::{DocumentError, Subject};
use crate::design::arrangement::section;
use crate::design::cable_lengths::BELOW;
use crate::design::enclosure::{Cuboid, site_pose};
use crate::design::part::PartId;
use crate::engineering::taper::{GirthAt, Taper};
use crate::mesh::TriMesh;
use crate::space::{Pose, Vec3, v};
use crate::units::{Angle, Length};

/// Trunk shown above and below what hangs on it, mm.
const TRUNK_BEYOND: f64 = 70.0;
/// Sides of the trunk.
const TRUNK_SIDES: usize = 180;
/// The trunk with its cradles and lamps: the lamp at the lowest setting, and as glass at the highest.
///
/// # Errors
/// [`DocumentError`] when a sum that placed the parts cannot be done again.
pub(crate) fn cradles(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    trunk: usize,
) -> Result<Vec<Piece>, DocumentError> {
    let mut pieces = Vec::new();
    if let Some(hung) = add_cradles(subject, preview_meshes, trunk, &mut pieces)? {
        let [low, high] = hung.span;
        let low = low - 2.0 * LOOP;
        let (bearing, reach) = hung.beside(0.0, &hung.straps);
        let way = hung.down_to(bearing, reach, low - TRUNK_BEYOND);
        pieces.push(Piece::new("cable", Appearance::Cable, cable(&way, hung.radius)));
        pieces.push(trunk_segment(subject, trunk, [low, high]));
    }
    Ok(pieces)
}

/// The trunk with its box, and below its cradles when it has any. The lid is glass.
///
/// # Errors
/// As [`cradles`].
pub(crate) fn whole(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    trunk: usize,
) -> Result<Vec<Piece>, DocumentError> {
    let mut pieces = Vec::new();
    let above = add_cradles(subject, preview_meshes, trunk, &mut pieces)?;
    let span = above.as_ref().map(|a| a.span);
    let boxed = add_box(subject, preview_meshes, trunk, span.map_or(0.0, |a| a[0]), &mut pieces)?;
    if let (Some(hung), Some(boxed)) = (&above, &boxed)
        && let Some(mouth) = boxed.mouths.first()
    {
        let way = hung.way_to_gland(boxed, *mouth);
        pieces.push(Piece::new("cable", Appearance::Cable, cable(&way, hung.radius)));
    }
    let spans = [span, boxed.map(|b| b.span)];
    let low = spans.iter().flatten().map(|s| s[0]).fold(f64::INFINITY, f64::min);
    let high = spans.iter().flatten().map(|s| s[1]).fold(f64::NEG_INFINITY, f64::max);
    if low < high {
        pieces.push(trunk_segment(subject, trunk, [low, high]));
    }
    Ok(pieces)
}

/// The piece of trunk behind what hangs between these heights.
fn trunk_segment(subject: &Subject<'_>, index: usize, [low, high]: [f64; 2]) -> Piece {
    let trunk = &subject.job.trunks[index];
    let section = section(trunk);
    let ring = |z: f64| {
        let [a, b] = [section.toward, section.across].map(|d| d.get() / 2.0);
        let point = |i: usize| {
            let (s, c) = libm::sincos(TAU * i as f64 / TRUNK_SIDES as f64);
            [-b * s, a * c, z]
        };
        (0..TRUNK_SIDES).map(point).collect()
    };
    let mesh = loft(&[ring(low - TRUNK_BEYOND), ring(high + TRUNK_BEYOND)], false);
    Piece::new(trunk.name.clone(), Appearance::Bark, mesh)
}

/// Adds cradles, pads, straps, lamps.
fn add_cradles(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    index: usize,
    pieces: &mut Vec<Piece>,
) -> Result<Option<MountedCradles>, DocumentError> {
    let (job, plan) = (subject.job, subject.plan);
    let trunk = &job.trunks[index];
    let class = plan.trunks.get(index).and_then(|t| t.cradle).and_then(|c| plan.cradles.get(c));
    let Some(class) = class.filter(|_| trunk.fixtures > 0) else { return Ok(None) };
    let part = class.id();
    let mounted = SeatedSaddle::new(subject, trunk, &class.saddle)?;
    let bearings: Vec<Angle> = (0..trunk.fixtures)
        .map(|i| Angle::radians(TAU * f64::from(i) / f64::from(trunk.fixtures)))
        .collect();
    let numbered = |what: &str, i: usize| match bearings.len() {
        1 => what.to_owned(),
        _ => format!("{what} ({})", i + 1),
    };
    let mut span = [0.0, class.saddle.height.get()];
    for (i, &bearing) in bearings.iter().enumerate() {
        let pose = mounted.pose(bearing, 0.0);
        if let Some(mesh) = preview_meshes.get(&part) {
            let mesh = mesh.posed(&pose);
            pieces.push(Piece::print(
                subject,
                &part,
                numbered(&part.to_string(), i),
                Appearance::Print,
                mesh,
            ));
        }
        pieces.push(Piece::new(numbered("pad", i), Appearance::Foam, mounted.pad().posed(&pose)));
        for (tilt, opacity) in [(job.tilt.min, 1.0), (job.tilt.max, GHOST)] {
            for piece in lamp(subject, preview_meshes, &class.saddle, tilt) {
                let mesh = piece.mesh.posed(&pose);
                let heights = mesh.vertices.iter().map(|p| p[2]);
                span = heights.fold(span, |[a, b], z| [a.min(z), b.max(z)]);
                let name = format!("{} at {:.0}", numbered(&piece.name, i), tilt);
                pieces.push(Piece { name, mesh, ..piece }.glass(opacity));
            }
        }
    }
    let straps = mounted.wrapped(subject, &bearings, 0.0)?;
    add_straps("straps", &straps, pieces);
    let saddle = &class.saddle;
    let yoke = &plan.yoke.on(saddle.height);
    let pivot =
        v(0.0, (mounted.face(Angle::ZERO) + saddle.front_y + yoke.reach).get(), yoke.pivot_z.get());
    let back = yoke.swing.first().map_or(0.0, |body| body.y[0].get());
    let radius = cable_radius(subject);
    let room = job.fixture.cable_room.get().max(2.0 * radius);
    let turned = |y: f64, z: f64| pivot + v(0.0, y, z).turned(Vec3::X, job.tilt.min.rad());
    let cable = [turned(back, 0.0), turned(back - room / 2.0, -2.0 * radius)];
    let half_width = yoke.outside().get();
    Ok(Some(MountedCradles { span, straps, cable, half_width, radius }))
}

/// Straps with their buckles and free ends.
fn add_straps(name: &str, straps: &StrapGeometry, pieces: &mut Vec<Piece>) {
    let [buckles, tails] = straps.buckles();
    pieces.push(Piece::new(name, Appearance::Webbing, straps.straps()));
    pieces.push(Piece::new(format!("{name}: free ends"), Appearance::Webbing, tails));
    pieces.push(Piece::new(format!("{name}: buckles"), Appearance::Steel, buckles));
}

/// The scene with the trunk's taper and lean: everything keeps its place on the bark.
///
/// The taper moves points toward the axis or away from it, by what the bark moves at their height; so
/// parts lie along the cone, sheared by its half angle. The lean then turns the whole.
#[must_use]
pub(crate) fn apply_taper_and_lean(
    subject: &Subject<'_>,
    index: usize,
    mut pieces: Vec<Piece>,
) -> Vec<Piece> {
    let trunk = &subject.job.trunks[index];
    let here = GirthAt { girth: trunk.girth, height: trunk.height };
    let upper = trunk.upper_girth.zip(trunk.upper_height);
    let taper = upper.and_then(|(girth, height)| Taper::new(here, GirthAt { girth, height }).ok());
    let slope = taper.map_or(0.0, |t| t.half_angle().tan());
    // Toward the lamp's side, +Y: a left-handed turn about +X.
    let lean = Pose::turn(Vec3::X, -trunk.lean.rad());
    for point in pieces.iter_mut().flat_map(|p| &mut p.mesh.vertices) {
        let [x, y, z] = *point;
        let from_axis = libm::hypot(x, y);
        let share = if from_axis > 0.0 { (1.0 - z * slope / from_axis).max(0.0) } else { 1.0 };
        *point = lean.point(v(x * share, y * share, z)).array();
    }
    pieces
}

/// How much the lamp at its highest setting is seen.
const GHOST: f64 = 0.28;

/// Adds box, rails, pads, straps and contents below `under`; returns where.
fn add_box(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    index: usize,
    under: f64,
    pieces: &mut Vec<Piece>,
) -> Result<Option<MountedBox>, DocumentError> {
    let (job, plan) = (subject.job, subject.plan);
    let trunk = &job.trunks[index];
    let class = plan.trunks.get(index).and_then(|t| t.rail).and_then(|r| plan.rails.get(r));
    let (Some(enclosure), Some(class)) = (&plan.enclosure, class) else { return Ok(None) };
    let saddle = &class.rail.saddle;
    let mounted = SeatedSaddle::new(subject, trunk, saddle)?;
    let rim = &enclosure.flange.rim;
    let top = under - BELOW.get();
    // The middle of the cavity, in height.
    let middle = top - (rim.centre[1] + rim.half[1]).get();

    let part = class.id();
    for (row, which) in enclosure.rail_rows_y.iter().zip(["lower", "upper"]) {
        let z = middle + (*row - saddle.height / 2.0).get();
        let pose = mounted.pose(Angle::ZERO, z);
        if let Some(mesh) = preview_meshes.get(&part) {
            let mesh = mesh.posed(&pose);
            let shown = format!("{part} ({which})");
            pieces.push(Piece::print(subject, &part, shown, Appearance::SecondPrint, mesh));
        }
        let pad = mounted.pad().posed(&pose);
        pieces.push(Piece::new(format!("pad of {which} rail"), Appearance::Foam, pad));
        let strap = mounted.wrapped(subject, &[Angle::ZERO], z)?;
        add_straps(&format!("strap of {which} rail"), &strap, pieces);
    }
    let back = mounted.face(Angle::ZERO) + saddle.front_y;
    let pose = site_pose().then(&Pose::shift(v(0.0, back.get(), middle)));
    if let Some(mesh) = preview_meshes.get(&PartId::BoxBody) {
        let mesh = mesh.posed(&pose);
        pieces.push(Piece::part(subject, &PartId::BoxBody, Appearance::Print, mesh));
    }
    if let Some(mesh) = preview_meshes.get(&PartId::BoxLid) {
        let on_land = Pose::shift(v(0.0, 0.0, enclosure.depth.get())).then(&pose);
        let mesh = mesh.posed(&on_land);
        let lid = Piece::part(subject, &PartId::BoxLid, Appearance::SecondPrint, mesh);
        pieces.push(lid.glass(LID));
        if let Some(mesh) = preview_meshes.get(&PartId::Knob) {
            let on_lid = enclosure.overall_depth().get();
            for (n, [x, y]) in enclosure.screws.points.iter().enumerate() {
                let mesh = mesh.posed(&Pose::shift(v(x.get(), y.get(), on_lid)).then(&pose));
                let shown = format!("knob ({})", n + 1);
                pieces.push(Piece::print(subject, &PartId::Knob, shown, Appearance::Print, mesh));
            }
        }
    }
    let cuboid = |c: &Cuboid| cuboid(c.low.map(Length::get), c.high.map(Length::get));
    let mut content = |name: &str, appearance: Appearance, c: &Cuboid| {
        pieces.push(Piece::new(name, appearance, cuboid(c).posed(&pose)));
    };
    let battery = job.battery.as_ref().map_or("battery", |b| b.name.as_str());
    content(battery, Appearance::Pack, &enclosure.battery.body);
    if let Some(plate) = &enclosure.battery.plate {
        content("receiver", Appearance::Steel, plate);
    }
    if let (Some(there), Some(controller)) = (&enclosure.controller, &job.controller) {
        content(&controller.name, Appearance::Board, &there.body);
    }
    let wall = enclosure.outer().centre[1] - enclosure.outer().half[1];
    let mut glands = TriMesh::default();
    let mut mouths = Vec::new();
    for planned in &enclosure.glands {
        let [x, z] = planned.hole.at;
        let mouth = pose.point(v(x.get(), wall.get(), z.get()));
        let across = planned.hole.size.flats().get();
        glands = with(glands, &gland(mouth, across, cable_radius(subject)));
        mouths.push(mouth - Vec3::Z * across);
    }
    if !mouths.is_empty() {
        pieces.push(Piece::new("glands", Appearance::Cable, glands));
    }
    let low = mouths.iter().map(|m| m.z - 2.0 * LOOP).fold(top - 2.0 * rim.half[1].get(), f64::min);
    let straps = mounted.wrapped(subject, &[Angle::ZERO], middle)?;
    let half_width = rim.half[0].get();
    Ok(Some(MountedBox { span: [low, top], straps, mouths, half_width }))
}

/// How much of the lid is seen.
const LID: f64 = 0.3;
