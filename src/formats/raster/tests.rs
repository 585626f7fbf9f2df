//! Pictures are measured by areas of elementary geometry and by what must hide what.

use super::*;
use crate::formats::samples::MARGIN;
use crate::mesh::shapes::{cuboid, moved, sphere, tube};
use resvg::tiny_skia::Pixmap;
use std::f64::consts::PI;

fn picture(shapes: &[Shape<'_>], camera: Camera, w: u32, h: u32) -> Pixmap {
    let scene = Scene { shapes: shapes.to_vec(), camera, background: None };
    Pixmap::decode_png(&render(&scene, w, h).unwrap()).unwrap()
}

fn solid(mesh: &TriMesh) -> Shape<'_> {
    Shape { mesh, colour: [230, 150, 60], opacity: 1.0 }
}

/// Sum of the picture's coverage, in pixels.
fn covered(p: &Pixmap) -> f64 {
    p.pixels().iter().map(|c| f64::from(c.alpha())).sum::<f64>() / 255.0
}

#[test]
fn a_ball_covers_its_disc_and_a_tube_its_ring() {
    // Areas of disc and ring; the line about the outline adds half its width on either side.
    let d = 300.0 * (1.0 - 2.0 * MARGIN);
    let line = |r: f64| PI * r * LINE;
    let ball = sphere(20.0, 96);
    let got = covered(&picture(&[solid(&ball)], Camera::FRONT, 300, 300));
    let want = PI * d * d / 4.0 + line(d / 2.0);
    assert!((got / want - 1.0).abs() < 0.01, "{got} {want}");
    let tube = tube(10.0, 20.0, 30.0, 96);
    let got = covered(&picture(&[solid(&tube)], Camera::TOP, 300, 300));
    let want = PI * (d * d / 4.0 - d * d / 16.0) + line(d / 2.0) + line(d / 4.0);
    assert!((got / want - 1.0).abs() < 0.01, "{got} {want}");
}

#[test]
fn the_nearer_body_hides_the_farther_with_its_edges() {
    let near = moved(&cuboid([20.0, 2.0, 20.0]), [0.0, 30.0, 0.0]);
    let far = moved(&cuboid([4.0, 2.0, 4.0]), [8.0, 0.0, 8.0]);
    let red = Shape { mesh: &far, colour: [255, 0, 0], opacity: 1.0 };
    let alone = picture(&[solid(&near)], Camera::FRONT, 200, 200);
    assert_eq!(picture(&[red, solid(&near)], Camera::FRONT, 200, 200), alone);
    // A see-through body in front lets it be seen, in a mixture.
    let glass = Shape { opacity: 0.5, ..solid(&near) };
    let seen = picture(&[red, glass], Camera::FRONT, 200, 200);
    let (mid, edge) = (seen.pixel(100, 100).unwrap(), seen.pixel(30, 30).unwrap());
    assert!(mid.alpha() == 255 && (120..140).contains(&edge.alpha()), "{mid:?} {edge:?}");
    assert!(i16::from(mid.red()) - i16::from(mid.green()) > 100, "{mid:?}");
}

#[test]
fn faces_of_a_box_are_shaded_apart_and_edges_are_dark() {
    let mesh = cuboid([10.0, 10.0, 10.0]);
    let camera = Camera::new([1.0, 1.0, 1.0], [0.0, 0.0, 1.0]).unwrap();
    let p = picture(&[solid(&mesh)], camera, 200, 200);
    // Top, left and right rhombus of the hexagon, and the corner where they meet.
    let [top, left, right, corner] = [(100, 50), (60, 125), (140, 125), (100, 100)]
        .map(|(x, y)| i32::from(p.pixel(x, y).unwrap().red()));
    assert!((top - left).abs() > 10 && (left - right).abs() > 10 && (top - right).abs() > 10);
    assert!(corner < 90, "{corner}");
}

#[test]
fn the_same_scene_gives_the_same_bytes_and_bad_input_an_error() {
    let mesh = sphere(5.0, 24);
    let scene =
        Scene { shapes: vec![solid(&mesh)], camera: Camera::SIDE, background: Some([255; 3]) };
    assert_eq!(render(&scene, 64, 48), render(&scene, 64, 48));
    assert!(matches!(render(&scene, 0, 48), Err(RasterError::Size { .. })));
    assert!(matches!(render(&scene, 64, 1 << 20), Err(RasterError::Size { .. })));
    let empty = Scene { shapes: vec![], ..scene.clone() };
    assert_eq!(render(&empty, 64, 48), Err(RasterError::Shapes));
    let mut broken = mesh.clone();
    broken.vertices[3][1] = f64::NAN;
    let nan = Scene { shapes: vec![solid(&mesh), solid(&broken)], ..scene.clone() };
    let want = RasterError::Mesh { shape: 1, fault: MeshFault::NotFinite { vertex: 3 } };
    assert_eq!(render(&nan, 64, 48), Err(want));
    let veil = Shape { opacity: f64::NAN, ..solid(&mesh) };
    let veil = Scene { shapes: vec![veil], ..scene };
    assert_eq!(render(&veil, 64, 48), Err(RasterError::Opacity { shape: 0 }));
}

#[test]
fn a_flat_or_tiny_body_is_drawn_without_harm() {
    let sheet = TriMesh {
        vertices: vec![[0.0; 3], [1e-9, 0.0, 0.0], [0.0, 1e-9, 0.0]],
        triangles: vec![[0, 1, 2], [0, 0, 1]],
    };
    for camera in [Camera::TOP, Camera::FRONT] {
        picture(&[solid(&sheet)], camera, 16, 16);
    }
}

#[test]
fn bands_show_what_the_whole_shows() {
    let [near, far] =
        [tube(6.0, 14.0, 9.0, 40), moved(&cuboid([9.0, 31.0, 17.0]), [3.0, 4.0, 5.0])];
    let camera = Camera::new([1.0, 0.7, 0.4], [0.0, 0.0, 1.0]).unwrap();
    let shapes = [solid(&near), solid(&far)];
    let points = shapes.iter().flat_map(|s| &s.mesh.vertices).map(|p| camera.project(*p));
    let window = Window::about(points, 400, 300);
    let numbered: Vec<_> = (0..).zip(&shapes).collect();
    let drawn = Drawn::of(&numbered, &camera, &window);
    let mut whole = Layer::new(&window, 0..300);
    drawn.onto(&mut whole, window.bias, &[]);
    assert!(whole.ink.iter().filter(|ink| **ink > 0).count() > 1000);
    let mut band = Layer::new(&window, 0..0);
    let border = border(HALF_LINE);
    for (from, to) in [(0, 64), (64, 65), (65, 128), (128, 299), (299, 300)] {
        let wide = from.max(border) - border..300.min(to + border);
        band.clear(wide);
        drawn.onto(&mut band, window.bias, &[]);
        let [here, there] =
            [&band, &whole].map(|l| l.depth.at(0, from)..l.depth.at(0, to - 1) + 400);
        assert_eq!(band.depth.values[here.clone()], whole.depth.values[there.clone()]);
        assert_eq!(band.paint[here.clone()], whole.paint[there.clone()]);
        assert_eq!(band.ink[here], whole.ink[there]);
    }
}
