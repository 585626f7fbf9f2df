//! Templates at 1:1: foam pads, gasket path, drilling pattern, curve gauge; and the pages to print
//! them on.
//!
//! A template is a [`Drawing`]: cut lines on the layer `cut`, marks on `engrave`, and below them,
//! outside every cut line, a label and a scale bar on `note`. A cutter takes the drawing as it is;
//! for a printer [`pages`] lays it on sheets of paper, in tiles with register marks when it is too
//! large for one. Lengths in millimetres, y up.
//!
//! Guarantees: nothing is scaled; every tile overlaps its neighbours by [`OVERLAP`]. Not covered: the
//! printer's own "fit to page", which the scale bar is there to catch.

use std::f64::consts::PI;

use super::drawing::{Anchor, Drawing, DrawingError, Figure, Layer};
use super::svg::svg_window;
use crate::units::{Angle, Length};

/// Free border about the figures, mm.
const BORDER: f64 = 5.0;
/// Length of the scale bar in mm; short enough for the smallest sheet, long enough that a shrink of
/// 1 % shows on a ruler.
const BAR: f64 = 100.0;
/// Height of the strip with label and scale bar, mm.
const FOOT: f64 = 22.0;
/// Height of label capitals, mm.
const CAPS: f64 = 3.0;
/// A longer label is cut short.
const LABEL: usize = 60;
/// Width of an average sans-serif character over its capitals' height. Common practice, no source.
const ADVANCE: f64 = 0.85;

/// Why there is no template.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum TemplateError {
    /// A dimension is zero, negative or no number.
    #[error("{what} must be more than 0 mm")]
    NotPositive {
        /// Which.
        what: &'static str,
    },
    /// A cut-out or hole lies outside the outline.
    #[error("{what} {number} does not lie inside the outline")]
    Outside {
        /// What.
        what: &'static str,
        /// Which, from 1.
        number: usize,
    },
    /// The gauge is wider than the trunk.
    #[error("a gauge {width} wide does not fit a trunk of {diameter} diameter: at most {most}")]
    GaugeTooWide {
        /// What was asked for.
        width: Length,
        /// Diameter of the trunk.
        diameter: Length,
        /// The widest that fits.
        most: Length,
    },
    /// More than [`MAX_PAGES`] pages.
    #[error("the drawing would take {pages} pages, more than {MAX_PAGES}")]
    TooManyPages {
        /// Pages needed.
        pages: usize,
    },
    /// The drawing cannot be written.
    #[error(transparent)]
    Drawing(#[from] DrawingError),
}

/// A foam pad, developed flat.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pad {
    /// Label: which part, how many.
    pub name: String,
    /// Developed length.
    pub length: Length,
    /// Height along the trunk.
    pub height: Length,
    /// Radius of the corners.
    pub corner: Length,
    /// Openings.
    pub cutouts: Vec<Cutout>,
}

/// An opening in a pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cutout {
    /// Centre from the lower left corner of the pad.
    pub centre: [Length; 2],
    /// Width and height.
    pub size: [Length; 2],
    /// Radius of the corners; half the lesser side makes a slot or a hole.
    pub corner: Length,
}

/// The closed path of a gasket.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Gasket {
    /// Label.
    pub name: String,
    /// Width of the groove's centre line.
    pub width: Length,
    /// Height of the groove's centre line.
    pub height: Length,
    /// Radius of the centre line in the corners.
    pub corner: Length,
    /// Diameter of the cord, or width of the strip.
    pub across: Length,
    /// The ends are cut at 45 degrees and lie over each other; otherwise they are cut square.
    pub spliced: bool,
}

/// Holes to drill or to check.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drilling {
    /// Label.
    pub name: String,
    /// Width and height of the part, to align the template by.
    pub outline: [Length; 2],
    /// Holes, in coordinates from the lower left corner of the outline.
    pub holes: Vec<Hole>,
}

/// A hole of a [`Drilling`] template.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hole {
    /// Centre.
    pub centre: [Length; 2],
    /// Diameter.
    pub diameter: Length,
}

/// A card with a concave edge to hold against the bark.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Gauge {
    /// Label.
    pub name: String,
    /// Radius of the trunk.
    pub radius: Length,
    /// Width of the concave edge (its chord), at most 0.95 of the diameter.
    pub width: Length,
}

fn positive(what: &'static str, length: Length) -> Result<f64, TemplateError> {
    if length.is_finite() && length > Length::ZERO {
        Ok(length.get())
    } else {
        Err(TemplateError::NotPositive { what })
    }
}

