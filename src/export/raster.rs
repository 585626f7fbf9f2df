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
use crate::mesh::vec3::{Vec3, dot};
use crate::mesh::{MeshFault, TriMesh};

/// Samples along one side of a pixel.
pub const SUPER: u32 = 2;
/// Largest picture, pixels a side.
pub const MAX_SIDE: u32 = 4096;

/// Width of an edge line in pixels.
const LINE: f64 = 1.25;
/// Share of the picture's lesser side that stays free about the scene.
const MARGIN: f64 = 0.04;
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
    let window = Window::about(scene, width, height);
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
        layer.ink(line, window.bias, others);
    }
    layer
}

/// From the scene to samples.
struct Window {
    columns: usize,
    rows: usize,
    /// Samples a millimetre.
    scale: f64,
    /// Projected point in the middle of the picture.
    centre: [f64; 2],
    /// Depth by which a line may lie behind a face and still count as in view, mm.
    bias: f64,
}

impl Window {
    fn about(scene: &Scene<'_>, width: u32, height: u32) -> Self {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for shape in &scene.shapes {
            for t in &shape.mesh.triangles {
                for v in t {
                    let p = scene.camera.project(shape.mesh.vertices[*v as usize]);
                    for k in 0..3 {
                        low[k] = low[k].min(p[k]);
                        high[k] = high[k].max(p[k]);
                    }
                }
            }
        }
        let columns = (width * SUPER) as usize;
        let rows = (height * SUPER) as usize;
        let room = |n: usize| n as f64 * (1.0 - 2.0 * MARGIN);
        let span = |k: usize| (high[k] - low[k]).max(1e-6);
        let scale = (room(columns) / span(0)).min(room(rows) / span(1));
        Self {
            columns,
            rows,
            scale,
            centre: [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0],
            bias: 1.5 / scale + 1e-4 * span(2),
        }
    }

    /// Sample coordinates (right, down) and depth of a projected point.
    fn place(&self, p: Vec3) -> Vec3 {
        [
            (p[0] - self.centre[0]) * self.scale + self.columns as f64 / 2.0,
            (self.centre[1] - p[1]) * self.scale + self.rows as f64 / 2.0,
            p[2],
        ]
    }
}

/// The two ends of an edge in sample coordinates.
type Line = [Vec3; 2];

/// A layer of samples.
struct Layer {
    columns: usize,
    rows: usize,
    depth: Vec<f32>,
    /// Index of the shape in the upper half, light in the lower ([`LIGHT_ONE`] is full).
    paint: Vec<u32>,
    /// Coverage by edge lines.
    ink: Vec<u8>,
}

/// Light of 1 in the sample buffer; light up to 2 can be kept.
const LIGHT_ONE: f64 = 32_767.0;

impl Layer {
    fn new(window: &Window) -> Self {
        let n = window.columns * window.rows;
        Self {
            columns: window.columns,
            rows: window.rows,
            depth: vec![f32::NEG_INFINITY; n],
            paint: vec![0; n],
            ink: vec![0; n],
        }
    }

