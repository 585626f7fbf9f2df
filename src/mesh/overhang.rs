//! What hangs in the air while a part is printed: slopes, bridges, and the area that holds the bed.
//!
//! The mesh lies in the print pose, Z = 0 at the bed. The overhang of a face is its angle from
//! vertical, counted for faces that look down: 0 for a wall, 90 degrees for a ceiling. Faces steeper
//! than the limit that touch each other form one hanging region: a flat roof, the crown of a round
//! hole, the underside of a shelf. Its rim is held where the surface goes down from it (a wall, or a
//! slope within the limit) and free where it goes up.
//!
//! A printer crosses a region with straight lines. In each of `DIRECTIONS` directions the region's
//! plan is cut into `LINES` lines; a line held at both ends is a bridge, any other hangs free. The
//! direction that leaves the least free, and then bridges least far, tells of the region. A line
//! between samples may be a little longer than the longest found.

use super::printable::GRID;
use super::topology::Topology;
use super::{MeshFault, TriMesh};
use crate::space::{cross, norm, sub, unit};
use crate::units::{Angle, Area, Length};

/// What an overhang limit says may be met exactly: rounding of a part designed at the limit, in
/// degrees.
const ANGLE_SLACK: f64 = 0.05;
/// Directions in which a region is crossed, evenly over half a turn: every 15 degrees, the sides of
/// a part among them.
const DIRECTIONS: usize = 12;
/// Lines across a region.
const LINES: usize = 32;

/// A connected region that hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hanging {
    /// Its area.
    pub area: Area,
    /// Its steepest overhang, from vertical.
    pub steepest: Angle,
    /// The longest line across it that is held at both ends.
    pub bridge: Length,
    /// The longest line across it that is not.
    pub free: Length,
    /// Share of its rim that is held, 0 to 1; 0 begins in the air.
    pub held: f64,
    /// A place on it, in millimetres.
    pub at: [f64; 3],
}

/// What a print pose asks of the printer.
#[derive(Debug, Clone, PartialEq)]
pub struct Overhang {
    /// Area that lies on the bed.
    pub bed_contact: Area,
    /// What hangs, in the order of the mesh.
    pub hanging: Vec<Hanging>,
}

