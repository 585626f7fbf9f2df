//! From the plan to printable parts: draw, sew, mesh, gate.
//!
//! Pure: no file, clock or threads. Each [`PartSpec`] stands alone, so the caller may work on several at
//! once; results keep the order of [`part_specs`]. Nothing leaves here that has not passed the gate of
//! [`mod@crate::mesh::gate`], as designed and as it is written.

use std::sync::Arc;

use crate::design::marks::Engraving;
use crate::design::part::{Part, PartId};
use crate::design::{Plan, SizeClass};
use crate::design::{cradle, enclosure, rail, test_piece, tilt_plate};
use crate::engineering::seal::Closing;
use crate::mesh::TriMesh;
use crate::mesh::gate::{Expected, GateError, GateReport, gate_as_written};
use crate::params::Job;
use crate::solid::tessellate::{TessellateError, Tessellation};
use crate::solid::{Body, SewError};
use crate::units::{Length, Volume};

/// A part to build, with its quantity and the trunks it is for.
#[derive(Debug, Clone)]
pub struct PartSpec {
    /// The drawing.
    pub part: Part,
    /// Copies wanted.
    pub copies: u32,
    /// Indices of the trunks that get it; empty when it is not tied to a trunk.
    pub trunks: Vec<usize>,
    /// Copies that have still to be printed: fewer than wanted when earlier prints are used again.
    pub prints: u32,
}

/// A solid that passed the gate: all that depends on nothing but the drawing and the deviation.
#[derive(Debug, Clone)]
pub struct BuiltSolid {
    /// The exact solid in print pose.
    pub body: Body,
    /// The mesh as designed, in print pose, with the face of the solid of each triangle.
    pub designed: Tessellation,
    /// The mesh to write, in print pose: the designed one as a printer will read it.
    pub mesh: TriMesh,
    /// Volume of the exact solid.
    pub exact_volume: Volume,
    /// What the gate measured.
    pub report: GateReport,
}

/// A part that passed the gate.
#[derive(Debug, Clone)]
pub struct BuiltPart {
    /// What was to be built.
    pub spec: PartSpec,
    /// Its solid; shared, since it outlives a change in copies or trunks.
    pub solid: Arc<BuiltSolid>,
}

impl std::ops::Deref for BuiltPart {
    type Target = BuiltSolid;

    fn deref(&self) -> &BuiltSolid {
        &self.solid
    }
}

/// Every distinct part of the job, in the order in which files are listed.
#[must_use]
pub fn part_specs(job: &Job, plan: &Plan) -> Vec<PartSpec> {
    let engraving = Engraving::new(&job.printer);
    let tilt = [job.tilt.min, job.tilt.max];
    let of_class = |part: Part, class: &SizeClass| PartSpec {
        part,
        copies: class.copies,
        trunks: class.trunks.clone(),
        prints: class.prints,
    };
    let mut all = Vec::new();
    for size in &plan.cradles {
        let [first, second] = mark_lines(&size.class);
        let first = format!("\u{2191} {first}");
        let lines = [first.as_str(), second.as_str()];
        let part = cradle::drawing::draw(
            size.id(),
            &size.saddle,
            &plan.yoke.on(size.saddle.height),
            tilt,
            &lines,
            engraving,
        );
        all.push(of_class(part, &size.class));
    }
    if let Some(plate) = &plan.yoke.plate {
        let yoke = &plan.yoke;
        let lines = ["TILT PLATE"];
        let part = tilt_plate::drawing::draw(plate, yoke.pivot_hole, yoke.lock, &lines, engraving);
        all.push(PartSpec {
            part,
            copies: plan.lamps,
            prints: plan.tilt_plates_to_print,
            trunks: Vec::new(),
        });
    }
    if let Some(enclosure) = &plan.enclosure {
        let trunks: Vec<usize> =
            (0..job.trunks.len()).filter(|&t| job.trunks[t].carries_box).collect();
        let knobs = match enclosure.screws.closing {
            Closing::Knobs => enclosure.fasteners(),
            Closing::Screws => 0,
        };
        for (part, a_box) in [
            (enclosure::body_drawing::draw(enclosure, engraving), 1),
            (enclosure::lid_drawing::draw(enclosure, engraving), 1),
            (enclosure::knob::draw(enclosure.screws.thread), knobs),
        ] {
            let [copies, prints] = [plan.boxes, plan.boxes_to_print].map(|boxes| boxes * a_box);
            if copies > 0 {
                all.push(PartSpec { part, copies, prints, trunks: trunks.clone() });
            }
        }
    }
    for size in &plan.rails {
        let [first, second] = mark_lines(&size.class);
        let line = format!("{first} {second}");
        let part = rail::drawing::draw(size.id(), &size.rail, &[line.as_str()], engraving);
        all.push(of_class(part, &size.class));
    }
    // Test pieces of what is to be printed.
    let new = plan.cradles.iter().filter(|c| c.class.prints > 0);
    let mut pieces: Vec<Part> =
        new.map(|c| test_piece::curve(&c.saddle, &c.class.mark, engraving)).collect();
    if !pieces.is_empty() {
        pieces.push(test_piece::yoke(&plan.yoke, engraving));
    }
    let boxed = plan.enclosure.iter().filter(|_| plan.boxes_to_print > 0);
    pieces.extend(boxed.map(|e| test_piece::seal(e, engraving)));
    all.extend(pieces.into_iter().map(|part| PartSpec {
        part,
        copies: 1,
        prints: 1,
        trunks: Vec::new(),
    }));
    all
}

