//! Depth-buffered samples: what pictures and hidden-line views are made from.
//!
//! A sample has the depth of the nearest face, the paint of its shape, and the cover of lines. Sample
//! coordinates run to the right and down, depth grows toward the viewer (in millimetres). Meant for
//! triangles whose corners are finite.

use std::ops::Range;

/// Share of the lesser side that stays free about the points.
pub(crate) const MARGIN: f64 = 0.04;

/// From projected points to samples.
pub(crate) struct Window {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    /// Samples a millimetre.
    pub(crate) scale: f64,
    /// Projected point in the middle of the picture.
    centre: [f64; 2],
    /// Depth by which a line may lie behind a face and still count as in view, mm.
    pub(crate) bias: f64,
}

impl Window {
    /// A window of `columns` x `rows` samples about projected points, with a free border.
    pub(crate) fn about(
        points: impl Iterator<Item = [f64; 3]>,
        columns: usize,
        rows: usize,
    ) -> Self {
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
    pub(crate) fn place(&self, p: [f64; 3]) -> [f64; 3] {
        [
            (p[0] - self.centre[0]) * self.scale + self.columns as f64 / 2.0,
            (self.centre[1] - p[1]) * self.scale + self.rows as f64 / 2.0,
            p[2],
        ]
    }
}

/// Rows next to a layer's end on which lines of half width `half` may be incomplete: they reach that
/// far at a slope of 45 degrees, and look at one more row.
pub(crate) fn border(half: f64) -> usize {
    ((half + 0.5) * std::f64::consts::SQRT_2).ceil() as usize + 1
}

/// The two ends of an edge in sample coordinates.
pub(crate) type Line = [[f64; 3]; 2];

/// The depth of the nearest face at some rows of a window, one by one from the top.
pub(crate) struct Depths {
    pub(crate) columns: usize,
    /// Rows of the window that are here.
    pub(crate) rows: Range<usize>,
    /// Rows of the whole window.
    window_rows: usize,
    /// Larger is nearer; minus infinity where there is nothing.
    pub(crate) values: Vec<f32>,
}

impl Depths {
    /// Nothing, at these rows of the window.
    pub(crate) fn new(window: &Window, rows: Range<usize>) -> Self {
        let (columns, window_rows) = (window.columns, window.rows);
        let mut depths = Self { columns, rows: 0..0, window_rows, values: Vec::new() };
        depths.clear(rows);
        depths
    }

    /// Empties the rows and moves to others, in the memory that is there.
    pub(crate) fn clear(&mut self, rows: Range<usize>) {
        self.values.clear();
        self.values.resize(self.columns * rows.len(), f32::NEG_INFINITY);
        self.rows = rows;
    }

    /// Place of a sample in the buffer; the row must be here.
    pub(crate) fn at(&self, column: usize, row: usize) -> usize {
        (row - self.rows.start) * self.columns + column
    }

    /// Fills a triangle given by its corners (sample coordinates and depth).
    pub(crate) fn fill(&mut self, p: [[f64; 3]; 3]) {
        let Some(triangle) = Triangle::new(p) else { return };
        let depth = triangle.mix(p.map(|p| p[2]));
        let step = depth[0] as f32;
        triangle.spans(self.columns, self.rows.clone(), |row, begin, count| {
            let start = self.at(begin, row);
            let z = along(depth, begin, row) as f32;
            for (i, value) in self.values[start..][..count].iter_mut().enumerate() {
                *value = value.max(z + step * (i as i32 as f32));
            }
        });
    }

    /// Whether a point in sample coordinates lies before the faces next to it. The rows next to it
    /// must be the layer's, or lie outside its window.
    pub(crate) fn in_view(&self, x: i64, y: i64, z: f64, others: &[f32]) -> bool {
        let (columns, rows) = (0..self.columns as i64, 0..self.window_rows as i64);
        for j in y - 1..=y + 1 {
            for i in x - 1..=x + 1 {
                if !columns.contains(&i) || !rows.contains(&j) {
                    return true;
                }
                let at = self.at(i as usize, j as usize);
                let other = others.get(at).copied().unwrap_or(f32::NEG_INFINITY);
                if f64::from(self.values[at].max(other)) <= z {
                    return true;
                }
            }
        }
        false
    }

