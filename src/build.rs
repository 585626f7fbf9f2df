//! From the plan to printable parts: draw, sew, mesh, gate.
//!
//! Pure: no file, clock or threads. Each [`Order`] stands alone, so the caller may work on several at
//! once; results keep the order of [`orders`]. Nothing leaves here that has not passed the gate of
//! [`mod@crate::mesh::gate`], as designed and as it is written.

use crate::assessment::checks::{Finding, Severity};
use crate::design::job_plan::part_stem;
use crate::design::marks::Engraving;
use crate::design::part::Part;
use crate::design::{Plan, SizeClass};
use crate::design::{cradle, enclosure, rail, test_piece, tilt_plate};
use crate::mesh::TriMesh;
use crate::mesh::gate::{Expected, GateReport, gate_as_written};
use crate::params::Job;
use crate::solid::Body;
use crate::solid::tessellate::Tessellation;
use crate::units::{Length, Volume};

/// A part to make, so often, for these trunks.
#[derive(Debug, Clone)]
pub struct Order {
    /// The drawing.
    pub part: Part,
    /// Copies wanted.
    pub copies: u32,
    /// Indices of the trunks that get it; empty when it is not tied to a trunk.
    pub trunks: Vec<usize>,
    /// Copies that have still to be printed: fewer than wanted when earlier prints are used again.
    pub prints: u32,
}

/// A part that passed the gate.
#[derive(Debug, Clone)]
pub struct Made {
    /// What was ordered.
    pub order: Order,
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

/// Every distinct part of the job, in the order in which files are listed.
#[must_use]
pub fn orders(job: &Job, plan: &Plan) -> Vec<Order> {
    let engraving = Engraving::new(&job.printer);
    let tilt = [job.tilt.min, job.tilt.max];
    let class_order = |part: Part, class: &SizeClass| Order {
        part,
        copies: class.copies,
        trunks: class.trunks.clone(),
        prints: class.prints,
    };
    let mut all = Vec::new();
    for size in &plan.cradles {
        let [first, second] = mark_lines(&size.class);
        let first = format!("\u{2191} {first}");
        let name = part_name("cradle", &size.class);
        let lines = [first.as_str(), second.as_str()];
        let part = cradle::drawing::draw(&name, &size.saddle, &plan.yoke, tilt, &lines, engraving);
        all.push(class_order(part, &size.class));
    }
    if let Some(plate) = &plan.yoke.plate {
        let yoke = &plan.yoke;
        let lines = ["TILT PLATE"];
        let part = tilt_plate::drawing::draw(
            "tilt-plate",
            plate,
            yoke.pivot_hole,
            yoke.lock,
            &lines,
            engraving,
        );
        all.push(Order {
            part,
            copies: plan.lamps,
            prints: plan.tilt_plates_to_print,
            trunks: Vec::new(),
        });
    }
    if let Some(enclosure) = &plan.enclosure {
        let trunks: Vec<usize> =
            (0..job.trunks.len()).filter(|&t| job.trunks[t].carries_box).collect();
        for part in [
            enclosure::body_drawing::draw(enclosure, engraving),
            enclosure::lid_drawing::draw(enclosure, engraving),
        ] {
            let (copies, prints) = (plan.boxes, plan.boxes_to_print);
            all.push(Order { part, copies, prints, trunks: trunks.clone() });
        }
    }
    for size in &plan.rails {
        let [first, second] = mark_lines(&size.class);
        let name = part_name("rail", &size.class);
        let line = format!("{first} {second}");
        let part = rail::drawing::draw(&name, &size.rail, &[line.as_str()], engraving);
        all.push(class_order(part, &size.class));
    }
    // Try pieces of what is to be printed.
    let new = plan.cradles.iter().filter(|c| c.class.prints > 0);
    let mut pieces: Vec<Part> = new
        .map(|c| {
            test_piece::curve(&c.class.mark.to_lowercase(), &c.saddle, &c.class.mark, engraving)
        })
        .collect();
    if !pieces.is_empty() {
        pieces.push(test_piece::yoke(&plan.yoke, engraving));
    }
    let boxed = plan.enclosure.iter().filter(|_| plan.boxes_to_print > 0);
    pieces.extend(boxed.map(|e| test_piece::seal(e, engraving)));
    all.extend(pieces.into_iter().map(|part| Order {
        part,
        copies: 1,
        prints: 1,
        trunks: Vec::new(),
    }));
    all
}

/// File stem of a size's part.
#[must_use]
pub fn part_name(kind: &str, class: &SizeClass) -> String {
    part_stem(kind, &class.mark)
}

/// What is engraved on a size: its letters, and the girths that it serves in whole millimetres,
/// rounded inwards.
#[must_use]
pub fn mark_lines(class: &SizeClass) -> [String; 2] {
    let [from, to] = class.size.engraved_girths().map(Length::get);
    [class.mark.clone(), format!("{from:.0}-{to:.0}")]
}

/// Sews, meshes and gates one part.
///
/// # Errors
/// The finding `part-not-sound`, which names the face or the place.
pub fn make(order: Order, deviation: Length) -> Result<Made, Box<Finding>> {
    let refuse = |why: &dyn std::fmt::Display| {
        let message = format!("{} cannot be made: {why}", order.part.name);
        Box::new(
            Finding::new(
                crate::assessment::checks::part_not_sound::RULE.code,
                Severity::Error,
                message,
            )
            .part(&order.part.name),
        )
    };
    let body = order.part.body().map_err(|e| refuse(&e))?;
    let exact_volume = body.volume();
    let genus = order.part.genus;
    if body.genus() != genus as i64 {
        return Err(refuse(&format!("{} handles where the design has {genus}", body.genus())));
    }
    let designed = body.tessellate(deviation).map_err(|e| refuse(&e))?;
    let expected = Expected { bodies: 1, genus, volume: exact_volume, deviation };
    let (mesh, report) = gate_as_written(&designed.mesh, &expected).map_err(|e| refuse(&e))?;
    Ok(Made { order, body, designed, mesh, exact_volume, report })
}
