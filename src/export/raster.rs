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

use tiny_skia::{Pixmap, PremultipliedColorU8};

use super::camera::Camera;
use super::edges::{corner_normals, face_normals, faces, mesh_edges};
use super::samples::{LIGHT_ONE, Layer, Line, Window};
use crate::mesh::vec3::{Vec3, dot};
use crate::mesh::{MeshFault, TriMesh};

/// Samples along one side of a pixel.
pub const SUPER: u32 = 2;
/// Largest picture, pixels a side.
pub const MAX_SIDE: u32 = 4096;

/// Width of an edge line in pixels.
const LINE: f64 = 1.25;
/// Strength of the edge lines of see-through shapes.
const GLASS_INK: f64 = 0.5;
/// Colour of edge lines.
const INK: [f64; 3] = [28.0, 30.0, 34.0];

/// Lights: direction in the camera's frame (right, up, toward) and strength. A strong one over the
/// viewer's left shoulder and a weak one from the right, so that no two faces of a box look alike.
const LIGHTS: [(Vec3, f64); 2] = [([-0.45, 0.45, 0.771], 0.57), ([0.8, 0.1, 0.592], 0.22)];
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
    /// The paper; none leaves it transparent.
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
    let solid = layer(&opaque, &scene.camera, &window, &[]);
    let glass = (!glassy.is_empty()).then(|| layer(&glassy, &scene.camera, &window, &solid.depth));
    resolve(scene, &solid, glass.as_ref(), width, height)
        .ok_or(bad)?
        .encode_png()
        .map_err(|_| RasterError::Encode)
}

/// Draws shapes, faces first, then the edges that neither they nor `others` hide.
fn layer(shapes: &[(u32, &Shape<'_>)], camera: &Camera, window: &Window, others: &[f32]) -> Layer {
    let mut layer = Layer::new(window);
    let mut lines = Vec::new();
    for (i, shape) in shapes {
        lines.extend(draw(shape.mesh, *i, camera, window, &mut layer));
    }
    for line in &lines {
        layer.ink(line, LINE * f64::from(SUPER) / 2.0, window.bias, others);
    }
    layer
}

/// Fills the faces of a mesh that look at the viewer, and returns its drawn edges.
fn draw(
    mesh: &TriMesh,
    shape: u32,
    camera: &Camera,
    window: &Window,
    layer: &mut Layer,
) -> Vec<Line> {
    let normals = face_normals(mesh);
    let smooth = corner_normals(mesh, &normals);
    let points: Vec<Vec3> =
        mesh.vertices.iter().map(|p| window.place(camera.project(*p))).collect();
    for ((triangle, normal), corners) in mesh.triangles.iter().zip(&normals).zip(&smooth) {
        if faces(*normal, camera.toward()) {
            let light = corners.map(|n| light(camera.project(n)));
            layer.fill(triangle.map(|v| points[v as usize]), light, shape);
        }
    }
    mesh_edges(mesh, &normals)
        .iter()
        .filter(|e| e.drawn(camera.toward()))
        .map(|e| e.ends.map(|v| points[v as usize]))
        .collect()
}

/// Light on a face with the given normal in the camera's frame, at most 1.2.
fn light(normal: Vec3) -> f64 {
    LIGHTS
        .iter()
        .fold(AMBIENT, |sum, (from, strength)| sum + strength * dot(normal, *from).max(0.0))
}

/// Lays the layers over each other and takes the mean of the samples of each pixel.
fn resolve(
    scene: &Scene<'_>,
    solid: &Layer,
    glass: Option<&Layer>,
    width: u32,
    height: u32,
) -> Option<Pixmap> {
    let paper = scene.background.map_or([0.0; 4], |[r, g, b]| [r, g, b, 255].map(f64::from));
    let colour = |paint: u32| {
        let shape = &scene.shapes[(paint >> 16) as usize];
        let light = f64::from(paint & 0xffff) / LIGHT_ONE;
        (shape.colour.map(|c| (f64::from(c) * light).min(255.0)), shape.opacity)
    };
    let sample = |at: usize| {
        let mut c = paper;
        if solid.depth[at] > f32::NEG_INFINITY {
            c = over(c, colour(solid.paint[at]).0, 1.0);
        }
        c = over(c, INK, f64::from(solid.ink[at]) / 255.0);
        if let Some(glass) = glass {
            if glass.depth[at] > solid.depth[at] {
                let (tint, opacity) = colour(glass.paint[at]);
                c = over(c, tint, opacity);
            }
            c = over(c, INK, f64::from(glass.ink[at]) / 255.0 * GLASS_INK);
        }
        c
    };
    let blank = |at: usize| {
        let none = |l: &Layer| l.depth[at] == f32::NEG_INFINITY && l.ink[at] == 0;
        none(solid) && glass.is_none_or(none)
    };
    let side = SUPER as usize;
    let mut pixmap = Pixmap::new(width, height)?;
    for (n, pixel) in pixmap.pixels_mut().iter_mut().enumerate() {
        let (row, column) = (n / width as usize * side, n % width as usize * side);
        let mut sum = [0.5; 4]; // so that the cast below rounds
        for k in 0..side * side {
            let at = (row + k / side) * solid.columns + column + k % side;
            let c = if blank(at) { paper } else { sample(at) };
            for (sum, c) in sum.iter_mut().zip(c) {
                *sum += c / f64::from(SUPER * SUPER);
            }
        }
        let [r, g, b, a] = sum.map(|s| s as u8);
        *pixel = PremultipliedColorU8::from_rgba(r.min(a), g.min(a), b.min(a), a)?;
    }
    Some(pixmap)
}

/// Lays a colour over premultiplied paint: the "over" of Porter and Duff, 1984.
fn over(under: [f64; 4], c: [f64; 3], a: f64) -> [f64; 4] {
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
