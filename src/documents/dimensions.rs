//! Dimensioned views: the half dozen dimensions by which a person checks a print with calipers.
//!
//! Each part gets three orthographic views side by side at 1:1, and lines of text for what no view
//! shows well. Dimensions are taken from the plan, never measured off the mesh.

use super::scene::Stock;

use super::{DocumentError, Subject};
use crate::export::camera::Camera;
use crate::export::drawing::{Anchor, Drawing, Layer};
use crate::export::views::{Dimension, view};
use crate::mesh::TriMesh;
use crate::plan::enclosure::{Enclosure, site_pose};
use crate::plan::rail::Rail;
use crate::plan::saddle::Saddle;
use crate::plan::yoke::Yoke;
use crate::produce::part_name;
use crate::units::{Length, trimmed};

/// From a part to its dimension lines, mm.
const AWAY: f64 = 9.0;
/// Between views, and round everything, mm.
const BETWEEN: f64 = 10.0;
/// Room for the notes, mm.
const NOTE_WIDTH: f64 = 120.0;
/// Height of text and of its lines, mm.
const TEXT: [f64; 2] = [3.2, 5.6];

/// Views of one part, still to be drawn.
#[derive(Debug)]
pub struct Views<'a> {
    name: String,
    mesh: std::borrow::Cow<'a, TriMesh>,
    views: Vec<(&'static str, Camera, Vec<Dimension>)>,
    notes: Vec<String>,
}

impl Views<'_> {
    /// File stem of the part.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// All views on one sheet.
    ///
    /// # Errors
    /// [`DocumentError`] when a view cannot be drawn.
    pub fn draw(&self) -> Result<Drawing, DocumentError> {
        let fault = DocumentError::at(&self.name);
        let drawn = self.views.iter().map(|(title, camera, dimensions)| {
            view(title, &self.mesh, camera, dimensions).map_err(|e| fault(&e))
        });
        let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
        let [text, line] = TEXT;
        // Two views above; a third below the first, and the notes beside it.
        let of = |i: usize| drawn.get(i).map_or([0.0; 2], Drawing::size);
        let [left, right, low] = [of(0), of(1), of(2)];
        let notes = [NOTE_WIDTH, line * (self.notes.len() + 2) as f64];
        let beside = left[0].max(low[0]) + 2.0 * BETWEEN;
        let foot = BETWEEN + low[1].max(notes[1]) + line;
        let upper = left[1].max(right[1]);
        let width = beside + right[0].max(notes[0]) + BETWEEN;
        let height = foot + BETWEEN + upper + line + BETWEEN;
        let mut sheet = Drawing::new(&self.name, Length::mm(width), Length::mm(height));
        let places = [
            [BETWEEN, foot + BETWEEN + (upper - left[1]) / 2.0],
            [beside, foot + BETWEEN + (upper - right[1]) / 2.0],
            [BETWEEN, BETWEEN],
        ];
        for (one, [x, y]) in drawn.iter().zip(places) {
            let [w, h] = one.size();
            sheet.place(one, [x, y]);
            sheet.text(Layer::Note, [x + w / 2.0, y + h + 1.0], text, Anchor::Middle, one.title());
        }
        let lines = std::iter::once(&self.name).chain(&self.notes);
        for (i, note) in lines.enumerate() {
            let y = foot - line * (i + 2) as f64;
            sheet.text(Layer::Note, [beside, y], text, Anchor::Start, note);
        }
        Ok(sheet)
    }
}

/// Views of every part that depends on a trunk, and of the box.
#[must_use]
pub fn all<'a>(subject: &Subject<'_>, stock: &'a Stock) -> Vec<Views<'a>> {
    let plan = subject.plan;
    let mut all = Vec::new();
    for class in &plan.cradles {
        let name = part_name("cradle", &class.class);
        all.extend(stock.get(&name).map(|m| cradle(name.clone(), m, &class.saddle, &plan.yoke)));
    }
    for class in &plan.rails {
        let name = part_name("rail", &class.class);
        all.extend(stock.get(&name).map(|m| rail(name.clone(), m, &class.rail)));
    }
    if let Some(enclosure) = &plan.enclosure {
        all.extend(stock.get("box-body").map(|m| body(m, enclosure)));
        all.extend(stock.get("box-lid").map(|m| lid(m, enclosure)));
    }
    all.retain(|views| !subject.bars(views.name()));
    all
}

