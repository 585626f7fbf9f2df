//! The seal of the box: groove, gasket, lid and fasteners.

pub(super) mod groove_corner_tight;
pub(super) mod groove_fill;
pub(super) mod knob_too_tight;
pub(super) mod lid_bows;
pub(super) mod lid_screw_without_insert;
pub(super) mod seal_pierced;
pub(super) mod seal_screws_near_seal;

use super::calculations::Section;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, Groove, print_tolerance};
use crate::engineering::account::Line;
use crate::engineering::seal::{self, gasket_to_cut};
use crate::engineering::swap::Swap;
use crate::finding::Finding;
use crate::params::Job;
use crate::units::Length;

/// Gasket to cut for one box.
pub(crate) fn gasket_run(enclosure: &Enclosure) -> Length {
    let Groove { centre_line, section } = &enclosure.groove;
    gasket_to_cut(centre_line.perimeter(), &section.gasket)
}

/// The lid as it is opened to change a pack.
pub(crate) fn swap(enclosure: &Enclosure) -> Swap {
    let screws = &enclosure.screws;
    Swap {
        closing: screws.closing,
        fasteners: enclosure.fasteners(),
        engaged: screws.insert_length,
        pitch: screws.thread.pitch(),
    }
}

/// Groove, gasket, lid and fasteners; `swaps` is how often packs are changed in the season.
pub(crate) fn section(job: &Job, enclosure: &Enclosure, swaps: u32) -> Section {
    let (groove, screws) = (&enclosure.groove.section, &enclosure.screws);
    let line = &enclosure.groove.centre_line;
    let mut section = Section::new("seal of the box");
    section.take(seal::lines(
        groove,
        &enclosure.lid.edge,
        screws.line_load,
        screws.pitch,
        screws.thread.diameter(),
        print_tolerance(&job.printer),
    ));
    section.lines.push(
        Line::new(
            "gasket to cut",
            "2 (a + b) - (8 - 2 pi) R + height",
            format!("{:.0}", gasket_run(enclosure)),
            "length of a rounded rectangle; the joint takes one height",
        )
        .input("a", format!("{:.1}", line.half[0] * 2.0))
        .input("b", format!("{:.1}", line.half[1] * 2.0))
        .input("R", line.radius)
        .input("height", groove.gasket.height()),
    );
    section.lines.extend(swap(enclosure).lines(swaps));
    section
}

/// What a rule finds of the seal, which body and lid share.
fn of_box(found: Option<Finding>) -> Vec<Finding> {
    found.map(|f| f.part(PartId::BoxBody).part(PartId::BoxLid)).into_iter().collect()
}