fn not_negative(what: &'static str, length: Length) -> Result<f64, TemplateError> {
    if length.is_finite() && length >= Length::ZERO {
        Ok(length.get())
    } else {
        Err(TemplateError::NotPositive { what })
    }
}

/// A sheet for a figure of `w` x `h` mm; returns it with the figure's lower left corner.
fn sheet(title: &str, label: &str, w: f64, h: f64) -> (Drawing, [f64; 2]) {
    let mut label: String = label.chars().collect();
    if label.chars().count() > LABEL {
        label = label.chars().take(LABEL - 1).chain(['\u{2026}']).collect();
    }
    let text = label.chars().count() as f64 * CAPS * ADVANCE;
    let width = w.max(BAR).max(text) + 2.0 * BORDER;
    let height = h + FOOT + 2.0 * BORDER;
    let mut d = Drawing::new(title, Length::mm(width), Length::mm(height));
    d.text(Layer::Note, [BORDER, BORDER + 13.0], CAPS, Anchor::Start, &label);
    scale_bar(&mut d, [BORDER, BORDER]);
    (d, [BORDER, BORDER + FOOT])
}

/// A bar of 100 mm with a tick every 10.
fn scale_bar(d: &mut Drawing, [x, y]: [f64; 2]) {
    d.line(Layer::Note, [x, y], [x + BAR, y]);
    for k in 0..=10 {
        let at = x + f64::from(k) * BAR / 10.0;
        d.line(Layer::Note, [at, y], [at, y + if k % 5 == 0 { 4.0 } else { 2.0 }]);
    }
    let text = "this line must measure 100 mm: print at 100 %";
    d.text(Layer::Note, [x, y + 6.0], 2.4, Anchor::Start, text);
}

/// The pad's outline and cut-outs.
///
/// # Errors
/// [`TemplateError::NotPositive`] for a dimension; [`TemplateError::Outside`] for a cut-out that
/// reaches the outline.
pub(crate) fn pad(pad: &Pad) -> Result<Drawing, TemplateError> {
    let w = positive("the length of a pad", pad.length)?;
    let h = positive("the height of a pad", pad.height)?;
    let corner = not_negative("the corner radius of a pad", pad.corner)?;
    let label = format!("{}: {} x {}", pad.name, pad.length, pad.height);
    let (mut d, [x, y]) = sheet(&pad.name, &label, w, h);
    d.rounded(Layer::Cut, [x, y], [w, h], corner);
    for (i, c) in pad.cutouts.iter().enumerate() {
        let size = [
            positive("the width of a cut-out", c.size[0])?,
            positive("the height of a cut-out", c.size[1])?,
        ];
        let corner = not_negative("the corner radius of a cut-out", c.corner)?;
        let low = [c.centre[0].get() - size[0] / 2.0, c.centre[1].get() - size[1] / 2.0];
        let inside = low[0] > 0.0 && low[1] > 0.0 && low[0] + size[0] < w && low[1] + size[1] < h;
        if !inside {
            return Err(TemplateError::Outside { what: "cut-out", number: i + 1 });
        }
        if size[0] == size[1] && corner >= size[0] / 2.0 {
            let centre = [x + c.centre[0].get(), y + c.centre[1].get()];
            d.add(Layer::Cut, Figure::Circle { centre, radius: size[0] / 2.0 });
        } else {
            d.rounded(Layer::Cut, [x + low[0], y + low[1]], size, corner);
        }
    }
    Ok(d)
}

/// The gasket's path with both edges, and in the middle of the lower side the cut where its ends meet.
///
/// # Errors
/// [`TemplateError::NotPositive`] for a dimension.
pub(crate) fn gasket(gasket: &Gasket) -> Result<Drawing, TemplateError> {
    let w = positive("the width of a gasket", gasket.width)?;
    let h = positive("the height of a gasket", gasket.height)?;
    let r = not_negative("the corner radius of a gasket", gasket.corner)?;
    let r = r.min(w / 2.0).min(h / 2.0);
    let half = positive("the width of a gasket's section", gasket.across)? / 2.0;
    // Perimeter of a rounded rectangle.
    let length = 2.0 * (w + h) - (8.0 - 2.0 * PI) * r;
    let label = format!("{}: {} wide, path {}", gasket.name, gasket.across, Length::mm(length));
    let (mut d, [x, y]) = sheet(&gasket.name, &label, w + 2.0 * half, h + 2.0 * half);
    let low = [x + half, y + half];
    d.rounded(Layer::Engrave, low, [w, h], r);
    for off in [half, -half] {
        let size = [w + 2.0 * off, h + 2.0 * off];
        if size[0] > 0.0 && size[1] > 0.0 {
            let corner = if r > 0.0 { (r + off).max(0.0) } else { 0.0 };
            d.rounded(Layer::Note, [low[0] - off, low[1] - off], size, corner);
        }
    }
    let (mx, slant) = (low[0] + w / 2.0, if gasket.spliced { half } else { 0.0 });
    let cut = Figure::Polyline {
        points: vec![[mx - slant, low[1] - half], [mx + slant, low[1] + half]],
        closed: false,
    };
    d.add(Layer::Cut, cut);
    d.text(
        Layer::Note,
        [mx, low[1] + half + 2.0],
        2.4,
        Anchor::Middle,
        if gasket.spliced { "splice" } else { "joint" },
    );
    Ok(d)
}

