//! Body and lid against volumes derived by hand, and random boxes through the mesh gate.

use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_4, PI};

use super::*;
use crate::design::enclosure::lid_drawing;
use crate::design::enclosure::tests::{RAIL_X, any_job, job};
use crate::design::enclosure::{PackPose, RoundedRect, plan};
use crate::engineering::seal::Closing;
use crate::mesh::gate::{Expected, gate_as_written};
use crate::params::Job;
use crate::solid::lettering::Region;

/// Area of a rounded rectangle from its sides and radius: a b - (4 - pi) r2.
fn rounded(a: f64, b: f64, r: f64) -> f64 {
    a * b - (4.0 - PI) * r * r
}

fn of(rect: &RoundedRect) -> [f64; 3] {
    [2.0 * rect.half[0].get(), 2.0 * rect.half[1].get(), rect.radius.get()]
}

/// Simpson's rule is exact for the quadratic section of a frustum.
fn frustum(low: [f64; 3], high: [f64; 3], height: f64) -> f64 {
    let mid: Vec<f64> = low.iter().zip(high).map(|(a, b)| f64::midpoint(*a, b)).collect();
    let area = |s: &[f64]| rounded(s[0], s[1], s[2]);
    height / 6.0 * (area(&low) + 4.0 * area(&mid) + area(&high))
}

fn cylinder(diameter: f64, height: f64) -> f64 {
    FRAC_PI_4 * diameter * diameter * height
}

/// Three quarters of a disc, two triangles to the roof's ends, and the trapezoid between: the 45
/// degree roof of a gland, by elementary geometry.
fn gland_area(hole: &WallHole) -> f64 {
    let [r, h] = [hole.radius.get(), hole.roof.get()];
    let half = r * 2.0_f64.sqrt() - h;
    // Shoelace from the middle: touching point, roof end, and their mirror images.
    let t = r / 2.0_f64.sqrt();
    let triangle = 0.5 * (t * h - half * t);
    0.75 * PI * r * r + 2.0 * triangle + half * h
}

/// What a mark takes away: the shoelace area of its regions, times its depth.
fn mark_volume(mark: &str, room: [Length; 2], engraving: Engraving) -> f64 {
    let shoelace = |ring: &Vec<[f64; 2]>| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>() / 2.0
    };
    let regions = engraving.block(&[mark], room).unwrap();
    // Holes run clockwise and count negative.
    let area = |r: &Region| shoelace(&r.outer) + r.holes.iter().map(shoelace).sum::<f64>();
    regions.iter().map(area).sum::<f64>() * engraving.depth.get()
}

/// A regular polygon of n sides with inscribed radius r: n r2 tan(pi / n).
fn eye_area(diameter: f64) -> f64 {
    16.0 * (diameter / 2.0).powi(2) * libm::tan(PI / 16.0)
}

#[test]
fn volumes_are_those_derived_by_hand() {
    volumes(&job(), PackPose::Across);
    // On a bed that bars it lying, the pack stands.
    let mut small = job();
    small.printer.bed = [170.0, 170.0, 400.0].map(Length::mm);
    volumes(&small, PackPose::EndOn);
}

fn volumes(job: &Job, pose: PackPose) {
    let p = plan(job, Closing::Knobs, RAIL_X).unwrap();
    assert_eq!(p.layout.battery, pose);
    let engraving = Engraving::new(&job.printer);
    let [outer, rim] = [of(&p.outer()), of(&p.flange.rim)];
    let (root, face, depth) = (p.flange.root.get(), p.flange.face.get(), p.depth.get());
    let cone = depth - face - root;
    let mut volume = rounded(outer[0], outer[1], outer[2]) * root;
    // On the upper side the rim reaches out farther: width, height and radius still grow evenly.
    volume += frustum(outer, rim, cone);
    volume += rounded(rim[0], rim[1], rim[2]) * face;
    let c = of(&p.cavity);
    volume -= rounded(c[0], c[1], c[2]) * (depth - p.floor.get());
    let [a, b] = [of(&p.groove.outer()), of(&p.groove.inner())];
    volume -=
        (rounded(a[0], a[1], a[2]) - rounded(b[0], b[1], b[2])) * p.groove.section.depth.get();
    let screws = p.screws.points.len() as f64;
    volume -= screws * cylinder(p.screws.bore.get(), p.screws.bore_depth.get());
    for content in std::iter::once(&p.battery).chain(&p.controller) {
        let (n, standoff) = (content.posts().len() as f64, &content.post);
        volume += n * cylinder(2.0 * standoff.radius.get(), standoff.height.get());
        volume -= n * cylinder(standoff.bore.get(), standoff.bore_depth.get());
    }
    if let Some(Cuboid { low, high }) = &p.battery.stand {
        let size = [0, 1, 2].map(|i| (high[i] - low[i]).get());
        volume += size.iter().product::<f64>();
        let (n, hole) = (p.battery.holes.len() as f64, &p.battery.post);
        volume -= n * cylinder(hole.bore.get(), hole.bore_depth.get());
    }
    let boss = &p.rail_boss;
    volume += 4.0 * cylinder(2.0 * boss.radius.get(), boss.height.get());
    volume -= 4.0 * cylinder(boss.bore.get(), boss.bore_depth.get());
    let wall = p.wall.get();
    volume -= p.glands.iter().map(|e| gland_area(&e.hole) * wall).sum::<f64>();
    let vent = p.vent.unwrap();
    let [big, small, seat] = [vent.foot_radius, vent.seat_radius, vent.seat].map(Length::get);
    volume += PI * seat / 3.0 * (big * big + big * small + small * small);
    volume -= gland_area(&vent.hole) * (wall + seat);
    // The eye's mean depth is that at its middle: the slope rises evenly from wall to rim.
    let from_wall = p.lanyard.at[1].get() - outer[1] / 2.0;
    let reach = p.flange.rim.centre[1].get() + rim[1] / 2.0 - outer[1] / 2.0;
    let eye_depth = depth - root - cone * from_wall / reach;
    volume -= eye_area(p.lanyard.diameter.get()) * eye_depth;
    // 3 mm of face stay free round the mark.
    let mm = Length::mm;
    let wall_room = [2.0 * (p.outer().half[1] - p.outer().radius) - mm(6.0), mm(root - 6.0)];
    volume -= mark_volume("BOX BODY", wall_room, engraving);
    let body = draw(&p, engraving).body().unwrap();
    assert_relative_eq!(body.volume().get(), volume, max_relative = 1e-9);

    let lid = &p.lid;
    let [t, chamfer] = [lid.thickness.get(), lid.chamfer.get()];
    let [cover, over] = [of(&lid.cover), of(&lid.over_rim)];
    let crown = [cover[0] - 2.0 * chamfer, cover[1] - 2.0 * chamfer, cover[2] - chamfer];
    let mut volume = rounded(cover[0], cover[1], cover[2]) * (t - chamfer);
    volume += frustum(cover, crown, chamfer);
    volume += (rounded(cover[0], cover[1], cover[2]) - rounded(over[0], over[1], over[2]))
        * lid.edge.skirt[1].get();
    let pocket = lid.ring_depth.get();
    volume -= screws * cylinder(lid.ring.get(), pocket);
    volume -= screws * cylinder(lid.hole.get(), t - pocket);
    volume -= eye_area(p.lanyard.diameter.get()) * t;
    let r = of(&lid.recess.unwrap());
    volume -= rounded(r[0], r[1], r[2]) * (t - lid.panel.get());
    volume -= mark_volume("BOX LID", lid.mark_half.map(|h| h * 2.0), engraving);
    let body = lid_drawing::draw(&p, engraving).body().unwrap();
    assert_relative_eq!(body.volume().get(), volume, max_relative = 1e-9);
}

