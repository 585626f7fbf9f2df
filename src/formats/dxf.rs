//! Writes drawings as DXF, release 12, ASCII, in millimetres.
//!
//! Release 12 is what every cutter and drawing program reads. `$INSUNITS` is 4 (millimetres) and
//! `$MEASUREMENT` 1 (metric): older readers skip what they do not know. Group codes after the "DXF
//! Reference" of the format's owner, from memory. Characters outside printable ASCII, and `\` and `%`,
//! which the format gives a meaning, are written as `\U+XXXX`; a caret as `^` and a space.

use std::fmt::Write as _;

use super::drawing::{Anchor, Drawing, DrawingError, Figure, Layer};
use crate::units::trimmed;

/// Decimals of a coordinate: a hundredth of a micrometre.
const DECIMALS: usize = 5;

/// Colour number of a layer: 1 red, 5 blue, 7 black or white, 4 cyan, 8 grey.
const fn colour(layer: Layer) -> u8 {
    match layer {
        Layer::Cut => 1,
        Layer::Engrave => 5,
        Layer::Edge => 7,
        Layer::Dimension => 4,
        Layer::Note => 8,
    }
}

/// The drawing as a DXF file.
///
/// # Errors
/// [`DrawingError`] when a number is not finite or a size not positive.
pub(crate) fn dxf(drawing: &Drawing) -> Result<String, DrawingError> {
    drawing.check()?;
    let mut out = Pairs(String::new());
    out.pair(999, &escape(drawing.title()));
    header(&mut out, drawing.size());
    tables(&mut out);
    out.section("ENTITIES");
    for (layer, figure) in drawing.figures() {
        entity(&mut out, &layer.name().to_ascii_uppercase(), figure);
    }
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    Ok(out.0)
}

/// Group codes and values, each on its line.
struct Pairs(String);

impl Pairs {
    fn pair(&mut self, code: u16, value: &str) {
        let _ = write!(self.0, "{code:>3}\n{value}\n");
    }

    fn number(&mut self, code: u16, value: f64) {
        let text = trimmed(value, DECIMALS);
        self.pair(code, &if text.contains('.') { text } else { text + ".0" });
    }

    /// A point in groups `code`, `code + 10` and `code + 20`.
    fn point(&mut self, code: u16, p: [f64; 2]) {
        self.number(code, p[0]);
        self.number(code + 10, p[1]);
        self.number(code + 20, 0.0);
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }

    fn begin(&mut self, entity: &str, layer: &str) {
        self.pair(0, entity);
        self.pair(8, layer);
    }
}

fn header(out: &mut Pairs, size: [f64; 2]) {
    out.section("HEADER");
    out.pair(9, "$ACADVER");
    out.pair(1, "AC1009");
    out.pair(9, "$INSUNITS");
    out.pair(70, "4");
    out.pair(9, "$MEASUREMENT");
    out.pair(70, "1");
    out.pair(9, "$EXTMIN");
    out.point(10, [0.0, 0.0]);
    out.pair(9, "$EXTMAX");
    out.point(10, size);
    out.pair(0, "ENDSEC");
}

fn tables(out: &mut Pairs) {
    out.section("TABLES");
    out.pair(0, "TABLE");
    out.pair(2, "LTYPE");
    out.pair(70, "1");
    out.pair(0, "LTYPE");
    out.pair(2, "CONTINUOUS");
    out.pair(70, "0");
    out.pair(3, "Solid line");
    out.pair(72, "65");
    out.pair(73, "0");
    out.number(40, 0.0);
    out.pair(0, "ENDTAB");
    out.pair(0, "TABLE");
    out.pair(2, "LAYER");
    out.pair(70, &Layer::ALL.len().to_string());
    for layer in Layer::ALL {
        out.pair(0, "LAYER");
        out.pair(2, &layer.name().to_ascii_uppercase());
        out.pair(70, "0");
        out.pair(62, &colour(layer).to_string());
        out.pair(6, "CONTINUOUS");
    }
    out.pair(0, "ENDTAB");
    out.pair(0, "ENDSEC");
}

fn entity(out: &mut Pairs, layer: &str, figure: &Figure) {
    match figure {
        Figure::Polyline { points, closed: false } if points.len() == 2 => {
            out.begin("LINE", layer);
            out.point(10, points[0]);
            out.point(11, points[1]);
        }
        Figure::Polyline { points, closed } => {
            out.begin("POLYLINE", layer);
            out.pair(66, "1");
            out.point(10, [0.0, 0.0]);
            out.pair(70, if *closed { "1" } else { "0" });
            for p in points {
                out.begin("VERTEX", layer);
                out.point(10, *p);
            }
            out.begin("SEQEND", layer);
        }
        Figure::Circle { centre, radius } => {
            out.begin("CIRCLE", layer);
            out.point(10, *centre);
            out.number(40, *radius);
        }
        Figure::Arc { centre, radius, from, to } => {
            let turn = |deg: f64| deg - 360.0 * (deg / 360.0).floor();
            out.begin("ARC", layer);
            out.point(10, *centre);
            out.number(40, *radius);
            out.number(50, turn(from.deg()));
            out.number(51, turn(to.deg()));
        }
        Figure::Text { at, height, anchor, turn, text } => {
            out.begin("TEXT", layer);
            out.point(10, *at);
            out.number(40, *height);
            out.pair(1, &escape(text));
            out.number(50, turn.deg());
            let adjust = match anchor {
                Anchor::Start => return,
                Anchor::Middle => "1",
                Anchor::End => "2",
            };
            out.pair(72, adjust);
            out.point(11, *at);
        }
    }
}

