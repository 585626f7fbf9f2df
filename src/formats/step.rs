//! STEP (ISO 10303-21): the exact solid for a machinist.
//!
//! The crate `truck-stepio` writes the entities; this module sets right what it writes amiss: the
//! schema, which is AP214 (`AUTOMOTIVE_DESIGN`) here, since importers expect it and all entities used
//! are in it; the header's lists of authors and organisations, which it wraps twice; the product's
//! name, which it leaves empty; and the faces, which in AP214's advanced boundary representation are
//! of the kind `ADVANCED_FACE`, with the same attributes. Millimetres.
//! No clock: the time stamp is that of no day, so the same part gives the same bytes.

use truck_stepio::out::{CompleteStepDisplay, StepHeaderDescriptor, StepModel};

use crate::solid::Body;
use crate::solid::exact::ExactError;

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
    let solid = body.exact()?.compress();
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
    }
}
