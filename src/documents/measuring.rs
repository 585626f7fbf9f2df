//! Where to put tape and calipers: line drawings of a trunk, a lamp and a strap, each measure
//! labelled with the key of the job file that takes it.
//!
//! The drawings belong to the handbook, not to a job: nothing in them is to scale, and nothing is
//! measured from them. Axes: x right, y up, millimetres of paper.

use crate::formats::drawing::{Anchor, Drawing, Figure, Layer};
use crate::formats::views::flat_dimension;
use crate::units::{Angle, Length};

/// Height of capitals, and between two lines of text, mm.
const TEXT_HEIGHT: f64 = 2.6;
const LINE: f64 = 4.6;
/// A box round a text tag such as `tape level`: half the width of the tape's band, mm.
const TAPE: f64 = 0.9;

/// A sheet under way.
struct Sketch(Drawing);

impl Sketch {
    fn new(title: &str, width: f64, height: f64) -> Self {
        Self(Drawing::new(title, Length::mm(width), Length::mm(height)))
    }

    fn chain(&mut self, layer: Layer, points: &[[f64; 2]]) {
        self.0.add(layer, Figure::Polyline { points: points.to_vec(), closed: false });
    }

    fn ring(&mut self, layer: Layer, points: &[[f64; 2]]) {
        self.0.add(layer, Figure::Polyline { points: points.to_vec(), closed: true });
    }

    fn circle(&mut self, layer: Layer, centre: [f64; 2], radius: f64) {
        self.0.add(layer, Figure::Circle { centre, radius });
    }

    /// A dimension line, `off` to the left of the way from one point to the other.
    fn measure(&mut self, from: [f64; 2], to: [f64; 2], off: f64, key: &str) {
        for (layer, figure) in flat_dimension(from, to, Length::mm(off), key) {
            self.0.add(layer, figure);
        }
    }

    fn note(&mut self, at: [f64; 2], anchor: Anchor, text: &str) {
        self.0.text(Layer::Note, at, TEXT_HEIGHT, anchor, text);
    }

    fn key(&mut self, at: [f64; 2], anchor: Anchor, text: &str) {
        self.0.text(Layer::Dimension, at, TEXT_HEIGHT, anchor, text);
    }

    /// A line from a label to what it names, with a small ring at the end.
    fn leader(&mut self, from: [f64; 2], to: [f64; 2]) {
        self.0.line(Layer::Dimension, from, to);
        self.circle(Layer::Dimension, to, 0.6);
    }

    /// An ellipse with half axes `rx` and `ry`.
    fn oval(&mut self, layer: Layer, [x, y]: [f64; 2], rx: f64, ry: f64) {
        let around = (0..72).map(|i| {
            let turn = Angle::degrees(5.0 * f64::from(i));
            [x + rx * turn.cos(), y + ry * turn.sin()]
        });
        self.ring(layer, &around.collect::<Vec<_>>());
    }
}

