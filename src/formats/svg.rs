//! Writes drawings as SVG 1.1 in millimetres.
//!
//! The width and height are in mm and the view box has the same numbers, so that one user unit is
//! one millimetre; y is turned downward on the way out. A layer is a group with an id; lines are
//! hair lines that scale with nothing. Numbers have at most four decimals. No script, no style
//! sheet, no reference to anything outside the file.

use std::fmt::Write as _;

use super::drawing::{Anchor, Drawing, DrawingError, Figure, Layer};
use crate::units::trimmed;

/// Decimals of a coordinate: a tenth of a micrometre.
const DECIMALS: usize = 4;
/// Height of capitals over the font size in common sans-serif fonts. Common practice, no source.
const CAP_HEIGHT: f64 = 0.72;

/// Colour and line width (mm) of a layer. Red for cutting and blue for engraving are what most
/// cutters expect; common practice, no source.
const fn looks(layer: Layer) -> (&'static str, f64) {
    match layer {
        Layer::Cut => ("#d40000", 0.2),
        Layer::Engrave => ("#0033cc", 0.2),
        Layer::Edge => ("#1c1e22", 0.3),
        Layer::Dimension => ("#00566b", 0.15),
        Layer::Note => ("#555555", 0.15),
    }
}

/// A whole drawing as an SVG file.
///
/// # Errors
/// [`DrawingError`] when a number is not finite or a size not positive.
pub(crate) fn svg(drawing: &Drawing) -> Result<String, DrawingError> {
    drawing.check()?;
    let [w, h] = drawing.size();
    let mut out = head(drawing.title(), w, h);
    body(&mut out, drawing);
    out.push_str("</svg>\n");
    Ok(out)
}

/// The same on white paper: a picture to be shown on any ground, such as a dark page.
///
/// # Errors
/// As for [`svg`].
pub(crate) fn svg_on_paper(drawing: &Drawing) -> Result<String, DrawingError> {
    drawing.check()?;
    let [w, h] = drawing.size();
    let mut out = head(drawing.title(), w, h);
    out.push_str("<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
    body(&mut out, drawing);
    out.push_str("</svg>\n");
    Ok(out)
}

/// A window of a drawing on a sheet of paper, with more (register marks, a caption) drawn over it.
///
/// `window` is the lower left corner and the size of the part shown; `at` is where its lower left
/// corner lies on the sheet `over`.
///
/// # Errors
/// As for [`svg`].
pub(crate) fn svg_window(
    drawing: &Drawing,
    window: [f64; 4],
    at: [f64; 2],
    over: &Drawing,
) -> Result<String, DrawingError> {
    drawing.check()?;
    over.check()?;
    let [w, h] = over.size();
    let [x, y, dx, dy] = window;
    let mut out = head(over.title(), w, h);
    let _ = writeln!(
        out,
        "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"{} {} {} {}\">",
        n(at[0]),
        n(h - at[1] - dy),
        n(dx),
        n(dy),
        n(x),
        n(drawing.size()[1] - y - dy),
        n(dx),
        n(dy)
    );
    body(&mut out, drawing);
    out.push_str("</svg>\n");
    body(&mut out, over);
    out.push_str("</svg>\n");
    Ok(out)
}

fn head(title: &str, w: f64, h: f64) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{w}mm\" \
         height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" role=\"img\">\n<title>{}</title>\n",
        escape(title),
        w = n(w),
        h = n(h),
    )
}

fn body(out: &mut String, drawing: &Drawing) {
    let height = drawing.size()[1];
    for layer in Layer::ALL {
        let mut figures = drawing.figures().iter().filter(|f| f.0 == layer).peekable();
        if figures.peek().is_none() {
            continue;
        }
        let (colour, line) = looks(layer);
        let _ = writeln!(
            out,
            "<g class=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{line}\" \
             stroke-linecap=\"round\" stroke-linejoin=\"round\">",
            layer.name()
        );
        for (_, f) in figures {
            figure(out, f, height, colour);
        }
        out.push_str("</g>\n");
    }
}

fn figure(out: &mut String, figure: &Figure, height: f64, colour: &str) {
    let down = |p: [f64; 2]| format!("{} {}", n(p[0]), n(height - p[1]));
    let _ = match figure {
        Figure::Polyline { points, closed } => {
            let d: Vec<String> = points.iter().map(|p| down(*p)).collect();
            writeln!(out, "<path d=\"M{}{}\"/>", d.join("L"), if *closed { "Z" } else { "" })
        }
        Figure::Circle { centre, radius } => writeln!(
            out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            n(centre[0]),
            n(height - centre[1]),
            n(*radius)
        ),
        Figure::Arc { centre, radius, from, to } => {
            let at = |a: crate::units::Angle| {
                down([centre[0] + radius * a.cos(), centre[1] + radius * a.sin()])
            };
            let large = u8::from((*to - *from).rad() > std::f64::consts::PI);
            let r = n(*radius);
            // Counter-clockwise with y up is sweep 0 with y down.
            writeln!(out, "<path d=\"M{}A{r} {r} 0 {large} 0 {}\"/>", at(*from), at(*to))
        }
        Figure::Text { at, height: cap, anchor, turn, text } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let turned = if turn.rad() == 0.0 {
                String::new()
            } else {
                format!(" transform=\"rotate({} {})\"", n(-turn.deg()), down(*at))
            };
            writeln!(
                out,
                "<text x=\"{}\" y=\"{}\" font-family=\"sans-serif\" font-size=\"{}\" \
                 text-anchor=\"{anchor}\" fill=\"{colour}\" stroke=\"none\"{turned}>{}</text>",
                n(at[0]),
                n(height - at[1]),
                n(cap / CAP_HEIGHT),
                escape(text)
            )
        }
    };
}

