//! Drawing a solid face by face, then sewing the faces together.
//!
//! A part is drawn as faces that do not know each other: planes with holes, and ruled strips between
//! two edges of one kind. [`Shell::sew`] finds the vertices and edges that faces share and refuses
//! anything but a closed surface in which every edge has exactly two faces, run once each way. So a
//! part never needs a boolean operation, and a slip in a drawing cannot leave this module.
//!
//! Holes, pockets, bosses and passages are one construction: a mouth loop on a carrier face, a
//! second loop of as many edges, and ruled walls between the two ([`Shell::walls`]).

use std::collections::HashMap;

use super::edge::{Edge, Loop, SAME_POINT};
use super::volume::bounds;
use crate::space::{Pose, Vec3};

/// A plane with holes, while it is being drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    /// What the face is, for messages and measurements: `"back"`, `"passage roof"`.
    pub label: &'static str,
    /// Outward unit normal.
    pub normal: Vec3,
    /// Outer loop counter-clockwise about the normal, then holes clockwise.
    pub loops: Vec<Loop>,
}

impl Plane {
    /// A plane bounded by this loop, counter-clockwise about `normal`.
    #[must_use]
    pub fn new(label: &'static str, normal: Vec3, outer: Loop) -> Self {
        Self { label, normal, loops: vec![outer] }
    }

    /// The flat strip between two straight edges that run the same way; its outward normal is
    /// `lower` x (towards `upper`).
    #[must_use]
    pub fn between(label: &'static str, lower: Edge, upper: Edge) -> Self {
        let normal = (lower.b - lower.a).cross(upper.a - lower.a).unit();
        Self::new(label, normal, Loop(boundary(lower, upper).to_vec()))
    }

    /// Cuts a hole whose mouth is this loop, counter-clockwise about the normal.
    pub fn cut(&mut self, mouth: &Loop) {
        self.loops.push(mouth.reversed());
    }
}

/// The four edges round the strip between two edges.
fn boundary(lower: Edge, upper: Edge) -> [Edge; 4] {
    [lower, Edge::line(lower.b, upper.b), upper.reversed(), Edge::line(upper.a, lower.a)]
}

/// A strip ruled between two edges of one kind, run the same way; outward is
/// (along `lower`) x (towards `upper`).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ruled {
    label: &'static str,
    lower: Edge,
    upper: Edge,
}

/// Faces drawn so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shell {
    planes: Vec<Plane>,
    ruled: Vec<Ruled>,
}

impl Shell {
    /// Adds a finished plane.
    pub fn add(&mut self, plane: Plane) {
        self.planes.push(plane);
    }

    /// Adds the strip ruled between two edges that run the same way.
    pub fn ruled(&mut self, label: &'static str, lower: Edge, upper: Edge) {
        let plane = Plane::between(label, lower, upper);
        let twist = plane.normal.dot(upper.b - lower.a).abs();
        if lower.arc.is_none() && upper.arc.is_none() && twist < SAME_POINT {
            self.add(plane);
        } else {
            self.ruled.push(Ruled { label, lower, upper });
        }
    }

    /// Adds the strips between two loops of as many edges. With `from` counter-clockwise about a
    /// face's outward normal, `to` below the face makes a hole and `to` above it a boss.
    pub fn walls(&mut self, label: &'static str, from: &Loop, to: &Loop) {
        debug_assert_eq!(from.0.len(), to.0.len(), "walls need loops of as many edges: {label}");
        for (lower, upper) in from.0.iter().zip(&to.0) {
            self.ruled(label, *lower, *upper);
        }
    }

    /// Cuts a pocket with straight walls into a plane; returns its floor, not yet added.
    pub fn pocket(
        &mut self,
        label: &'static str,
        carrier: &mut Plane,
        mouth: &Loop,
        depth: f64,
    ) -> Plane {
        let floor = mouth.shifted(carrier.normal * -depth);
        carrier.cut(mouth);
        self.walls(label, mouth, &floor);
        Plane::new(label, carrier.normal, floor)
    }

    /// Cuts a blind pocket and closes it.
    pub fn blind_hole(
        &mut self,
        label: &'static str,
        carrier: &mut Plane,
        mouth: &Loop,
        depth: f64,
    ) {
        let floor = self.pocket(label, carrier, mouth, depth);
        self.add(floor);
    }

    /// Raises a boss from a plane to the loop `to`; returns its top, not yet added.
    pub fn boss(
        &mut self,
        label: &'static str,
        carrier: &mut Plane,
        foot: &Loop,
        to: Loop,
    ) -> Plane {
        carrier.cut(foot);
        self.walls(label, foot, &to);
        Plane::new(label, carrier.normal, to)
    }

