//! Lettering for engraved marks: text, tick marks and arrows as plane regions.
//!
//! Method: the centre lines of a single-line alphabet of our own (`glyphs`) are sampled, widened
//! by a round-ended tool and united (crate `i_overlay`, on a grid of 2^-16 mm); the contours are
//! then thinned until no vertex lies nearer than [`MIN_EDGE`] to the next.
//!
//! Units and axes: millimetres, x along the line of text, y up; the origin is the lower left corner
//! of the first capital's ink, on the baseline. The height of a text is the height of its capitals
//! over all, stroke included; [`fit`] also counts the descenders of small letters.
//!
//! Guarantees: the regions of one call are disjoint simple polygons, outer contours counter-clockwise
//! and holes clockwise; strokes that must stay apart do so by [`MIN_GAP`] at least (a smaller height
//! is refused with the least height that would do). Not covered: kerning, right-to-left order,
//! accents. A character without a glyph becomes a visible box, so that nothing vanishes in silence.

mod glyphs;

use std::f64::consts::PI;

use i_overlay::mesh::float::stroke::offset::StrokeOffset;
use i_overlay::mesh::float::style::{LineCap, LineJoin, StrokeStyle};

use crate::units::Length;
use glyphs::{CAP, Glyph, Piece, SPACE};

/// The least clear way between strokes that a 0.4 mm nozzle leaves open. Common practice, no
/// source: one extrusion line.
pub const MIN_GAP: Length = Length::mm(0.4);
/// No edge of a region is shorter. Half the finest layer: a shorter edge cannot show in a print and
/// costs a face in the solid.
pub const MIN_EDGE: Length = Length::mm(0.05);
/// Longest text and tallest letter that is accepted; far inside the range of the integer grid.
pub const MAX_EXTENT: Length = Length::mm(2000.0);

/// Clear space between letters over their height (ISO 3098-1 lettering type B: 2/10 h; value from
/// memory).
const LETTER_SPACE: f64 = 0.2;
/// Deviation of the sampled outline from the true one, mm: a tenth of a layer.
const CHORD: f64 = 0.02;
/// Steps a millimetre of the integer grid on which strokes are united.
const GRID: f64 = 65_536.0;

/// A plane region: one outer contour and its holes, in millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// Outer contour, counter-clockwise, not closed by a repeated point.
    pub outer: Vec<[f64; 2]>,
    /// Holes, clockwise.
    pub holes: Vec<Vec<[f64; 2]>>,
}

/// Why a text cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LetteringError {
    /// A dimension is zero, negative, infinite or not a number.
    #[error("{what} must be a positive length, not {value} mm")]
    NotPositive {
        /// Which dimension.
        what: &'static str,
        /// What was given, in millimetres.
        value: f64,
    },
    /// The strokes of a letter would run together.
    #[error(
        "\"{text}\" cannot be read at {height} with a stroke of {stroke}: at least {least} high"
    )]
    TooSmall {
        /// The text.
        text: String,
        /// The height that was asked for, or that the room allows.
        height: Length,
        /// The stroke width.
        stroke: Length,
        /// The least height that keeps [`MIN_GAP`] open.
        least: Length,
    },
    /// The text is longer or taller than [`MAX_EXTENT`].
    #[error("lettering of {extent} is larger than {MAX_EXTENT}")]
    TooLarge {
        /// Its extent.
        extent: Length,
    },
}

/// The outlines of a line of text: `height` is that of its capitals over all, `stroke` the width of
/// the line.
///
/// An empty text, or one of spaces only, gives no region.
///
/// # Errors
/// [`LetteringError::NotPositive`], [`LetteringError::TooSmall`], [`LetteringError::TooLarge`].
pub fn outline(text: &str, height: Length, stroke: Length) -> Result<Vec<Region>, LetteringError> {
    let total = width(text, height, stroke)?;
    let least = least_height(text, stroke)?;
    if height < least - Length::mm(1e-9) {
        return Err(LetteringError::TooSmall { text: text.into(), height, stroke, least });
    }
    let extent = total.max(height);
    if extent > MAX_EXTENT {
        return Err(LetteringError::TooLarge { extent });
    }
    let scale = scale(height, stroke);
    let half = stroke.get() / 2.0;
    let mut paths = Vec::new();
    place(text, height, stroke, |glyph, x| {
        let lines = centre_lines(glyph, scale, half);
        let left = left_of(&lines);
        for line in lines {
            paths.push(line.iter().map(|p| [p[0] - left + x + half, p[1] + half]).collect());
        }
    });
    Ok(widened(&paths, stroke.get()))
}

/// Width of the text over all.
///
/// # Errors
/// [`LetteringError::NotPositive`] when a dimension is no positive number, or the stroke is as wide
/// as the letters are high.
pub fn width(text: &str, height: Length, stroke: Length) -> Result<Length, LetteringError> {
    positive("height", height)?;
    positive("stroke", stroke)?;
    positive("height above the stroke", height - stroke)?;
    Ok(place(text, height, stroke, |_, _| {}))
}

