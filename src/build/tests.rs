//! What the parts' solids show when they are read back: every hole by its diameter, the tilt scale by
//! its angles and its text, against tables and a job file that this file has copied for itself.

use super::*;
use crate::design::{PreviousSet, plan};
use crate::params;
use crate::solid::engrave::MARK_FLOOR;
use crate::solid::{Vec3, lettering};
use crate::units::Length;

const ONE: &str = include_str!("../../params/one-lamp.toml");
const RIVER: &str = include_str!("../../params/quillmere-stories.toml");
const ORCHARD: &str = include_str!("../../params/orchard-supper.toml");
const INCHES: &str = include_str!("../../params/thimbleford-inches.toml");

/// Clearance holes, medium series H13 (ISO 273, table 1), by thread, mm.
const CLEARANCE: [(&str, f64); 5] =
    [("M3", 3.4), ("M4", 4.5), ("M5", 5.5), ("M6", 6.6), ("M8", 9.0)];
/// Holes for heat-set inserts (no standard; one open data set), by thread, mm.
const PILOT: [(&str, f64); 3] = [("M3", 4.04), ("M4", 5.61), ("M5", 6.53)];
/// Panel holes of cable glands: thread and half a millimetre, mm.
const GLAND: [(&str, f64); 4] = [("M12", 12.5), ("M16", 16.5), ("M20", 20.5), ("M25", 25.5)];

fn of(table: &[(&str, f64)], size: &str) -> f64 {
    table.iter().find(|(name, _)| *name == size).expect("a size of the table").1
}

/// The part of this name, and the job it is of.
fn drawn(text: &str, name: &str) -> (Job, Body) {
    let mut draft = params::Draft::new(text, &[]);
    if draft.survey().is_some() {
        draft.add_survey(include_str!("../../params/thimbleford-survey.csv"));
    }
    let job = draft.finish().expect("the demo job reads").job;
    let plan = plan(&job, &PreviousSet::default()).expect("a plan");
    let spec = part_specs(&job, &plan).into_iter().find(|s| s.part.id.to_string() == name);
    let body = spec.expect("the part is in the job").part.body().expect("it is drawn");
    (job, body)
}

/// The round holes of this label: middle of the mouth and diameter, each once.
fn holes(body: &Body, label: &str) -> Vec<(Vec3, f64)> {
    let mut found: Vec<(Vec3, f64)> = Vec::new();
    for face in body.faces.iter().filter(|f| f.label == label) {
        for edge in face.loops.iter().flatten().filter_map(|u| body.run(*u).arc.map(|a| (a, u))) {
            let (arc, start) = (edge.0, body.run(*edge.1).a);
            let diameter = 2.0 * (start - arc.centre).norm();
            if !found.iter().any(|(at, _)| (*at - arc.centre).norm() < 1e-6) {
                found.push((arc.centre, diameter));
            }
        }
    }
    found
}

#[track_caller]
fn assert_holes(body: &Body, label: &str, mouths: usize, diameter: f64) {
    let found = holes(body, label);
    assert_eq!(found.len(), mouths, "{label}: {found:?}");
    for (_, is) in found {
        assert!((is - diameter).abs() < 1e-9, "{label}: {is}, in the table {diameter}");
    }
}

/// Two ears with a hole each, two mouths a hole.
#[test]
fn pivot_holes_are_those_of_the_table() {
    for (text, thread) in [(ONE, "M5"), (RIVER, "M6")] {
        assert!(text.contains(&format!("thread = \"{thread}\"")));
        let (_, cradle) = drawn(text, "cradle-a");
        assert_holes(&cradle, "pivot hole", 4, of(&CLEARANCE, thread));
        let mut across: Vec<f64> =
            holes(&cradle, "pivot hole").iter().map(|(at, _)| at.x).collect();
        across.sort_by(f64::total_cmp);
        // The ears are as thick, and stand a lamp apart.
        let [a, b, c, d] = across[..] else { panic!("{across:?}") };
        assert!((b - a - (d - c)).abs() < 1e-9 && c - b > 90.0, "{across:?}");
    }
    // The lamp's own four screws are M4; the plate turns on bolts of its own.
    let (job, plate) = drawn(ORCHARD, "tilt-plate");
    let corners = holes(&plate, "lamp hole").len();
    assert_holes(&plate, "lamp hole", corners, of(&CLEARANCE, "M4"));
    assert_eq!(corners, 2 * 4, "{}", job.job.name);
}

#[test]
fn holes_of_the_box_are_those_of_the_tables() {
    let (job, body) = drawn(RIVER, "box-body");
    let screw = job.lid.screw.to_string();
    let (_, lid) = drawn(RIVER, "box-lid");
    let screws = holes(&lid, "screw hole").len() / 2;
    assert!(screws >= 4, "{screws}");
    // Mouth and floor of each.
    assert_holes(&body, "insert hole", 2 * screws, of(&PILOT, &screw));
    assert_holes(&lid, "screw hole", 2 * screws, of(&CLEARANCE, &screw));
    let (_, seal) = drawn(RIVER, "test-seal");
    for (_, diameter) in holes(&seal, "insert hole") {
        assert!((diameter - of(&PILOT, &screw)).abs() < 1e-9, "{diameter}");
    }
    assert!(!holes(&seal, "insert hole").is_empty());
    // Of the glands as many as the job orders, of their sizes.
    let mut wanted: Vec<f64> = Vec::new();
    for gland in &job.glands {
        let diameter = of(&GLAND, &gland.size.to_string());
        wanted.extend(std::iter::repeat_n(diameter, 2 * gland.count.unwrap_or(1) as usize));
    }
    let mut found: Vec<f64> = holes(&body, "gland hole").iter().map(|(_, d)| *d).collect();
    wanted.sort_by(f64::total_cmp);
    found.sort_by(f64::total_cmp);
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    assert!(found.iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?} {wanted:?}");
}