    /// The rows, from and to, whose neighbours are the layer's too or lie outside its window.
    fn known(&self) -> [i64; 2] {
        let Range { start, end } = self.rows;
        let from = if start == 0 { i64::MIN } else { start as i64 + 1 };
        let to = if end == self.window_rows { i64::MAX } else { end as i64 - 1 };
        [from, to]
    }
}

/// A layer of samples: depth, paint and lines.
pub(crate) struct Layer {
    /// Depth, and which rows of the window these are.
    pub(crate) depth: Depths,
    /// Index of the shape in the upper half, light in the lower ([`LIGHT_ONE`] is full).
    pub(crate) paint: Vec<u32>,
    /// Coverage by edge lines.
    pub(crate) ink: Vec<u8>,
    /// Columns between which each row has anything at all.
    touched: Vec<Range<usize>>,
}

/// A face with its light, ready to be filled on any rows of a window.
pub(crate) struct Lit {
    triangle: Triangle,
    /// Planes of the depth and of the light.
    depth: [f64; 3],
    light: [f64; 3],
    /// Index of the shape, in the upper half.
    shade: u32,
}

impl Lit {
    /// A triangle given by its corners (sample coordinates and depth) and the light there; `None`
    /// without an area.
    pub(crate) fn new(p: [[f64; 3]; 3], light: [f64; 3], shape: u32) -> Option<Self> {
        let triangle = Triangle::new(p)?;
        let (depth, light) = (triangle.mix(p.map(|p| p[2])), triangle.mix(light));
        Some(Self { triangle, depth, light, shade: shape << 16 })
    }
}

/// A triangle in sample coordinates, as three half planes a x + b y + c >= 0 divided by its area:
/// barycentric weights.
struct Triangle {
    weights: [[f64; 3]; 3],
    /// Least and greatest y.
    reach: [f64; 2],
}

impl Triangle {
    /// `None` without an area.
    fn new(p: [[f64; 3]; 3]) -> Option<Self> {
        let area =
            (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[1][1] - p[0][1]) * (p[2][0] - p[0][0]);
        if area == 0.0 || !area.is_finite() {
            return None;
        }
        let edge = |i: usize, j: usize| {
            let (a, b) = (p[i][1] - p[j][1], p[j][0] - p[i][0]);
            let c = p[i][0] * p[j][1] - p[j][0] * p[i][1];
            [a / area, b / area, c / area]
        };
        let ys = p.map(|p| p[1]);
        Some(Self {
            weights: [edge(1, 2), edge(2, 0), edge(0, 1)],
            reach: [
                ys.into_iter().fold(f64::MAX, f64::min),
                ys.into_iter().fold(f64::MIN, f64::max),
            ],
        })
    }

    /// The plane a x + b y + c through values at the corners.
    fn mix(&self, values: [f64; 3]) -> [f64; 3] {
        [0, 1, 2].map(|k| self.weights.iter().zip(values).map(|(w, v)| w[k] * v).sum())
    }

    /// Calls `fill` with the row, first column and number of the samples whose middles are inside.
    fn spans(&self, columns: usize, rows: Range<usize>, mut fill: impl FnMut(usize, usize, usize)) {
        let [top, bottom] = self.reach;
        let first = from(top - 0.5).max(rows.start);
        let end = to(bottom - 0.5).min(rows.end);
        for row in first..end {
            let y = row as f64 + 0.5;
            let (mut low, mut high) = (0.5, columns as f64 - 0.5);
            for [a, b, c] in self.weights {
                let rest = b * y + c;
                if a > 0.0 {
                    low = f64::max(low, -rest / a);
                } else if a < 0.0 {
                    high = f64::min(high, -rest / a);
                } else if rest < 0.0 {
                    high = f64::NEG_INFINITY;
                }
            }
            if high < low {
                continue;
            }
            let (begin, end) = (from(low - 0.5), to(high - 0.5));
            if begin < end {
                fill(row, begin, end - begin);
            }
        }
    }
}

/// The least index from 0 that is not below `x`: `ceil` in fewer steps.
fn from(x: f64) -> usize {
    let whole = x as usize;
    whole.saturating_add(usize::from(x > whole as f64))
}

/// One more than the greatest index that is not above `x`, 0 for none: `floor` in fewer steps.
fn to(x: f64) -> usize {
    if x < 0.0 { 0 } else { (x as usize).saturating_add(1) }
}

/// The whole number below `x`: `floor` in fewer steps.
fn below(x: f64) -> i64 {
    let whole = x as i64;
    whole.saturating_sub(i64::from(x < whole as f64))
}

/// Value of a plane at the middle of a sample.
fn along([a, b, c]: [f64; 3], column: usize, row: usize) -> f64 {
    a * (column as f64 + 0.5) + b * (row as f64 + 0.5) + c
}

/// Light of 1 in the sample buffer; light up to 2 can be kept.
pub(crate) const LIGHT_ONE: f64 = 32_767.0;
/// Bits of light below a unit of the sample buffer: a row of 8,192 samples gathers a quarter of a
/// unit of rounding.
const LIGHT_BITS: u32 = 15;

/// Light, or a difference of lights, as a fixed-point number; a difference below 0 wraps round, and
/// back again when it is added.
fn fixed(light: f64) -> u32 {
    let scaled = light * LIGHT_ONE * f64::from(1_u32 << LIGHT_BITS);
    (scaled as i64) as u32
}

impl Layer {
    /// An empty layer of these rows of the window.
    pub(crate) fn new(window: &Window, rows: Range<usize>) -> Self {
        let depth = Depths::new(window, 0..0);
        let mut layer = Self { depth, paint: vec![], ink: vec![], touched: vec![] };
        layer.clear(rows);
        layer
    }