    /// A straight hole from a plane to the opposite one, `depth` behind it.
    pub fn through_hole(
        &mut self,
        label: &'static str,
        near: &mut Plane,
        far: &mut Plane,
        mouth: &Loop,
        depth: f64,
    ) {
        let exit = mouth.shifted(near.normal * -depth);
        near.cut(mouth);
        self.walls(label, mouth, &exit);
        // Seen from the far side the exit runs clockwise: as it stands it is the hole.
        far.loops.push(exit);
    }

    /// Smallest box round the drawing: lowest and highest corner.
    #[must_use]
    pub fn bounds(&self) -> [Vec3; 2] {
        let planes =
            self.planes.iter().flat_map(|p| p.loops.iter().flat_map(|l| l.0.iter().copied()));
        bounds(planes.chain(self.ruled.iter().flat_map(|r| [r.lower, r.upper])))
    }

    /// Sews the faces into a closed body.
    ///
    /// # Errors
    /// [`SewError`] names the face whose edge has no partner, or more than one.
    pub fn sew(&self, pose: &Pose) -> Result<Body, SewError> {
        let mut sewing = Sewing::default();
        let mut faces = Vec::with_capacity(self.planes.len() + self.ruled.len());
        for plane in &self.planes {
            let loops =
                plane.loops.iter().map(|l| sewing.wire(&l.0, pose)).collect::<Result<_, _>>();
            let loops = loops.map_err(|at| SewError::Degenerate { label: plane.label, at })?;
            faces.push(Face {
                label: plane.label,
                kind: FaceKind::Plane { normal: pose.direction(plane.normal) },
                loops,
            });
        }
        for strip in &self.ruled {
            let wire = sewing.wire(&boundary(strip.lower, strip.upper), pose);
            let wire = wire.map_err(|at| SewError::Degenerate { label: strip.label, at })?;
            faces.push(Face { label: strip.label, kind: FaceKind::Ruled, loops: vec![wire] });
        }
        let body = Body { vertices: sewing.vertices, edges: sewing.edges, faces };
        body.check_closed()?;
        Ok(body)
    }
}

/// Why faces did not make a closed body.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SewError {
    /// An edge has not exactly two faces, one each way.
    #[error(
        "an edge of the face `{label}` at {at:?} mm has {forward} faces one way and {backward} the other"
    )]
    Open {
        /// A face at that edge.
        label: &'static str,
        /// The middle of the edge.
        at: [f64; 3],
        /// Faces that run it forwards.
        forward: usize,
        /// Faces that run it backwards.
        backward: usize,
    },
    /// An edge without length, or a position that is no number.
    #[error("the face `{label}` has an edge without length at {at:?} mm")]
    Degenerate {
        /// The face.
        label: &'static str,
        /// Where.
        at: [f64; 3],
    },
}

/// A use of an edge by a face: which, and whether it is run forwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EdgeUse {
    /// Index into [`Body::edges`].
    pub edge: usize,
    /// Run from its start to its end.
    pub forward: bool,
}

/// An edge of a sewn body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyEdge {
    /// Its shape.
    pub shape: Edge,
    /// Indices of its ends in [`Body::vertices`].
    pub ends: [usize; 2],
}

/// What surface a face lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FaceKind {
    /// A plane; the first loop is the outer one, counter-clockwise about the normal.
    Plane {
        /// Outward unit normal.
        normal: Vec3,
    },
    /// Ruled between edge 0 and edge 2 (run backwards) of its only loop of four edges.
    Ruled,
}

/// A face of a sewn body.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// What it is.
    pub label: &'static str,
    /// Its surface.
    pub kind: FaceKind,
    /// Its boundary.
    pub loops: Vec<Vec<EdgeUse>>,
}

/// A closed solid: shared vertices and edges, faces that run every edge once each way.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Corner points.
    pub vertices: Vec<Vec3>,
    /// Shared edges.
    pub edges: Vec<BodyEdge>,
    /// Faces, in the order in which they were drawn.
    pub faces: Vec<Face>,
}

