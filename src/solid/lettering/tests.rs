//! The outlines are measured with the crate `geo` (an independent kit of plane geometry) and with
//! closed formulas of elementary geometry.

use geo::{Area, Contains, Distance, Euclidean, LineString, Polygon, Relate, Validation};
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::OutlineStyle;

use super::glyphs::GLYPHS;
use super::*;

fn ring(points: &[[f64; 2]]) -> LineString {
    LineString::from(points.iter().map(|p| (p[0], p[1])).collect::<Vec<_>>())
}

fn polygon(r: &Region) -> Polygon {
    Polygon::new(ring(&r.outer), r.holes.iter().map(|h| ring(h)).collect())
}

fn area(regions: &[Region]) -> f64 {
    regions.iter().map(|r| polygon(r).unsigned_area()).sum()
}

fn every_glyph() -> String {
    GLYPHS.iter().map(|g| g.ch).chain(['\u{20ac}']).collect()
}

/// Signed area, positive when counter-clockwise (shoelace formula).
fn signed(points: &[[f64; 2]]) -> f64 {
    let n = points.len();
    (0..n)
        .map(|i| {
            let (a, b) = (points[i], points[(i + 1) % n]);
            a[0] * b[1] - b[0] * a[1]
        })
        .sum::<f64>()
        / 2.0
}

#[test]
fn a_tick_has_the_area_of_a_stadium() {
    // Elementary geometry: a stadium of length a and diameter d has area a d + pi d^2 / 4.
    let r = tick([1.0, 2.0], [7.0, 10.0], Length::mm(1.2)).unwrap();
    assert_eq!(r.len(), 1);
    let exact = 10.0 * 1.2 + PI * 1.2 * 1.2 / 4.0;
    assert!((area(&r) - exact).abs() < 0.005 * exact, "{} against {exact}", area(&r));
}

#[test]
fn a_zero_has_the_area_of_its_ring() {
    // A closed path of length l drawn with width d (turning only one way, no curl tighter than
    // d / 2) covers l d (Pappus in the plane).
    let (h, st) = (10.0, 1.0);
    let k = (h - st) / CAP;
    let length = k * (2.0 * PI * 1.8 + 2.0 * 2.4);
    let r = outline("0", Length::mm(h), Length::mm(st)).unwrap();
    assert_eq!((r.len(), r[0].holes.len()), (1, 1));
    assert!((area(&r) - length * st).abs() < 0.01 * length * st);
}

