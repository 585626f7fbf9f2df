//! A flat drawing in millimetres, before it is written as SVG or DXF.
//!
//! Axes: x right, y up. The sheet reaches from the origin to [`Drawing::size`]. Text is cleaned when
//! it is added: control and direction-override characters become U+FFFD, so that no writer meets
//! them and no name can reverse what follows it.

use crate::units::{Angle, Length};

/// What a line means to the person or machine that follows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Layer {
    /// Cut through.
    Cut,
    /// Mark the surface.
    Engrave,
    /// The visible edges of a part.
    Edge,
    /// Dimensions.
    Dimension,
    /// For the reader only.
    Note,
}

impl Layer {
    /// All layers in the order in which they are written.
    pub(crate) const ALL: [Self; 5] =
        [Self::Cut, Self::Engrave, Self::Edge, Self::Dimension, Self::Note];

    /// Its name in files.
    #[must_use]
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Engrave => "engrave",
            Self::Edge => "edge",
            Self::Dimension => "dimension",
            Self::Note => "note",
        }
    }
}

/// A figure on a layer, coordinates in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Figure {
    /// A chain of straight lines.
    Polyline {
        /// Two points or more.
        points: Vec<[f64; 2]>,
        /// Whether the last point joins the first.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: [f64; 2],
        /// Radius.
        radius: f64,
    },
    /// A circle arc, counter-clockwise.
    Arc {
        /// Centre.
        centre: [f64; 2],
        /// Radius.
        radius: f64,
        /// Where it begins, from the x axis.
        from: Angle,
        /// Where it ends; less than a turn beyond `from`.
        to: Angle,
    },
    /// A line of text.
    Text {
        /// Where it is anchored, on the baseline.
        at: [f64; 2],
        /// Height of capitals.
        height: f64,
        /// Which part of the text lies at `at`.
        anchor: Anchor,
        /// Turned counter-clockwise about `at`.
        turn: Angle,
        /// The text, cleaned.
        text: String,
    },
}

/// Which part of a text lies at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

/// A drawing cannot be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(crate) enum DrawingError {
    /// A coordinate is NaN, infinite or beyond a hundred metres.
    #[error("a line of the drawing has a coordinate that is no number within 100 m")]
    NotFinite,
    /// A size or a radius is not positive.
    #[error("{what} must be more than 0 mm")]
    NotPositive {
        /// Which.
        what: &'static str,
    },
}

/// Largest coordinate, mm.
const LIMIT: f64 = 1e5;

/// A sheet with figures.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Drawing {
    title: String,
    size: [f64; 2],
    figures: Vec<(Layer, Figure)>,
}

impl Drawing {
    /// An empty sheet.
    #[must_use]
    pub(crate) fn new(title: &str, width: Length, height: Length) -> Self {
        Self { title: clean(title), size: [width.get(), height.get()], figures: Vec::new() }
    }

    /// Its title, cleaned.
    #[must_use]
    pub(crate) fn title(&self) -> &str {
        &self.title
    }

    /// Width and height in millimetres.
    #[must_use]
    pub(crate) const fn size(&self) -> [f64; 2] {
        self.size
    }

    /// The figures in the order in which they were added.
    #[must_use]
    pub(crate) fn figures(&self) -> &[(Layer, Figure)] {
        &self.figures
    }

    /// Adds a figure; its text is cleaned.
    pub(crate) fn add(&mut self, layer: Layer, figure: Figure) {
        let figure = match figure {
            Figure::Text { at, height, anchor, turn, text } => {
                Figure::Text { at, height, anchor, turn, text: clean(&text) }
            }
            other => other,
        };
        self.figures.push((layer, figure));
    }

    /// Adds all figures of another drawing, its lower left corner at `at`.
    pub(crate) fn place(&mut self, other: &Self, at: [f64; 2]) {
        let shift = |[x, y]: [f64; 2]| [x + at[0], y + at[1]];
        for (layer, figure) in &other.figures {
            let mut figure = figure.clone();
            match &mut figure {
                Figure::Polyline { points, .. } => points.iter_mut().for_each(|p| *p = shift(*p)),
                Figure::Circle { centre, .. } | Figure::Arc { centre, .. } => {
                    *centre = shift(*centre);
                }
                Figure::Text { at, .. } => *at = shift(*at),
            }
            self.figures.push((*layer, figure));
        }
    }

    /// Adds a straight line.
    pub(crate) fn line(&mut self, layer: Layer, from: [f64; 2], to: [f64; 2]) {
        self.add(layer, Figure::Polyline { points: vec![from, to], closed: false });
    }

    /// Adds a line of text, upright.
    pub(crate) fn text(
        &mut self,
        layer: Layer,
        at: [f64; 2],
        height: f64,
        anchor: Anchor,
        text: &str,
    ) {
        let text = text.to_string();
        self.add(layer, Figure::Text { at, height, anchor, turn: Angle::ZERO, text });
    }

