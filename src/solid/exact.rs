//! The body as an exact boundary representation of `truck`.
//!
//! Lines stay lines, arcs become rational quadratic curves, planes stay planes and ruled strips
//! become rational surfaces linear across the rulings; all of these are exact for the circles,
//! cylinders and cones from which parts are drawn.

use truck_modeling::{
    BSplineCurve, BSplineSurface, Curve, InnerSpace, KnotVec, Line, NurbsCurve, NurbsSurface,
    Plane, Point3, Solid, Surface, Vector4,
};
use truck_topology::compress::{CompressedEdge, CompressedFace, CompressedShell, CompressedSolid};

use super::edge::Edge;
use super::shell::{Body, BodyEdge, EdgeUse, Face, FaceKind};
use crate::space::Vec3;

/// The kernel refused the body.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the exact solid is not closed: {reason}")]
pub struct ExactError {
    /// The kernel's words.
    pub reason: String,
}

/// A point as the kernel holds it.
pub(crate) fn point(p: Vec3) -> Point3 {
    Point3::new(p.x, p.y, p.z)
}

/// Control points of an edge in homogeneous form: two for a line, three for an arc.
fn control(edge: &Edge) -> Vec<Vector4> {
    let lift = |p: Vec3, w: f64| Vector4::new(p.x * w, p.y * w, p.z * w, w);
    match edge.arc {
        None => vec![lift(edge.a, 1.0), lift(edge.b, 1.0)],
        Some(arc) => {
            let weight = libm::cos(arc.sweep / 2.0);
            // The tangents of the ends meet above the middle of the arc.
            let apex = arc.centre + (edge.at(0.5) - arc.centre) * (1.0 / weight);
            vec![lift(edge.a, 1.0), lift(apex, weight), lift(edge.b, 1.0)]
        }
    }
}

fn spline(edge: &Edge) -> BSplineCurve<Vector4> {
    let control = control(edge);
    BSplineCurve::new(KnotVec::bezier_knot(control.len() - 1), control)
}

/// An edge as the kernel holds it.
pub(crate) fn curve(edge: &Edge) -> Curve {
    match edge.arc {
        None => Curve::Line(Line(point(edge.a), point(edge.b))),
        Some(_) => Curve::NurbsCurve(NurbsCurve::new(spline(edge))),
    }
}

impl Body {
    /// The exact solid.
    ///
    /// # Errors
    /// [`ExactError`] when the kernel finds the shell open or in pieces.
    pub fn exact(&self) -> Result<Solid, ExactError> {
        let listed = self.compressed(curve, |face| self.surface(face));
        Solid::extract(listed).map_err(|e| ExactError { reason: e.to_string() })
    }

    /// The kernel's list of vertices, edges and faces, with these curves and surfaces; unchecked.
    pub(crate) fn compressed<C, S>(
        &self,
        curve: impl Fn(&Edge) -> C,
        surface: impl Fn(&Face) -> S,
    ) -> CompressedSolid<Point3, C, S> {
        let edge = |e: &BodyEdge| CompressedEdge {
            vertices: (e.ends[0], e.ends[1]),
            curve: curve(&e.shape),
        };
        let wire = |wire: &Vec<EdgeUse>| wire.iter().map(|u| (u.edge, u.forward).into()).collect();
        let face = |f: &Face| CompressedFace {
            boundaries: f.loops.iter().map(wire).collect(),
            orientation: true,
            surface: surface(f),
        };
        let shell = CompressedShell {
            vertices: self.vertices.iter().map(|&p| point(p)).collect(),
            edges: self.edges.iter().map(edge).collect(),
            faces: self.faces.iter().map(face).collect(),
        };
        CompressedSolid { boundaries: vec![shell] }
    }

    /// The surface of a face, as the kernel holds it.
    pub(crate) fn surface(&self, face: &Face) -> Surface {
        match face.kind {
            FaceKind::Plane { normal } => {
                let origin = self.run(face.loops[0][0]).a;
                let axis = if normal.z.abs() > 0.9 { Vec3::X } else { Vec3::Z };
                let u = (axis - normal * axis.dot(normal)).unit();
                let v = normal.cross(u);
                let plane = Plane::new(point(origin), point(origin + u), point(origin + v));
                debug_assert!(
                    plane.normal().dot(truck_modeling::Vector3::new(normal.x, normal.y, normal.z))
                        > 0.99
                );
                Surface::Plane(plane)
            }
            FaceKind::Ruled => {
                let lower = spline(&self.run(face.loops[0][0]));
                let upper = spline(&self.run(face.loops[0][2]).reversed());
                Surface::NurbsSurface(NurbsSurface::new(BSplineSurface::homotopy(lower, upper)))
            }
        }
    }
}