fn check_sound(part: &Part, size: [Length; 3]) -> Result<(), TestCaseError> {
    let fail = |what: String| TestCaseError::fail(format!("{}: {what}", part.id));
    let body = part.body().map_err(|e| fail(e.to_string()))?;
    prop_assert_eq!(body.genus(), part.genus as i64);
    let deviation = Length::mm(0.05);
    let mesh = body.tessellate(deviation).map_err(|e| fail(e.to_string()))?.mesh;
    let expected = Expected { bodies: 1, genus: part.genus, volume: body.volume(), deviation };
    gate_as_written(&mesh, &expected).map_err(|e| fail(e.to_string()))?;
    let [low, high] = body.bounds();
    prop_assert!(low.norm() < 1e-9);
    for (found, designed) in high.array().iter().zip(size) {
        prop_assert!((found - designed.get()).abs() < 1e-6, "{found} for {designed}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_boxes_pass_the_gate(job in any_job()) {
        let closing = job.lid.close.unwrap_or(Closing::Knobs);
        let plan = plan(&job, closing, RAIL_X).map_err(|f| TestCaseError::fail(format!("{f:?}")))?;
        let [x, y] = plan.flange.rim.half.map(|half| 2.0 * half);
        let engraving = Engraving::new(&job.printer);
        let body = draw(&plan, engraving);
        check_sound(&body, [x, y, plan.depth])?;
        let [x, y] = plan.footprint();
        let high = plan.lid.thickness + plan.lid.edge.skirt[1];
        check_sound(&lid_drawing::draw(&plan, engraving), [x, y, high])?;
        prop_assert!(plan.lid.cover.half[0] > plan.flange.rim.half[0]);
        let steep = crate::units::Angle::radians(job.printer.overhang.rad().min(PI / 4.0));
        let sewn = body.body().unwrap();
        for face in sewn.faces.iter().filter(|f| f.label == "underside") {
            // The underside's normal is at most the overhang below level.
            if let crate::solid::shell::FaceKind::Plane { normal } = face.kind {
                prop_assert!(-normal.z <= steep.sin() + 1e-9, "{normal:?}");
            }
        }
    }
}

/// Walls behind the marks, straight from the faces of the finished solid: the floor of a mark lies
/// the depth below its face, and a wall less the depth is left behind it.
#[test]
fn marks_leave_the_least_wall_or_are_left_out() {
    let mut job = job();
    let mut left_out = 0;
    for layer in [0.1, 0.16, 0.2, 0.28, 0.36, 0.5, 0.7, 0.8] {
        job.printer.layer = Length::mm(layer);
        job.printer.line = Length::mm(layer.max(0.45));
        let plan = plan(&job, Closing::Knobs, RAIL_X).unwrap();
        let engraving = Engraving::new(&job.printer);
        let walls = [plan.wall, plan.lid.panel];
        let parts = [draw(&plan, engraving), lid_drawing::draw(&plan, engraving)];
        for (part, wall) in parts.iter().zip(walls) {
            let body = part.body().unwrap();
            let marked = body.faces.iter().any(|f| f.label == crate::solid::engrave::MARK);
            assert_ne!(marked, !part.left_out.is_empty(), "{} at {layer}", part.id);
            if marked {
                assert!(wall - engraving.depth >= SKIN_LEAST - Length::mm(1e-9), "{}", part.id);
            } else {
                left_out += 1;
            }
        }
    }
    assert!((1..16).contains(&left_out), "{left_out}");
}