    /// Empties the layer and moves it to other rows of its window, in the memory that it has.
    pub(crate) fn clear(&mut self, rows: Range<usize>) {
        self.depth.clear(rows);
        let n = self.depth.values.len();
        self.paint.clear();
        self.paint.resize(n, 0);
        self.ink.clear();
        self.ink.resize(n, 0);
        self.touched.clear();
        self.touched.resize(self.depth.rows.len(), self.depth.columns..0);
    }

    /// Columns between which a row has anything at all.
    pub(crate) fn touched(&self, row: usize) -> Range<usize> {
        self.touched[row - self.depth.rows.start].clone()
    }

    fn touch(&mut self, row: usize, columns: Range<usize>) {
        let touched = &mut self.touched[row - self.depth.rows.start];
        *touched = touched.start.min(columns.start)..touched.end.max(columns.end);
    }

    /// Fills a face.
    pub(crate) fn fill(&mut self, &Lit { ref triangle, depth, light, shade }: &Lit) {
        let (step, depth_step) = (fixed(light[0]), depth[0] as f32);
        triangle.spans(self.depth.columns, self.depth.rows.clone(), |row, begin, count| {
            self.touch(row, begin..begin + count);
            let start = self.depth.at(begin, row);
            let depths = &mut self.depth.values[start..][..count];
            let paints = &mut self.paint[start..][..count];
            let (z, light) = (along(depth, begin, row) as f32, fixed(along(light, begin, row)));
            // No branch and no chain from sample to sample: the compiler takes several at once.
            for i in 0..count {
                let here = z + depth_step * (i as i32 as f32);
                let lit = light.wrapping_add(step.wrapping_mul(i as u32)) >> LIGHT_BITS;
                let near = u32::from(here > depths[i]).wrapping_neg();
                depths[i] = depths[i].max(here);
                paints[i] = near & (shade | lit) | !near & paints[i];
            }
        });
    }

    /// Draws a line of half width `half` where it is in view, on rows whose depth is known well
    /// enough: a layer that is not the whole window has a border of [`border`] rows that are not.
    pub(crate) fn ink(&mut self, line: &Line, half: f64, bias: f64, others: &[f32]) {
        let [p, q] = *line;
        let known = self.depth.known();
        if p[1].max(q[1]) < known[0] as f64 || p[1].min(q[1]) >= known[1] as f64 {
            return;
        }
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
        // Steps at which the line passes the known rows, and one more at either end.
        let pass = |y: f64| ((y - p[1]) / dy * steps).clamp(0.0, steps);
        let [from, to] = match known.map(|y| pass(y as f64)) {
            [a, b] if dy != 0.0 => [a.min(b) - 1.0, a.max(b) + 1.0],
            _ => [0.0, steps],
        };
        for k in from.floor().max(0.0) as u32..=to.ceil().min(steps) as u32 {
            let t = f64::from(k) / steps;
            let (x, y) = (p[0] + dx * t, p[1] + dy * t);
            let z = p[2] + (q[2] - p[2]) * t + bias;
            let (col, row) = (below(x), below(y));
            let is_known = (known[0]..known[1]).contains(&row);
            if !is_known || !self.depth.in_view(col, row, z, others) {
                continue;
            }
            for off in -reach..=reach {
                let (i, j) = if steep { (col + off, row) } else { (col, row + off) };
                let rows = self.depth.rows.start as i64..self.depth.rows.end as i64;
                if !(0..self.depth.columns as i64).contains(&i) || !rows.contains(&j) {
                    continue;
                }
                let away = if steep {
                    (i as f64 + 0.5 - x).abs() * slant
                } else {
                    (j as f64 + 0.5 - y).abs() * slant
                };
                let cover = ((half + 0.5 - away).clamp(0.0, 1.0) * 255.0) as u8;
                let at = self.depth.at(i as usize, j as usize);
                let spot = &mut self.ink[at];
                *spot = cover.max(*spot);
                self.touch(j as usize, i as usize..i as usize + 1);
            }
        }
    }
}