/// Holes with centre marks and diameters inside the part's outline.
///
/// # Errors
/// [`TemplateError::NotPositive`] for a dimension; [`TemplateError::Outside`] for a hole that reaches
/// the outline.
pub(crate) fn drilling(drilling: &Drilling) -> Result<Drawing, TemplateError> {
    let w = positive("the width of an outline", drilling.outline[0])?;
    let h = positive("the height of an outline", drilling.outline[1])?;
    let (mut d, [x, y]) = sheet(&drilling.name, &drilling.name, w, h);
    d.rounded(Layer::Note, [x, y], [w, h], 0.0);
    for (i, hole) in drilling.holes.iter().enumerate() {
        let radius = positive("the diameter of a hole", hole.diameter)? / 2.0;
        let [cx, cy] = hole.centre.map(Length::get);
        let inside = cx > radius && cy > radius && cx + radius < w && cy + radius < h;
        if !inside {
            return Err(TemplateError::Outside { what: "hole", number: i + 1 });
        }
        let centre = [x + cx, y + cy];
        d.add(Layer::Cut, Figure::Circle { centre, radius });
        d.cross(Layer::Engrave, centre, radius + 2.0);
        let text = format!("\u{2300}{}", crate::units::trimmed(hole.diameter.get(), 2));
        let beside = [centre[0] + radius + 1.0, centre[1] + 1.0];
        d.text(Layer::Note, beside, 2.0, Anchor::Start, &text);
    }
    Ok(d)
}

/// The card: its upper edge is the arc of the trunk.
///
/// # Errors
/// [`TemplateError::NotPositive`] for a dimension; [`TemplateError::GaugeTooWide`].
pub(crate) fn gauge(gauge: &Gauge) -> Result<Drawing, TemplateError> {
    /// Flat land on either side of the arc, so that the card has no sharp points, mm.
    const LAND: f64 = 6.0;
    /// Card below the deepest point of the arc, mm: enough to hold and to write on.
    const GRIP: f64 = 25.0;
    /// Beyond this share of the diameter the arc turns in under itself.
    const MOST_OF_DIAMETER: f64 = 0.95;
    let r = positive("the radius of a trunk", gauge.radius)?;
    let w = positive("the width of a gauge", gauge.width)?;
    if w > 2.0 * r * MOST_OF_DIAMETER {
        return Err(TemplateError::GaugeTooWide {
            width: gauge.width,
            diameter: gauge.radius * 2.0,
            most: gauge.radius * 2.0 * MOST_OF_DIAMETER,
        });
    }
    let half = w / 2.0;
    let sagitta = r - (r * r - half * half).sqrt();
    let (total, h) = (w + 2.0 * LAND, sagitta + GRIP);
    let girth = gauge.radius * 2.0 * PI;
    let label = format!("{}: radius {}, girth {girth:.0}", gauge.name, gauge.radius);
    let (mut d, [x, y]) = sheet(&gauge.name, &label, total, h);
    let mid = x + total / 2.0;
    let card = vec![
        [mid - half, y + h],
        [x, y + h],
        [x, y],
        [x + total, y],
        [x + total, y + h],
        [mid + half, y + h],
    ];
    d.add(Layer::Cut, Figure::Polyline { points: card, closed: false });
    let turn = libm::asin(half / r);
    d.add(
        Layer::Cut,
        Figure::Arc {
            centre: [mid, y + GRIP + r],
            radius: r,
            from: Angle::radians(1.5 * PI - turn),
            to: Angle::radians(1.5 * PI + turn),
        },
    );
    let text = format!("R {}", crate::units::trimmed(r, 1));
    d.text(Layer::Engrave, [mid, y + GRIP / 2.0 - 2.5], 5.0, Anchor::Middle, &text);
    Ok(d)
}

