//! Depth-buffered samples: what pictures and hidden-line views are made from.
//!
//! A sample has the depth of the nearest face, the paint of its shape, and the cover of lines. Sample
//! coordinates run to the right and down, depth grows toward the viewer (in millimetres). Meant for
//! triangles whose corners are finite.

use crate::mesh::vec3::Vec3;

/// Share of the lesser side that stays free about the points.
pub(crate) const MARGIN: f64 = 0.04;

/// From projected points to samples.
pub(crate) struct Window {
    columns: usize,
    rows: usize,
    /// Samples a millimetre.
    pub(crate) scale: f64,
    /// Projected point in the middle of the picture.
    centre: [f64; 2],
    /// Depth by which a line may lie behind a face and still count as in view, mm.
    pub(crate) bias: f64,
}

impl Window {
    /// A window of `columns` x `rows` samples about projected points, with a free border.
    pub(crate) fn about(points: impl Iterator<Item = Vec3>, columns: usize, rows: usize) -> Self {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for p in points {
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
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
    pub(crate) fn place(&self, p: Vec3) -> Vec3 {
        [
            (p[0] - self.centre[0]) * self.scale + self.columns as f64 / 2.0,
            (self.centre[1] - p[1]) * self.scale + self.rows as f64 / 2.0,
            p[2],
        ]
    }
}

/// The two ends of an edge in sample coordinates.
pub(crate) type Line = [Vec3; 2];

/// A layer of samples.
pub(crate) struct Layer {
    pub(crate) columns: usize,
    rows: usize,
    /// Depth, larger is nearer; minus infinity where there is nothing.
    pub(crate) depth: Vec<f32>,
    /// Index of the shape in the upper half, light in the lower ([`LIGHT_ONE`] is full).
    pub(crate) paint: Vec<u32>,
    /// Coverage by edge lines.
    pub(crate) ink: Vec<u8>,
}

/// Light of 1 in the sample buffer; light up to 2 can be kept.
pub(crate) const LIGHT_ONE: f64 = 32_767.0;

impl Layer {
    pub(crate) fn new(window: &Window) -> Self {
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
    pub(crate) fn fill(&mut self, p: [Vec3; 3], light: [f64; 3], shape: u32) {
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
    pub(crate) fn in_view(&self, x: i64, y: i64, z: f64, others: &[f32]) -> bool {
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

    /// Draws a line of half width `half` where it is in view.
    pub(crate) fn ink(&mut self, line: &Line, half: f64, bias: f64, others: &[f32]) {
        let [p, q] = *line;
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let steep = dy.abs() > dx.abs();
        let major = if steep { dy.abs() } else { dx.abs() };
        let length = (dx * dx + dy * dy).sqrt();
        if !length.is_finite() || length < 1e-9 {
            return;
        }
        let slant = major / length;
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
