//! What hangs in the air while a part is printed: slopes, bridges, and the area that holds the bed.
//!
//! The mesh lies in the print pose, Z = 0 at the bed. The overhang of a face is its angle from
//! vertical, counted for faces that look down: 0 for a wall, 90 degrees for a ceiling. Ceilings within
//! [`CEILING`] of level are gathered into connected regions and measured as bridges, since a printer
//! spans them with straight lines from wall to wall; every other face steeper than the limit counts as
//! overhang.
//!
//! The span of a region is the least width of its convex hull (by rotating calipers; Toussaint,
//! "Solving geometric problems with the rotating calipers", IEEE MELECON 1983). For a roof from wall to
//! wall that is the length of the bridge; for a ring or a ledge it is more than what hangs free, so the
//! finding errs on the safe side. How much of its rim rests on walls is told beside it.

use super::printable::GRID;
use super::topology::{Topology, next};
use super::vec3::{cross, norm, sub, unit};
use super::{MeshFault, TriMesh};
use crate::units::{Angle, Area, Length};

/// A face that looks down within this of level is printed as a bridge, in degrees. Common practice,
/// no source: shallower slopes than this span less than a line a layer.
pub const CEILING: f64 = 1.0;

/// What an overhang limit says may be met exactly: rounding of a part designed at the limit, in
/// degrees.
const ANGLE_SLACK: f64 = 0.05;

/// A connected ceiling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridge {
    /// Its area.
    pub area: Area,
    /// Least width of its convex hull.
    pub span: Length,
    /// Share of its rim that rests on walls below, 0 to 1; 0 begins in the air.
    pub held: f64,
    /// A place on it, in millimetres.
    pub at: [f64; 3],
}

/// What a print pose asks of the printer.
#[derive(Debug, Clone, PartialEq)]
pub struct Overhang {
    /// Area that lies on the bed.
    pub bed_contact: Area,
    /// Area of slopes beyond the limit, ceilings not counted.
    pub beyond_limit: Area,
    /// Steepest slope that is no ceiling, from vertical.
    pub steepest: Angle,
    /// A place on the steepest slope, in millimetres; none where nothing looks down.
    pub steepest_at: Option<[f64; 3]>,
    /// Ceilings, the longest span first.
    pub bridges: Vec<Bridge>,
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

/// Finds overhangs, bridges and bed contact in the print pose.
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
    let (mut contact, mut beyond) = (0.0, 0.0);
    let (mut steepest, mut steepest_at) = (0.0, None);
    let mut ceiling = vec![false; mesh.triangles.len()];
    for (t, is_ceiling) in ceiling.iter_mut().enumerate() {
        let corners = mesh.corners(t);
        let [a, b, c] = corners;
        let normal = cross(sub(b, a), sub(c, a));
        let area = norm(normal) / 2.0;
        let Some(normal) = unit(normal) else { continue };
        let slope = libm::asin((-normal[2]).clamp(-1.0, 1.0)).to_degrees();
        if slope <= 0.0 {
            continue;
        }
        if corners.iter().all(|p| p[2] <= GRID) {
            contact += area;
        } else if slope >= 90.0 - CEILING {
            *is_ceiling = true;
        } else {
            if slope > limit.deg() + ANGLE_SLACK {
                beyond += area;
            }
            if slope > steepest {
                (steepest, steepest_at) = (slope, Some(a));
            }
        }
    }
    let mut bridges = Vec::new();
    let mut seen = vec![false; mesh.triangles.len()];
    for first in 0..mesh.triangles.len() {
        if ceiling[first] && !seen[first] {
            bridges.push(region(mesh, &topology, &ceiling, &mut seen, first));
        }
    }
    bridges.sort_by(|a, b| b.span.get().total_cmp(&a.span.get()));
    Ok(Overhang {
        bed_contact: Area::mm2(contact),
        beyond_limit: Area::mm2(beyond),
        steepest: Angle::degrees(steepest),
        steepest_at,
        bridges,
    })
}