    /// Adds a rectangle with rounded corners as lines and arcs: lower left corner, size, radius.
    pub(crate) fn rounded(&mut self, layer: Layer, [x, y]: [f64; 2], [w, h]: [f64; 2], r: f64) {
        let r = r.min(w / 2.0).min(h / 2.0).max(0.0);
        if r < 1e-6 {
            let points = vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
            self.add(layer, Figure::Polyline { points, closed: true });
            return;
        }
        let sides = [
            ([x + r, y], [x + w - r, y]),
            ([x + w, y + r], [x + w, y + h - r]),
            ([x + w - r, y + h], [x + r, y + h]),
            ([x, y + h - r], [x, y + r]),
        ];
        let centres =
            [[x + w - r, y + r], [x + w - r, y + h - r], [x + r, y + h - r], [x + r, y + r]];
        let mut start = -90.0;
        for ((from, to), centre) in sides.into_iter().zip(centres) {
            if (from[0] - to[0]).abs() + (from[1] - to[1]).abs() > 1e-6 {
                self.line(layer, from, to);
            }
            let (from, to) = (Angle::degrees(start), Angle::degrees(start + 90.0));
            self.add(layer, Figure::Arc { centre, radius: r, from, to });
            start += 90.0;
        }
    }

    /// Adds a cross, `reach` from its centre to each end.
    pub(crate) fn cross(&mut self, layer: Layer, [x, y]: [f64; 2], reach: f64) {
        self.line(layer, [x - reach, y], [x + reach, y]);
        self.line(layer, [x, y - reach], [x, y + reach]);
    }

    /// Checks every number, as writers do before the first byte.
    ///
    /// # Errors
    /// [`DrawingError`].
    pub(crate) fn check(&self) -> Result<(), DrawingError> {
        let number = |x: f64| (x.abs() <= LIMIT).then_some(()).ok_or(DrawingError::NotFinite);
        let positive = |x: f64, what| {
            number(x)?;
            (x > 0.0).then_some(()).ok_or(DrawingError::NotPositive { what })
        };
        positive(self.size[0], "the width of a drawing")?;
        positive(self.size[1], "the height of a drawing")?;
        for (_, figure) in &self.figures {
            match figure {
                Figure::Polyline { points, .. } => {
                    points.iter().flatten().try_for_each(|x| number(*x))?;
                }
                Figure::Circle { centre, radius } => {
                    centre.iter().try_for_each(|x| number(*x))?;
                    positive(*radius, "a radius")?;
                }
                Figure::Arc { centre, radius, from, to } => {
                    centre.iter().try_for_each(|x| number(*x))?;
                    positive(*radius, "a radius")?;
                    number(from.rad())?;
                    number(to.rad())?;
                }
                Figure::Text { at, height, turn, .. } => {
                    at.iter().try_for_each(|x| number(*x))?;
                    positive(*height, "the height of a text")?;
                    number(turn.rad())?;
                }
            }
        }
        Ok(())
    }
}

/// The text without characters that could change what stands around it: C0 and C1 controls, line
/// and paragraph separators, and direction overrides become U+FFFD.
#[must_use]
pub(crate) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' => {
                '\u{fffd}'
            }
            '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            c if c.is_control() => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// Names that have broken writers before: markup, quotes, controls, right-to-left, emoji, long.
#[cfg(test)]
pub(crate) const HOSTILE: [&str; 8] = [
    "<script>alert(1)</script>",
    "\"quoted\" 'single' & ampersand",
    "]]> --> </svg></text>",
    "line\r\nbreak\t\0\u{7}\u{1b}[31m",
    "\u{202e}desrever\u{2066} \u{5e2}\u{5e5} \u{634}\u{62c}\u{631}\u{629}",
    "\u{1f333} \u{1f468}\u{200d}\u{1f33e} \u{9f8d}",
    "100%%d \\U+0041 ^J {\\fArial;x} ${x} {{ y }}",
    "\u{ffff}\u{fffe}\u{feff}",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cleaning_leaves_letters_and_takes_controls() {
        assert_eq!(clean("Birke \u{6a39} 3/4"), "Birke \u{6a39} 3/4");
        for name in HOSTILE {
            assert!(clean(name).chars().all(|c| !c.is_control() && c != '\u{202e}'), "{name:?}");
            assert_eq!(clean(name).chars().count(), name.chars().count());
        }
    }

    #[test]
    fn numbers_are_checked() {
        let mut d = Drawing::new("x", Length::mm(10.0), Length::mm(10.0));
        assert_eq!(d.check(), Ok(()));
        d.line(Layer::Cut, [0.0, f64::NAN], [1.0, 1.0]);
        assert_eq!(d.check(), Err(DrawingError::NotFinite));
        let flat = Drawing::new("x", Length::mm(10.0), Length::ZERO);
        assert!(matches!(flat.check(), Err(DrawingError::NotPositive { .. })));
    }
}
