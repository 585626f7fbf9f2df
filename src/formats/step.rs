//! STEP (ISO 10303-21): the exact solid for a machinist.
//!
//! Planes, lines, circles, cylinders and cones are written as such (ISO 10303-42), so that a hole is
//! recognised as a hole; what is ruled in another way is written as a rational spline, exact as well.
//! The crate `truck-stepio` writes the entities, except circles, cylinders and cones, for which the
//! kernel has no types; this module sets right what it writes amiss: the
//! schema, which is AP214 (`AUTOMOTIVE_DESIGN`) here, since importers expect it and all entities used
//! are in it; the header's lists of authors and organisations, which it wraps twice; the product's
//! name, which it leaves empty; and the faces, which in AP214's advanced boundary representation are
//! of the kind `ADVANCED_FACE`, with the same attributes. Millimetres.
//! No clock: the time stamp is that of no day, so the same part gives the same bytes.

use std::fmt::{self, Formatter};

use truck_modeling::Vector3;
use truck_stepio::out::{
    CompleteStepDisplay, DisplayByStep, FloatDisplay, StepCurve, StepDisplay, StepHeaderDescriptor,
    StepLength, StepModel, StepSurface, VectorAsDirection,
};

use crate::solid::analytic::{Axis, Circle, Form, circle};
use crate::solid::exact::{ExactError, curve, point};
use crate::solid::shell::Face;
use crate::solid::{Body, Edge, Vec3};

/// The name of the schema that `truck-stepio` writes, which is no application protocol.
const WRITTEN_SCHEMA: &str = "ISO-10303-042";
/// AP214: the application protocol that importers know.
const SCHEMA: &str = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }";

/// Authors and organisations as `truck-stepio` writes them when there are none.
const WRITTEN_NOBODY: &str = "(('')), ((''))";
/// Two lists of one empty text, as ISO 10303-21 asks for.
const NOBODY: &str = "(''), ('')";
/// The product as it is written: no name.
const WRITTEN_PRODUCT: &str = "PRODUCT('','',";
/// A face as it is written.
const WRITTEN_FACE: &str = " = FACE_SURFACE(";
/// A face of an advanced boundary representation.
const FACE: &str = " = ADVANCED_FACE(";

/// The STEP file of a body.
///
/// # Errors
/// [`ExactError`] when the kernel refuses the body.
pub(crate) fn step(body: &Body, name: &str) -> Result<Vec<u8>, ExactError> {
    // The kernel looks at it as a solid of its own before anything is written.
    body.exact()?;
    let solid = body.compressed(Curve::new, |face| Surface::new(body, face));
    let header = StepHeaderDescriptor {
        file_name: string(name),
        time_stamp: "1970-01-01T00:00:00".to_owned(),
        authors: Vec::new(),
        organization: Vec::new(),
        organization_system: "Bolewright".to_owned(),
        authorization: String::new(),
    };
    let text = CompleteStepDisplay::new(StepModel::from(&solid), header).to_string();
    let product = format!("PRODUCT('{0}','{0}',", string(name));
    let text = text
        .replacen(WRITTEN_SCHEMA, SCHEMA, 1)
        .replacen(WRITTEN_NOBODY, NOBODY, 1)
        .replacen(WRITTEN_PRODUCT, &product, 1)
        .replace(WRITTEN_FACE, FACE);
    Ok(text.into_bytes())
}

/// The curve of an edge.
enum Curve {
    /// As the kernel writes it: a line.
    Kernel(truck_modeling::Curve),
    /// An arc, as the circle that it is a part of (ISO 10303-42, `circle`).
    Circle(Circle),
}

/// The surface of a face.
enum Surface {
    /// As the kernel writes it: a plane, or a ruled surface without a name.
    Kernel(truck_modeling::Surface),
    /// ISO 10303-42, `cylindrical_surface`: its normal looks away from the axis.
    Cylinder { circle: Circle, is_outside: bool },
    /// ISO 10303-42, `conical_surface`: radius at its placement, widening along the axis by the half
    /// angle; its normal looks away from the axis.
    Cone { circle: Circle, half_angle: f64, is_outside: bool },
}

impl Curve {
    fn new(edge: &Edge) -> Self {
        circle(edge).map_or_else(|| Self::Kernel(curve(edge)), Self::Circle)
    }
}

impl Surface {
    fn new(body: &Body, face: &Face) -> Self {
        match body.form(face) {
            Form::Cylinder { circle, is_outside } => Self::Cylinder { circle, is_outside },
            Form::Cone { circle, half_angle, is_outside } => {
                Self::Cone { circle, half_angle, is_outside }
            }
            Form::Plane | Form::Ruled => Self::Kernel(body.surface(face)),
        }
    }
}