/// Walks one connected ceiling.
fn region(
    mesh: &TriMesh,
    topology: &Topology,
    ceiling: &[bool],
    seen: &mut [bool],
    first: usize,
) -> Bridge {
    let mut triangles = vec![first];
    seen[first] = true;
    let (mut area, mut rim, mut held) = (0.0, 0.0, 0.0);
    let mut points = Vec::new();
    let mut done = 0;
    while let Some(&t) = triangles.get(done) {
        done += 1;
        let corners = mesh.corners(t);
        let [a, b, c] = corners;
        area += norm(cross(sub(b, a), sub(c, a))) / 2.0;
        points.extend(corners.map(|p| [p[0], p[1]]));
        for k in 0..3_u32 {
            let over = topology.opposite(3 * t as u32 + k);
            let across = (over / 3) as usize;
            if ceiling[across] {
                if !std::mem::replace(&mut seen[across], true) {
                    triangles.push(across);
                }
                continue;
            }
            let (p, q) = (corners[k as usize], corners[(k as usize + 1) % 3]);
            let length = norm(sub(q, p));
            rim += length;
            // A neighbour that goes down from the edge is a wall that holds it.
            let apex = mesh.corners(across)[(next(next(over)) % 3) as usize];
            if apex[2] < p[2].min(q[2]) {
                held += length;
            }
        }
    }
    Bridge {
        area: Area::mm2(area),
        span: Length::mm(least_width(points)),
        held: if rim > 0.0 { held / rim } else { 0.0 },
        at: mesh.corners(first)[0],
    }
}

/// Convex hull in the plane, counter-clockwise (Andrew, Information Processing Letters 9(5), 1979).
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_unstable_by(|p, q| p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])));
    points.dedup();
    let turn = |o: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
    };
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while let [.., o, a] = chain[..] {
                if turn(o, a, p) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut out = half(&mut points.iter().copied());
    out.extend(half(&mut points.iter().rev().copied()));
    out
}

/// The least distance between two parallel lines that hold all points: one of them lies along an
/// edge of the hull.
fn least_width(points: Vec<[f64; 2]>) -> f64 {
    let hull = hull(points);
    let mut least = f64::INFINITY;
    for (i, p) in hull.iter().enumerate() {
        let q = hull[(i + 1) % hull.len()];
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let length = (dx * dx + dy * dy).sqrt();
        if length > 0.0 {
            let off = |r: &[f64; 2]| (dx * (r[1] - p[1]) - dy * (r[0] - p[0])) / length;
            least = least.min(hull.iter().map(off).fold(0.0, f64::max));
        }
    }
    if least.is_finite() { least } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::super::boolean::{difference, union};
    use super::super::shapes::{cuboid, moved, sphere};
    use super::*;

    fn limit() -> Angle {
        Angle::degrees(45.0)
    }

    #[test]
    fn a_tunnel_is_a_bridge_held_on_both_sides() {
        let block = cuboid([30.0, 50.0, 20.0]);
        let hole = moved(&cuboid([8.0, 60.0, 6.0]), [11.0, -5.0, 7.0]);
        let o = overhang(&difference(&block, &hole).unwrap(), limit()).unwrap();
        assert!((o.bed_contact.get() - 1500.0).abs() < 1e-9);
        assert_eq!((o.beyond_limit, o.bridges.len()), (Area::ZERO, 1));
        let bridge = o.bridges[0];
        assert!((bridge.span.get() - 8.0).abs() < 1e-9 && (bridge.area.get() - 400.0).abs() < 1e-9);
        // Both long sides of the 8 x 50 roof rest on walls, both short ones are open.
        assert!((bridge.held - 100.0 / 116.0).abs() < 1e-9, "{bridge:?}");
    }

    #[test]
    fn a_slab_in_the_air_is_held_nowhere() {
        let low = cuboid([10.0, 10.0, 5.0]);
        let mesh = super::super::shapes::together(&low, &moved(&low, [0.0, 0.0, 9.0]));
        let o = overhang(&mesh, limit()).unwrap();
        assert_eq!((o.bridges[0].held, o.bridges[0].span.get()), (0.0, 10.0));
        let shelf = union(&low, &moved(&cuboid([30.0, 10.0, 5.0]), [0.0, 0.0, 4.0])).unwrap();
        let o = overhang(&shelf, limit()).unwrap();
        // The shelf of 20 x 10 rests on one short side of 10.
        assert!((o.bridges[0].held - 10.0 / 60.0).abs() < 1e-9);
        assert!((o.bridges[0].span.get() - 10.0).abs() < 1e-9);
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
        assert!((steep(30.9).beyond_limit.get() - area).abs() < 1e-9);
        assert_eq!(steep(30.97).beyond_limit, Area::ZERO);
        assert!((steep(45.0).steepest.deg() - libm::atan(0.6).to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn a_ball_overhangs_beyond_the_limit_by_its_zone() {
        // Zone of a sphere between depths r cos 0 and r sin 45: 2 pi r^2 (1 - sin 45), Archimedes.
        let ball = moved(&sphere(10.0, 256), [0.0, 0.0, 10.0]);
        let o = overhang(&ball, limit()).unwrap();
        let zone = 2.0 * std::f64::consts::PI * 100.0 * (1.0 - limit().sin());
        let all = o.beyond_limit.get() + o.bridges.iter().map(|b| b.area.get()).sum::<f64>();
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
