//! Shaded pictures of meshes as PNG.
//!
//! Method: parallel projection ([`Camera`]), a depth buffer with [`SUPER`] x [`SUPER`] samples a
//! pixel, shading interpolated from corner normals (Gouraud, 1971) under two lights and an ambient
//! term, and the drawn edges of [`edges`](super::edges) laid over in a dark line of constant width
//! where the depth buffer says that they are in view. See-through bodies are drawn over the opaque
//! ones, their nearest face only.
//!
//! Guarantees: the same scene gives the same bytes (no threads, no platform functions); no picture
//! is larger than [`MAX_SIDE`] a side. Faces that look away are not drawn, so an open surface shows
//! from its outer side only.

use std::ops::Range;

use super::camera::Camera;
use super::edges::{corner_normals, face_normals, faces, mesh_edges};
use super::samples::{LIGHT_ONE, Layer, Line, Lit, Window, border};
use crate::mesh::{MeshFault, TriMesh};
use crate::space::dot;

/// Samples along one side of a pixel.
pub const SUPER: u32 = 2;
/// Largest picture, pixels a side.
pub const MAX_SIDE: u32 = 4096;

/// Width of an edge line in pixels.
const LINE: f64 = 1.25;
/// Half of it in samples.
const HALF_LINE: f64 = LINE * SUPER as f64 / 2.0;
/// Strength of the edge lines of see-through shapes.
const GLASS_INK: f32 = 0.5;
/// Colour of edge lines.
const INK: [f32; 3] = [28.0, 30.0, 34.0];

/// Lights: direction in the camera's frame (right, up, toward) and strength. A strong one over the
/// viewer's left shoulder and a weak one from the right, so that no two faces of a box look alike.
const LIGHTS: [([f64; 3], f64); 2] = [([-0.45, 0.45, 0.771], 0.57), ([0.8, 0.1, 0.592], 0.22)];
/// Light from everywhere.
const AMBIENT: f64 = 0.45;

/// A mesh with its looks.
#[derive(Debug, Clone, Copy)]
pub struct Shape<'a> {
    /// The mesh, in the scene's coordinates.
    pub mesh: &'a TriMesh,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// 1 is solid, 0 invisible. Anything below 1 is drawn after the solid shapes.
    pub opacity: f64,
}

/// What is to be seen, and from where.
#[derive(Debug, Clone)]
pub struct Scene<'a> {
    /// The shapes, in any order.
    pub shapes: Vec<Shape<'a>>,
    /// The viewer. The scene is scaled to fill the picture.
    pub camera: Camera,
    /// Background colour; `None` is transparent.
    pub background: Option<[u8; 3]>,
}

/// Why there is no picture.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RasterError {
    /// No shape was given, or more than can be told apart.
    #[error("a picture needs 1 to {} shapes", MAX_SHAPES)]
    Shapes,
    /// A mesh is unusable.
    #[error("shape {shape} cannot be drawn: {fault}")]
    Mesh {
        /// Index of the shape.
        shape: usize,
        /// What is wrong with it.
        fault: MeshFault,
    },
    /// An opacity is not from 0 to 1.
    #[error("shape {shape} has an opacity outside 0 to 1")]
    Opacity {
        /// Index of the shape.
        shape: usize,
    },
    /// The picture would have no pixels or too many.
    #[error("a picture has 1 to {MAX_SIDE} pixels a side, not {width} x {height}")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The PNG encoder gave up.
    #[error("the picture cannot be encoded as PNG")]
    Encode,
}

/// Shapes are told apart by 16 bits in the sample buffer.
const MAX_SHAPES: usize = 65_535;