/// A trunk: heights, girths, the tape's way round, the two diameters of an oval one.
#[must_use]
pub(crate) fn trunk() -> Drawing {
    let mut s = Sketch::new("measuring a trunk", 244.0, 92.0);
    // From the side: half width of the trunk falls from 13 at the ground to 8 at the crown.
    let (middle, ground, top) = (48.0, 10.0, 84.0);
    let half = |y: f64| 13.0 - 5.0 * (y - ground) / (top - ground);
    s.chain(Layer::Edge, &[[12.0, ground], [92.0, ground]]);
    for side in [-1.0, 1.0] {
        let at = |y: f64| [middle + side * half(y), y];
        let flare = [middle + side * 17.0, ground];
        s.chain(Layer::Edge, &[flare, at(16.0), at(top)]);
        let bough = [middle + side * (half(top) + 12.0), top + 5.0];
        s.chain(Layer::Edge, &[at(top), bough]);
    }
    s.chain(
        Layer::Edge,
        &[[middle - 7.0, top + 5.0], [middle, top - 3.0], [middle + 7.0, top + 5.0]],
    );
    let (breast, upper) = (40.0, 66.0);
    for y in [breast, upper] {
        let reach = half(y);
        let tape = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
            .map(|[i, j]| [middle + i * (reach + 0.5), y + j * TAPE]);
        s.ring(Layer::Cut, &tape);
    }
    let left = |y: f64| middle - half(y) - 0.5;
    s.measure([left(breast), ground], [left(breast), breast], 9.0, "height");
    s.measure([left(breast), ground], [left(breast), upper], 18.0, "upper-height");
    s.measure([middle + 20.0, top], [middle + 20.0, ground], 20.0, "crown-base");
    for (y, key) in [(breast, "girth"), (upper, "upper-girth")] {
        s.leader([middle + 13.0, y + 5.0], [middle + half(y) - 1.0, y]);
        s.key([middle + 14.0, y + 5.0], Anchor::Start, key);
    }
    s.note([middle, 4.0], Anchor::Middle, "from the side");
    // From above: the tape lies on the bark.
    let round = [112.0, 66.0];
    s.circle(Layer::Edge, round, 14.0);
    s.circle(Layer::Cut, round, 14.8);
    s.leader([130.0, 82.0], [round[0] + 10.5, round[1] + 10.5]);
    s.key([131.0, 81.0], Anchor::Start, "girth: snug");
    s.note([131.0, 81.0 - LINE], Anchor::Start, "over the bark,");
    s.note([131.0, 81.0 - 2.0 * LINE], Anchor::Start, "not pressed in");
    // The oval trunk: two diameters, the first toward the lamp.
    let oval = [112.0, 28.0];
    s.oval(Layer::Edge, oval, 17.0, 12.0);
    s.measure([oval[0], oval[1] - 12.0], [oval[0], oval[1] + 12.0], -22.0, "");
    s.key([136.0, 29.0], Anchor::Start, "diameters:");
    s.note([136.0, 29.0 - LINE], Anchor::Start, "first, toward the lamp");
    s.measure([oval[0] - 17.0, oval[1]], [oval[0] + 17.0, oval[1]], -17.0, "second");
    s.note([oval[0], oval[1] + 14.0], Anchor::Middle, "lamp hangs here");
    s.note([oval[0], 4.0], Anchor::Middle, "from above, when clearly oval");
    // Level and askew.
    for (x, slant, verdict) in [(141.0, 0.0, "level: right"), (168.0, 4.0, "askew: too long")] {
        let y = 56.0;
        for side in [-5.0, 5.0] {
            s.chain(Layer::Edge, &[[x + side, y - 9.0], [x + side, y + 9.0]]);
        }
        s.chain(Layer::Cut, &[[x - 5.5, y - slant], [x + 5.5, y + slant]]);
        s.note([x, y - 13.0], Anchor::Middle, verdict);
    }
    straight_edge(&mut s, [214.0, 62.0]);
    s.0
}

/// From above: a straight edge on the bark of a flattened trunk, which it touches at `touch`.
fn straight_edge(s: &mut Sketch, touch: [f64; 2]) {
    let (radius, half) = (34.0, 20.0);
    let bark = (-9..=9).map(|i| {
        let turn = Angle::degrees(5.0 * f64::from(i));
        [touch[0] + radius * turn.sin(), touch[1] - radius * (1.0 - turn.cos())]
    });
    s.chain(Layer::Edge, &bark.collect::<Vec<_>>());
    let [left, right] = [-half, half].map(|x| touch[0] + x);
    let thick = 2.0;
    s.ring(
        Layer::Cut,
        &[[left, touch[1]], [right, touch[1]], [right, touch[1] + thick], [left, touch[1] + thick]],
    );
    s.measure([left, touch[1] + thick], [right, touch[1] + thick], 7.0, "");
    s.note([touch[0], touch[1] + 11.0], Anchor::Middle, "length of the edge");
    let gap = radius - f64::sqrt(radius * radius - half * half);
    for x in [left, right] {
        s.measure([x, touch[1] - gap], [x, touch[1]], 0.0, "");
        s.leader([touch[0], touch[1] - 19.0], [x, touch[1] - gap / 2.0]);
    }
    s.note([touch[0], touch[1] - 24.0], Anchor::Middle, "gap, gap");
    s.key([touch[0], touch[1] - 30.0], Anchor::Middle, "straight-edge:");
    s.note([touch[0], touch[1] - 30.0 - LINE], Anchor::Middle, "laid level where");
    s.note([touch[0], touch[1] - 30.0 - 2.0 * LINE], Anchor::Middle, "the cradle is to sit");
}

