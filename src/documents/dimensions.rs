//! Dimensioned views: the half dozen dimensions by which a person checks a print with calipers.
//!
//! Each part gets two or three orthographic views side by side on a page, to the scale that fits, and
//! lines of text for what no view shows well. Text is as large on every page. Dimensions are taken
//! from the plan, never measured off the mesh.

use super::{DocumentError, Subject};
use crate::design::cradle::yoke::Yoke;
use crate::design::enclosure::{Enclosure, site_pose};
use crate::design::part::PartId;
use crate::design::rail::Rail;
use crate::design::saddle::Saddle;
use crate::design::tilt_plate::TiltPlate;
use crate::formats::camera::Camera;
use crate::formats::drawing::{Anchor, Drawing, Layer};
use crate::formats::views::{Dimension, view};
use crate::mesh::TriMesh;
use crate::units::{Length, trimmed};

/// From a part to its dimension lines on paper, mm.
const AWAY: f64 = 6.0;
/// Between views, mm.
const BETWEEN: f64 = 4.0;
/// The sheet: a page is so wide between its margins, and holds two or three drawings, mm.
const SHEET: [f64; 2] = [182.0, 105.0];
/// What dimensions and borders take about a view, across and up, mm.
const VIEW_BORDER: [f64; 2] = [14.0, 22.0];
/// Height of text and of its lines, mm.
const TEXT_HEIGHT: [f64; 2] = [2.4, 4.4];

/// Views of one part, still to be drawn.
#[derive(Debug, PartialEq)]
pub(crate) struct Views {
    part: PartId,
    mesh: TriMesh,
    views: Vec<(&'static str, Camera, Vec<Dimension>)>,
    notes: Vec<String>,
}

impl Views {
    /// File stem of the part.
    #[must_use]
    pub(crate) fn part(&self) -> &PartId {
        &self.part
    }

    /// From where it is seen, in words.
    #[must_use]
    pub(crate) fn sides(&self) -> String {
        self.views.iter().map(|(title, ..)| *title).collect::<Vec<_>>().join(", ")
    }

    /// All views on one sheet.
    ///
    /// # Errors
    /// [`DocumentError`] when a view cannot be drawn.
    pub(crate) fn draw(&self) -> Result<Drawing, DocumentError> {
        let name = self.part.to_string();
        let fault = DocumentError::at(&name);
        let scale = self.scale();
        let drawn = self.views.iter().map(|(title, camera, dimensions)| {
            view(title, &self.mesh, camera, dimensions, scale).map_err(|e| fault(&e))
        });
        let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
        let [text, line] = TEXT_HEIGHT;
        let foot = line * (self.notes.len() + 2) as f64;
        let high = drawn.iter().map(|d| d.size()[1]).fold(0.0, f64::max);
        let taken: f64 = drawn.iter().map(|d| d.size()[0]).sum();
        let gaps = drawn.len().saturating_sub(1) as f64;
        // What is left of the page's width goes between the views.
        let between = ((SHEET[0] - taken) / (gaps + 2.0)).max(BETWEEN);
        let width = taken + between * (gaps + 2.0);
        let height = foot + high + 2.0 * line;
        let mut sheet = Drawing::new(&name, Length::mm(width), Length::mm(height));
        let mut x = between;
        for one in &drawn {
            let [w, h] = one.size();
            sheet.place(one, [x, foot]);
            let at = [x + w / 2.0, foot + h + 1.0];
            sheet.text(Layer::Note, at, text, Anchor::Middle, one.title());
            x += w + between;
        }
        let lines = std::iter::once(&name).chain(&self.notes);
        for (i, note) in lines.enumerate() {
            let at = [BETWEEN, foot - line * (i + 1) as f64];
            sheet.text(Layer::Note, at, text, Anchor::Start, note);
        }
        Ok(sheet)
    }

