//! Dimensioned orthographic views of a mesh.
//!
//! Method: the drawn edges ([`edges`](super::edges)) are projected and walked in steps; a step is in
//! view when no face that looks at the viewer lies nearer by more than a tolerance, as told by a
//! depth buffer of [`SAMPLES`] samples a side. Runs in view become lines. Dimension
//! lines follow ISO 129-1 in form: extension lines with a gap, a line with arrows, the text above it
//! (sizes from common practice, no source).
//!
//! Units: millimetres, y up; the part is drawn to a scale, dimensions and text as large as on paper. The hidden-line removal is sampled: an end of a line may be off
//! by one sample, and a part of an edge shorter than that may be missing.

use std::collections::BTreeMap;

use super::camera::Camera;
use super::drawing::{Anchor, Drawing, Figure, Layer};
use super::edges::{face_normals, faces, mesh_edges};
use super::samples::{Depths, Window};
use crate::mesh::{MeshFault, TriMesh};
use crate::units::{Angle, Length};

/// Samples a side of the depth buffer.
pub(crate) const SAMPLES: usize = 1000;

/// Runs of fewer samples are no lines.
const MIN_VISIBLE_SAMPLES: f64 = 3.0;
/// Height of dimension text, mm: capitals of about 9 points.
const TEXT_HEIGHT: f64 = 2.2;
/// The same in a drawing that is not a view of a part, and is read on a screen.
const FLAT_TEXT: f64 = 3.0;
/// Length of a dimension arrow, mm.
const ARROW: f64 = 2.5;
/// Gap between the part and an extension line, and its overhang past the dimension line, mm.
const GAP: f64 = 1.0;
/// Free border about everything, mm.
const BORDER: f64 = 3.0;
/// Width of an average character of such a label over the height of capitals: digits of a common
/// sans-serif are 0.87 wide, narrow letters, points and spaces less. By measuring, no source.
const ADVANCE: f64 = 0.75;

/// A dimension between two points of the part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Dimension {
    /// First point, in the mesh's coordinates, mm.
    pub from: [f64; 3],
    /// Second point.
    pub to: [f64; 3],
    /// What is written, such as `62.5` or `R 148`.
    pub label: String,
    /// Where the dimension line lies: at this distance on paper from the points, to the left of the
    /// way from the first to the second as seen in the view; negative to the right.
    pub offset: Length,
    /// Farther away by this length of the part, on the same side: past what reaches out beyond the
    /// points.
    pub beyond: Length,
}

/// Why there is no view.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum ViewError {
    /// The mesh is unusable.
    #[error("a view cannot be drawn: {0}")]
    Mesh(#[from] MeshFault),
    /// A dimension has a coordinate that is no number.
    #[error("dimension {number} has a coordinate that is no number")]
    Dimension {
        /// Which, from 1.
        number: usize,
    },
    /// The scale is no positive number.
    #[error("a view cannot be drawn to the scale {0}")]
    Scale(f64),
}

/// Draws the visible edges of a mesh as seen by the camera, with dimensions; a millimetre of the part
/// is `scale` millimetres long.
///
/// Dimensions whose two points fall together in this view are left out.
///
/// # Errors
/// [`ViewError`].
pub(crate) fn view(
    title: &str,
    mesh: &TriMesh,
    camera: &Camera,
    dimensions: &[Dimension],
    scale: f64,
) -> Result<Drawing, ViewError> {
    mesh.check()?;
    if !(scale.is_finite() && scale > 0.0) {
        return Err(ViewError::Scale(scale));
    }
    for (i, d) in dimensions.iter().enumerate() {
        let sound = |x: &f64| x.abs() <= crate::mesh::COORDINATE_LIMIT;
        let away = [d.offset.get(), d.beyond.get()];
        if !d.from.iter().chain(&d.to).chain(&away).all(sound) {
            return Err(ViewError::Dimension { number: i + 1 });
        }
    }
    let mut figures: Vec<(Layer, Figure)> = visible_lines(mesh, camera)
        .into_iter()
        .map(|points| points.map(|p| p.map(|x| x * scale)).to_vec())
        .map(|points| (Layer::Edge, Figure::Polyline { points, closed: false }))
        .collect();
    for d in dimensions {
        figures.extend(dimension(camera, d, scale, TEXT_HEIGHT));
    }
    Ok(on_sheet(title, figures))
}

