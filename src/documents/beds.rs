//! Filled beds: every copy that has to be printed, packed onto the printer's bed; one 3MF for each
//! distinct bed.
//!
//! Copies keep their print pose but for quarter turns about the vertical. Kept prints of an earlier
//! year are on no bed.

use super::{Document, DocumentError, Subject};
use crate::build::BuiltPart;
use crate::design::beds::{self, Bed, Placed};
use crate::formats::threemf::{Object, Package, threemf};
use crate::mesh::TriMesh;
use crate::units::Length;

/// One filled bed, printed so many times.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledBed {
    /// Each copy as the index of its part and where it lies.
    pub copies: Vec<(usize, Placed)>,
    /// How often this bed is to be printed.
    pub times: usize,
}

/// What lies on the beds.
#[derive(Debug, Clone)]
pub struct BedList {
    /// Distinct beds: beds with the same parts at the same places are one.
    pub beds: Vec<FilledBed>,
    /// Prints in all.
    pub prints: usize,
    /// Indices of parts that are larger than the bed, or that an error blocks.
    pub left_out: Vec<usize>,
}

/// Packs the copies that have to be printed.
///
/// # Errors
/// When the printer's bed leaves nothing to print on.
pub fn pack(subject: &Subject<'_>) -> Result<BedList, DocumentError> {
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
        if fits(size(made)) && !subject.blocks(made.id()) {
            copies.extend((0..made.spec.prints).map(|_| index));
        } else {
            left_out.push(index);
        }
    }
    if copies.is_empty() {
        return Ok(BedList { beds: Vec::new(), prints: 0, left_out });
    }
    let sizes: Vec<[Length; 3]> = copies.iter().map(|&i| size(&subject.made[i])).collect();
    let packed = beds::pack(&sizes, &bed).map_err(|e| DocumentError::at("beds")(&e))?;
    let prints = packed.beds.len();
    let mut beds: Vec<FilledBed> = Vec::new();
    for laid in packed.beds {
        let part_of = |p: Placed| {
            let part = copies[p.part];
            (part, Placed { part, ..p })
        };
        let copies: Vec<_> = laid.into_iter().map(part_of).collect();
        match beds.iter_mut().find(|known| known.copies == copies) {
            Some(known) => known.times += 1,
            None => beds.push(FilledBed { copies, times: 1 }),
        }
    }
    Ok(BedList { beds, prints, left_out })
}

/// The 3MF of a distinct bed, numbered from 0: every copy a named object, placement baked into the
/// vertices.
///
/// # Errors
/// [`DocumentError`] when the bed is not in the list or cannot be written.
pub fn file(
    subject: &Subject<'_>,
    list: &BedList,
    number: usize,
) -> Result<Document, DocumentError> {
    let path = format!("beds/bed-{}.3mf", number + 1);
    let bed = list.beds.get(number).ok_or_else(|| DocumentError::at(&path)(&"no such bed"))?;
    let meshes: Vec<(String, TriMesh)> = bed
        .copies
        .iter()
        .map(|(part, placed)| {
            let made = &subject.made[*part];
            (made.name(), lay(&made.mesh, placed))
        })
        .collect();
    let objects: Vec<Object<'_>> =
        meshes.iter().map(|(name, mesh)| Object { name, mesh }).collect();
    let title = format!("Bed {} of {}", number + 1, list.beds.len());
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

/// The table of beds for a spreadsheet: bed, how often, part, copies on it.
#[must_use]
pub fn table(subject: &Subject<'_>, list: &BedList) -> String {
    let mut text = String::from("bed,times,part,copies on it\r\n");
    for (number, bed) in list.beds.iter().enumerate() {
        let mut counts = std::collections::BTreeMap::new();
        for (part, _) in &bed.copies {
            *counts.entry(subject.made[*part].name()).or_insert(0) += 1;
        }
        for (name, copies) in counts {
            text.push_str(&format!("{},{},{name},{copies}\r\n", number + 1, bed.times));
        }
    }
    text
}