/// What is engraved on a size: its letters, and the girths that it serves in whole millimetres,
/// rounded inwards.
#[must_use]
pub fn mark_lines(class: &SizeClass) -> [String; 2] {
    let [from, to] = class.size.engraved_girths().map(Length::get);
    [class.mark.clone(), format!("{from:.0}-{to:.0}")]
}

impl BuiltPart {
    /// Which part it is.
    #[must_use]
    pub const fn id(&self) -> &PartId {
        &self.spec.part.id
    }

    /// Its file stem.
    #[must_use]
    pub fn name(&self) -> String {
        self.id().to_string()
    }
}

/// A part that could not be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{part} cannot be made: {fault}")]
pub struct BuildError {
    /// Which part.
    pub part: PartId,
    /// Why not.
    pub fault: BuildFault,
}

/// Why a part could not be built; each names the face or the place.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BuildFault {
    /// Faces do not meet.
    #[error(transparent)]
    Sew(#[from] SewError),
    /// The solid has other holes than the design.
    #[error("{found} handles where the design has {designed}")]
    Genus {
        /// Handles of the solid.
        found: i64,
        /// Handles of the design.
        designed: usize,
    },
    /// A face cannot be meshed.
    #[error(transparent)]
    Tessellate(#[from] TessellateError),
    /// The mesh is not the solid that was designed.
    #[error(transparent)]
    Gate(#[from] GateError),
}

/// Sews, meshes and gates one part.
///
/// # Errors
/// As [`solid`].
pub fn build_part(spec: PartSpec, deviation: Length) -> Result<BuiltPart, Box<BuildError>> {
    let solid = Arc::new(solid(&spec.part, deviation)?);
    Ok(BuiltPart { spec, solid })
}

/// Sews, meshes and gates a drawing, to within `deviation` of the exact solid.
///
/// # Errors
/// [`BuildError`], which names the face or the place.
pub fn solid(part: &Part, deviation: Length) -> Result<BuiltSolid, Box<BuildError>> {
    sewn_and_meshed(part, deviation)
        .map_err(|fault| Box::new(BuildError { part: part.id.clone(), fault }))
}

fn sewn_and_meshed(part: &Part, deviation: Length) -> Result<BuiltSolid, BuildFault> {
    let body = part.body()?;
    let exact_volume = body.volume();
    let genus = part.genus;
    if body.genus() != genus as i64 {
        return Err(BuildFault::Genus { found: body.genus(), designed: genus });
    }
    let designed = body.tessellate(deviation)?;
    let expected = Expected { bodies: 1, genus, volume: exact_volume, deviation };
    let (mesh, report) = gate_as_written(&designed.mesh, &expected)?;
    Ok(BuiltSolid { body, designed, mesh, exact_volume, report })
}

#[cfg(test)]
mod tests;
