//! What next year's run reads back from a manifest: the prints that there are, and who has which.
//!
//! A manifest of format 1 is read as far as it identifies its prints (see `format_1`). An entry with
//! impossible numbers counts as none.

mod format_1;

use serde::Deserialize;

use super::manifest_data::PrintEntry;
use crate::design::PreviousSet;
use crate::design::SizeKind;
use crate::design::previous::{PreviousTrunk, Print, PrintKind};
use crate::engineering::sizes::Size;
use crate::formats::manifest::Manifest;
use crate::units::Length;

/// What is read back from an earlier manifest.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct PreviousManifest {
    #[serde(default)]
    job: String,
    prints: Vec<PrintEntry>,
    trunks: Vec<TrunkParts>,
    #[serde(default)]
    lists: Cut,
}

/// What was cut for it.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
struct Cut {
    #[serde(default)]
    pads: Vec<Foam>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Foam {
    thickness_mm: f64,
}

/// What a trunk had.
#[derive(Debug, Clone, PartialEq, Deserialize)]
struct TrunkParts {
    name: String,
    girth_mm: f64,
    cradle: Option<String>,
    cradles: u32,
    rail: Option<String>,
    rails: u32,
}

impl PreviousManifest {
    /// Reads a manifest of this format or of format 1.
    ///
    /// # Errors
    /// When it does not hold a set of this program.
    pub fn read(manifest: Manifest) -> Result<Self, serde_json::Error> {
        match manifest.format() {
            1 => serde_json::from_value(manifest.about).map(format_1::About::migrated),
            _ => serde_json::from_value(manifest.about),
        }
    }

    /// Name of its job; empty when it does not tell.
    #[must_use]
    pub fn job(&self) -> &str {
        &self.job
    }

    /// The earlier set, for the plan.
    #[must_use]
    pub fn set(&self, already_printed: bool) -> PreviousSet {
        let prints: Vec<Print> = self.prints.iter().filter_map(print).collect();
        let had = |kind: PrintKind, size: SizeKind, part: &Option<String>, copies: u32| {
            let part = part.as_ref()?;
            let is = |p: &Print| p.kind == kind && size.part(&p.mark).to_string() == *part;
            prints.iter().position(is).map(|n| (n, copies))
        };
        let trunks = self.trunks.iter().map(|t| PreviousTrunk {
            name: t.name.clone(),
            girth: Length::mm(t.girth_mm),
            cradle: had(PrintKind::Cradle, SizeKind::Cradle, &t.cradle, t.cradles),
            rail: had(PrintKind::Rail, SizeKind::Rail, &t.rail, t.rails),
        });
        let trunks = trunks.collect();
        let foam = self.lists.pads.first().map(|pad| pad.thickness_mm);
        let foam = foam.filter(|t| FOAM.contains(t)).map(Length::mm);
        PreviousSet { already_printed, prints, trunks, foam }
    }
}

/// Thicknesses of foam that a job may have, mm.
const FOAM: std::ops::RangeInclusive<f64> = 3.0..=40.0;

/// A print with a plain mark and a face, if it lies on a trunk.
fn print(entry: &PrintEntry) -> Option<Print> {
    /// Letters of a mark at most: more than any survey needs sizes.
    const LONGEST_MARK: usize = 7;
    let plain = entry.mark.len() <= LONGEST_MARK
        && entry.mark.bytes().all(|b| b.is_ascii_uppercase())
        && entry.record.material.polymer.iter().all(|p| p.bytes().all(|b| b.is_ascii_lowercase()));
    let size = entry.size.map(|size| Size {
        face_radius: Length::mm(size.face_radius_mm),
        half_width: Length::mm(size.half_width_mm),
        girth_from: Length::mm(size.girth_from_mm),
        girth_to: Length::mm(size.girth_to_mm),
    });
    let on_trunk = matches!(entry.kind, PrintKind::Cradle | PrintKind::Rail);
    let whole = match size {
        Some(size) => on_trunk && !entry.mark.is_empty() && size.face().is_ok(),
        None => !on_trunk,
    };
    (plain && whole).then(|| Print {
        kind: entry.kind,
        mark: entry.mark.clone(),
        size,
        record: entry.record.clone(),
        copies: entry.copies,
        spare: entry.spare,
    })
}

#[cfg(test)]
mod tests;
