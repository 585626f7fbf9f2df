//! How the saddle of a print in hand was drawn, as far as its record tells; else as one would be today.
//!
//! Needed because proportions are chosen anew each year: a print stays as it is, and is judged, shown and
//! printed again as it is. Millimetres, newtons.

use crate::design::print_record::{Interface, PrintRecord};
use crate::design::saddle::{MouthNeeds, SaddleNeeds, pad_sagitta};
use crate::design::stability::Proportions;
use crate::engineering::sizes::Size;
use crate::units::{Force, Length};

/// What a saddle is drawn from beside its face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Making {
    /// Width, height and the pull planned for.
    pub(super) proportions: Proportions,
    /// What bears the strap at the mouths, at least.
    pub(super) mouth: MouthNeeds,
    /// Straps.
    pub(super) straps: u32,
}

impl Making {
    /// What the saddle with this face is drawn from; the front's half width is the caller's.
    pub(super) fn needs(&self, size: [Length; 2], front_half_width: Length) -> SaddleNeeds {
        let [face_radius, pad_half_width] = size;
        SaddleNeeds {
            face_radius,
            pad_half_width,
            height: self.proportions.height,
            front_half_width,
            mouth: self.mouth,
            straps: self.straps,
        }
    }

    /// As a print in hand was made.
    pub(super) fn of(size: &Size, record: &PrintRecord, today: &Self) -> Self {
        let shape = |key: &str| record.shape.get(key).map(|v| Length::mm(*v));
        let straps = match &record.interface {
            Some(Interface::Cradle(cradle)) => cradle.straps,
            Some(Interface::Rail(rail)) => rail.straps,
            _ => None,
        };
        let pull = record.proven.as_ref().and_then(|p| p.pull_n).map(Force::newtons);
        // The inner wall of the passage lies this far out of the pad's edge, which is less far out than
        // the middle of the face.
        let sagitta = pad_sagitta(size.face_radius, size.half_width);
        let web = shape("passage_inner_mm").map(|inner| inner + sagitta - HAIR);
        Self {
            proportions: Proportions {
                half_width: size.half_width,
                height: shape("height_mm").unwrap_or(today.proportions.height),
                pull: pull.unwrap_or(today.proportions.pull),
            },
            mouth: MouthNeeds {
                web: web.unwrap_or(today.mouth.web),
                radius: shape("mouth_radius_mm").unwrap_or(today.mouth.radius),
            },
            straps: straps.map_or(today.straps, |n| n as u32),
        }
    }
}

/// Less than what is rounded up to whole lines of the printer.
const HAIR: Length = Length::mm(1e-3);