impl Overhang {
    /// Area of all that hangs.
    #[must_use]
    pub fn area(&self) -> Area {
        self.hanging.iter().fold(Area::ZERO, |sum, h| sum + h.area)
    }
    /// The longest bridge, zero when nothing is bridged.
    #[must_use]
    pub fn longest_bridge(&self) -> Length {
        self.hanging.iter().map(|h| h.bridge).fold(Length::ZERO, Length::max)
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OverhangError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// A surface with a rim cannot be printed.
    #[error("the mesh is not closed")]
    Open,
    /// Part of the mesh lies below the bed.
    #[error("the mesh reaches {0} below the bed, move it onto the bed first")]
    BelowBed(Length),
    /// The limit is no angle between wall and ceiling.
    #[error("overhang limit {0} is not between 0 and 90 deg")]
    Limit(Angle),
}

/// Finds what hangs, and bed contact, in the print pose.
///
/// `limit` is the steepest unsupported slope from vertical, 0 to 90 degrees.
///
/// # Errors
/// [`OverhangError`].
pub fn overhang(mesh: &TriMesh, limit: Angle) -> Result<Overhang, OverhangError> {
    let lowest = super::measure(mesh)?.bounds.min[2];
    let topology = Topology::new(mesh).map_err(|_| OverhangError::Open)?;
    if lowest < -GRID {
        return Err(OverhangError::BelowBed(Length::mm(-lowest)));
    }
    if !(0.0..=90.0).contains(&limit.deg()) {
        return Err(OverhangError::Limit(limit));
    }
    let mut contact = 0.0;
    // Overhang of each face that hangs, in degrees.
    let mut slopes: Vec<Option<f64>> = vec![None; mesh.triangles.len()];
    for (t, hangs) in slopes.iter_mut().enumerate() {
        let corners = mesh.corners(t);
        let across = normal(corners);
        let Some(outward) = unit(across) else { continue };
        if outward[2] >= 0.0 {
            continue;
        }
        let slope = libm::asin((-outward[2]).clamp(-1.0, 1.0)).to_degrees();
        if corners.iter().all(|p| p[2] <= GRID) {
            contact += norm(across) / 2.0;
        } else if slope > limit.deg() + ANGLE_SLACK {
            *hangs = Some(slope);
        }
    }
    let mut hanging = Vec::new();
    let mut seen = vec![false; mesh.triangles.len()];
    for first in 0..mesh.triangles.len() {
        if slopes[first].is_some() && !seen[first] {
            hanging.push(region(mesh, &topology, &slopes, &mut seen, first));
        }
    }
    Ok(Overhang { bed_contact: Area::mm2(contact), hanging })
}

fn normal([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    cross(sub(b, a), sub(c, a))
}

/// An edge of a region's rim in plan, and whether it is held.
#[derive(Debug, Clone, Copy)]
struct RimEdge {
    ends: [[f64; 2]; 2],
    held: bool,
}

/// Walks one connected region.
fn region(
    mesh: &TriMesh,
    topology: &Topology,
    slopes: &[Option<f64>],
    seen: &mut [bool],
    first: usize,
) -> Hanging {
    let mut triangles = vec![first];
    seen[first] = true;
    let (mut area, mut steepest, mut round, mut held_length) = (0.0, 0.0_f64, 0.0, 0.0);
    let mut rim = Vec::new();
    let mut done = 0;
    while let Some(&t) = triangles.get(done) {
        done += 1;
        let corners = mesh.corners(t);
        area += norm(normal(corners)) / 2.0;
        steepest = steepest.max(slopes[t].unwrap_or(0.0));
        for k in 0..3 {
            let across = (topology.opposite(3 * t as u32 + k as u32) / 3) as usize;
            if slopes[across].is_some() {
                if !std::mem::replace(&mut seen[across], true) {
                    triangles.push(across);
                }
                continue;
            }
            let [p, q] = [corners[k], corners[(k + 1) % 3]];
            let held = holds(mesh.corners(across), sub(p, q));
            let length = norm(sub(q, p));
            round += length;
            if held {
                held_length += length;
            }
            rim.push(RimEdge { ends: [p, q].map(|p| [p[0], p[1]]), held });
        }
    }
    let lines = (0..DIRECTIONS).map(|i| {
        let turn = std::f64::consts::PI * i as f64 / DIRECTIONS as f64;
        crossed(&rim, libm::sincos(turn))
    });
    let better = |a: [f64; 2], b: [f64; 2]| if b < a { b } else { a };
    let [free, bridge] = lines.fold([f64::INFINITY; 2], better);
    Hanging {
        area: Area::mm2(area),
        steepest: Angle::degrees(steepest),
        bridge: Length::mm(bridge),
        free: Length::mm(free),
        held: if round > 0.0 { held_length / round } else { 0.0 },
        at: mesh.corners(first)[0],
    }
}

/// Whether a face holds what hangs from its edge, which it runs along `edge`: it lies on the bed, or
/// it goes down from there and does not look up.
fn holds(face: [[f64; 3]; 3], edge: [f64; 3]) -> bool {
    face.iter().all(|p| p[2] <= GRID)
        || unit(normal(face)).is_some_and(|n| n[2] < 1e-3 && cross(n, edge)[2] < 0.0)
}

/// The longest free line and the longest bridge across a region, along a direction.
fn crossed(rim: &[RimEdge], (sin, cos): (f64, f64)) -> [f64; 2] {
    // Along the lines, and from line to line.
    let turned = |[x, y]: [f64; 2]| [cos * x + sin * y, cos * y - sin * x];
    let edges: Vec<([[f64; 2]; 2], bool)> =
        rim.iter().map(|e| (e.ends.map(turned), e.held)).collect();
    let sides = || edges.iter().flat_map(|(ends, _)| ends.iter().map(|p| p[1]));
    let low = sides().fold(f64::INFINITY, f64::min);
    let high = sides().fold(f64::NEG_INFINITY, f64::max);
    let (mut free, mut bridge) = (0.0_f64, 0.0_f64);
    let mut hits: Vec<(f64, bool)> = Vec::new();
    for line in 0..LINES {
        let at = low + (high - low) * (line as f64 + 0.5) / LINES as f64;
        hits.clear();
        for &([p, q], held) in &edges {
            if (p[1] <= at) != (q[1] <= at) {
                hits.push((p[0] + (q[0] - p[0]) * (at - p[1]) / (q[1] - p[1]), held));
            }
        }
        hits.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        for pair in hits.chunks_exact(2) {
            let length = pair[1].0 - pair[0].0;
            let longest = if pair[0].1 && pair[1].1 { &mut bridge } else { &mut free };
            *longest = longest.max(length);
        }
    }
    [free, bridge]
}

#[cfg(test)]
mod tests {
    use super::super::boolean::{difference, union};
    use super::super::shapes::{cuboid, moved, sphere};
    use super::*;

    fn limit() -> Angle {
        Angle::degrees(45.0)
    }

    /// The one region that hangs.
    fn only(mesh: &TriMesh) -> Hanging {
        let found = overhang(mesh, limit()).unwrap();
        assert_eq!(found.hanging.len(), 1, "{found:?}");
        found.hanging[0]
    }

    fn near(length: Length, expected: f64, within: f64) -> bool {
        (length.get() - expected).abs() <= within
    }

    #[test]
    fn a_tunnel_is_a_bridge_held_on_both_sides() {
        let block = cuboid([30.0, 50.0, 20.0]);
        let hole = moved(&cuboid([8.0, 60.0, 6.0]), [11.0, -5.0, 7.0]);
        let part = difference(&block, &hole).unwrap();
        assert!((overhang(&part, limit()).unwrap().bed_contact.get() - 1500.0).abs() < 1e-9);
        let roof = only(&part);
        assert!(near(roof.bridge, 8.0, 1e-9) && near(roof.free, 0.0, 0.0), "{roof:?}");
        assert!((roof.area.get() - 400.0).abs() < 1e-9);
        // Both long sides of the 8 x 50 roof rest on walls, both short ones are open.
        assert!((roof.held - 100.0 / 116.0).abs() < 1e-9, "{roof:?}");
    }

    #[test]
    fn the_crown_of_a_round_hole_is_bridged_from_45_to_45_degrees() {
        let block = cuboid([40.0, 12.0, 40.0]);
        // A regular 64-gon along Y with a corner at 45 degrees on each side.
        let (radius, sides) = (9.0, 64);
        let mut hole = TriMesh::default();
        for i in 0..sides {
            let turn = std::f64::consts::TAU * f64::from(i) / f64::from(sides);
            let [x, z] = [radius * libm::cos(turn) + 20.0, radius * libm::sin(turn) + 20.0];
            hole.vertices.extend([[x, -4.0, z], [x, 16.0, z]]);
            let [p, q] = [2 * i, 2 * ((i + 1) % sides)];
            hole.triangles.extend([[p, p + 1, q], [q, p + 1, q + 1]]);
            if i > 1 {
                hole.triangles.extend([[0, p - 2, p], [1, p + 1, p - 1]]);
            }
        }
        let crown = only(&difference(&block, &hole).unwrap());
        // Facets beyond 45 degrees lie between the corners at 45 degrees: 2 r sin 45.
        assert!(near(crown.bridge, 2.0 * radius * limit().sin(), 1e-6), "{crown:?}");
        assert!(near(crown.free, 0.0, 0.0), "{crown:?}");
    }

    #[test]
    fn a_slab_in_the_air_is_held_nowhere_and_a_shelf_at_one_side() {
        let low = cuboid([10.0, 10.0, 5.0]);
        let slab = only(&super::super::shapes::together(&low, &moved(&low, [0.0, 0.0, 9.0])));
        assert_eq!(slab.held, 0.0);
        assert!(near(slab.free, 10.0, 1e-9) && near(slab.bridge, 0.0, 0.0), "{slab:?}");
        let long = moved(&cuboid([30.0, 10.0, 5.0]), [0.0, 0.0, 4.0]);
        let shelf = only(&union(&low, &long).unwrap());
        // The shelf of 20 x 10 rests on one short side of 10.
        assert!((shelf.held - 10.0 / 60.0).abs() < 1e-9);
        assert!(near(shelf.bridge, 0.0, 0.0) && shelf.free.get() >= 10.0, "{shelf:?}");
        // Held at two sides of a corner it hangs free as well, only less far.
        let wall = cuboid([30.0, 3.0, 5.0]);
        let corner = only(&union(&union(&low, &wall).unwrap(), &long).unwrap());
        assert!(near(corner.free, 7.0, 1e-9), "{corner:?}");
    }

    #[test]
    fn a_slope_counts_from_vertical() {
        // A block whose top is wider on one side: 6 out over 10 up is 30.96 degrees.
        let mut lean = cuboid([20.0, 10.0, 10.0]);
        for v in lean.vertices.iter_mut().filter(|v| v[0] > 0.0 && v[2] > 0.0) {
            v[0] += 6.0;
        }
        let area = 10.0 * 136.0_f64.sqrt();
        let steep = |deg| overhang(&lean, Angle::degrees(deg)).unwrap();
        let found = steep(30.9).hanging[0];
        assert!((found.area.get() - area).abs() < 1e-9);
        assert!((found.steepest.deg() - libm::atan(0.6).to_degrees()).abs() < 1e-9);
        // It is held along its foot only: 6 out.
        assert!(near(found.free, 6.0, 1e-9), "{found:?}");
        assert_eq!(steep(30.97).hanging, []);
    }

    #[test]
    fn a_ball_overhangs_beyond_the_limit_by_its_zone() {
        // Zone of a sphere between depths r cos 0 and r sin 45: 2 pi r^2 (1 - sin 45), Archimedes.
        let ball = moved(&sphere(10.0, 256), [0.0, 0.0, 10.0]);
        let o = overhang(&ball, limit()).unwrap();
        let zone = 2.0 * std::f64::consts::PI * 100.0 * (1.0 - limit().sin());
        let all = o.area().get();
        assert!((all / zone - 1.0).abs() < 0.03, "{all} for {zone}");
    }

    #[test]
    fn what_is_not_on_the_bed_is_refused() {
        let sunk = moved(&cuboid([5.0; 3]), [0.0, 0.0, -1.0]);
        assert_eq!(overhang(&sunk, limit()), Err(OverhangError::BelowBed(Length::mm(1.0))));
        assert!(overhang(&cuboid([5.0; 3]), Angle::degrees(91.0)).is_err());
        assert!(overhang(&cuboid([5.0; 3]), Angle::radians(f64::NAN)).is_err());
        let mut open = cuboid([5.0; 3]);
        open.triangles.pop();
        assert_eq!(overhang(&open, limit()), Err(OverhangError::Open));
    }
}
