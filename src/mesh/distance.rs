//! The least gap between two closed meshes, and whether one cuts or holds the other.
//!
//! Both trees of boxes are walked together, nearest pair of boxes first. Triangles are compared
//! exactly as they are: every edge against every edge and every corner against the other face
//! (Ericson, Real-Time Collision Detection, 2005, 5.1.5 and 5.1.9), and a face that an edge pierces
//! has no gap. Millimetres. How much two solids overlap is not said.

use super::bvh::{Bvh, closest_on_triangle, winding};
use super::topology::Topology;
use super::{Bounds, MeshFault, TriMesh};
use crate::space::{add, cross, dot, norm, scale, sub, unit};
use crate::units::Length;

/// Surfaces nearer than this touch, in millimetres: a tenth of a nanometre, the rounding of
/// coordinates of a few hundred millimetres.
const TOUCH: f64 = 1e-7;

/// How two solids lie to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// There is air between them.
    Apart,
    /// Their surfaces touch or cross.
    Touching,
    /// One lies inside the other's material, surfaces apart.
    Inside,
}

/// The least gap between two solids.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    /// The least gap; zero unless they are apart.
    pub gap: Length,
    /// Where on the first solid, in millimetres.
    pub on_a: [f64; 3],
    /// Where on the second solid, in millimetres.
    pub on_b: [f64; 3],
    /// How they lie.
    pub relation: Relation,
}

/// Why there is no clearance to give.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum DistanceError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// A surface with a rim has no inside.
    #[error("the mesh is not closed, so nothing is inside or outside of it")]
    Open,
}

/// A closed mesh made ready for questions of distance: its tree is built once.
#[derive(Debug)]
pub struct Solid<'a> {
    tree: Bvh<'a>,
    /// A corner of each separate surface.
    starts: Vec<[f64; 3]>,
}

impl<'a> Solid<'a> {
    /// Builds the tree.
    ///
    /// # Errors
    /// [`DistanceError`] where the mesh is empty, not finite, badly indexed or not closed.
    pub fn new(mesh: &'a TriMesh) -> Result<Self, DistanceError> {
        Ok(Self { tree: Bvh::new(mesh)?, starts: shell_starts(mesh)? })
    }

    /// Finds the least gap to another solid.
    ///
    /// # Errors
    /// None for solids that [`Solid::new`] made, since both then have triangles.
    pub fn clearance(&self, other: &Solid<'_>) -> Result<Clearance, DistanceError> {
        let pair = closest_pair(&self.tree, &other.tree, f64::INFINITY, |_, _| false);
        let pair = pair.ok_or(MeshFault::Empty)?;
        let clearance =
            |gap, relation| Clearance { gap, on_a: pair.on_a, on_b: pair.on_b, relation };
        if pair.distance <= TOUCH {
            return Ok(clearance(Length::ZERO, Relation::Touching));
        }
        // Surfaces apart: each shell lies wholly inside or outside the other solid.
        let held = |starts: &[[f64; 3]], mesh| starts.iter().any(|&p| winding(mesh, p) > 0.5);
        if held(&self.starts, other.tree.mesh) || held(&other.starts, self.tree.mesh) {
            return Ok(clearance(Length::ZERO, Relation::Inside));
        }
        Ok(clearance(Length::mm(pair.distance), Relation::Apart))
    }
}

/// The least gap between two surfaces, open or closed; zero where they cross. A gap of `enough` or
/// more is not measured out: the answer is then `enough` or, if that is more, the gap between the
/// surfaces' bounds. A solid inside the other is not noticed.
#[must_use]
pub fn surface_gap(a: &Bvh<'_>, b: &Bvh<'_>, enough: Length) -> Length {
    let bounds = between(&a.node(0).bounds, &b.node(0).bounds);
    let distance = closest_pair(a, b, enough.get(), |_, _| false)
        .map_or(bounds.max(enough.get()), |pair| pair.distance);
    Length::mm(if distance <= TOUCH { 0.0 } else { distance })
}

fn shell_starts(mesh: &TriMesh) -> Result<Vec<[f64; 3]>, DistanceError> {
    let topology = Topology::new(mesh).map_err(|_| DistanceError::Open)?;
    let start = |t: u32| mesh.corners(t as usize)[0];
    Ok(topology.shells(mesh).iter().map(|s| start(s.triangles[0])).collect())
}