/// Runs of edges that are in view, in projected millimetres.
fn visible_lines(mesh: &TriMesh, camera: &Camera) -> Vec<[[f64; 2]; 2]> {
    let normals = face_normals(mesh);
    let points: Vec<[f64; 3]> = mesh.vertices.iter().map(|p| camera.project(*p)).collect();
    let used = mesh.triangles.iter().flatten().map(|v| points[*v as usize]);
    let window = Window::about(used, SAMPLES, SAMPLES);
    let mut samples = Depths::new(&window, 0..window.rows);
    for (triangle, normal) in mesh.triangles.iter().zip(&normals) {
        if faces(*normal, camera.toward()) {
            samples.fill(triangle.map(|v| window.place(points[v as usize])));
        }
    }
    let in_view = |p: [f64; 3]| {
        let [x, y, z] = window.place(p);
        samples.in_view(x.floor() as i64, y.floor() as i64, z + window.bias, &[])
    };
    let pitch = 1.0 / window.scale;
    let mut lines = Vec::new();
    for edge in mesh_edges(mesh, &normals).iter().filter(|e| e.drawn(camera.toward())) {
        let [p, q] = edge.ends.map(|v| points[v as usize]);
        let at = |t: f64| [0, 1, 2].map(|k| p[k] + (q[k] - p[k]) * t);
        let length = libm::hypot(q[0] - p[0], q[1] - p[1]);
        if length < pitch * 1e-3 {
            continue;
        }
        let steps = (length / pitch).ceil().max(1.0);
        // A shorter run in view is the fringe of a hidden edge, unless it is the whole edge.
        let least = MIN_VISIBLE_SAMPLES.min(steps);
        let mut run = 0.0;
        let mut k = 0.0;
        while k <= steps {
            if k < steps && in_view(at((k + 0.5) / steps)) {
                run += 1.0;
            } else {
                if run >= least {
                    lines.push((at((k - run) / steps), at(k / steps)));
                }
                run = 0.0;
            }
            k += 1.0;
        }
    }
    merged(lines.into_iter().map(|(a, b)| [[a[0], a[1]], [b[0], b[1]]]), pitch)
}

/// Joins lines that lie on each other or meet end to end on one straight line, within `gap`: near
/// and far edges of a part fall together in a parallel view, and would be drawn twice.
fn merged(lines: impl Iterator<Item = [[f64; 2]; 2]>, gap: f64) -> Vec<[[f64; 2]; 2]> {
    /// Directions and distances from the origin are told apart in steps of this.
    const STEP: f64 = 1e-4;
    let key = |x: f64| (x / STEP).round() as i64;
    // By direction and distance from the origin: where on the straight line each piece lies.
    let mut rows: BTreeMap<[i64; 3], Vec<[f64; 2]>> = BTreeMap::new();
    let mut straight: BTreeMap<[i64; 3], [f64; 3]> = BTreeMap::new();
    for [p, q] in lines {
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let length = libm::hypot(dx, dy);
        if length <= 0.0 {
            continue;
        }
        let way = if dx < -STEP * length || (dx <= STEP * length && dy < 0.0) { -1.0 } else { 1.0 };
        let (ux, uy) = (way * dx / length, way * dy / length);
        let off = p[1] * ux - p[0] * uy;
        let k = [key(ux), key(uy), key(off)];
        let along = [p, q].map(|r| r[0] * ux + r[1] * uy);
        rows.entry(k).or_default().push([along[0].min(along[1]), along[0].max(along[1])]);
        straight.entry(k).or_insert([ux, uy, off]);
    }
    let mut out = Vec::new();
    for (k, mut pieces) in rows {
        let Some([ux, uy, off]) = straight.get(&k).copied() else { continue };
        pieces.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut joined: Vec<[f64; 2]> = Vec::new();
        for piece in pieces {
            match joined.last_mut() {
                Some(last) if piece[0] <= last[1] + gap => last[1] = last[1].max(piece[1]),
                _ => joined.push(piece),
            }
        }
        let point = |t: f64| [t * ux - off * uy, t * uy + off * ux];
        out.extend(joined.iter().map(|[a, b]| [point(*a), point(*b)]));
    }
    out
}

