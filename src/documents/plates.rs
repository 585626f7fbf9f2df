//! Plates: every copy that has to be printed, packed onto beds; one 3MF a distinct plate.
//!
//! Copies keep their print pose but for quarter turns about the vertical. Kept prints of an earlier
//! year are not on the plates.

use super::{Document, DocumentError, Subject};
use crate::build::BuiltPart;
use crate::design::beds::{Bed, Placed, plates};
use crate::formats::threemf::{Object, Package, threemf};
use crate::mesh::TriMesh;
use crate::units::Length;

/// One plate, printed so many times.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// Each copy as the index of its part and where it lies.
    pub copies: Vec<(usize, Placed)>,
    /// How often this plate is to be printed.
    pub times: usize,
}

/// What lies on the plates.
#[derive(Debug, Clone)]
pub struct PlateList {
    /// Distinct plates: plates with the same parts at the same places are one.
    pub plates: Vec<Plate>,
    /// Prints in all.
    pub prints: usize,
    /// No packing needs fewer.
    pub at_least: usize,
    /// Indices of parts that are larger than the bed, or that an error bars.
    pub left_out: Vec<usize>,
}

/// Packs the copies that have to be printed.
///
/// # Errors
/// When the printer's bed leaves nothing to print on.
pub fn pack(subject: &Subject<'_>) -> Result<PlateList, DocumentError> {
    let printer = &subject.job.printer;
    let bed = Bed { size: printer.bed, margin: printer.margin, gap: printer.gap };
    let size = |made: &BuiltPart| made.report.bounds.size();
    let fits = |s: [Length; 3]| {
        let room = [0, 1].map(|axis| printer.bed[axis] - printer.margin * 2.0);
        let flat = (s[0] <= room[0] && s[1] <= room[1]) || (s[1] <= room[0] && s[0] <= room[1]);
        flat && s[2] <= printer.bed[2]
    };
    let mut copies = Vec::new();
    let mut left_out = Vec::new();
    for (index, made) in subject.made.iter().enumerate().filter(|(_, m)| m.spec.prints > 0) {
        if fits(size(made)) && !subject.bars(made.id()) {
            copies.extend((0..made.spec.prints).map(|_| index));
        } else {
            left_out.push(index);
        }
    }
    if copies.is_empty() {
        return Ok(PlateList { plates: Vec::new(), prints: 0, at_least: 0, left_out });
    }
    let sizes: Vec<[Length; 3]> = copies.iter().map(|&i| size(&subject.made[i])).collect();
    let packed = plates(&sizes, &bed).map_err(|e| DocumentError::at("plates")(&e))?;
    let prints = packed.plates.len();
    let mut plates: Vec<Plate> = Vec::new();
    for plate in packed.plates {
        let part_of = |p: Placed| {
            let part = copies[p.part];
            (part, Placed { part, ..p })
        };
        let copies: Vec<_> = plate.into_iter().map(part_of).collect();
        match plates.iter_mut().find(|known| known.copies == copies) {
            Some(known) => known.times += 1,
            None => plates.push(Plate { copies, times: 1 }),
        }
    }
    Ok(PlateList { plates, prints, at_least: packed.at_least, left_out })
}

/// The 3MF of a distinct plate, numbered from 0: every copy a named object, placement baked into the
/// vertices.
///
/// # Errors
/// [`DocumentError`] when the plate is not in the list or cannot be written.
pub fn file(
    subject: &Subject<'_>,
    list: &PlateList,
    number: usize,
) -> Result<Document, DocumentError> {
    let path = format!("plates/plate-{}.3mf", number + 1);
    let plate =
        list.plates.get(number).ok_or_else(|| DocumentError::at(&path)(&"no such plate"))?;
    let meshes: Vec<(String, TriMesh)> = plate
        .copies
        .iter()
        .map(|(part, placed)| {
            let made = &subject.made[*part];
            (made.name(), lay(&made.mesh, placed))
        })
        .collect();
    let objects: Vec<Object<'_>> =
        meshes.iter().map(|(name, mesh)| Object { name, mesh }).collect();
    let title = format!("Plate {} of {}", number + 1, list.plates.len());
    let package = Package { title: &title, description: &subject.job.job.name, objects: &objects };
    let bytes = threemf(&package).map_err(|e| DocumentError::at(&path)(&e))?;
    Ok((path, bytes))
}

/// A copy of a part where it lies: turned a quarter about Z if so placed, least corner in place.
fn lay(mesh: &TriMesh, placed: &Placed) -> TriMesh {
    let turn = |[x, y, z]: [f64; 3]| if placed.turned { [-y, x, z] } else { [x, y, z] };
    let least =
        |axis: usize| mesh.vertices.iter().map(|p| turn(*p)[axis]).fold(f64::INFINITY, f64::min);
    let shift = [0, 1].map(|axis| placed.corner[axis].get() - least(axis));
    let vertices = mesh.vertices.iter().map(|p| {
        let [x, y, z] = turn(*p);
        [x + shift[0], y + shift[1], z]
    });
    TriMesh { vertices: vertices.collect(), triangles: mesh.triangles.clone() }
}

/// The table of plates for a spreadsheet: plate, how often, part, copies on it.
#[must_use]
pub fn table(subject: &Subject<'_>, list: &PlateList) -> String {
    let mut text = String::from("plate,times,part,copies on it\r\n");
    for (number, plate) in list.plates.iter().enumerate() {
        let mut counts = std::collections::BTreeMap::new();
        for (part, _) in &plate.copies {
            *counts.entry(subject.made[*part].name()).or_insert(0) += 1;
        }
        for (name, copies) in counts {
            text.push_str(&format!("{},{},{name},{copies}\r\n", number + 1, plate.times));
        }
    }
    text
}