/// Text in printable ASCII.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c == '^' {
            out.push_str("^ ");
            continue;
        }
        if matches!(c, ' '..='~') && !matches!(c, '\\' | '%') {
            out.push(c);
            continue;
        }
        for unit in c.encode_utf16(&mut [0; 2]) {
            let _ = write!(out, "\\U+{unit:04X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::drawing::{HOSTILE, clean};
    use crate::units::{Angle, Length};
    use ::dxf::Drawing as Reader;
    use ::dxf::entities::EntityType;
    use ::dxf::enums::Units;

    fn read(d: &Drawing) -> Reader {
        Reader::load(&mut dxf(d).unwrap().as_bytes()).unwrap()
    }

    #[test]
    fn an_independent_reader_finds_every_figure_where_it_was() {
        let mut d = Drawing::new("sample", Length::mm(80.0), Length::mm(50.0));
        d.rounded(Layer::Cut, [10.0, 10.0], [60.0, 30.0], 5.0);
        d.add(Layer::Engrave, Figure::Circle { centre: [40.0, 25.0], radius: 4.125 });
        let points = vec![[1.0, 2.0], [3.0, -4.5], [6.0, 7.0]];
        d.add(Layer::Engrave, Figure::Polyline { points: points.clone(), closed: true });
        d.text(Layer::Note, [40.0, 3.0], 3.0, Anchor::Middle, "35\u{b0}");
        let file = read(&d);
        assert_eq!(file.header.default_drawing_units, Units::Millimeters);
        let layers: Vec<_> = file.layers().map(|l| l.name.clone()).collect();
        assert!(layers.contains(&"CUT".into()) && layers.contains(&"ENGRAVE".into()), "{layers:?}");
        let (mut length, mut arcs, mut rest) = (0.0, 0.0, 0);
        for e in file.entities() {
            match &e.specific {
                EntityType::Line(l) => length += libm::hypot(l.p2.x - l.p1.x, l.p2.y - l.p1.y),
                EntityType::Arc(a) => {
                    let turn = (a.end_angle - a.start_angle).rem_euclid(360.0);
                    arcs += a.radius * turn.to_radians();
                }
                EntityType::Circle(c) => {
                    assert_eq!((c.center.x, c.center.y, c.radius), (40.0, 25.0, 4.125));
                    assert_eq!(e.common.layer, "ENGRAVE");
                    rest += 1;
                }
                EntityType::Polyline(p) => {
                    let got: Vec<_> = p.vertices().map(|v| [v.location.x, v.location.y]).collect();
                    assert_eq!(got, points);
                    assert!(p.is_closed());
                    rest += 1;
                }
                EntityType::Text(t) => {
                    assert_eq!((t.text_height, t.second_alignment_point.x), (3.0, 40.0));
                    rest += 1;
                }
                other => panic!("{other:?}"),
            }
        }
        // Perimeter of a rounded rectangle: 2 (w + h) - 8 r + 2 pi r.
        assert_eq!(length, 2.0 * (60.0 + 30.0) - 8.0 * 5.0);
        assert!((arcs - 2.0 * std::f64::consts::PI * 5.0).abs() < 1e-9);
        assert_eq!(rest, 3);
    }

    #[test]
    fn hostile_names_stay_on_their_line() {
        for name in HOSTILE {
            let mut d = Drawing::new(name, Length::mm(10.0), Length::mm(10.0));
            d.text(Layer::Note, [1.0, 1.0], 3.0, Anchor::Start, name);
            let text = dxf(&d).unwrap();
            assert!(text.bytes().all(|b| b == b'\n' || (b' '..=b'~').contains(&b)), "{name:?}");
            let file = read(&d);
            let found: Vec<_> = file.entities().collect();
            assert_eq!(found.len(), 1, "{name:?}");
            let EntityType::Text(t) = &found[0].specific else { panic!("{name:?}") };
            // The reader takes each half of a surrogate pair alone.
            let wanted = clean(name)
                .chars()
                .map(|c| if c as u32 > 0xffff { "??".into() } else { c.to_string() })
                .collect::<String>();
            assert_eq!(t.value, wanted);
        }
    }

    #[test]
    fn angles_are_written_within_a_turn() {
        let mut d = Drawing::new("arc", Length::mm(10.0), Length::mm(10.0));
        let (from, to) = (Angle::degrees(-90.0), Angle::degrees(0.0));
        d.add(Layer::Cut, Figure::Arc { centre: [5.0, 5.0], radius: 2.0, from, to });
        let file = read(&d);
        let e = file.entities().next().unwrap();
        let EntityType::Arc(a) = &e.specific else { panic!() };
        assert_eq!((a.start_angle, a.end_angle), (270.0, 0.0));
    }
}