/// A dimension; the line lies `off` to the left of the way from one point to the other.
fn between(from: [Length; 3], to: [Length; 3], off: f64, what: &str) -> Dimension {
    let [a, b] = [from, to].map(|p| p.map(Length::get));
    let d: f64 = (0..3).map(|k| (b[k] - a[k]) * (b[k] - a[k])).sum();
    let number = trimmed(d.sqrt(), 1);
    let label = if what.is_empty() { number } else { format!("{what} {number}") };
    Dimension { from: a, to: b, label, offset: Length::mm(off) }
}

/// Width under the front view, height at its right.
fn front_size(half_width: Length, y: Length, z: [Length; 2]) -> Vec<Dimension> {
    vec![
        between([half_width, y, z[0]], [-half_width, y, z[0]], -AWAY, ""),
        between([-half_width, y, z[0]], [-half_width, y, z[1]], -AWAY, ""),
    ]
}

/// Pad and curve, seen from above.
fn pad(saddle: &Saddle) -> Dimension {
    let y = saddle.horn_y();
    let [left, right] = [-1.0, 1.0].map(|s| [saddle.pad_half_width * s, y, Length::ZERO]);
    between(left, right, -AWAY, "pad")
}

/// What no view of a saddle shows well.
fn saddle_notes(saddle: &Saddle) -> Vec<String> {
    let mm = |l: Length| trimmed(l.get(), 1);
    let [length, height] = saddle.pad_size();
    let [inner, outer] = saddle.passage_y;
    let tall = saddle.passages.first().map_or(Length::ZERO, |p| p[1] - p[0]);
    vec![
        format!(
            "face radius {}, pad seat {} x {} along the curve",
            mm(saddle.face_radius),
            mm(length),
            mm(height)
        ),
        format!(
            "strap passages {} x {}, web behind {}, in front {}",
            mm(tall),
            mm(outer - inner),
            mm(saddle.back_web()),
            mm(saddle.front_web())
        ),
    ]
}

fn cradle<'a>(name: String, mesh: &'a TriMesh, saddle: &Saddle, yoke: &Yoke) -> Views<'a> {
    let zero = Length::ZERO;
    let half = saddle.half_width.max(saddle.front_half_width);
    let (front, top) = (saddle.front_y, saddle.height);
    let pivot = front + yoke.reach;
    let tip = pivot + yoke.end_radius;
    let mut front_view = front_size(half, front, [zero, top]);
    let inner = yoke.gap / 2.0;
    front_view.push(between([inner, tip, top], [-inner, tip, top], AWAY, "gap"));
    let over = (top - yoke.pivot_z).max(yoke.end_radius).get() + AWAY;
    let side_view = vec![
        between([zero, front, yoke.pivot_z], [zero, pivot, yoke.pivot_z], over, "reach"),
        between([zero, tip, zero], [zero, tip, yoke.pivot_z], -AWAY, "pivot"),
        between([zero, saddle.horn_y(), zero], [zero, tip, zero], -AWAY, ""),
    ];
    let ear = [[inner, tip, top], [yoke.outside(), tip, top]];
    let top_view = vec![pad(saddle), between(ear[0], ear[1], AWAY, "ear")];
    let mut notes = saddle_notes(saddle);
    let hole = trimmed(yoke.pivot_hole.get(), 1);
    notes.push(match yoke.lock {
        Some(lock) => format!(
            "pivot hole {hole} for {}, lock slot {} wide at radius {}",
            yoke.thread,
            trimmed(lock.slot.get(), 1),
            trimmed(lock.radius.get(), 1)
        ),
        None => format!("pivot hole {hole} for {}", yoke.thread),
    });
    Views {
        name,
        mesh: std::borrow::Cow::Borrowed(mesh),
        views: three(front_view, side_view, top_view),
        notes,
    }
}

fn three(
    front: Vec<Dimension>,
    side: Vec<Dimension>,
    top: Vec<Dimension>,
) -> Vec<(&'static str, Camera, Vec<Dimension>)> {
    vec![("front", Camera::FRONT, front), ("side", Camera::SIDE, side), ("top", Camera::TOP, top)]
}

fn rail<'a>(name: String, mesh: &'a TriMesh, rail: &Rail) -> Views<'a> {
    let saddle = &rail.saddle;
    let (zero, front, top) = (Length::ZERO, saddle.front_y, saddle.height);
    let half = saddle.half_width.max(saddle.front_half_width);
    let mut front_view = front_size(half, front, [zero, top]);
    let at = |s: f64| [rail.screw_x * s, front, top / 2.0];
    front_view.push(between(at(1.0), at(-1.0), top.get() / 2.0 + AWAY, "screws"));
    let side_view = vec![between([zero, saddle.horn_y(), zero], [zero, front, zero], -AWAY, "")];
    let flange = saddle.flange_y.unwrap_or(saddle.passage_y[1]);
    let end = saddle.front_half_width;
    let top_view =
        vec![pad(saddle), between([end, flange, top], [end, front, top], -AWAY, "flange")];
    let mut notes = saddle_notes(saddle);
    notes.push(format!("screw holes {}", trimmed(rail.hole.get(), 1)));
    Views {
        name,
        mesh: std::borrow::Cow::Borrowed(mesh),
        views: three(front_view, side_view, top_view),
        notes,
    }
}

