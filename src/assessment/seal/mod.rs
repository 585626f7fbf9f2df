//! The seal of the box: groove, cord, lid and screws.

pub(super) mod groove_corner_tight;
pub(super) mod groove_fill;
pub(super) mod lid_bows;
pub(super) mod lid_screw_without_insert;
pub(super) mod seal_pierced;
pub(super) mod seal_screws_near_seal;

use super::calculations::Section;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, print_tolerance};
use crate::engineering::account::Line;
use crate::engineering::seal::{self, cord_to_cut};
use crate::finding::Finding;
use crate::params::Job;
use crate::units::Length;

/// Cord to cut for one box.
pub(crate) fn cord(enclosure: &Enclosure) -> Length {
    cord_to_cut(enclosure.groove.centre_line.perimeter(), enclosure.groove.section.cord)
}

/// Groove, cord, lid and screws.
pub(crate) fn section(job: &Job, enclosure: &Enclosure) -> Section {
    let (groove, screws) = (&enclosure.groove.section, &enclosure.screws);
    let line = &enclosure.groove.centre_line;
    let mut section = Section::new("seal of the box");
    section.take(seal::lines(
        groove,
        &enclosure.lid.edge,
        job.seal.line_load,
        screws.pitch,
        screws.thread.diameter(),
        print_tolerance(&job.printer),
    ));
    section.lines.push(
        Line::new(
            "cord to cut",
            "2 (a + b) - (8 - 2 pi) R + cord",
            format!("{:.0}", cord(enclosure)),
            "length of a rounded rectangle; a scarf splice takes one cord",
        )
        .input("a", format!("{:.1}", line.half[0] * 2.0))
        .input("b", format!("{:.1}", line.half[1] * 2.0))
        .input("R", line.radius)
        .input("cord", groove.cord),
    );
    section
}

/// What a rule finds of the seal, which body and lid share.
fn of_box(found: Option<Finding>) -> Vec<Finding> {
    found.map(|f| f.part(PartId::BoxBody).part(PartId::BoxLid)).into_iter().collect()
}
