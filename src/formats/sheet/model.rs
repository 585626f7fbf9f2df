//! Meshes for the viewer, as the JSON block that it reads.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde::Serialize;

use super::SheetError;
use crate::formats::drawing::clean;
use crate::mesh::{COORDINATE_LIMIT, TriMesh};

/// A part in the viewer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Model {
    /// Name in the list.
    pub name: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// 1 is solid; less lets the parts behind be seen. More than 0.
    pub opacity: f64,
    /// The mesh, where it stands on the site, Z up.
    pub mesh: TriMesh,
}

/// A measured dimension in the viewer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ModelDimension {
    /// First point, mm.
    pub from: [f64; 3],
    /// Second point, mm.
    pub to: [f64; 3],
    /// What is written.
    pub label: String,
}

#[derive(Serialize)]
struct Block {
    parts: Vec<Part>,
    dimensions: Vec<Mark>,
}

#[derive(Serialize)]
struct Part {
    name: String,
    colour: String,
    opacity: f64,
    positions: String,
    indices: String,
}

#[derive(Serialize)]
struct Mark {
    from: [f64; 3],
    to: [f64; 3],
    label: String,
}

/// The JSON block, safe inside a script element: no `<`, `>` or `&` is left in it.
pub(super) fn json(models: &[Model], marks: &[ModelDimension]) -> Result<String, SheetError> {
    let parts = models.iter().map(part).collect::<Result<_, _>>()?;
    let dimensions = marks.iter().map(mark).collect::<Result<_, _>>()?;
    let text =
        serde_json::to_string(&Block { parts, dimensions }).map_err(askama::Error::custom)?;
    Ok(text.replace('<', "\\u003c").replace('>', "\\u003e").replace('&', "\\u0026"))
}

fn part(model: &Model) -> Result<Part, SheetError> {
    let name = || model.name.clone();
    model.mesh.check().map_err(|fault| SheetError::Mesh { name: name(), fault })?;
    if !(model.opacity > 0.0 && model.opacity <= 1.0) {
        return Err(SheetError::Range { what: "the opacity", name: name() });
    }
    let positions: Vec<u8> =
        model.mesh.vertices.iter().flatten().flat_map(|x| (*x as f32).to_le_bytes()).collect();
    let indices: Vec<u8> =
        model.mesh.triangles.iter().flatten().flat_map(|i| i.to_le_bytes()).collect();
    let [r, g, b] = model.colour;
    Ok(Part {
        name: clean(&model.name),
        colour: format!("#{r:02x}{g:02x}{b:02x}"),
        opacity: model.opacity,
        positions: BASE64.encode(positions),
        indices: BASE64.encode(indices),
    })
}

fn mark(d: &ModelDimension) -> Result<Mark, SheetError> {
    if d.from.iter().chain(&d.to).all(|x| x.abs() <= COORDINATE_LIMIT) {
        Ok(Mark { from: d.from, to: d.to, label: clean(&d.label) })
    } else {
        Err(SheetError::Range { what: "a coordinate", name: d.label.clone() })
    }
}