/// A lamp: its body, its side bosses or the holes in its back.
#[must_use]
pub(crate) fn lamp() -> Drawing {
    let mut s = Sketch::new("measuring a lamp", 222.0, 92.0);
    // From the front: body between bosses.
    let (body, low, high) = ([18.0, 52.0], 34.0, 66.0);
    s.0.rounded(Layer::Edge, [body[0], low], [body[1] - body[0], high - low], 2.0);
    s.0.rounded(Layer::Edge, [body[0] + 4.0, low + 4.0], [26.0, high - low - 8.0], 1.5);
    let pivot = low + 14.0;
    for (x, out) in [(body[0], -3.0), (body[1], 3.0)] {
        s.ring(
            Layer::Edge,
            &[[x, pivot - 3.0], [x + out, pivot - 3.0], [x + out, pivot + 3.0], [x, pivot + 3.0]],
        );
    }
    s.measure([body[0], high], [body[1], high], 7.0, "width");
    s.measure([body[0] - 3.0, low], [body[1] + 3.0, low], -8.0, "span");
    s.note([35.0, 22.0], Anchor::Middle, "over both boss faces");
    s.measure([body[0], low], [body[0], high], 10.0, "height");
    s.note([35.0, 7.0], Anchor::Middle, "from the front");
    // From the side: beam to the right.
    let (back, front) = (90.0, 118.0);
    s.0.rounded(Layer::Edge, [back, low], [front - back, high - low], 2.0);
    let boss = [back + 11.0, pivot];
    s.circle(Layer::Edge, boss, 3.0);
    s.circle(Layer::Edge, boss, 1.2);
    let lock = [boss[0] - 7.0, boss[1] + 9.0];
    s.circle(Layer::Edge, lock, 1.6);
    s.measure(boss, lock, 0.0, "");
    s.leader([96.0, 78.0], [(boss[0] + lock[0]) / 2.0, (boss[1] + lock[1]) / 2.0]);
    s.key([96.0, 79.0], Anchor::Middle, "lock-radius");
    s.measure([back, low], [front, low], -15.0, "depth");
    s.measure([back, low], [boss[0], low], -7.0, "");
    s.key([back - 1.0, low - 8.0], Anchor::End, "pivot-from-back");
    s.measure([front, low], [front, pivot], -7.0, "");
    s.key([front + 8.5, low + 2.5], Anchor::Start, "pivot-from-bottom");
    s.chain(Layer::Note, &[[back, pivot], [front, pivot]]);
    let tip = [front + 20.0, high - 6.0];
    s.chain(Layer::Note, &[[front + 2.0, tip[1]], tip]);
    s.chain(Layer::Note, &[[tip[0] - 2.5, tip[1] + 1.0], tip, [tip[0] - 2.5, tip[1] - 1.0]]);
    s.note([front + 3.0, tip[1] + 1.5], Anchor::Start, "beam");
    s.chain(Layer::Edge, &[[back, high - 7.0], [back - 5.0, high - 7.0], [back - 7.0, low + 8.0]]);
    s.key([back - 2.0, high - 5.0], Anchor::End, "cable-room");
    s.note([104.0, 7.0], Anchor::Middle, "from the side, beam level");
    // From the back: the holes of a base plate.
    let plate = [156.0, 44.0];
    s.0.rounded(Layer::Edge, plate, [28.0, 24.0], 2.0);
    for dx in [5.0, 23.0] {
        for dy in [5.0, 19.0] {
            s.circle(Layer::Edge, [plate[0] + dx, plate[1] + dy], 1.3);
        }
    }
    let [x, y] = plate;
    s.measure([x + 5.0, y + 19.0], [x + 23.0, y + 19.0], 11.0, "");
    s.key([x + 14.0, y + 31.5], Anchor::Middle, "holes.width");
    s.measure([x + 23.0, y + 5.0], [x + 23.0, y + 19.0], -9.0, "");
    s.key([x + 34.0, y + 11.0], Anchor::Start, "holes.height");
    s.note([x + 14.0, 27.0], Anchor::Middle, "base plate, from the back:");
    s.note([x + 14.0, 27.0 - LINE], Anchor::Middle, "middle of hole");
    s.note([x + 14.0, 27.0 - 2.0 * LINE], Anchor::Middle, "to middle of hole");
    s.0
}

