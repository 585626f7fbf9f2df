//! Sections of a job that tests of several rooms share. Invented.

use super::job::Printer;
use crate::units::{Angle, Length};

/// A common printer with a fine line.
pub(crate) fn printer() -> Printer {
    Printer {
        bed: [220.0, 220.0, 250.0].map(Length::mm),
        line: Length::mm(0.45),
        layer: Length::mm(0.2),
        wall_lines: 4,
        solid_layers: 5,
        infill: 0.25,
        flow: 8.0,
        time_factor: 1.0,
        overhang: Angle::degrees(45.0),
        bridge: Length::mm(12.0),
        margin: Length::mm(5.0),
        gap: Length::mm(4.0),
    }
}