#[derive(Debug, Clone, Copy)]
struct Pair {
    distance: f64,
    on_a: [f64; 3],
    on_b: [f64; 3],
}

/// The closest pair of points nearer than `reach`, over pairs of triangles that are not skipped.
fn closest_pair(
    a: &Bvh<'_>,
    b: &Bvh<'_>,
    reach: f64,
    skip: impl Fn(usize, usize) -> bool,
) -> Option<Pair> {
    let mut best: Option<Pair> = None;
    let mut todo = vec![(0.0, 0_usize, 0_usize)];
    while let Some((bound, m, n)) = todo.pop() {
        let least = best.map_or(reach, |p| p.distance);
        if bound >= least {
            if least == 0.0 {
                break;
            }
            continue;
        }
        let split = |bounds: &Bounds| norm(sub(bounds.max, bounds.min));
        let (box_a, box_b) = (&a.node(m).bounds, &b.node(n).bounds);
        let pairs = match (a.children(m), b.children(n)) {
            (None, None) => {
                for s in a.leaf(m) {
                    let own = a.mesh.corners(s);
                    let own_bounds = own.into_iter().fold(Bounds::EMPTY, Bounds::with);
                    for t in b.leaf(n).filter(|&t| !skip(s, t)) {
                        let other = b.mesh.corners(t);
                        let least = best.map_or(reach, |p| p.distance);
                        let other_bounds = other.into_iter().fold(Bounds::EMPTY, Bounds::with);
                        if between(&own_bounds, &other_bounds) >= least
                            || before(own, other) >= least
                            || before(other, own) >= least
                        {
                            continue;
                        }
                        let pair = triangle_pair(own, other);
                        if pair.distance < least {
                            best = Some(pair);
                        }
                    }
                }
                continue;
            }
            (Some(ms), None) => ms.map(|m| (m, n)),
            (Some(ms), Some(_)) if split(box_a) >= split(box_b) => ms.map(|m| (m, n)),
            (_, Some(ns)) => ns.map(|n| (m, n)),
        };
        let [p, q] = pairs.map(|(m, n)| (between(&a.node(m).bounds, &b.node(n).bounds), m, n));
        todo.extend(if p.0 <= q.0 { [q, p] } else { [p, q] });
    }
    best
}

/// Distance between two boxes; zero where they meet.
fn between(a: &Bounds, b: &Bounds) -> f64 {
    let off = |k: usize| (a.min[k] - b.max[k]).max(b.min[k] - a.max[k]).max(0.0);
    norm([off(0), off(1), off(2)])
}

/// How far a triangle lies wholly before or behind the plane of another: they are no nearer.
fn before(triangle: [[f64; 3]; 3], [a, b, c]: [[f64; 3]; 3]) -> f64 {
    let Some(normal) = unit(cross(sub(b, a), sub(c, a))) else { return 0.0 };
    let [p, q, r] = triangle;
    let (p, q, r) = (dot(sub(p, a), normal), dot(sub(q, a), normal), dot(sub(r, a), normal));
    p.min(q).min(r).max(-p.max(q).max(r))
}

fn triangle_pair(a: [[f64; 3]; 3], b: [[f64; 3]; 3]) -> Pair {
    let mut best = Pair { distance: f64::INFINITY, on_a: a[0], on_b: b[0] };
    let mut offer = |on_a: [f64; 3], on_b: [f64; 3]| {
        let distance = norm(sub(on_a, on_b));
        if distance < best.distance {
            best = Pair { distance, on_a, on_b };
        }
    };
    for k in 0..3 {
        offer(a[k], closest_on_triangle(a[k], b));
        offer(closest_on_triangle(b[k], a), b[k]);
        for j in 0..3 {
            let (p, q) = closest_on_segments([a[k], a[(k + 1) % 3]], [b[j], b[(j + 1) % 3]]);
            offer(p, q);
        }
        // A face that an edge pierces: the place of the piercing is on both.
        if let Some(x) = pierced([a[k], a[(k + 1) % 3]], b) {
            offer(x, closest_on_triangle(x, b));
        }
        if let Some(x) = pierced([b[k], b[(k + 1) % 3]], a) {
            offer(closest_on_triangle(x, a), x);
        }
    }
    best
}