/// A strap: webbing, buckle, tail.
#[must_use]
pub(crate) fn strap() -> Drawing {
    let mut s = Sketch::new("measuring a strap", 176.0, 62.0);
    // Laid flat: webbing from the left, buckle, free tail.
    let (low, high) = (24.0, 36.0);
    let (from, buckle, tail, end) = (28.0, 64.0, 86.0, 118.0);
    s.chain(Layer::Edge, &[[from, low], [from + 2.0, (low + high) / 2.0], [from, high]]);
    for y in [low, high] {
        s.chain(Layer::Edge, &[[from, y], [buckle, y]]);
        s.chain(Layer::Edge, &[[tail, y], [end, y]]);
    }
    s.chain(Layer::Edge, &[[end, low], [end, high]]);
    s.0.rounded(Layer::Edge, [buckle, low - 3.0], [tail - buckle, high - low + 6.0], 2.5);
    s.chain(Layer::Edge, &[[buckle + 8.0, low - 3.0], [buckle + 8.0, high + 3.0]]);
    s.chain(Layer::Edge, &[[buckle + 14.0, low - 3.0], [buckle + 14.0, high + 3.0]]);
    s.measure([from, low], [from, high], 9.0, "width");
    s.measure([buckle, low - 3.0], [tail, low - 3.0], -8.0, "buckle");
    s.measure([tail, low - 3.0], [end, low - 3.0], -8.0, "tail");
    s.note([46.0, high + 3.0], Anchor::Middle, "round the trunk");
    s.note([73.0, 50.0], Anchor::Middle, "buckle: webbing that it swallows");
    s.note([102.0, high + 3.0], Anchor::Middle, "to pull on");
    s.note([73.0, 6.0], Anchor::Middle, "laid flat");
    // On edge: one layer and two.
    for (y, layers, text) in [(38.0, 1, "one layer"), (20.0, 2, "folded: measure both")] {
        let tall = 2.2 * f64::from(layers);
        for layer in 0..layers {
            let at = y + 2.2 * f64::from(layer);
            s.0.rounded(Layer::Edge, [134.0, at], [22.0, 2.2], 1.0);
        }
        s.measure([156.0, y], [156.0, y + tall], -11.0, "");
        s.note([145.0, y - LINE], Anchor::Middle, text);
        s.key([145.0, y + tall + 1.6], Anchor::Middle, "thickness");
    }
    s.note([145.0, 6.0], Anchor::Middle, "on edge, lightly pinched");
    s.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::why;

    /// Width of an average sans-serif character over the height of capitals, on the generous side.
    const ADVANCE: f64 = 0.9;

    #[test]
    fn every_label_of_a_drawing_is_a_key_of_the_job_file() {
        let tables: [(Drawing, &[&str]); 3] =
            [(trunk(), &["trunk"]), (lamp(), &["fixture", "fixture.mount"]), (strap(), &["strap"])];
        for (drawing, tables) in tables {
            let mut keys = 0;
            for (layer, figure) in drawing.figures() {
                let (Layer::Dimension, Figure::Text { text, .. }) = (layer, figure) else {
                    continue;
                };
                let key = text.split([':', ',']).next().unwrap();
                if key == "second" || key.is_empty() {
                    continue;
                }
                let known = tables.iter().any(|t| why(&format!("{t}.{key}")).is_some());
                assert!(known, "{}: {key}", drawing.title());
                keys += 1;
            }
            assert!(keys >= 4, "{}: {keys} keys", drawing.title());
        }
    }

    #[test]
    fn nothing_is_drawn_beside_the_sheet() {
        for drawing in [trunk(), lamp(), strap()] {
            drawing.check().unwrap();
            let [w, h] = drawing.size();
            let inside = |p: [f64; 2], reach: f64| {
                assert!(
                    p[0] >= reach && p[0] <= w - reach && p[1] >= 0.0 && p[1] <= h,
                    "{}: {p:?}",
                    drawing.title()
                );
            };
            for (_, figure) in drawing.figures() {
                match figure {
                    Figure::Polyline { points, .. } => points.iter().for_each(|p| inside(*p, 0.0)),
                    Figure::Circle { centre, radius } | Figure::Arc { centre, radius, .. } => {
                        inside(*centre, *radius);
                    }
                    Figure::Text { at, height, text, anchor, turn, .. } => {
                        let long = text.chars().count() as f64 * height * ADVANCE;
                        match anchor {
                            Anchor::Middle if turn.rad() == 0.0 => inside(*at, long / 2.0),
                            Anchor::Start => inside([at[0] + long, at[1]], 0.0),
                            _ => inside(*at, *height),
                        }
                    }
                }
            }
        }
    }
}