/// Figures of a dimension between two points of a flat drawing; the line lies `offset` to the left of
/// the way from one to the other.
pub(crate) fn flat_dimension(
    from: [f64; 2],
    to: [f64; 2],
    offset: Length,
    label: &str,
) -> Vec<(Layer, Figure)> {
    let [from, to] = [from, to].map(|[x, y]| [x, y, 0.0]);
    let (label, beyond) = (label.to_owned(), Length::ZERO);
    dimension(&Camera::TOP, &Dimension { from, to, label, offset, beyond }, 1.0, FLAT_TEXT)
}

/// Figures of a dimension in projected millimetres on paper.
fn dimension(camera: &Camera, d: &Dimension, scale: f64, height: f64) -> Vec<(Layer, Figure)> {
    let [a, b] = [d.from, d.to].map(|p| camera.project(p).map(|x| x * scale));
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = libm::hypot(dx, dy);
    if length < 1e-6 {
        return Vec::new();
    }
    let (ux, uy) = (dx / length, dy / length);
    let (nx, ny) = (-uy, ux); // to the left of the way
    let side = if d.offset < Length::ZERO { -1.0 } else { 1.0 };
    let off = d.offset.get() + side * d.beyond.get() * scale;
    let put = |p: [f64; 3], along: f64, away: f64| {
        [p[0] + ux * along + nx * away, p[1] + uy * along + ny * away]
    };
    let mut out = Vec::new();
    let mut line = |points: Vec<[f64; 2]>| {
        out.push((Layer::Dimension, Figure::Polyline { points, closed: false }));
    };
    if off.abs() > 2.0 * GAP {
        for p in [a, b] {
            line(vec![put(p, 0.0, side * GAP), put(p, 0.0, off + side * GAP)]);
        }
    }
    // Short dimensions get their arrows from outside.
    let outside = length < 3.0 * ARROW;
    let (tip, tail) = if outside { (-1.0, 2.0 * ARROW) } else { (1.0, 0.0) };
    line(vec![put(a, -tail, off), put(b, tail, off)]);
    for (p, way) in [(a, tip), (b, -tip)] {
        let barb = ARROW * 0.25;
        line(vec![
            put(p, way * ARROW, off + barb),
            put(p, 0.0, off),
            put(p, way * ARROW, off - barb),
        ]);
    }
    // Text reads from the bottom or the right of the sheet.
    let mut turn = libm::atan2(uy, ux);
    let mut above = 1.0;
    if ux < -1e-9 || (ux.abs() <= 1e-9 && uy < 0.0) {
        turn += std::f64::consts::PI;
        above = -1.0;
    }
    // Above the line, or where it is too short for that, beside its end.
    let (at, anchor) = if label_width(&d.label, height) <= length {
        let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0, 0.0];
        (put(middle, 0.0, off + above * 0.8), Anchor::Middle)
    } else {
        let end = if above < 0.0 { a } else { b };
        (put(end, above * (tail + GAP), off - above * height / 2.0), Anchor::Start)
    };
    let (turn, text) = (Angle::radians(turn), d.label.clone());
    out.push((Layer::Dimension, Figure::Text { at, height, anchor, turn, text }));
    out
}

/// About how wide a text is.
fn label_width(text: &str, height: f64) -> f64 {
    text.chars().count() as f64 * height * ADVANCE
}