/// Where a segment crosses the plane of a triangle, if its ends lie on either side.
fn pierced([p, q]: [[f64; 3]; 2], [a, b, c]: [[f64; 3]; 3]) -> Option<[f64; 3]> {
    let normal = cross(sub(b, a), sub(c, a));
    let (s, t) = (dot(sub(p, a), normal), dot(sub(q, a), normal));
    (s * t < 0.0).then(|| add(p, scale(sub(q, p), s / (s - t))))
}

/// The nearest points of two segments (Ericson 5.1.9); a segment may be a point.
fn closest_on_segments([p1, q1]: [[f64; 3]; 2], [p2, q2]: [[f64; 3]; 2]) -> ([f64; 3], [f64; 3]) {
    let (d1, d2, r) = (sub(q1, p1), sub(q2, p2), sub(p1, p2));
    let (a, e, f) = (dot(d1, d1), dot(d2, d2), dot(d2, r));
    let (c, b) = (dot(d1, r), dot(d1, d2));
    let clamp = |x: f64| if x.is_finite() { x.clamp(0.0, 1.0) } else { 0.0 };
    let below = a * e - b * b;
    let mut s = if below > 0.0 { clamp((b * f - c * e) / below) } else { 0.0 };
    let mut t = (b * s + f) / e;
    if !t.is_finite() || t < 0.0 {
        (s, t) = (clamp(-c / a), 0.0);
    } else if t > 1.0 {
        (s, t) = (clamp((b - c) / a), 1.0);
    }
    (add(p1, scale(d1, s)), add(p2, scale(d2, t)))
}

#[cfg(test)]
mod tests {
    use super::super::measure;
    use super::super::shapes::{cuboid, moved, sphere, together, torus, tube};
    use super::*;
    use crate::space::{Pose, v};
    use crate::units::Angle;
    use proptest::prelude::*;

    #[test]
    fn a_surface_gap_is_measured_out_only_up_to_what_is_asked() {
        // A cube at (3, 4, 0) past the corner of another: 5 apart (3-4-5 triangle), and by their
        // bounds as well.
        let (a, b) = (cuboid([10.0; 3]), moved(&cuboid([10.0; 3]), [13.0, 14.0, 0.0]));
        let (tree_a, tree_b) = (Bvh::new(&a).unwrap(), Bvh::new(&b).unwrap());
        for enough in [2.0, 5.5, f64::INFINITY] {
            let gap = surface_gap(&tree_a, &tree_b, Length::mm(enough));
            assert!((gap.get() - 5.0).abs() < 1e-12, "{gap} for {enough}");
        }
        // A cube inside a larger hollow: bounds overlap, so nothing is known beyond what was asked.
        let inner = moved(&cuboid([2.0; 3]), [4.0; 3]);
        let tree = Bvh::new(&inner).unwrap();
        assert_eq!(surface_gap(&tree_a, &tree, Length::mm(3.0)).get(), 3.0);
        assert_eq!(surface_gap(&tree_a, &tree, Length::mm(9.0)).get(), 4.0);
        let crossing = moved(&a, [5.0, 1.0, 1.0]);
        assert_eq!(surface_gap(&tree_a, &Bvh::new(&crossing).unwrap(), Length::mm(9.0)).get(), 0.0);
    }

    fn clearance(a: &TriMesh, b: &TriMesh) -> Result<Clearance, DistanceError> {
        Solid::new(a)?.clearance(&Solid::new(b)?)
    }

    #[test]
    fn boxes_side_by_side_edge_to_edge_and_corner_to_corner() {
        let one = cuboid([2.0; 3]);
        for (by, gap) in [
            ([5.0, 0.0, 0.0], 3.0),
            ([5.0, 6.0, 0.0], 5.0),
            ([4.0, 5.0, 8.0], 7.0), // 2, 3, 6: a Pythagorean quadruple
        ] {
            let c = clearance(&one, &moved(&one, by)).unwrap();
            assert!((c.gap.get() - gap).abs() < 1e-12, "{c:?}");
            assert_eq!(c.relation, Relation::Apart);
            assert!((norm(sub(c.on_a, c.on_b)) - gap).abs() < 1e-12);
        }
    }