#[test]
fn every_outline_is_simple_wound_right_and_without_short_edges() {
    for (h, st) in [(4.2, 0.6), (6.0, 0.8), (8.0, 0.8), (12.0, 1.2), (40.0, 2.0)] {
        for g in GLYPHS.iter().chain([&glyphs::UNKNOWN]) {
            let text = g.ch.to_string();
            let (h, st) = (Length::mm(h), Length::mm(st));
            let h = h.max(least_height(&text, st).unwrap());
            for r in outline(&text, h, st).unwrap() {
                let p = polygon(&r);
                assert!(p.is_valid(), "{text:?} at {h}: {:?}", p.validation_errors());
                assert!(signed(&r.outer) > 0.0, "{text:?} outer");
                assert!(r.holes.iter().all(|hole| signed(hole) < 0.0), "{text:?} holes");
                for contour in std::iter::once(&r.outer).chain(&r.holes) {
                    for (i, a) in contour.iter().enumerate() {
                        let b = contour[(i + 1) % contour.len()];
                        assert!(distance(*a, b) >= MIN_EDGE.get(), "{text:?} at {h}: {a:?} {b:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn letters_are_apart_by_the_least_gap() {
    let (h, st) = (Length::mm(5.5), Length::mm(0.8));
    let r = outline(&every_glyph(), h, st);
    assert!(matches!(r, Err(LetteringError::TooSmall { .. })), "small letters need more");
    let h = least_height(&every_glyph(), st).unwrap();
    let polygons: Vec<Polygon> =
        outline(&every_glyph(), h, st).unwrap().iter().map(polygon).collect();
    for (i, a) in polygons.iter().enumerate() {
        for b in &polygons[i + 1..] {
            assert!(a.relate(b).is_disjoint());
            let gap = Euclidean.distance(a, b);
            assert!(gap > MIN_GAP.get() - 2.0 * CHORD, "{gap}");
        }
    }
}

/// Growing every stroke by just under half the least gap closes no counter and joins no strokes:
/// the numbers of regions and of holes stay. The growing is done by another algorithm (polygon
/// offset) than the drawing (stroking).
#[test]
fn every_way_through_a_glyph_stays_open_at_its_least_height() {
    let st = Length::mm(0.6);
    let grow = MIN_GAP.get() / 2.0 - 2.0 * CHORD;
    for g in GLYPHS.iter().chain([&glyphs::UNKNOWN]) {
        let text = g.ch.to_string();
        let r = outline(&text, least_height(&text, st).unwrap(), st).unwrap();
        let shapes: Vec<Vec<Vec<[f64; 2]>>> = r
            .iter()
            .map(|r| std::iter::once(r.outer.clone()).chain(r.holes.iter().cloned()).collect())
            .collect();
        let grown = shapes.outline(&OutlineStyle::new(grow).line_join(LineJoin::Round(0.2)));
        let count = |s: &[Vec<Vec<[f64; 2]>>]| (s.len(), s.iter().map(Vec::len).sum::<usize>());
        assert_eq!(count(&grown), count(&shapes), "{text:?}");
    }
}

#[test]
fn text_lies_in_its_box_and_fit_uses_the_room() {
    let st = Length::mm(0.8);
    for text in ["A 980-1100", "35\u{b0}", "TOP \u{2191}", "bolewright 2/3", "1", "."] {
        let h = fit(text, Length::mm(60.0), Length::mm(9.0), st).unwrap();
        let w = width(text, h, st).unwrap().get();
        let all: Vec<[f64; 2]> =
            outline(text, h, st).unwrap().into_iter().flat_map(|r| r.outer).collect();
        let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
        for p in &all {
            for k in 0..2 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        assert!(low[0].abs() < 0.03 && (high[0] - w).abs() < 0.03, "{text}: {low:?} {high:?} {w}");
        assert!(w <= 60.0 + 1e-9 && high[1] - low[1] <= 9.0 + 1e-9, "{text}: {low:?} {high:?}");
        let slack = (60.0 - w).min(9.0 - (h.get() - low[1].min(0.0)));
        assert!(slack < 0.05, "{text}: room left over, {slack}");
    }
}

#[test]
fn an_unknown_character_is_a_visible_box() {
    let r = outline("\u{4e2d}", Length::mm(8.0), Length::mm(0.8)).unwrap();
    assert_eq!((r.len(), r[0].holes.len()), (1, 1));
    assert!(polygon(&r[0]).contains(&geo::Point::new(0.4, 4.0)));
}

#[test]
fn bad_dimensions_are_refused() {
    let ok = Length::mm(5.0);
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let bad = Length::mm(bad);
        assert!(outline("A", bad, ok).is_err());
        assert!(outline("A", ok, bad).is_err());
        assert!(fit("A", bad, ok, ok).is_err());
        assert!(tick([bad.get() / 0.0, 0.0], [1.0, 1.0], ok).is_err());
        assert!(tick([0.0, 0.0], [1.0, 1.0], bad).is_err());
    }
    assert!(outline("A", Length::mm(1e4), ok).is_err());
    assert_eq!(outline("  ", ok, Length::mm(0.5)).unwrap(), []);
    let long = "8".repeat(1000);
    assert!(matches!(outline(&long, ok, Length::mm(0.5)), Err(LetteringError::TooLarge { .. })));
}

#[test]
fn the_same_text_gives_the_same_numbers() {
    let one = outline("SIZE A 35\u{b0}", Length::mm(7.0), Length::mm(0.8)).unwrap();
    let two = outline("SIZE A 35\u{b0}", Length::mm(7.0), Length::mm(0.8)).unwrap();
    assert_eq!(one, two);
}