    /// The largest scale, up to 1, at which all views stand side by side on the page.
    fn scale(&self) -> f64 {
        let (mut wide, mut tall) = (0.0, 0.0_f64);
        for (_, camera, _) in &self.views {
            let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
            for point in &self.mesh.vertices {
                let [x, y, _] = camera.project(*point);
                low = [low[0].min(x), low[1].min(y)];
                high = [high[0].max(x), high[1].max(y)];
            }
            wide += high[0] - low[0];
            tall = tall.max(high[1] - low[1]);
        }
        let count = self.views.len() as f64;
        let across = (SHEET[0] - count * VIEW_BORDER[0] - (count + 1.0) * BETWEEN) / wide;
        let up =
            (SHEET[1] - VIEW_BORDER[1] - TEXT_HEIGHT[1] * (self.notes.len() + 2) as f64) / tall;
        across.min(up).clamp(SMALLEST, 1.0)
    }
}

/// Scale below which a view is not drawn, however large the part.
const SMALLEST: f64 = 0.05;

/// Views of every part that depends on a trunk, and of the box.
#[must_use]
pub(crate) fn all(subject: &Subject<'_>) -> Vec<Views> {
    let plan = subject.plan;
    // As finely meshed as for printing: a curve is to look like one.
    let mesh = |part: &PartId| {
        let made = subject.made.iter().find(|m| m.id() == part)?;
        Some(made.mesh.posed(&made.spec.part.print.inverse()))
    };
    let mut all = Vec::new();
    for class in &plan.cradles {
        let part = class.id();
        all.extend(
            mesh(&part).map(|m| cradle(part, m, &class.saddle, &plan.yoke.on(class.saddle.height))),
        );
    }
    if let Some(plate) = &plan.yoke.plate {
        all.extend(mesh(&PartId::TiltPlate).map(|m| tilt_plate(m, plate, &plan.yoke)));
    }
    for class in &plan.rails {
        let part = class.id();
        all.extend(mesh(&part).map(|m| rail(part, m, &class.rail)));
    }
    if let Some(enclosure) = &plan.enclosure {
        all.extend(mesh(&PartId::BoxBody).map(|m| body(&m, enclosure)));
        all.extend(mesh(&PartId::BoxLid).map(|m| lid(&m, enclosure)));
    }
    all.retain(|views| !subject.blocks(views.part()));
    all
}

/// On which side of the way from one point to the other a dimension's line lies, past so much of the
/// part.
#[derive(Debug, Clone, Copy)]
enum Side {
    Left(Length),
    Right(Length),
}

const LEFT: Side = Side::Left(Length::ZERO);
const RIGHT: Side = Side::Right(Length::ZERO);

/// A dimension between two points.
fn between(from: [Length; 3], to: [Length; 3], side: Side, what: &str) -> Dimension {
    let [a, b] = [from, to].map(|p| p.map(Length::get));
    let d: f64 = (0..3).map(|k| (b[k] - a[k]) * (b[k] - a[k])).sum();
    let number = trimmed(d.sqrt(), 1);
    let label = if what.is_empty() { number } else { format!("{what} {number}") };
    let (away, beyond) = match side {
        Side::Left(beyond) => (AWAY, beyond),
        Side::Right(beyond) => (-AWAY, beyond),
    };
    Dimension { from: a, to: b, label, offset: Length::mm(away), beyond }
}

/// Width under the front view, height at its right.
fn front_size(half_width: Length, y: Length, z: [Length; 2]) -> Vec<Dimension> {
    vec![
        between([half_width, y, z[0]], [-half_width, y, z[0]], RIGHT, ""),
        between([-half_width, y, z[0]], [-half_width, y, z[1]], RIGHT, ""),
    ]
}

/// Pad and curve, seen from above.
fn pad(saddle: &Saddle) -> Dimension {
    let y = saddle.horn_y();
    let [left, right] = [-1.0, 1.0].map(|s| [saddle.pad_half_width * s, y, Length::ZERO]);
    between(left, right, RIGHT, "pad")
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

fn cradle(part: PartId, mesh: TriMesh, saddle: &Saddle, yoke: &Yoke) -> Views {
    let zero = Length::ZERO;
    let half = saddle.half_width.max(saddle.front_half_width);
    let (front, top) = (saddle.front_y, saddle.height);
    let pivot = front + yoke.reach;
    let tip = pivot + yoke.end_radius;
    let mut front_view = front_size(half, front, [zero, top]);
    let inner = yoke.gap / 2.0;
    front_view.push(between([inner, tip, top], [-inner, tip, top], LEFT, "gap"));
    let over = Side::Left((top - yoke.pivot_z).max(yoke.end_radius));
    let side_view = vec![
        between([zero, front, yoke.pivot_z], [zero, pivot, yoke.pivot_z], over, "reach"),
        between([zero, tip, zero], [zero, tip, yoke.pivot_z], RIGHT, ""),
        between([zero, saddle.horn_y(), zero], [zero, tip, zero], RIGHT, ""),
    ];
    let ear = [[inner, tip, top], [yoke.outside(), tip, top]];
    let top_view = vec![pad(saddle), between(ear[0], ear[1], LEFT, "ear")];
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
    Views { part, mesh, views: three(front_view, side_view, top_view), notes }
}

/// The tilt plate in its own axes: from behind, where the lugs are, and from the side.
fn tilt_plate(mesh: TriMesh, plate: &TiltPlate, yoke: &Yoke) -> Views {
    let zero = Length::ZERO;
    let [w, h] = plate.half;
    let [inner, outer] = plate.lug_x;
    let pivot = plate.thickness + plate.pivot;
    let back = vec![
        between([-w, -h, zero], [w, -h, zero], RIGHT, ""),
        between([w, -h, zero], [w, h, zero], RIGHT, ""),
        between([-outer, h, zero], [outer, h, zero], LEFT, "over lugs"),
    ];
    let side = vec![
        between([outer, h, zero], [outer, h, pivot], RIGHT, "pivot"),
        between([outer, -h, zero], [outer, -h, plate.thickness], LEFT, ""),
    ];
    let mm = |l: Length| trimmed(l.get(), 1);
    let notes = vec![
        format!("{} holes {} for the lamp's bolts", plate.holes.len(), mm(plate.hole)),
        format!(
            "lugs {} thick, pivot and lock holes {} for {}",
            mm(outer - inner),
            mm(yoke.pivot_hole),
            yoke.thread
        ),
    ];
    let views = vec![("back", Camera::TOP, back), ("side", Camera::SIDE, side)];
    Views { part: PartId::TiltPlate, mesh, views, notes }
}

fn three(
    front: Vec<Dimension>,
    side: Vec<Dimension>,
    top: Vec<Dimension>,
) -> Vec<(&'static str, Camera, Vec<Dimension>)> {
    vec![("front", Camera::FRONT, front), ("side", Camera::SIDE, side), ("top", Camera::TOP, top)]
}

fn rail(part: PartId, mesh: TriMesh, rail: &Rail) -> Views {
    let saddle = &rail.saddle;
    let (zero, front, top) = (Length::ZERO, saddle.front_y, saddle.height);
    let half = saddle.half_width.max(saddle.front_half_width);
    let mut front_view = front_size(half, front, [zero, top]);
    let at = |s: f64| [rail.screw_x * s, front, top / 2.0];
    front_view.push(between(at(1.0), at(-1.0), Side::Left(top / 2.0), "screws"));
    let side_view = vec![between([zero, saddle.horn_y(), zero], [zero, front, zero], RIGHT, "")];
    let flange = saddle.flange_y.unwrap_or(saddle.passage_y[1]);
    let end = saddle.front_half_width;
    let top_view =
        vec![pad(saddle), between([end, flange, top], [end, front, top], RIGHT, "flange")];
    let mut notes = saddle_notes(saddle);
    notes.push(format!("screw holes {}", trimmed(rail.hole.get(), 1)));
    Views { part, mesh, views: three(front_view, side_view, top_view), notes }
}

/// The box as it hangs: front, side, back.
fn body(mesh: &TriMesh, plan: &Enclosure) -> Views {
    let rim = &plan.flange.rim;
    let (zero, deep) = (Length::ZERO, plan.depth);
    // In site axes box X runs to -X.
    let [x, y] = rim.centre;
    let [w, h] = rim.half;
    let (left, right) = (w - x, -w - x);
    let front = vec![
        between([left, deep, y - h], [right, deep, y - h], RIGHT, ""),
        between([right, deep, y - h], [right, deep, y + h], RIGHT, ""),
        between(
            [plan.cavity.half[0] - plan.cavity.centre[0], deep, y + h],
            [-plan.cavity.half[0] - plan.cavity.centre[0], deep, y + h],
            LEFT,
            "inside",
        ),
    ];
    let side = vec![between([zero, zero, y - h], [zero, deep, y - h], RIGHT, "")];
    let [low, high] = plan.rail_rows_y;
    let s = plan.rail_screw_x;
    // Seen from behind, +X is at the right.
    let back = vec![
        between([-s, zero, low], [s, zero, low], Side::Right(low - y + h), "screws"),
        between([s, zero, low], [s, zero, high], Side::Right(w - x - s), "rows"),
    ];
    let mm = |l: Length| trimmed(l.get(), 2);
    let section = &plan.groove.section;
    let notes = vec![
        format!("walls {}, back {}", mm(plan.wall), mm(plan.floor)),
        format!(
            "groove {} wide, {} deep, for {}",
            mm(section.width),
            mm(section.depth),
            section.gasket
        ),
        format!(
            "{} lid fasteners {}, insert holes {} x {}",
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
    let mesh = mesh.posed(&site_pose());
    Views { part: PartId::BoxBody, mesh, views, notes }
}

/// The lid as it hangs: front and side.
fn lid(mesh: &TriMesh, plan: &Enclosure) -> Views {
    let rim = &plan.lid.cover;
    let (deep, thick) = (plan.lid.edge.skirt[1], plan.lid.thickness);
    let [x, y] = rim.centre;
    let [w, h] = rim.half;
    let mut front = vec![
        between([w - x, thick, y - h], [-w - x, thick, y - h], RIGHT, ""),
        between([-w - x, thick, y - h], [-w - x, thick, y + h], RIGHT, ""),
    ];
    // Two neighbours on one level: the lowest such pair.
    let level =
        plan.screws.points.windows(2).filter(|w| (w[0][1] - w[1][1]).abs() < Length::mm(0.01));
    if let Some([a, b]) = level.min_by(|a, b| a[0][1].get().total_cmp(&b[0][1].get())) {
        let at = |p: &[Length; 2]| [-p[0], thick, p[1]];
        front.push(between(at(a), at(b), LEFT, "pitch"));
    }
    let zero = Length::ZERO;
    let side = vec![between([zero, -deep, y - h], [zero, thick, y - h], RIGHT, "")];
    let mm = |l: Length| trimmed(l.get(), 2);
    let notes = vec![
        format!(
            "{} screw holes {}, ring pockets {} x {} on the inside",
            plan.screws.points.len(),
            mm(plan.lid.hole),
            mm(plan.lid.ring),
            mm(plan.lid.ring_depth)
        ),
        format!(
            "{} thick over the land, {} in the middle; skirt {} thick, {} deep",
            mm(thick),
            mm(plan.lid.panel),
            mm(plan.lid.edge.skirt[0]),
            mm(deep)
        ),
    ];
    let views = vec![("front", Camera::FRONT, front), ("side", Camera::SIDE, side)];
    let mesh = mesh.posed(&site_pose());
    Views { part: PartId::BoxLid, mesh, views, notes }
}
