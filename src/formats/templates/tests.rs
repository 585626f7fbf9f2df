//! Templates are read back with independent readers (`dxf`, `roxmltree`) and measured against
//! elementary geometry.

use super::*;
use crate::formats::drawing::{HOSTILE, clean};
use crate::formats::dxf::dxf;
use crate::formats::svg::svg;
use ::dxf::Drawing as Reader;
use ::dxf::entities::EntityType;

/// 8.5 x 11 in (ANSI/ASME Y14.1 size A), mm.
const LETTER: [f64; 2] = [215.9, 279.4];

const fn mm(x: f64) -> Length {
    Length::mm(x)
}

fn sample_pad() -> Pad {
    Pad {
        name: "pad of cradle A, 2 off".into(),
        length: mm(118.4),
        height: mm(90.0),
        corner: mm(8.0),
        cutouts: vec![
            Cutout { centre: [mm(59.2), mm(45.0)], size: [mm(20.0); 2], corner: mm(10.0) },
            Cutout { centre: [mm(20.0), mm(45.0)], size: [mm(6.0), mm(40.0)], corner: mm(3.0) },
        ],
    }
}

/// Lowest and highest coordinates of the entities on a layer, from the independent reader.
fn bounds(d: &Drawing, layer: &str) -> [f64; 4] {
    let file = Reader::load(&mut dxf(d).unwrap().as_bytes()).unwrap();
    let mut b = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    let mut put = |x: f64, y: f64| {
        b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
    };
    for e in file.entities().filter(|e| e.common.layer == layer) {
        match &e.specific {
            EntityType::Line(l) => {
                put(l.p1.x, l.p1.y);
                put(l.p2.x, l.p2.y);
            }
            EntityType::Circle(c) => {
                put(c.center.x - c.radius, c.center.y - c.radius);
                put(c.center.x + c.radius, c.center.y + c.radius);
            }
            EntityType::Polyline(p) => p.vertices().for_each(|v| put(v.location.x, v.location.y)),
            EntityType::Text(t) => put(t.location.x, t.location.y + t.text_height),
            _ => {}
        }
    }
    b
}

#[test]
fn a_pad_is_cut_to_size_with_its_label_outside() {
    let d = pad(&sample_pad()).unwrap();
    let [x, y, x2, y2] = bounds(&d, "CUT");
    assert!((x2 - x - 118.4).abs() < 1e-4 && (y2 - y - 90.0).abs() < 1e-4);
    let note = bounds(&d, "NOTE");
    assert!(note[3] < y, "label at {} below the cut at {y}", note[3]);
    // The scale bar is the widest note line.
    assert!((note[2] - note[0] - 100.0).abs() < 1e-4);
    let text = dxf(&d).unwrap();
    assert_eq!(text.matches("CIRCLE").count(), 1, "a round cut-out is one circle");
}

#[test]
fn bad_dimensions_are_refused() {
    for bad in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        assert!(pad(&Pad { length: mm(bad), ..sample_pad() }).is_err());
        assert!(gauge(&Gauge { name: "g".into(), radius: mm(bad), width: mm(80.0) }).is_err());
    }
    let mut p = sample_pad();
    p.cutouts[1].centre[0] = mm(2.0);
    assert_eq!(pad(&p), Err(TemplateError::Outside { what: "cut-out", number: 2 }));
    p.cutouts[1].centre[0] = mm(f64::NAN);
    assert_eq!(pad(&p), Err(TemplateError::Outside { what: "cut-out", number: 2 }));
    let d = Drilling {
        name: "d".into(),
        outline: [mm(40.0), mm(20.0)],
        holes: vec![Hole { centre: [mm(38.0), mm(10.0)], diameter: mm(5.0) }],
    };
    assert_eq!(drilling(&d), Err(TemplateError::Outside { what: "hole", number: 1 }));
}

#[test]
fn a_gauge_has_the_sagitta_of_its_trunk() {
    // Sagitta of a chord c on a circle of radius r: r - sqrt(r^2 - c^2 / 4); for r = 65 and
    // c = 50: 65 - 60 = 5 exactly (5-12-13 triangle).
    let d = gauge(&Gauge { name: "oak".into(), radius: mm(65.0), width: mm(50.0) }).unwrap();
    let file = Reader::load(&mut dxf(&d).unwrap().as_bytes()).unwrap();
    let arc = file
        .entities()
        .find_map(|e| if let EntityType::Arc(a) = &e.specific { Some(a.clone()) } else { None })
        .unwrap();
    let top = bounds(&d, "CUT")[3];
    assert!((top - (arc.center.y - arc.radius) - 5.0).abs() < 1e-4);
    let half = arc.radius * libm::cos(arc.end_angle.to_radians());
    assert!((half - 25.0).abs() < 1e-3, "{half}");
    let wide = gauge(&Gauge { name: "oak".into(), radius: mm(65.0), width: mm(130.0) });
    assert!(matches!(wide, Err(TemplateError::GaugeTooWide { .. })));
}