fn n(value: f64) -> String {
    trimmed(value, DECIMALS)
}

/// Text for XML content and quoted attributes.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::drawing::{HOSTILE, clean};
    use crate::units::{Angle, Length};
    use resvg::usvg;

    fn sample() -> Drawing {
        let mut d = Drawing::new("sample", Length::mm(80.0), Length::mm(50.0));
        d.rounded(Layer::Cut, [10.0, 10.0], [60.0, 30.0], 5.0);
        d.add(Layer::Engrave, Figure::Circle { centre: [40.0, 25.0], radius: 4.0 });
        d.text(Layer::Note, [40.0, 3.0], 3.0, Anchor::Middle, "pad 60 x 30 mm");
        d
    }

    #[test]
    fn a_user_unit_is_a_millimetre() {
        let text = svg(&sample()).unwrap();
        let xml = roxmltree::Document::parse(&text).unwrap();
        let root = xml.root_element();
        assert_eq!(root.attribute("width"), Some("80mm"));
        assert_eq!(root.attribute("viewBox"), Some("0 0 80 50"));
        // CSS: 96 pixels an inch, which is what the independent reader reports.
        let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
        assert!((f64::from(tree.size().width()) - 80.0 / 25.4 * 96.0).abs() < 1e-3);
    }

    #[test]
    fn an_independent_reader_finds_the_same_outline() {
        // usvg resolves arcs and the view box. The bounds of all paths, in millimetres with y
        // down, are those of the rectangle.
        let tree =
            usvg::Tree::from_str(&svg(&sample()).unwrap(), &usvg::Options::default()).unwrap();
        let mm = |px: f32| f64::from(px) * 25.4 / 96.0;
        let mut all = Vec::new();
        fn paths(g: &usvg::Group, out: &mut Vec<usvg::tiny_skia_path::Rect>) {
            for c in g.children() {
                match c {
                    usvg::Node::Group(g) => paths(g, out),
                    usvg::Node::Path(p) => out.push(p.abs_bounding_box()),
                    _ => {}
                }
            }
        }
        paths(tree.root(), &mut all);
        let low = all.iter().fold(f32::MAX, |m, b| m.min(b.left()));
        let right = all.iter().fold(f32::MIN, |m, b| m.max(b.right()));
        let top = all.iter().fold(f32::MAX, |m, b| m.min(b.top()));
        let bottom = all.iter().fold(f32::MIN, |m, b| m.max(b.bottom()));
        for (got, want) in [(low, 10.0), (right, 70.0), (top, 10.0), (bottom, 40.0)] {
            assert!((mm(got) - want).abs() < 1e-3, "{} {want}", mm(got));
        }
    }

    #[test]
    fn an_arc_bends_the_right_way() {
        // A quarter about the origin of a 20 mm sheet, from 0 to 90 degrees, passes through
        // (r cos 45, r sin 45) and not through the mirror image.
        let mut d = Drawing::new("arc", Length::mm(20.0), Length::mm(20.0));
        let (from, to) = (Angle::ZERO, Angle::degrees(90.0));
        d.add(Layer::Cut, Figure::Arc { centre: [0.0, 0.0], radius: 16.0, from, to });
        let tree = usvg::Tree::from_str(&svg(&d).unwrap(), &usvg::Options::default()).unwrap();
        let mut map = resvg::tiny_skia::Pixmap::new(200, 200).unwrap();
        let k = 200.0 / tree.size().width();
        resvg::render(&tree, resvg::tiny_skia::Transform::from_scale(k, k), &mut map.as_mut());
        let m = 16.0 * libm::sqrt(0.5) * 10.0;
        let dark = |x: f64, y: f64| map.pixel(x as u32, y as u32).unwrap().alpha() > 60;
        assert!(dark(m, 200.0 - m) && !dark(160.0 - m, 200.0 - (160.0 - m)));
    }

    #[test]
    fn hostile_names_stay_text() {
        for name in HOSTILE {
            let mut d = Drawing::new(name, Length::mm(10.0), Length::mm(10.0));
            d.text(Layer::Note, [1.0, 1.0], 3.0, Anchor::Start, name);
            let text = svg(&d).unwrap();
            let xml = roxmltree::Document::parse(&text).unwrap();
            let found: Vec<_> = xml
                .descendants()
                .filter(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "text")))
                .filter_map(|n| n.text())
                .collect();
            assert_eq!(found, [clean(name)], "{name:?}");
            assert!(!xml.descendants().any(|n| n.tag_name().name() == "script"));
        }
    }

    #[test]
    fn the_file_is_as_expected() {
        insta::assert_snapshot!(svg(&sample()).unwrap());
    }
}