/// A4 paper upright, mm (ISO 216).
pub(crate) const A4: [f64; 2] = [210.0, 297.0];

/// Border that a printer leaves white, mm. Common practice, no source.
pub(crate) const UNPRINTABLE: f64 = 10.0;
/// What neighbouring tiles share, mm: room for glue and for both register marks.
pub(crate) const OVERLAP: f64 = 10.0;
/// No drawing may take more pages.
pub(crate) const MAX_PAGES: usize = 64;
/// Room for the page's caption above the unprintable border, mm.
const CAPTION: f64 = 6.0;

/// One printed page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Page {
    /// Row from the bottom and column from the left, both from 1.
    pub place: [usize; 2],
    /// The page as an SVG file.
    pub svg: String,
}

/// The drawing on paper of this width and height in mm, upright or lying, whichever takes fewer pages.
///
/// # Errors
/// [`TemplateError::TooManyPages`], [`TemplateError::Drawing`].
pub(crate) fn pages(drawing: &Drawing, paper: [f64; 2]) -> Result<Vec<Page>, TemplateError> {
    drawing.check()?;
    let [a, b] = paper;
    let (upright, lying) = (Tiling::of(drawing, [a, b]), Tiling::of(drawing, [b, a]));
    let tiling = if lying.count() < upright.count() { lying } else { upright };
    if tiling.count() > MAX_PAGES {
        return Err(TemplateError::TooManyPages { pages: tiling.count() });
    }
    let mut pages = Vec::new();
    for row in 0..tiling.rows {
        for column in 0..tiling.columns {
            let svg = tiling.page(drawing, row, column)?;
            pages.push(Page { place: [row + 1, column + 1], svg });
        }
    }
    Ok(pages)
}

/// How a drawing is cut into tiles.
struct Tiling {
    paper: [f64; 2],
    tile: [f64; 2],
    columns: usize,
    rows: usize,
}

impl Tiling {
    fn of(drawing: &Drawing, paper: [f64; 2]) -> Self {
        let tile = [paper[0] - 2.0 * UNPRINTABLE, paper[1] - 2.0 * UNPRINTABLE - CAPTION];
        let along = |k: usize| {
            let size = drawing.size()[k];
            let more = ((size - tile[k]) / (tile[k] - OVERLAP)).ceil().max(0.0);
            1 + more as usize
        };
        Self { paper, tile, columns: along(0), rows: along(1) }
    }

    const fn count(&self) -> usize {
        self.columns.saturating_mul(self.rows)
    }

    fn page(&self, drawing: &Drawing, row: usize, column: usize) -> Result<String, DrawingError> {
        let mut at = [UNPRINTABLE, UNPRINTABLE + CAPTION];
        let step = [self.tile[0] - OVERLAP, self.tile[1] - OVERLAP];
        let low = [column as f64 * step[0], row as f64 * step[1]];
        let size = [
            self.tile[0].min(drawing.size()[0] - low[0]),
            self.tile[1].min(drawing.size()[1] - low[1]),
        ];
        let [w, h] = self.paper;
        let mut over = Drawing::new(drawing.title(), Length::mm(w), Length::mm(h));
        let mut caption = drawing.title().to_string();
        if self.count() == 1 {
            at = [(w - size[0]) / 2.0, h - UNPRINTABLE - size[1]];
        } else {
            caption = format!(
                "row {} of {}, column {} of {} \u{2013} {caption}",
                row + 1,
                self.rows,
                column + 1,
                self.columns
            );
            // Register marks sit in the middle of the overlap, so that each one is printed on both
            // pages: cross over cross.
            let half = OVERLAP / 2.0;
            for x in [half, self.tile[0] - half] {
                for y in [half, self.tile[1] - half] {
                    over.cross(Layer::Note, [at[0] + x, at[1] + y], half);
                }
            }
        }
        if caption.chars().count() > LABEL {
            caption = caption.chars().take(LABEL - 1).chain(['\u{2026}']).collect();
        }
        over.text(Layer::Note, [UNPRINTABLE, UNPRINTABLE + 1.0], 2.4, Anchor::Start, &caption);
        svg_window(drawing, [low[0], low[1], size[0], size[1]], at, &over)
    }
}

#[cfg(test)]
mod tests;