#[test]
fn a_gasket_states_the_length_of_its_path() {
    // Perimeter of a rounded rectangle: 2 (w + h) - 8 r + 2 pi r.
    let g = Gasket {
        name: "lid seal".into(),
        width: mm(200.0),
        height: mm(120.0),
        corner: mm(15.0),
        across: mm(4.0),
        spliced: true,
    };
    let d = gasket(&g).unwrap();
    let exact = 2.0 * 320.0 - 8.0 * 15.0 + 2.0 * PI * 15.0;
    let text = svg(&d).unwrap();
    assert!(text.contains(&format!("path {}", mm(exact))), "{text}");
    let [x, y, x2, y2] = bounds(&d, "ENGRAVE");
    assert!((x2 - x - 200.0).abs() < 1e-4 && (y2 - y - 120.0).abs() < 1e-4);
}

#[test]
fn one_page_when_it_fits_and_tiles_that_overlap_when_not() {
    let small = pad(&sample_pad()).unwrap();
    for paper in [A4, LETTER] {
        assert_eq!(pages(&small, paper).unwrap().len(), 1);
    }
    let big = Pad { length: mm(480.0), height: mm(300.0), ..sample_pad() };
    let big = pad(&big).unwrap();
    for paper in [A4, LETTER] {
        let pages = pages(&big, paper).unwrap();
        let mut covered = [0.0_f64; 2];
        for p in &pages {
            let xml = roxmltree::Document::parse(&p.svg).unwrap();
            let root = xml.root_element();
            let [w, h] = paper;
            let width = root.attribute("width").unwrap();
            assert!(width == format!("{w}mm") || width == format!("{h}mm"), "{width}");
            let inner = root.children().find(|n| n.tag_name().name() == "svg").unwrap();
            let view: Vec<f64> = inner
                .attribute("viewBox")
                .unwrap()
                .split(' ')
                .map(|n| n.parse().unwrap())
                .collect();
            let number = |a: &str| inner.attribute(a).unwrap().parse::<f64>().unwrap();
            // 1:1: the window is as large on paper as in the drawing, and inside the border.
            assert_eq!([view[2], view[3]], [number("width"), number("height")]);
            assert!(number("x") >= UNPRINTABLE && number("y") >= UNPRINTABLE - 1e-9);
            covered[0] = covered[0].max(view[0] + view[2]);
            covered[1] = covered[1].max(big.size()[1] - view[1]);
            // Four register marks of two lines each stand after the window.
            let notes = root.children().filter(|n| n.attribute("class") == Some("note"));
            let lines = notes.flat_map(|g| g.children()).filter(|n| n.tag_name().name() == "path");
            assert_eq!(lines.count(), 8);
        }
        assert!(pages.len() > 1);
        assert!((covered[0] - big.size()[0]).abs() < 1e-3);
        assert!((covered[1] - big.size()[1]).abs() < 1e-3);
    }
    let wall = Drawing::new("wall", Length::metres(9.0), Length::metres(9.0));
    assert!(matches!(pages(&wall, A4), Err(TemplateError::TooManyPages { .. })));
}

#[test]
fn hostile_names_stay_names() {
    for name in HOSTILE {
        let d = pad(&Pad { name: name.into(), ..sample_pad() }).unwrap();
        let page = &pages(&d, LETTER).unwrap()[0];
        for text in [svg(&d).unwrap(), page.svg.clone()] {
            let xml = roxmltree::Document::parse(&text).unwrap();
            let title = xml.descendants().find(|n| n.tag_name().name() == "title").unwrap();
            assert_eq!(title.text(), Some(clean(name).as_str()));
            assert!(!xml.descendants().any(|n| n.tag_name().name() == "script"));
        }
        Reader::load(&mut dxf(&d).unwrap().as_bytes()).unwrap();
    }
    let long = "x".repeat(100_000);
    let d = pad(&Pad { name: long, ..sample_pad() }).unwrap();
    assert!(d.size()[0] < 200.0);
}
