//! Simple bodies against closed forms.

use approx::assert_relative_eq;
use std::f64::consts::PI;

use super::tessellate::Tessellation;
use super::*;
use crate::units::Length;

/// A prism over an outline, from z = 0 up, with its top handed back open for holes.
fn prism(shell: &mut Shell, outline: &Outline, height: f64) -> (Plane, Plane) {
    let (low, high) = (outline.on(&Frame::level(0.0)), outline.on(&Frame::level(height)));
    shell.walls("side", &low, &high);
    (Plane::new("bottom", -Vec3::Z, low.reversed()), Plane::new("top", Vec3::Z, high))
}

fn mesh_volume(t: &Tessellation) -> f64 {
    let at = |i: u32| Vec3::from(t.mesh.vertices[i as usize]);
    t.mesh.triangles.iter().map(|&[a, b, c]| at(a).dot(at(b).cross(at(c))) / 6.0).sum()
}

fn assert_closed(t: &Tessellation) {
    let mut edges: Vec<[u32; 2]> =
        t.mesh.triangles.iter().flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]]).collect();
    edges.sort_unstable();
    for pair in edges.windows(2) {
        assert_ne!(pair[0], pair[1], "an edge runs twice the same way");
    }
    for [a, b] in &edges {
        assert!(edges.binary_search(&[*b, *a]).is_ok(), "open edge {a}-{b}");
    }
}

/// A rounded plate with a through hole, a blind hole and a boss with a cone foot.
fn plate() -> (Body, f64) {
    let mut shell = Shell::default();
    let outline = Outline::rounded_rectangle([0.0, 0.0], [60.0, 40.0], 5.0);
    let (mut bottom, mut top) = prism(&mut shell, &outline, 8.0);
    let through = Outline::circle([-15.0, 0.0], 4.0).on(&Frame::level(8.0));
    shell.through_hole("hole", &mut top, &mut bottom, &through, 8.0);
    let blind = Outline::arc_slot([0.0, 0.0], 10.0, 3.0, -0.6, 0.8).on(&Frame::level(8.0));
    shell.blind_hole("slot", &mut top, &blind, 2.5);
    let foot = Outline::circle([20.0, 0.0], 6.0).on(&Frame::level(8.0));
    let tip = Outline::circle([20.0, 0.0], 4.0).on(&Frame::level(10.0));
    let boss_top = shell.boss("boss", &mut top, &foot, tip);
    shell.add(boss_top);
    shell.add(top);
    shell.add(bottom);
    let rounded = 60.0 * 40.0 - (4.0 - PI) * 25.0;
    let slot = 1.4 * 10.0 * 3.0 + PI * 1.5 * 1.5;
    let frustum = PI * 2.0 / 3.0 * (36.0 + 24.0 + 16.0);
    let volume = (rounded - PI * 16.0) * 8.0 - slot * 2.5 + frustum;
    (shell.sew(&Pose::IDENTITY).unwrap(), volume)
}

#[test]
fn exact_volume_matches_the_closed_form() {
    let (body, volume) = plate();
    assert_relative_eq!(body.volume().get(), volume, max_relative = 1e-12);
    assert_eq!(body.genus(), 1);
}

#[test]
fn a_rigid_motion_keeps_the_volume_and_the_mesh_closed() {
    let mut shell = Shell::default();
    let outline = Outline::polygon(&[
        corner(0.0, 0.0, 0.0),
        corner(30.0, 0.0, 4.0),
        corner(30.0, 20.0, 6.0),
        corner(0.0, 20.0, 0.0),
    ]);
    let (bottom, top) = prism(&mut shell, &outline, 5.0);
    shell.add(bottom);
    shell.add(top);
    let still = shell.sew(&Pose::IDENTITY).unwrap();
    let mut pose = Pose::turn(v(1.0, 2.0, 3.0).unit(), 0.7);
    pose.shift = v(1000.0, -300.0, 50.0);
    let moved = shell.sew(&pose).unwrap();
    assert_relative_eq!(still.volume().get(), moved.volume().get(), max_relative = 1e-11);
    let t = moved.tessellate(Length::mm(0.05)).unwrap();
    assert_closed(&t);
}