/// Entities of a named curve or surface: itself, and its placement of four.
const PLACED: usize = 5;

/// A named curve or surface: entity `idx` with these last attributes, on a placement about its axis.
fn placed(idx: usize, kind: &str, axis: &Axis, last: &str, f: &mut Formatter<'_>) -> fmt::Result {
    let direction = |d: Vec3| VectorAsDirection(Vector3::new(d.x, d.y, d.z));
    let [placement, location, along, from] = [1, 2, 3, 4].map(|n| idx + n);
    write!(
        f,
        "#{idx} = {kind}('', #{placement}, {last});\n\
         #{placement} = AXIS2_PLACEMENT_3D('', #{location}, #{along}, #{from});\n{}{}{}",
        StepDisplay::new(point(axis.centre), location),
        StepDisplay::new(direction(axis.along), along),
        StepDisplay::new(direction(axis.from), from),
    )
}

impl DisplayByStep for Curve {
    fn fmt(&self, idx: usize, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Kernel(curve) => curve.fmt(idx, f),
            Self::Circle(Circle { axis, radius }) => {
                placed(idx, "CIRCLE", axis, &FloatDisplay(*radius).to_string(), f)
            }
        }
    }
}

impl StepLength for Curve {
    fn step_length(&self) -> usize {
        match self {
            Self::Kernel(curve) => curve.step_length(),
            Self::Circle(_) => PLACED,
        }
    }
}

impl StepCurve for Curve {}

impl DisplayByStep for Surface {
    fn fmt(&self, idx: usize, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Kernel(surface) => surface.fmt(idx, f),
            Self::Cylinder { circle: Circle { axis, radius }, .. } => {
                placed(idx, "CYLINDRICAL_SURFACE", axis, &FloatDisplay(*radius).to_string(), f)
            }
            Self::Cone { circle: Circle { axis, radius }, half_angle, .. } => {
                let last = format!("{}, {}", FloatDisplay(*radius), FloatDisplay(*half_angle));
                placed(idx, "CONICAL_SURFACE", axis, &last, f)
            }
        }
    }
}

impl StepLength for Surface {
    fn step_length(&self) -> usize {
        match self {
            Self::Kernel(surface) => surface.step_length(),
            Self::Cylinder { .. } | Self::Cone { .. } => PLACED,
        }
    }
}

impl StepSurface for Surface {
    fn same_sense(&self) -> bool {
        match self {
            Self::Kernel(surface) => surface.same_sense(),
            Self::Cylinder { is_outside, .. } | Self::Cone { is_outside, .. } => *is_outside,
        }
    }
}

/// Text for a string of the exchange format: plain ASCII, quotes doubled, the rest as `?`.
fn string(text: &str) -> String {
    let plain = text.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c } else { '?' });
    plain.collect::<String>().replace('\\', "\\\\").replace('\'', "''")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::{Frame, Outline, Plane, Pose, Shell, Vec3};

    #[test]
    fn a_cylinder_has_the_expected_entities() {
        let mut shell = Shell::default();
        let outline = Outline::circle([0.0, 0.0], 5.0);
        let (low, high) = (outline.on(&Frame::level(0.0)), outline.on(&Frame::level(3.0)));
        shell.walls("side", &low, &high);
        shell.add(Plane::new("bottom", -Vec3::Z, low.reversed()));
        shell.add(Plane::new("top", Vec3::Z, high));
        let body = shell.sew(&Pose::IDENTITY).unwrap();
        let text = String::from_utf8(step(&body, "it's \u{2603}").unwrap()).unwrap();
        assert!(text.starts_with("ISO-10303-21;"));
        assert!(text.contains("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));"));
        assert!(
            text.contains("FILE_NAME('it''s ?', '1970-01-01T00:00:00', (''), (''), "),
            "{text}"
        );
        assert!(text.contains("PRODUCT('it''s ?','it''s ?','',"), "{text}");
        assert_eq!(text.matches("MANIFOLD_SOLID_BREP").count(), 1);
        assert_eq!(text.matches("= ADVANCED_FACE(").count(), 6);
        assert_eq!(text.matches("= PLANE(").count(), 2);
        assert_eq!(text.matches("= EDGE_CURVE(").count(), 12);
        assert_eq!(text.matches("= CIRCLE(").count(), 8);
        assert_eq!(text.matches("= CYLINDRICAL_SURFACE(").count(), 4);
        assert!(!text.contains("SPLINE"), "{text}");
    }
}