    #[test]
    fn touching_crossing_and_holding_leave_no_gap() {
        let one = cuboid([2.0; 3]);
        let relation = |a: &TriMesh, b: &TriMesh| {
            let c = clearance(a, b).unwrap();
            assert!(c.relation == Relation::Apart || c.gap == Length::ZERO);
            c.relation
        };
        assert_eq!(relation(&one, &moved(&one, [2.0, 0.0, 0.0])), Relation::Touching);
        assert_eq!(relation(&one, &moved(&one, [1.0, 0.5, 0.3])), Relation::Touching);
        let large = moved(&cuboid([9.0; 3]), [-3.0; 3]);
        assert_eq!(relation(&one, &large), Relation::Inside);
        assert_eq!(relation(&large, &one), Relation::Inside);
        // A rod through a ring touches nothing.
        let ring = torus(20.0, 4.0, 40, 16);
        let rod = moved(&cuboid([2.0, 2.0, 60.0]), [-1.0, -1.0, -30.0]);
        assert_eq!(relation(&ring, &rod), Relation::Apart);
        // One of two bodies held is enough.
        let two = together(&moved(&one, [30.0; 3]), &one);
        assert_eq!(relation(&two, &large), Relation::Inside);
    }

    #[test]
    fn a_strap_in_a_passage_has_the_gap_that_was_designed() {
        let passage = tube(10.0, 14.0, 30.0, 64);
        let strap = moved(&cuboid([8.0, 3.0, 60.0]), [-4.0, -1.5, -15.0]);
        // From the strap's corner (4, 1.5) to the nearest side of the 64-gon.
        let apothem = 10.0 * libm::cos(std::f64::consts::PI / 64.0);
        let reach = (0..64)
            .map(|k| {
                let a = (f64::from(k) + 0.5) * std::f64::consts::PI / 32.0;
                4.0 * libm::cos(a) + 1.5 * libm::sin(a)
            })
            .fold(0.0, f64::max);
        let c = clearance(&passage, &strap).unwrap();
        assert!((c.gap.get() - (apothem - reach)).abs() < 1e-9, "{c:?}");
    }

    #[test]
    fn an_open_surface_has_no_inside() {
        let mut open = cuboid([2.0; 3]);
        open.triangles.pop();
        assert_eq!(clearance(&open, &cuboid([1.0; 3])), Err(DistanceError::Open));
        assert!(clearance(&TriMesh::default(), &open).is_err());
    }

    proptest! {
        #[test]
        fn balls_are_apart_by_their_centres_less_their_radii(
            way in prop::array::uniform3(-1.0..1.0_f64), apart in 0.5..60.0_f64,
        ) {
            prop_assume!(norm(way) > 0.1);
            let centre = scale(way, (12.0 + apart) / norm(way));
            let (a, b) = (sphere(5.0, 48), moved(&sphere(7.0, 48), centre));
            let gap = clearance(&a, &b).unwrap().gap.get();
            // Inscribed meshes fall short of their spheres by at most their chords' sagitta.
            let sagitta = 12.0 * (1.0 - libm::cos(std::f64::consts::PI / 48.0)) * 2.0;
            prop_assert!(gap >= apart - 1e-9 && gap <= apart + sagitta, "{gap} for {apart}");
        }

        #[test]
        fn moving_both_changes_nothing(degrees in 0.0..360.0_f64, apart in 0.01..9.0_f64) {
            let (a, b) = (torus(10.0, 3.0, 20, 10), moved(&cuboid([4.0; 3]), [13.0 + apart, 0.0, 0.0]));
            let go = Pose::turn(v(1.0, -2.0, 0.5).unit(), Angle::degrees(degrees).rad());
            let (before, after) =
                (clearance(&a, &b).unwrap(), clearance(&a.posed(&go), &b.posed(&go)).unwrap());
            prop_assert!((before.gap.get() - after.gap.get()).abs() < 1e-9);
            prop_assert!((before.gap.get() - apart).abs() < 1e-9);
            prop_assert!(measure(&a).is_ok());
        }
    }
}