#[test]
fn mesh_converges_to_the_exact_volume() {
    let (body, volume) = plate();
    let mut last = f64::INFINITY;
    for deviation in [0.2, 0.05, 0.01, 0.002] {
        let t = body.tessellate(Length::mm(deviation)).unwrap();
        assert_closed(&t);
        let error = (mesh_volume(&t) - volume).abs();
        assert!(error < last, "{deviation}: {error}");
        last = error;
    }
    assert!(last / volume < 1e-5, "{last}");
}

#[test]
fn the_general_mesher_agrees_with_ours() {
    use truck_meshalgo::prelude::*;
    let (body, volume) = plate();
    let polygon = body.exact().unwrap().triangulation(0.01).to_polygon();
    let at = |v: StandardVertex| {
        let p = polygon.positions()[v.pos];
        super::v(p.x, p.y, p.z)
    };
    let general: f64 =
        polygon.faces().triangle_iter().map(|[a, b, c]| at(a).dot(at(b).cross(at(c))) / 6.0).sum();
    assert_relative_eq!(general, volume, max_relative = 1e-3);
}

#[test]
fn bounds_reach_the_bulge_of_an_arc() {
    let mut shell = Shell::default();
    let (bottom, top) = prism(&mut shell, &Outline::circle([3.0, 4.0], 7.0), 5.0);
    shell.add(bottom);
    shell.add(top);
    let body = shell.sew(&Pose::turn(Vec3::Z, 0.3)).unwrap();
    let [low, high] = body.bounds();
    assert_relative_eq!(high.x - low.x, 14.0, max_relative = 1e-9);
    assert_relative_eq!(high.y - low.y, 14.0, max_relative = 1e-9);
}

#[test]
fn a_missing_face_and_a_crossing_outline_are_refused() {
    let mut shell = Shell::default();
    let (bottom, _) = prism(&mut shell, &Outline::circle([0.0, 0.0], 7.0), 5.0);
    shell.add(bottom);
    assert!(matches!(shell.sew(&Pose::IDENTITY), Err(SewError::Open { .. })));

    let mut shell = Shell::default();
    let (bottom, mut top) = prism(&mut shell, &Outline::circle([0.0, 0.0], 7.0), 5.0);
    let outside = Outline::circle([6.0, 0.0], 2.0).on(&Frame::level(5.0));
    shell.blind_hole("stray", &mut top, &outside, 1.0);
    shell.add(bottom);
    shell.add(top);
    let body = shell.sew(&Pose::IDENTITY).unwrap();
    assert_eq!(body.tessellate(Length::mm(0.05)).unwrap_err().label, "top");

    let mut shell = Shell::default();
    let (bottom, mut top) = prism(&mut shell, &Outline::circle([0.0, 0.0], 7.0), 5.0);
    let far = Outline::circle([60.0, 0.0], 2.0).on(&Frame::level(5.0));
    shell.blind_hole("stray", &mut top, &far, 1.0);
    shell.add(bottom);
    shell.add(top);
    let body = shell.sew(&Pose::IDENTITY).unwrap();
    assert!(body.tessellate(Length::mm(0.05)).is_err());
}

#[test]
fn poses_compose_and_invert() {
    let mut a = Pose::turn(v(1.0, -2.0, 0.5).unit(), 1.1);
    a.shift = v(3.0, 4.0, -5.0);
    let mut b = Pose::turn(v(0.2, 0.9, 0.4).unit(), -2.3);
    b.shift = v(-7.0, 0.5, 2.0);
    let p = v(11.0, -13.0, 17.0);
    assert!((a.then(&b).point(p) - b.point(a.point(p))).norm() < 1e-12);
    assert!((a.then(&a.inverse()).point(p) - p).norm() < 1e-12);
}