/// Draws the scene as a PNG of `width` x `height` pixels.
///
/// # Errors
/// [`RasterError`]: nothing to draw, an unusable mesh, opacity or size.
pub fn render(scene: &Scene<'_>, width: u32, height: u32) -> Result<Vec<u8>, RasterError> {
    let bad = RasterError::Size { width, height };
    if width == 0 || height == 0 || width > MAX_SIDE || height > MAX_SIDE {
        return Err(bad);
    }
    if scene.shapes.is_empty() || scene.shapes.len() > MAX_SHAPES {
        return Err(RasterError::Shapes);
    }
    for (i, shape) in scene.shapes.iter().enumerate() {
        shape.mesh.check().map_err(|fault| RasterError::Mesh { shape: i, fault })?;
        if !(0.0..=1.0).contains(&shape.opacity) {
            return Err(RasterError::Opacity { shape: i });
        }
    }
    let points = scene
        .shapes
        .iter()
        .flat_map(|s| s.mesh.triangles.iter().flatten().map(|v| s.mesh.vertices[*v as usize]))
        .map(|p| scene.camera.project(p));
    let window = Window::about(points, (width * SUPER) as usize, (height * SUPER) as usize);
    let (glassy, opaque): (Vec<_>, Vec<_>) =
        (0_u32..).zip(&scene.shapes).partition(|(_, shape)| shape.opacity < 1.0);
    let solid = Drawn::of(&opaque, &scene.camera, &window);
    let glass = Drawn::of(&glassy, &scene.camera, &window);
    let pixels = (width as usize) * (height as usize);
    let mut bytes = Vec::with_capacity(pixels * if scene.background.is_some() { 3 } else { 4 });
    let [mut below, mut above] = [Layer::new(&window, 0..0), Layer::new(&window, 0..0)];
    let border = border(HALF_LINE);
    for first in (0..window.rows).step_by(BAND) {
        let rows = first..window.rows.min(first + BAND);
        let wide = first.saturating_sub(border)..window.rows.min(rows.end + border);
        below.clear(wide.clone());
        solid.onto(&mut below, window.bias, &[]);
        if !glassy.is_empty() {
            above.clear(wide);
            glass.onto(&mut above, window.bias, &below.depth.values);
        }
        resolve(scene, &below, (!glassy.is_empty()).then_some(&above), rows, &mut bytes);
    }
    encode(&bytes, scene.background.is_some(), width, height).map_err(|_| RasterError::Encode)
}

/// Rows of samples that are worked on at once: with their depth, paint and ink they stay in a
/// processor's own memory. A multiple of [`SUPER`].
const BAND: usize = 64;

/// Shapes in sample coordinates.
struct Drawn {
    faces: Vec<Lit>,
    lines: Vec<Line>,
}

