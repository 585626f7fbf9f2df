//! The pad's seat on the finished mesh does not lie on the planned cylinder.

use crate::assessment::Subject;
use crate::build::BuiltPart;
use crate::design::saddle::Saddle;
use crate::design::{PartId, Plan, SizeClass};
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::printable::GRID;
use crate::space::Vec3;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "seat-off-curve",
    title: "the seat of the pad on the finished mesh lies on the planned cylinder",
    why: "the pad's pressure follows the gap to the bark: a seat of another radius presses in the middle or at the edges",
    formula: "max(| |p - axis| - R |, R (1 - cos(step / 2))) <= job.deviation, over the seat's corners p and the chords between them",
    source: "geometry of a circle and its chords",
    cure: "a finer mesh",
};

/// What was measured on a seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seat {
    /// Largest distance between mesh and cylinder.
    pub(crate) off: Length,
    /// Radius of the circle fitted to the seat's corners, in plan.
    pub(crate) radius: Length,
}

/// Measures the seat of a made saddle; `None` when the mesh has no seat where the plan puts it.
pub(crate) fn seat(made: &BuiltPart, saddle: &Saddle) -> Option<Seat> {
    let back = made.spec.part.print.inverse();
    let (face, recess) = (saddle.face_radius.get(), saddle.recess.get());
    let [low, high] = saddle.recess_z.map(|z| z.get());
    let edge = saddle.pad_half_width.get() + recess / 2.0;
    // A corner of the seat: in the recess, nearer to the seat's cylinder than to the lip's.
    let polar = |p: &[f64; 3]| {
        let p = back.point(Vec3::from(*p));
        let radius = libm::hypot(p.x, p.y + face);
        let on = p.z > low - recess / 2.0
            && p.z < high - recess / 2.0
            && p.x.abs() < edge
            && (radius - face).abs() < recess / 2.0;
        on.then(|| (libm::atan2(p.x, p.y + face), radius))
    };
    let mut corners: Vec<(f64, f64)> = made.mesh.vertices.iter().filter_map(polar).collect();
    corners.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (corners.first()?, corners.last()?);
    // The whole seat must be there.
    let whole = saddle.pad_angle() * (1.0 - 1e-3);
    if first.0 > -whole || last.0 < whole {
        return None;
    }
    let off = corners.iter().map(|c| (c.1 - face).abs()).fold(0.0, f64::max);
    let step = corners.windows(2).map(|c| c[1].0 - c[0].0).fold(0.0, f64::max);
    let chord = face * (1.0 - libm::cos(step / 2.0));
    let points: Vec<[f64; 2]> =
        corners.iter().map(|(a, r)| [r * libm::sin(*a), r * libm::cos(*a)]).collect();
    Some(Seat { off: Length::mm(off.max(chord)), radius: fitted_radius(&points)? })
}

/// Radius of the circle with the least squared algebraic distance (Kasa, IEEE Transactions on
/// Instrumentation and Measurement 25, 1976); the points are symmetric about x = 0 here, so only the
/// centre's y and the radius are sought.
fn fitted_radius(points: &[[f64; 2]]) -> Option<Length> {
    let n = points.len() as f64;
    // x^2 + y^2 = 2 b y + c, with the origin moved to the points' mean height.
    let mean = points.iter().map(|p| p[1]).sum::<f64>() / n;
    let rows = points.iter().map(|[x, y]| (y - mean, x * x + (y - mean) * (y - mean)));
    let (mut yy, mut yq, mut q) = (0.0, 0.0, 0.0);
    for (y, square) in rows {
        yy += y * y;
        yq += y * square;
        q += square;
    }
    let b = yq / yy / 2.0;
    let radius = (q / n + b * b).sqrt();
    radius.is_finite().then(|| Length::mm(radius))
}

/// One error for each saddle whose seat is off.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let limit = subject.job.job.deviation;
    let one = |(id, _, saddle): (PartId, &SizeClass, &Saddle)| {
        let found = seat(subject.part(&id)?, saddle);
        let finding = |message: String| {
            Finding::new(RULE.code, Severity::Error, message).part(&id).key("job.deviation")
        };
        let Some(found) = found else {
            let radius = saddle.face_radius;
            return Some(finding(format!("no seat of radius {radius:.1} is found on the mesh")));
        };
        // The grid of single precision moves a corner by a step at most.
        if found.off <= limit + Length::mm(GRID) {
            return None;
        }
        let message = format!(
            "the seat is {:.3} off its cylinder of radius {:.1}; a circle through it has {:.1}",
            found.off, saddle.face_radius, found.radius
        );
        Some(finding(message).measured(format!("{:.3}", found.off), format!("at most {limit}")))
    };
    subject.plan().into_iter().flat_map(Plan::saddles).filter_map(one).collect()
}