/// The box as it hangs: front, side, back.
fn body<'a>(mesh: &TriMesh, plan: &Enclosure) -> Views<'a> {
    let rim = &plan.flange.rim;
    let (zero, deep) = (Length::ZERO, plan.depth);
    // In site axes box X runs to -X.
    let [x, y] = rim.center;
    let [w, h] = rim.half;
    let (left, right) = (w - x, -w - x);
    let front = vec![
        between([left, deep, y - h], [right, deep, y - h], -AWAY, ""),
        between([right, deep, y - h], [right, deep, y + h], -AWAY, ""),
        between(
            [plan.cavity.half[0] - plan.cavity.center[0], deep, y + h],
            [-plan.cavity.half[0] - plan.cavity.center[0], deep, y + h],
            AWAY,
            "inside",
        ),
    ];
    let side = vec![between([zero, zero, y - h], [zero, deep, y - h], -AWAY, "")];
    let [low, high] = plan.rail_rows_y;
    let s = plan.rail_screw_x;
    // Seen from behind, +X is at the right.
    let back = vec![
        between([-s, zero, low], [s, zero, low], -((low - y + h).get() + AWAY), "screws"),
        between([s, zero, low], [s, zero, high], -((w - x - s).get() + AWAY), "rows"),
    ];
    let mm = |l: Length| trimmed(l.get(), 2);
    let section = &plan.groove.section;
    let notes = vec![
        format!("walls {}, back {}", mm(plan.wall), mm(plan.floor)),
        format!(
            "groove {} wide, {} deep, for cord {}",
            mm(section.width),
            mm(section.depth),
            mm(section.cord)
        ),
        format!(
            "{} lid screws {}, insert holes {} x {}",
            plan.screws.points.len(),
            plan.screws.thread,
            mm(plan.screws.bore),
            mm(plan.screws.bore_depth)
        ),
    ];
    let views = vec![
        ("front", Camera::FRONT, front),
        ("side", Camera::SIDE, side),
        ("back", Camera::BACK, back),
    ];
    let mesh = std::borrow::Cow::Owned(mesh.posed(&site_pose()));
    Views { name: "box-body".into(), mesh, views, notes }
}

/// The lid as it hangs: front and side.
fn lid<'a>(mesh: &TriMesh, plan: &Enclosure) -> Views<'a> {
    let rim = &plan.flange.rim;
    let (zero, thick) = (Length::ZERO, plan.lid.thickness);
    let [x, y] = rim.center;
    let [w, h] = rim.half;
    let mut front = vec![
        between([w - x, thick, y - h], [-w - x, thick, y - h], -AWAY, ""),
        between([-w - x, thick, y - h], [-w - x, thick, y + h], -AWAY, ""),
    ];
    // Two neighbours on one level: the lowest such pair.
    let level =
        plan.screws.points.windows(2).filter(|w| (w[0][1] - w[1][1]).abs() < Length::mm(0.01));
    if let Some([a, b]) = level.min_by(|a, b| a[0][1].get().total_cmp(&b[0][1].get())) {
        let at = |p: &[Length; 2]| [-p[0], thick, p[1]];
        front.push(between(at(a), at(b), AWAY, "pitch"));
    }
    let side = vec![between([zero, zero, y - h], [zero, thick, y - h], -AWAY, "")];
    let mm = |l: Length| trimmed(l.get(), 2);
    let notes = vec![
        format!(
            "{} screw holes {}, counterbore {} x {} deep",
            plan.screws.points.len(),
            mm(plan.lid.hole),
            mm(plan.lid.counterbore),
            mm(plan.lid.counterbore_depth)
        ),
        format!("{} thick over the land, {} in the middle", mm(thick), mm(plan.lid.panel)),
    ];
    let views = vec![("front", Camera::FRONT, front), ("side", Camera::SIDE, side)];
    let mesh = std::borrow::Cow::Owned(mesh.posed(&site_pose()));
    Views { name: "box-lid".into(), mesh, views, notes }
}