impl Body {
    fn check_closed(&self) -> Result<(), SewError> {
        let mut uses = vec![[0_usize; 2]; self.edges.len()];
        for edge_use in self.faces.iter().flat_map(|f| f.loops.iter().flatten()) {
            uses[edge_use.edge][usize::from(edge_use.forward)] += 1;
        }
        for face in &self.faces {
            for edge_use in face.loops.iter().flatten() {
                let [backward, forward] = uses[edge_use.edge];
                if (forward, backward) != (1, 1) {
                    let at = self.edges[edge_use.edge].shape.at(0.5).array();
                    return Err(SewError::Open { label: face.label, at, forward, backward });
                }
            }
        }
        Ok(())
    }

    /// Number of handles of the surface, from Euler and Poincare:
    /// V - E + F - (holes in faces) = 2 (shells - genus), for one shell.
    #[must_use]
    pub fn genus(&self) -> i64 {
        let [v, e, f] = [self.vertices.len(), self.edges.len(), self.faces.len()].map(|n| n as i64);
        let rings: i64 = self.faces.iter().map(|face| face.loops.len() as i64 - 1).sum();
        1 - (v - e + f - rings) / 2
    }

    /// The edge as this use runs it.
    #[must_use]
    pub fn run(&self, edge_use: EdgeUse) -> Edge {
        let shape = self.edges[edge_use.edge].shape;
        if edge_use.forward { shape } else { shape.reversed() }
    }
}

/// Finds shared vertices and edges.
#[derive(Default)]
struct Sewing {
    vertices: Vec<Vec3>,
    edges: Vec<BodyEdge>,
    /// Cells of a grid of [`CELL`] millimetres, and the vertex in each.
    cells: HashMap<[i64; 3], usize>,
    /// For each vertex the latest edge from it to a higher vertex, and for each edge the one before
    /// it that has the same lower end.
    latest: Vec<Option<usize>>,
    earlier: Vec<Option<usize>>,
}

/// Grid in which equal points are found; ten times [`SAME_POINT`].
const CELL: f64 = 10.0 * SAME_POINT;

impl Sewing {
    fn wire(&mut self, edges: &[Edge], pose: &Pose) -> Result<Vec<EdgeUse>, [f64; 3]> {
        edges.iter().map(|edge| self.edge(edge.posed(pose))).collect()
    }

    fn edge(&mut self, shape: Edge) -> Result<EdgeUse, [f64; 3]> {
        let finite = |p: Vec3| p.array().iter().all(|c| c.is_finite());
        if !(finite(shape.a) && finite(shape.b)) {
            return Err(shape.a.array());
        }
        let ends = [self.vertex(shape.a), self.vertex(shape.b)];
        if ends[0] == ends[1] {
            return Err(shape.a.array());
        }
        let lower = ends[0].min(ends[1]);
        let middle = shape.at(0.5);
        let mut known = std::iter::successors(self.latest[lower], |&edge| self.earlier[edge]);
        // Two arcs can join the same two points: the middle tells them apart.
        let same = known.find(|&edge| {
            let found = &self.edges[edge];
            (found.ends == ends || found.ends == [ends[1], ends[0]])
                && (found.shape.at(0.5) - middle).norm() < CELL
        });
        Ok(if let Some(edge) = same {
            EdgeUse { edge, forward: self.edges[edge].ends == ends }
        } else {
            let edge = self.edges.len();
            self.earlier.push(self.latest[lower].replace(edge));
            self.edges.push(BodyEdge { shape, ends });
            EdgeUse { edge, forward: true }
        })
    }

    fn vertex(&mut self, p: Vec3) -> usize {
        let scaled = p.array().map(|c| c / CELL);
        let home = scaled.map(|c| c.floor() as i64);
        // A point within SAME_POINT of a cell's wall may have its twin next door.
        let near = [0, 1, 2].map(|axis| {
            let rest = scaled[axis] - scaled[axis].floor();
            let slack = SAME_POINT / CELL;
            if rest < slack {
                -1
            } else if rest > 1.0 - slack {
                1
            } else {
                0
            }
        });
        let walls = (0..3).filter(|&axis| near[axis] != 0).fold(0, |walls, axis| walls | 1 << axis);
        // The cell at home, and those across each set of walls that are near.
        for mask in (0..8_u8).filter(|mask| mask & !walls == 0) {
            let step = |axis: usize| if mask >> axis & 1 == 1 { near[axis] } else { 0 };
            let cell = [home[0] + step(0), home[1] + step(1), home[2] + step(2)];
            if let Some(&found) = self.cells.get(&cell)
                && (self.vertices[found] - p).norm() < CELL
            {
                return found;
            }
        }
        self.cells.insert(home, self.vertices.len());
        self.vertices.push(p);
        self.latest.push(None);
        self.vertices.len() - 1
    }
}