/// The least height at which every way through every glyph of the text stays [`MIN_GAP`] wide.
///
/// # Errors
/// [`LetteringError::NotPositive`] when the stroke is no positive number.
pub fn least_height(text: &str, stroke: Length) -> Result<Length, LetteringError> {
    positive("stroke", stroke)?;
    let way = text.chars().filter(|c| *c != ' ').map(|c| glyphs::find(c).way).fold(CAP, f64::min);
    Ok(stroke + (stroke + MIN_GAP) * (CAP / way))
}

/// The greatest height at which the text, descenders included, goes into the given room.
///
/// # Errors
/// [`LetteringError::TooSmall`] when the room leaves less than the least legible height;
/// [`LetteringError::NotPositive`] as for [`width`].
pub fn fit(
    text: &str,
    max_width: Length,
    max_height: Length,
    stroke: Length,
) -> Result<Length, LetteringError> {
    positive("width of the room", max_width)?;
    positive("height of the room", max_height)?;
    let least = least_height(text, stroke)?;
    // In units of the scale s: height = 6 s + stroke, depth below the baseline = d s.
    let st = stroke.get();
    let depth = descent(text);
    let by_height = (max_height.get() - st) / (CAP + depth);
    // The width is the greater of two straight lines in s, one for each rule of the letter space.
    let ink = Extent::of(text);
    let letters = ink.units;
    let fixed = ink.glyphs * st;
    let wide = (max_width.get() - fixed - ink.gaps * LETTER_SPACE * st)
        / (letters + ink.gaps * LETTER_SPACE * CAP);
    let narrow = (max_width.get() - fixed - ink.gaps * MIN_GAP.get()) / letters;
    let by_width = if letters > 0.0 { wide.min(narrow) } else { f64::INFINITY };
    let height = Length::mm(by_height.min(by_width) * CAP + st);
    if height < least {
        return Err(LetteringError::TooSmall { text: text.into(), height, stroke, least });
    }
    Ok(height)
}

/// A tick mark: a bar with round ends from one point to another.
///
/// # Errors
/// [`LetteringError::NotPositive`] when the width is no positive number or a point is not finite;
/// [`LetteringError::TooLarge`].
pub fn tick(from: [f64; 2], to: [f64; 2], width: Length) -> Result<Vec<Region>, LetteringError> {
    check_points(&[from, to], width)?;
    Ok(widened(&[vec![from, to]], width.get()))
}

fn positive(what: &'static str, length: Length) -> Result<(), LetteringError> {
    if length.is_finite() && length > Length::ZERO {
        Ok(())
    } else {
        Err(LetteringError::NotPositive { what, value: length.get() })
    }
}

fn check_points(points: &[[f64; 2]], width: Length) -> Result<(), LetteringError> {
    positive("stroke", width)?;
    for x in points.iter().flatten() {
        if !x.is_finite() {
            return Err(LetteringError::NotPositive { what: "distance to the origin", value: *x });
        }
        if x.abs() > MAX_EXTENT.get() {
            return Err(LetteringError::TooLarge { extent: Length::mm(x.abs()) });
        }
    }
    Ok(())
}

/// Millimetres a grid unit.
fn scale(height: Length, stroke: Length) -> f64 {
    (height - stroke).get() / CAP
}