    /// Fills a triangle given by its corners (sample coordinates and depth) and the light there.
    fn fill(&mut self, p: [Vec3; 3], light: [f64; 3], shape: u32) {
        let area =
            (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[1][1] - p[0][1]) * (p[2][0] - p[0][0]);
        if area == 0.0 || !area.is_finite() {
            return;
        }
        // Half planes a x + b y + c >= 0 (all divided by the area: barycentric weights).
        let edge = |i: usize, j: usize| {
            let (a, b) = (p[i][1] - p[j][1], p[j][0] - p[i][0]);
            let c = p[i][0] * p[j][1] - p[j][0] * p[i][1];
            (a / area, b / area, c / area)
        };
        let weights = [edge(1, 2), edge(2, 0), edge(0, 1)];
        let mix = |v: [f64; 3]| {
            let sum = |f: fn(&(f64, f64, f64)) -> f64| -> f64 {
                weights.iter().zip(v).map(|(w, x)| f(w) * x).sum()
            };
            (sum(|w| w.0), sum(|w| w.1), sum(|w| w.2))
        };
        let (zx, zy, zc) = mix([p[0][2], p[1][2], p[2][2]]);
        let (lx, ly, lc) = mix(light);
        let ys = [p[0][1], p[1][1], p[2][1]];
        let top = ys.iter().fold(f64::INFINITY, |m, y| m.min(*y));
        let bottom = ys.iter().fold(f64::NEG_INFINITY, |m, y| m.max(*y));
        let first = (top - 0.5).ceil().max(0.0) as usize;
        let last = (bottom - 0.5).floor().min(self.rows as f64 - 1.0);
        if last < 0.0 {
            return;
        }
        for row in first..=(last as usize) {
            let y = row as f64 + 0.5;
            let (mut from, mut to) = (0.5, self.columns as f64 - 0.5);
            for (a, b, c) in weights {
                let rest = b * y + c;
                if a > 0.0 {
                    from = f64::max(from, -rest / a);
                } else if a < 0.0 {
                    to = f64::min(to, -rest / a);
                } else if rest < 0.0 {
                    to = f64::NEG_INFINITY;
                }
            }
            if to < from {
                continue;
            }
            let begin = (from - 0.5).ceil() as usize;
            let end = ((to - 0.5).floor() + 1.0).max(0.0) as usize;
            if begin >= end {
                continue;
            }
            let x = begin as f64 + 0.5;
            let (mut z, mut l) = (zx * x + zy * y + zc, lx * x + ly * y + lc);
            let span = row * self.columns + begin..row * self.columns + end;
            for (depth, paint) in self.depth[span.clone()].iter_mut().zip(&mut self.paint[span]) {
                if z as f32 > *depth {
                    *depth = z as f32;
                    *paint = shape << 16 | (l * LIGHT_ONE) as u32 & 0xffff;
                }
                z += zx;
                l += lx;
            }
        }
    }

    /// Whether a point in sample coordinates lies before the faces next to it.
    fn in_view(&self, x: i64, y: i64, z: f64, others: &[f32]) -> bool {
        for j in y - 1..=y + 1 {
            for i in x - 1..=x + 1 {
                let inside =
                    (0..self.columns as i64).contains(&i) && (0..self.rows as i64).contains(&j);
                if !inside {
                    return true;
                }
                let at = j as usize * self.columns + i as usize;
                let other = others.get(at).copied().unwrap_or(f32::NEG_INFINITY);
                if f64::from(self.depth[at].max(other)) <= z {
                    return true;
                }
            }
        }
        false
    }

    /// Draws a line where it is in view.
    fn ink(&mut self, line: &Line, bias: f64, others: &[f32]) {
        let [p, q] = *line;
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let steep = dy.abs() > dx.abs();
        let major = if steep { dy.abs() } else { dx.abs() };
        let length = (dx * dx + dy * dy).sqrt();
        if !length.is_finite() || length < 1e-9 {
            return;
        }
        let slant = major / length;
        let half = LINE * f64::from(SUPER) / 2.0;
        let reach = ((half + 0.5) / slant).ceil() as i64;
        let steps = major.ceil().max(1.0);
        let mut k = 0.0;
        while k <= steps {
            let t = k / steps;
            k += 1.0;
            let (x, y) = (p[0] + dx * t, p[1] + dy * t);
            let z = p[2] + (q[2] - p[2]) * t + bias;
            let (col, row) = (x.floor() as i64, y.floor() as i64);
            if !self.in_view(col, row, z, others) {
                continue;
            }
            for off in -reach..=reach {
                let (i, j) = if steep { (col + off, row) } else { (col, row + off) };
                if i < 0 || j < 0 || i >= self.columns as i64 || j >= self.rows as i64 {
                    continue;
                }
                let away = if steep {
                    (i as f64 + 0.5 - x).abs() * slant
                } else {
                    (j as f64 + 0.5 - y).abs() * slant
                };
                let cover = ((half + 0.5 - away).clamp(0.0, 1.0) * 255.0) as u8;
                let spot = &mut self.ink[j as usize * self.columns + i as usize];
                *spot = cover.max(*spot);
            }
        }
    }
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
