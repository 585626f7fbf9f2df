//! Marks that are engraved: size, girth range, part name, tilt scale.
//!
//! Stroke and depth follow from the extrusion line, so that every mark prints; a mark that finds no
//! room at a legible height is left out and reported (finding `mark-omitted`), never squeezed.

use crate::params::Printer;
use crate::solid::lettering::{self, Region};
use crate::units::Length;

/// A groove narrower than this many lines closes up when printed. Common practice, no source.
const STROKE_IN_LINES: f64 = 1.6;
/// Depth of a mark in layers, on a level face, and at least this deep on any.
const DEPTH: Length = Length::mm(0.6);
/// Letters need not be taller than this to be read at arm's length.
const TALLEST: Length = Length::mm(9.0);

/// How marks are cut on this printer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Engraving {
    /// Width of a stroke.
    pub stroke: Length,
    /// Depth below the face.
    pub depth: Length,
}

impl Engraving {
    /// For a printer.
    #[must_use]
    pub(crate) fn new(printer: &Printer) -> Self {
        let layers = (DEPTH / printer.layer - 1e-9).ceil();
        Self { stroke: printer.line * STROKE_IN_LINES, depth: printer.layer * layers }
    }

    /// Lines of text, one above the other, as large as the room allows; `None` when even the least
    /// legible height does not fit.
    #[must_use]
    pub(crate) fn block(&self, lines: &[&str], room: [Length; 2]) -> Option<Vec<Region>> {
        let gap = self.stroke * 2.0;
        let n = lines.len() as f64;
        let each = (room[1] - gap * (n - 1.0)) / n;
        let heights =
            lines.iter().map(|l| lettering::fit(l, room[0], each.min(TALLEST), self.stroke).ok());
        let height = heights.collect::<Option<Vec<_>>>()?.into_iter().fold(TALLEST, Length::min);
        let mut all = Vec::new();
        for (i, line) in lines.iter().enumerate() {
            let drawn = lettering::outline(line, height, self.stroke).ok()?;
            let below = -(height + gap).get() * i as f64;
            all.extend(crate::solid::engrave::centred(&drawn, [0.0, below]));
        }
        Some(crate::solid::engrave::centred(&all, [0.0, 0.0]))
    }

    /// The room, when a wall of this thickness keeps `least` behind a mark on it; otherwise none.
    #[must_use]
    pub(crate) fn room_on(&self, wall: Length, least: Length, room: [Length; 2]) -> [Length; 2] {
        // A hair more than whole layers may be missing through rounding.
        if wall - self.depth > least - Length::mm(1e-9) { room } else { [Length::ZERO; 2] }
    }

    /// Least height of numerals.
    #[must_use]
    pub(crate) fn numeral_height(&self) -> Length {
        // All digits and the minus sign are in this text; the printer's line is positive.
        lettering::least_height("-0123456789", self.stroke).unwrap_or(TALLEST)
    }
}

/// The tilt scale on an ear: ticks every 5 degrees about the pivot, numerals where there is room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiltScale {
    /// Inner and outer end of the ticks, from the pivot.
    pub ticks: [Length; 2],
    /// Middle of the numerals, from the pivot.
    pub numerals: Length,
    /// Height of the numerals.
    pub numeral_height: Length,
}

/// Ticks stand this far apart.
pub(crate) const TICK_STEP_DEG: i32 = 5;
/// Numerals stand this far apart.
pub(crate) const NUMERAL_STEP_DEG: i32 = 30;