/// Calls `put` with every glyph and the x of its ink's left edge, and returns the width over all.
fn place(
    text: &str,
    height: Length,
    stroke: Length,
    mut put: impl FnMut(&'static Glyph, f64),
) -> Length {
    let scale = scale(height, stroke);
    let gap = (LETTER_SPACE * height.get()).max(MIN_GAP.get());
    let mut x = 0.0;
    let mut after_ink = false;
    for ch in text.chars() {
        if ch == ' ' {
            x += SPACE * scale;
            after_ink = false;
            continue;
        }
        if after_ink {
            x += gap;
        }
        let glyph = glyphs::find(ch);
        put(glyph, x);
        x += units_wide(glyph) * scale + stroke.get();
        after_ink = true;
    }
    Length::mm(x)
}

/// What the width of a text is made of.
struct Extent {
    /// Sum of the widths in grid units, spaces included.
    units: f64,
    /// Number of glyphs with ink.
    glyphs: f64,
    /// Number of letter spaces.
    gaps: f64,
}

impl Extent {
    fn of(text: &str) -> Self {
        let mut extent = Self { units: 0.0, glyphs: 0.0, gaps: 0.0 };
        let mut after_ink = false;
        for ch in text.chars() {
            if ch == ' ' {
                extent.units += SPACE;
                after_ink = false;
                continue;
            }
            extent.units += units_wide(glyphs::find(ch));
            extent.glyphs += 1.0;
            extent.gaps += f64::from(u8::from(after_ink));
            after_ink = true;
        }
        // A line of full stops and strokes without width still has a scale.
        extent.units = extent.units.max(if extent.glyphs > 0.0 { 1e-6 } else { 0.0 });
        extent
    }
}

/// Depth of the lowest glyph below the baseline, in grid units.
fn descent(text: &str) -> f64 {
    text.chars()
        .filter(|c| *c != ' ')
        .flat_map(|c| centre_lines(glyphs::find(c), 1.0, 0.0))
        .flatten()
        .fold(0.0, |low: f64, p| low.max(-p[1]))
}

fn units_wide(glyph: &Glyph) -> f64 {
    let lines = centre_lines(glyph, 1.0, 0.0);
    let right = lines.iter().flatten().fold(f64::NEG_INFINITY, |m, p| m.max(p[0]));
    right - left_of(&lines)
}

fn left_of(lines: &[Vec<[f64; 2]>]) -> f64 {
    lines.iter().flatten().fold(f64::INFINITY, |m, p| m.min(p[0]))
}

/// The glyph's centre lines in millimetres (`scale` a grid unit), arcs sampled so that the outline
/// half a stroke further out keeps within [`CHORD`].
fn centre_lines(glyph: &Glyph, scale: f64, half: f64) -> Vec<Vec<[f64; 2]>> {
    glyph
        .paths
        .iter()
        .map(|pieces| {
            let mut line: Vec<[f64; 2]> = Vec::new();
            for piece in *pieces {
                match *piece {
                    Piece::P(x, y) => push(&mut line, [x * scale, y * scale]),
                    Piece::A(x, y, r, from, to) => {
                        let sweep = (to - from) * PI / 180.0;
                        let step = arc_step(r * scale + half).min(PI / 8.0);
                        let n = (sweep.abs() / step).ceil().max(1.0);
                        let mut k = 0.0;
                        while k <= n {
                            let t = from * PI / 180.0 + sweep * k / n;
                            let (c, s) = (libm::cos(t), libm::sin(t));
                            push(&mut line, [(x + r * c) * scale, (y + r * s) * scale]);
                            k += 1.0;
                        }
                    }
                }
            }
            line
        })
        .collect()
}

/// Adds a point unless it repeats the last.
fn push(line: &mut Vec<[f64; 2]>, p: [f64; 2]) {
    if line.last().is_none_or(|q| (q[0] - p[0]).abs() + (q[1] - p[1]).abs() > 1e-6) {
        line.push(p);
    }
}

/// Angle of a chord with a sagitta of [`CHORD`] on a circle of radius `r`, at most a quarter turn.
fn arc_step(r: f64) -> f64 {
    2.0 * libm::acos((1.0 - CHORD / r.max(CHORD)).max(0.0)).min(PI / 4.0)
}

/// The union of all paths drawn with a round tool of the given diameter, thinned.
fn widened(paths: &[Vec<[f64; 2]>], width: f64) -> Vec<Region> {
    if paths.is_empty() {
        return Vec::new();
    }
    let round = arc_step(width / 2.0);
    let style = StrokeStyle::new(width)
        .line_join(LineJoin::Round(round))
        .start_cap(LineCap::Round(round))
        .end_cap(LineCap::Round(round));
    // The grid holds +-32 m and every caller keeps to `MAX_EXTENT`: the scale cannot be refused.
    let shapes = paths.to_vec().stroke_fixed_scale(style, false, GRID).unwrap_or_default();
    let mut regions: Vec<Region> = shapes
        .into_iter()
        .filter_map(|shape| {
            let mut contours = shape.into_iter().map(thinned).filter(|c| c.len() >= 3);
            let outer = contours.next()?;
            Some(Region { outer, holes: contours.collect() })
        })
        .collect();
    let left = |r: &Region| r.outer.iter().fold(f64::INFINITY, |m, p| m.min(p[0]));
    regions.sort_by(|a, b| left(a).total_cmp(&left(b)));
    regions
}

/// Drops vertices, the least telling first, until every edge is at least [`MIN_EDGE`] long and no
/// vertex lies within a fifth of [`CHORD`] of the line through its neighbours.
fn thinned(mut ring: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    const STRAIGHT: f64 = CHORD / 5.0;
    while ring.len() > 3 {
        let n = ring.len();
        let at = |i: usize| ring[i % n];
        let mut victim: Option<(f64, usize)> = None;
        for i in 0..n {
            let (a, b, c) = (at(i + n - 1), at(i), at(i + 1));
            let off = off_line(a, b, c);
            let short = distance(a, b).min(distance(b, c)) < MIN_EDGE.get();
            if (short || off < STRAIGHT) && victim.is_none_or(|(least, _)| off < least) {
                victim = Some((off, i));
            }
        }
        match victim {
            Some((_, i)) => ring.remove(i),
            None => break,
        };
    }
    ring
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

/// Distance of `b` from the segment `a` to `c`.
fn off_line(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let (ux, uy) = (c[0] - a[0], c[1] - a[1]);
    let len2 = ux * ux + uy * uy;
    let t = if len2 > 0.0 {
        (((b[0] - a[0]) * ux + (b[1] - a[1]) * uy) / len2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    distance(b, [a[0] + t * ux, a[1] + t * uy])
}

#[cfg(test)]
mod tests;