/// A mark on the outer face of an ear, as (y, z) from the pivot.
struct Stroke {
    points: Vec<[f64; 2]>,
}

impl Stroke {
    /// Nearest and farthest distance from the pivot.
    fn reach(&self) -> [f64; 2] {
        let far = self.points.iter().map(|p| libm::hypot(p[0], p[1]));
        [far.clone().fold(f64::MAX, f64::min), far.fold(0.0, f64::max)]
    }

    fn extent(strokes: &[&Self]) -> [[f64; 2]; 2] {
        let all = strokes.iter().flat_map(|s| &s.points);
        all.fold([[f64::MAX; 2], [f64::MIN; 2]], |[low, high], p| {
            [[low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])]]
        })
    }

    fn middle(strokes: &[&Self]) -> [f64; 2] {
        let [low, high] = Self::extent(strokes);
        [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0]
    }
}

/// Every mark beside the pivot's hole on the faces that look across.
fn scale(body: &Body) -> Vec<Stroke> {
    let pivot = holes(body, "pivot hole")[0].0;
    let floors = body.faces.iter().filter(|f| f.label == MARK_FLOOR);
    let corners = floors.map(|f| f.loops[0].iter().map(|u| body.run(*u).a).collect::<Vec<_>>());
    let across = corners.filter(|c| c.iter().all(|p| (p.x - c[0].x).abs() < 1e-9));
    across
        .map(|c| Stroke { points: c.iter().map(|p| [p.y - pivot.y, p.z - pivot.z]).collect() })
        .collect()
}

/// Where the lock is read at tilt 0, degrees from level outward; the tilt range; the numbers in it. All
/// copied from the job files by hand, where they say so; else from the handbook's defaults.
#[test]
fn the_tilt_scale_reads_the_tilt() {
    for (text, zero, from, to, numbers) in [
        (RIVER, 135.0, 10, 75, &["30", "60"][..]),
        (INCHES, f64::NAN, -10, 70, &["0", "30", "60"]),
        (ORCHARD, f64::NAN, 0, 80, &["0", "30", "60"]),
    ] {
        let (job, body) = drawn(text, "cradle-a");
        assert_eq!(
            [job.tilt.min.deg().round() as i32, job.tilt.max.deg().round() as i32],
            [from, to]
        );
        let plan = plan(&job, &PreviousSet::default()).expect("a plan");
        let zero =
            if zero.is_nan() { plan.yoke.lock.map_or(0.0, |lock| lock.angle.deg()) } else { zero };
        let marks = scale(&body);
        let ends = plan.yoke.scale.ticks.map(Length::get);
        // A tick ends where ticks end, and points at the pivot.
        let is_tick =
            |s: &Stroke| (s.reach()[1] - ends[1]).abs() < 0.2 && s.reach()[0] > ends[0] - 0.2;
        let (ticks, digits): (Vec<_>, Vec<_>) = marks.iter().partition(|s| is_tick(s));
        // Corners lie evenly about a tick's own line.
        let mut read: Vec<f64> = ticks
            .iter()
            .map(|t| {
                let sum = t.points.iter().fold([0.0, 0.0], |a, p| {
                    let far = libm::hypot(p[0], p[1]);
                    [a[0] + p[0] / far, a[1] + p[1] / far]
                });
                let angle = libm::atan2(sum[1], sum[0]).to_degrees() - zero;
                (angle + 540.0).rem_euclid(360.0) - 180.0
            })
            .collect();
        read.sort_by(f64::total_cmp);
        let wanted: Vec<f64> = (from..=to).filter(|d| d % 5 == 0).map(f64::from).collect();
        assert_eq!(read.len(), wanted.len(), "{read:?}");
        for (is, should) in read.iter().zip(&wanted) {
            assert!((is - should).abs() < 0.2, "a tick at {is}, should be at {should}: {read:?}");
        }
        // Longer ticks, those with a number, stand where the numbers say.
        let mut strokes = 0;
        for number in numbers {
            let at = (zero + number.parse::<f64>().expect("a number")).to_radians();
            let far = plan.yoke.scale.numerals.get();
            let place = [far * libm::cos(at), far * libm::sin(at)];
            let height = plan.yoke.scale.numeral_height;
            let outlines = lettering::outline(number, height, Engraving::new(&job.printer).stroke)
                .expect("digits are drawn");
            let shape: Vec<Stroke> =
                outlines.iter().map(|r| Stroke { points: r.outer.clone() }).collect();
            let centre = Stroke::middle(&shape.iter().collect::<Vec<_>>());
            for part in &shape {
                strokes += 1;
                let own = Stroke::middle(&[part]);
                let wanted = [0, 1].map(|i| place[i] + own[i] - centre[i]);
                let there = digits.iter().find(|d| {
                    let is = Stroke::middle(&[d]);
                    libm::hypot(is[0] - wanted[0], is[1] - wanted[1]) < 0.05
                });
                let digit = there.unwrap_or_else(|| panic!("no {number} at {wanted:?}"));
                // The same corners, so that an 8 is no 3.
                assert_eq!(digit.points.len(), part.points.len(), "{number}");
                for p in &part.points {
                    let moved = [0, 1].map(|i| p[i] - own[i] + wanted[i]);
                    let near = |q: &&[f64; 2]| libm::hypot(q[0] - moved[0], q[1] - moved[1]) < 0.05;
                    assert!(digit.points.iter().any(|q| near(&q)), "{number} is another number");
                }
            }
        }
        // No other number stands there.
        assert_eq!(digits.len(), strokes);
    }
}