impl Drawn {
    fn of(shapes: &[(u32, &Shape<'_>)], camera: &Camera, window: &Window) -> Self {
        let mut drawn = Self { faces: Vec::new(), lines: Vec::new() };
        for (shape, Shape { mesh, .. }) in shapes {
            let normals = face_normals(mesh);
            let smooth = corner_normals(mesh, &normals);
            let points: Vec<[f64; 3]> =
                mesh.vertices.iter().map(|p| window.place(camera.project(*p))).collect();
            for ((triangle, normal), corners) in mesh.triangles.iter().zip(&normals).zip(&smooth) {
                if faces(*normal, camera.toward()) {
                    let light = corners.map(|n| light(camera.project(n)));
                    let corners = triangle.map(|v| points[v as usize]);
                    drawn.faces.extend(Lit::new(corners, light, *shape));
                }
            }
            let edges = mesh_edges(mesh, &normals);
            let seen = edges.iter().filter(|e| e.drawn(camera.toward()));
            drawn.lines.extend(seen.map(|e| e.ends.map(|v| points[v as usize])));
        }
        drawn
    }

    /// Fills the faces, then draws the edges that neither they nor `others` hide.
    fn onto(&self, layer: &mut Layer, bias: f64, others: &[f32]) {
        for face in &self.faces {
            layer.fill(face);
        }
        for line in &self.lines {
            layer.ink(line, HALF_LINE, bias, others);
        }
    }
}

/// Light on a face with the given normal in the camera's frame, at most 1.2.
fn light(normal: [f64; 3]) -> f64 {
    LIGHTS
        .iter()
        .fold(AMBIENT, |sum, (from, strength)| sum + strength * dot(normal, *from).max(0.0))
}

/// Lays the layers over each other and takes the mean of the samples of each pixel in these rows;
/// puts red, green and blue to the bytes, and the alpha when there is no paper.
fn resolve(
    scene: &Scene<'_>,
    solid: &Layer,
    glass: Option<&Layer>,
    rows: Range<usize>,
    bytes: &mut Vec<u8>,
) {
    let paper = scene.background.map_or([0.0; 4], |[r, g, b]| [r, g, b, 255].map(f32::from));
    let looks: Vec<([f32; 3], f32)> =
        scene.shapes.iter().map(|s| (s.colour.map(f32::from), s.opacity as f32)).collect();
    let colour = |paint: u32| {
        let (colour, opacity) = looks[(paint >> 16) as usize];
        let light = (paint & 0xffff) as f32 / LIGHT_ONE as f32;
        (colour.map(|c| (c * light).min(255.0)), opacity)
    };
    let sample = |at: usize| {
        let mut c = paper;
        if solid.depth.values[at] > f32::NEG_INFINITY {
            c = over(c, colour(solid.paint[at]).0, 1.0);
        }
        c = over(c, INK, f32::from(solid.ink[at]) / 255.0);
        if let Some(glass) = glass {
            if glass.depth.values[at] > solid.depth.values[at] {
                let (tint, opacity) = colour(glass.paint[at]);
                c = over(c, tint, opacity);
            }
            c = over(c, INK, f32::from(glass.ink[at]) / 255.0 * GLASS_INK);
        }
        c
    };
    let blank = |at: usize| {
        let none = |l: &Layer| l.depth.values[at] == f32::NEG_INFINITY && l.ink[at] == 0;
        none(solid) && glass.is_none_or(none)
    };
    let side = SUPER as usize;
    let mut put = |[r, g, b, a]: [f32; 4]| {
        let byte = |c: f32| (c + 0.5) as u8;
        if scene.background.is_some() {
            bytes.extend([r, g, b].map(byte));
        } else {
            let straight = |c: f32| byte(if a > 0.0 { c * 255.0 / a } else { 0.0 });
            bytes.extend([straight(r), straight(g), straight(b), byte(a)]);
        }
    };
    for row in rows.step_by(side) {
        // The rest of the row is paper.
        let layers = [Some(solid), glass].into_iter().flatten();
        let touched = layers
            .flat_map(|layer| (row..row + side).map(|row| layer.touched(row)))
            .fold([usize::MAX, 0], |[from, to], t| [from.min(t.start), to.max(t.end)]);
        let columns = solid.depth.columns;
        let drawn = touched[0].min(columns) / side * side..touched[1].next_multiple_of(side);
        (0..drawn.start).step_by(side).for_each(|_| put(paper));
        for column in drawn.clone().step_by(side) {
            let first = solid.depth.at(column, row);
            let places =
                (0..side * side).map(|k| first + k / side * solid.depth.columns + k % side);
            if places.clone().all(blank) {
                put(paper);
                continue;
            }
            // Most pixels lie inside one body: their mean is that of its light.
            let plain = |at: usize| {
                let bare =
                    glass.is_none_or(|g| g.depth.values[at] == f32::NEG_INFINITY && g.ink[at] == 0);
                bare && solid.ink[at] == 0
                    && solid.depth.values[at] > f32::NEG_INFINITY
                    && solid.paint[at] >> 16 == solid.paint[first] >> 16
            };
            if places.clone().all(plain) {
                let light: u32 = places.map(|at| solid.paint[at] & 0xffff).sum();
                let [r, g, b] =
                    colour((solid.paint[first] & !0xffff) | (light / (SUPER * SUPER))).0;
                put([r, g, b, 255.0]);
                continue;
            }
            let mut mean = [0.0; 4];
            for at in places {
                let c = sample(at);
                for (mean, c) in mean.iter_mut().zip(c) {
                    *mean += c / (SUPER * SUPER) as f32;
                }
            }
            put(mean);
        }
        (drawn.end.max(drawn.start)..columns).step_by(side).for_each(|_| put(paper));
    }
}

/// Writes rows of bytes as PNG (ISO/IEC 15948).
///
/// Each row is filtered by the difference from the row above, which suits even faces and white
/// paper; trying every filter takes a third of the time of a picture and saves little.
fn encode(
    bytes: &[u8],
    opaque: bool,
    width: u32,
    height: u32,
) -> Result<Vec<u8>, png::EncodingError> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, width, height);
    encoder.set_color(if opaque { png::ColorType::Rgb } else { png::ColorType::Rgba });
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    encoder.set_filter(png::Filter::Up);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(bytes)?;
    writer.finish()?;
    Ok(out)
}

/// Lays a colour over premultiplied paint: the "over" of Porter and Duff, 1984.
fn over(under: [f32; 4], c: [f32; 3], a: f32) -> [f32; 4] {
    let keep = 1.0 - a;
    [
        c[0] * a + under[0] * keep,
        c[1] * a + under[1] * keep,
        c[2] * a + under[2] * keep,
        255.0 * a + under[3] * keep,
    ]
}

#[cfg(test)]
mod tests;