/// Moves the figures onto a sheet that just holds them.
fn on_sheet(title: &str, figures: Vec<(Layer, Figure)>) -> Drawing {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    let mut reach = |p: [f64; 2], by: [f64; 2]| {
        for k in 0..2 {
            low[k] = low[k].min(p[k] - by[k]);
            high[k] = high[k].max(p[k] + by[k]);
        }
    };
    for (_, figure) in &figures {
        match figure {
            Figure::Polyline { points, .. } => points.iter().for_each(|p| reach(*p, [0.0; 2])),
            Figure::Text { at, height, anchor, turn, text } => {
                let half = label_width(text, *height) / 2.0;
                let (s, c) = (turn.sin(), turn.cos());
                let ahead = match anchor {
                    Anchor::Start => half,
                    Anchor::Middle => 0.0,
                    Anchor::End => -half,
                };
                let middle = [at[0] + ahead * c, at[1] + ahead * s];
                let (s, c) = (s.abs(), c.abs());
                reach(middle, [half * c + height * s, half * s + height * c]);
            }
            Figure::Circle { centre, radius } | Figure::Arc { centre, radius, .. } => {
                reach(*centre, [*radius; 2]);
            }
        }
    }
    if !low[0].is_finite() {
        (low, high) = ([0.0; 2], [1.0; 2]);
    }
    let size = [0, 1].map(|k| Length::mm(high[k] - low[k] + 2.0 * BORDER));
    let mut drawing = Drawing::new(title, size[0], size[1]);
    let shift = |p: [f64; 2]| [p[0] - low[0] + BORDER, p[1] - low[1] + BORDER];
    for (layer, figure) in figures {
        let figure = match figure {
            Figure::Polyline { points, closed } => {
                Figure::Polyline { points: points.into_iter().map(shift).collect(), closed }
            }
            Figure::Circle { centre, radius } => Figure::Circle { centre: shift(centre), radius },
            Figure::Arc { centre, radius, from, to } => {
                Figure::Arc { centre: shift(centre), radius, from, to }
            }
            Figure::Text { at, height, anchor, turn, text } => {
                Figure::Text { at: shift(at), height, anchor, turn, text }
            }
        };
        drawing.add(layer, figure);
    }
    drawing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::svg::svg;
    use crate::mesh::shapes::{cuboid, moved, together, tube};

    fn edge_length(d: &Drawing) -> f64 {
        d.figures()
            .iter()
            .filter(|f| f.0 == Layer::Edge)
            .map(|f| match &f.1 {
                Figure::Polyline { points, .. } => {
                    libm::hypot(points[1][0] - points[0][0], points[1][1] - points[0][1])
                }
                _ => 0.0,
            })
            .sum()
    }

    #[test]
    fn a_box_shows_its_outline_in_each_view() {
        // Perimeter of the face that is seen.
        let mesh = cuboid([30.0, 20.0, 10.0]);
        for (camera, want) in [(Camera::FRONT, 80.0), (Camera::SIDE, 60.0), (Camera::TOP, 100.0)] {
            let got = edge_length(&view("box", &mesh, &camera, &[], 1.0).unwrap());
            assert!((got - want).abs() < 1e-6, "{got} {want}");
        }
    }

    #[test]
    fn a_hidden_body_leaves_no_line_and_a_half_hidden_one_half() {
        let plate = moved(&cuboid([40.0, 2.0, 40.0]), [0.0, 20.0, 0.0]);
        let behind = moved(&cuboid([10.0, 2.0, 10.0]), [15.0, 0.0, 15.0]);
        let hidden = view("x", &together(&plate, &behind), &Camera::FRONT, &[], 1.0).unwrap();
        assert!((edge_length(&hidden) - 160.0).abs() < 1e-6);
        // Reaching out to the side by half: 5 + 10 + 5 mm more are in view.
        let beside = moved(&cuboid([10.0, 2.0, 10.0]), [35.0, 0.0, 15.0]);
        let half = view("x", &together(&plate, &beside), &Camera::FRONT, &[], 1.0).unwrap();
        let pitch = 45.0 / SAMPLES as f64;
        let got = edge_length(&half);
        assert!((got - 180.0).abs() < 8.0 * pitch, "{got}");
    }

    #[test]
    fn a_tube_from_above_is_two_circles() {
        let got = edge_length(
            &view("tube", &tube(10.0, 20.0, 30.0, 64), &Camera::TOP, &[], 1.0).unwrap(),
        );
        // Perimeter of a regular n-gon: 2 n r sin(pi / n).
        let n = 64.0;
        let want = 2.0 * n * 30.0 * libm::sin(std::f64::consts::PI / n);
        assert!((got - want).abs() < 0.01 * want, "{got} {want}");
    }

    #[test]
    fn edges_that_fall_together_are_drawn_once() {
        // From the front a tube is a rectangle, whichever of its rims and seams are in view.
        let mesh = tube(10.0, 20.0, 30.0, 64);
        let d = view("tube", &mesh, &Camera::FRONT, &[], 1.0).unwrap();
        assert!((edge_length(&d) - 140.0).abs() < 0.1, "{}", edge_length(&d));
        assert_eq!(d.figures().len(), 4);
    }

    #[test]
    fn dimensions_lie_where_they_should() {
        let mesh = cuboid([30.0, 20.0, 10.0]);
        let width = Dimension {
            from: [0.0, 0.0, 0.0],
            to: [30.0, 0.0, 0.0],
            label: "30 <&".into(),
            offset: Length::mm(-8.0),
            beyond: Length::ZERO,
        };
        let d = view("box", &mesh, &Camera::TOP, std::slice::from_ref(&width), 1.0).unwrap();
        let text = d.figures().iter().find_map(|f| match &f.1 {
            Figure::Text { at, turn, .. } => Some((*at, *turn)),
            _ => None,
        });
        let ((at, turn), edges) = (text.unwrap(), edge_length(&d));
        assert_eq!((turn.deg(), edges), (0.0, 100.0));
        let low = d
            .figures()
            .iter()
            .filter(|f| f.0 == Layer::Edge)
            .flat_map(|f| match &f.1 {
                Figure::Polyline { points, .. } => points.clone(),
                _ => vec![],
            })
            .fold(f64::MAX, |m, p| m.min(p[1]));
        assert!((low - at[1] - (8.0 - 0.8)).abs() < 1e-9, "8 mm below the edge: {low} {at:?}");
        assert!(roxmltree::Document::parse(&svg(&d).unwrap()).is_ok());
        // Seen end on, there is nothing to dimension.
        let end = view("box", &mesh, &Camera::SIDE, std::slice::from_ref(&width), 1.0).unwrap();
        assert!(end.figures().iter().all(|f| f.0 == Layer::Edge));
        let bad = Dimension { offset: Length::mm(f64::NAN), ..width };
        let bad = view("box", &mesh, &Camera::SIDE, &[bad], 1.0);
        assert_eq!(bad, Err(ViewError::Dimension { number: 1 }));
    }

    #[test]
    fn a_scale_makes_the_part_smaller_and_leaves_text_and_distances() {
        let mesh = cuboid([30.0, 20.0, 10.0]);
        let width = Dimension {
            from: [0.0, 0.0, 0.0],
            to: [30.0, 0.0, 0.0],
            label: "30".into(),
            offset: Length::mm(-8.0),
            beyond: Length::mm(4.0),
        };
        let draw = |scale| view("box", &mesh, &Camera::TOP, std::slice::from_ref(&width), scale);
        let half = draw(0.5).unwrap();
        assert!((edge_length(&half) - 50.0).abs() < 1e-6);
        let text = half.figures().iter().find_map(|f| match &f.1 {
            Figure::Text { at, height, .. } => Some((at[1], *height)),
            _ => None,
        });
        let (at, height) = text.unwrap();
        let low = half.figures().iter().filter(|f| f.0 == Layer::Edge);
        let low = low.filter_map(|f| match &f.1 {
            Figure::Polyline { points, .. } => {
                Some(points.iter().map(|p| p[1]).fold(f64::MAX, f64::min))
            }
            _ => None,
        });
        // 8 mm on paper and 4 mm of the part, less the gap under the text.
        let low = low.fold(f64::MAX, f64::min);
        assert!((low - at - (8.0 + 2.0 - 0.8)).abs() < 1e-9, "{low} {at}");
        assert_eq!(height, TEXT_HEIGHT);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(draw(bad), Err(ViewError::Scale(_))));
        }
    }
}
