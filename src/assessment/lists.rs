//! What to buy and what to cut: screws, inserts, glands, webbing, foam, cord, cable, fuses.
//!
//! Screws are socket cap screws (ISO 4762, lengths of its preferred series) and, under knobs, hexagon
//! screws with thread to the head (ISO 4017, the same lengths), washers ISO 7089, nuts
//! ISO 4032. Into a threaded boss a screw is the shortest that engages one thread diameter beyond
//! what it clamps; into a blind hole the longest that does not touch its end; through a nut the
//! shortest that shows it. Where no listed length does, the entry says so.

use serde::Serialize;

use super::calculations::TrunkResults;
use super::power::Power;
use super::power::feeds::{Studied, packs_to_own};
use super::seal::gasket_run;
use crate::design::enclosure::{Enclosure, RING, knob};
use crate::design::saddle::Saddle;
use crate::design::{PartId, Plan, SizeClass};
use crate::engineering::seal::Closing;
use crate::params::{Job, Mount, TightenerKind};
use crate::standards::{GasketKind, Thread};
use crate::units::{Length, trimmed};

/// Preferred lengths of ISO 4762, millimetres.
const LENGTHS: [f64; 23] = [
    5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0,
    70.0, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0,
];

/// A controller's board or foot under its screws: common practice, no source.
const BOARD: Length = Length::mm(1.6);
/// What a screw should show beyond its nut: two turns of the largest pitch here.
const BEYOND_NUT: f64 = 3.0;

/// Something to buy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Item {
    /// Designation: `ISO 4762 M4 x 16`.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Where it goes.
    pub place: String,
}

/// Straps of one length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrapCut {
    /// Trunk.
    pub trunk: String,
    /// `cradles` or `box`.
    pub holds: &'static str,
    /// How many.
    pub count: u32,
    /// Length of each.
    pub length: Length,
    /// Sleeve that each lies in where it would touch bark.
    pub sleeve: Option<Length>,
}

/// Foam pads of one size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PadCut {
    /// Part on which they lie.
    pub part: String,
    /// Round the face.
    pub width: Length,
    /// Along the trunk.
    pub height: Length,
    /// Free thickness.
    pub thickness: Length,
    /// How many.
    pub count: u32,
}

/// Gaskets of the lids.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GasketCut {
    /// What it is, with its size.
    pub name: String,
    /// How its ends meet.
    pub joint: &'static str,
    /// Length of each.
    pub length: Length,
    /// How many.
    pub count: u32,
}

/// One piece of two-core cable.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableCut {
    /// Where it begins.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Conductor.
    pub conductor: String,
    /// Length between the two, as measured.
    pub length: Length,
}

/// All lists of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lists {
    /// Screws, washers, nuts, inserts, glands, fuses, lanyards.
    pub buy: Vec<Item>,
    /// Webbing.
    pub straps: Vec<StrapCut>,
    /// Width of the webbing.
    pub webbing: Length,
    /// Webbing in all.
    pub webbing_total: Length,
    /// Foam.
    pub pads: Vec<PadCut>,
    /// Gaskets of the lids; `None` without a box.
    pub gasket: Option<GasketCut>,
    /// Cables.
    pub cables: Vec<CableCut>,
}

impl Lists {
    pub(crate) fn of(job: &Job, plan: &Plan, figures: &[TrunkResults], power: &Power) -> Self {
        let straps = straps(job, figures);
        let webbing_total = straps.iter().map(|s| s.length * f64::from(s.count)).sum();
        let feeds = power.feeds.as_deref().unwrap_or_default();
        let mut buy = Vec::new();
        lamp_screws(job, plan, &mut buy);
        if let Some(enclosure) = &plan.enclosure {
            box_screws(job, plan, enclosure, &mut buy);
        }
        let count: u32 = straps.iter().map(|s| s.count).sum();
        let buckle = match job.strap.tightened_by() {
            TightenerKind::Cam => "cam buckle",
            TightenerKind::Ratchet => "ratchet buckle",
        };
        add(&mut buy, format!("{buckle} {} mm", number(job.strap.width)), count, "one a strap");
        let sleeves = straps.iter().filter_map(|s| Some(s.sleeve? * f64::from(s.count)));
        let metres = sleeves.sum::<Length>().in_metres().ceil() as u32;
        let sleeve = format!("strap sleeve for {} mm webbing, metre", number(job.strap.width));
        add(&mut buy, sleeve, metres, "padded or felt, between strap and bark");
        add(&mut buy, "safety lanyard".into(), plan.lamps, "lamp to trunk");
        add(&mut buy, "safety lanyard".into(), plan.boxes, "box to trunk");
        for feed in feeds {
            if let Some(rating) = job.feed.fuse.or(feed.study.fuse.ok()) {
                let place = format!("at the battery: {}", super::power::name(job, feed));
                let full = job.battery.as_ref().map(|b| b.chemistry.pack_full(b.voltage));
                let kind = feed.feed.plan.fuse_kind;
                let name = kind.designation(rating, full.unwrap_or(feed.study.nominal));
                add(&mut buy, name, 1, &place);
            }
        }
        if let Some(battery) = &job.battery {
            let packs = packs_to_own(power.nights.iter().flatten().map(|(_, found)| found));
            let place = "one set in the boxes while the other charges, and a spare";
            add(&mut buy, format!("pack {}", battery.name), packs, place);
        }
        let gasket = plan.enclosure.as_ref().map(|enclosure| {
            let gasket = &enclosure.groove.section.gasket;
            let (made_of, joint) = match gasket.kind() {
                GasketKind::Cord => {
                    ("silicone ", "cut at 45 degrees, the two slants glued over each other")
                }
                GasketKind::Sponge => (
                    "closed-cell rubber (ASTM D1056 2x1), self-adhesive, ",
                    "cut square, a little long, the ends pressed against each other on the lower side",
                ),
            };
            GasketCut {
                name: format!("{made_of}{gasket}"),
                joint,
                length: gasket_run(enclosure),
                count: plan.boxes,
            }
        });
        Self {
            buy,
            straps,
            webbing: job.strap.width,
            webbing_total,
            pads: pads(job, plan),
            gasket,
            cables: feeds.iter().flat_map(|feed| cables(job, feed)).collect(),
        }
    }
}

fn number(length: Length) -> String {
    trimmed(length.get(), 2)
}

fn add(list: &mut Vec<Item>, name: String, count: u32, place: &str) {
    if count > 0 {
        list.push(Item { name, count, place: place.into() });
    }
}

/// The shortest listed length from `least` on.
fn at_least(least: f64) -> Option<f64> {
    LENGTHS.into_iter().find(|l| *l >= least - 1e-9)
}

/// The longest listed length within both limits.
fn between(least: f64, most: f64) -> Option<f64> {
    LENGTHS.into_iter().rfind(|l| *l <= most + 1e-9).filter(|l| *l >= least - 1e-9)
}

/// Socket cap screws, and hexagon screws with thread to the head.
const CAP: &str = "ISO 4762";
const HEXAGON: &str = "ISO 4017";

fn screw(standard: &str, thread: Thread, length: Option<f64>, wanted: f64) -> String {
    match length {
        Some(length) => format!("{standard} {thread} x {length}"),
        None => format!("{standard} {thread}, cut to {} mm", trimmed(wanted, 1)),
    }
}

/// Pivot and lock screws, and those of a tilt plate.
fn lamp_screws(job: &Job, plan: &Plan, buy: &mut Vec<Item>) {
    let (yoke, lamps) = (&plan.yoke, plan.lamps);
    let thread = yoke.thread;
    let washer = thread.washer();
    // One pivot screw a side, and one lock screw a side where there is a lock.
    let a_lamp = if yoke.lock.is_some() { 4 } else { 2 };
    let ear = yoke.ear.get() + washer.thickness.get();
    match (&job.fixture.mount, &yoke.plate) {
        (Mount::BasePlate { thread: into, .. }, Some(plate)) => {
            let lug = (plate.lug_x[1] - plate.lug_x[0]).get();
            let nut = thread.nut();
            let least = ear + lug + washer.thickness.get() + nut.height.get() + BEYOND_NUT;
            let name = screw(CAP, thread, at_least(least), least);
            add(buy, name, a_lamp * lamps, "pivot and lock, through ear and lug");
            add(buy, format!("ISO 4032 {thread}"), a_lamp * lamps, "pivot and lock");
            add(buy, format!("ISO 7089 {thread}"), 2 * a_lamp * lamps, "pivot and lock, both ends");
            let grip = plate.thickness.get() + into.washer().thickness.get();
            let least = grip + into.diameter().get();
            let holes = plate.holes.len() as u32;
            add(
                buy,
                screw(CAP, *into, at_least(least), least),
                holes * lamps,
                "tilt plate to lamp",
            );
            add(buy, format!("ISO 7089 {into}"), holes * lamps, "tilt plate to lamp");
        }
        _ => {
            let least = ear + thread.diameter().get();
            let place = "pivot and lock, into the lamp's bosses";
            add(buy, screw(CAP, thread, at_least(least), least), a_lamp * lamps, place);
            add(buy, format!("ISO 7089 {thread}"), a_lamp * lamps, place);
        }
    }
}

/// Screws, inserts and glands of the boxes.
fn box_screws(job: &Job, plan: &Plan, enclosure: &Enclosure, buy: &mut Vec<Item>) {
    let boxes = plan.boxes;
    let mut inserts: Vec<(Thread, u32)> = Vec::new();
    let mut blind =
        |standard, thread: Thread, count: u32, grip: f64, bore: f64, insert: bool, place: &str| {
            let (least, most) = (grip + thread.diameter().get(), grip + bore);
            let name = screw(standard, thread, between(least, most), most);
            if insert {
                inserts.push((thread, count * boxes));
            }
            (name, count * boxes, place.to_owned())
        };
    let screws = &enclosure.screws;
    let (over_lid, standard) = match screws.closing {
        Closing::Knobs => (knob::GRIP, HEXAGON),
        Closing::Screws => (screws.thread.washer().thickness, CAP),
    };
    let mut found = vec![blind(
        standard,
        screws.thread,
        enclosure.fasteners(),
        (enclosure.lid.thickness + over_lid).get(),
        screws.bore_depth.get(),
        true,
        "lid to box",
    )];
    let thickest = plan.rails.iter().map(|r| {
        let saddle = &r.rail.saddle;
        saddle.front_y - saddle.flange_y.unwrap_or(saddle.passage_y[1])
    });
    let flange = thickest.fold(Length::ZERO, Length::max);
    let boss = &enclosure.rail_boss;
    let washer = enclosure.rail_thread.washer().thickness;
    // Two rails a box, a screw on either side of each.
    let grip = (flange + washer).get();
    found.push(blind(
        CAP,
        enclosure.rail_thread,
        4,
        grip,
        boss.bore_depth.get(),
        boss.insert,
        "rails to box",
    ));
    let battery = &enclosure.battery;
    let plate = job.battery.as_ref().map_or(Length::ZERO, |b| b.receiver.thickness);
    let mut contents = vec![(battery, plate, "battery receiver")];
    contents.extend(enclosure.controller.as_ref().map(|c| (c, BOARD, "controller")));
    for (content, clamped, place) in contents {
        let post = &content.post;
        let count = content.holes.len() as u32;
        found.push(blind(
            CAP,
            post.thread,
            count,
            clamped.get(),
            post.bore_depth.get(),
            post.insert,
            place,
        ));
    }
    for (name, count, place) in found {
        add(buy, name, count, &place);
    }
    let fasteners = enclosure.fasteners() * boxes;
    if screws.closing == Closing::Screws {
        add(buy, format!("ISO 7089 {}", screws.thread), fasteners, "under the screws of the lid");
    }
    let ring = format!("rubber ring for {}, {} mm thick", screws.thread, number(RING));
    add(buy, ring, fasteners, "on the screws of the lid, under it, so that none drops");
    add(buy, format!("ISO 7089 {}", enclosure.rail_thread), 4 * boxes, "rails to box");
    for thread in Thread::ALL {
        let count = inserts.iter().filter(|(t, _)| *t == thread).map(|(_, n)| n).sum();
        add(buy, format!("heat-set insert {thread}"), count, "box");
    }
    for entry in &job.glands {
        let name = format!("cable gland {} x 1.5 with locknut (EN 60423)", entry.size);
        add(buy, name, job.gland_count(entry) * boxes, "downward wall of the box");
    }
    if let Some(vent) = &job.vent {
        add(buy, format!("vent plug {} x 1.5", vent.size), boxes, "downward wall of the box");
    }
}

fn straps(job: &Job, figures: &[TrunkResults]) -> Vec<StrapCut> {
    let mut cuts = Vec::new();
    for (trunk, figures) in job.trunks.iter().zip(figures) {
        let mut cut = |holds, count, length: Option<Length>, sleeve: Option<Length>| {
            // To whole millimetres, upward.
            let [length, sleeve] = [length, sleeve].map(|l| l.map(|l| Length::mm(l.get().ceil())));
            cuts.extend(length.map(|length| StrapCut {
                trunk: trunk.name.clone(),
                holds,
                count,
                length,
                sleeve,
            }));
        };
        cut("cradles", figures.straps, figures.strap, figures.sleeve);
        cut("box", figures.box_straps, figures.box_strap, figures.box_sleeve);
    }
    cuts
}

fn pads(job: &Job, plan: &Plan) -> Vec<PadCut> {
    let pad = |(part, class, saddle): (PartId, &SizeClass, &Saddle)| {
        let [width, height] = saddle.pad_size();
        let (part, thickness) = (part.to_string(), job.pad.free_thickness());
        PadCut { part, width, height, thickness, count: class.copies }
    };
    plan.saddles().map(pad).collect()
}

fn cables(job: &Job, feed: &Studied) -> Vec<CableCut> {
    let plan = &feed.feed.plan;
    let conductor = feed.study.size.to_string();
    let home = feed
        .feed
        .trunk
        .map_or_else(|| "supply".to_owned(), |trunk| format!("box on {}", job.trunks[trunk].name));
    let lamp = |k: usize| {
        let trunk = feed.feed.fixtures.get(k).and_then(|&t| job.trunks.get(t));
        format!("lamp {} on {}", k + 1, trunk.map_or("", |t| t.name.as_str()))
    };
    let piece = |from: String, to: String, length: Length| CableCut {
        from,
        to,
        conductor: conductor.clone(),
        length,
    };
    let mut pieces: Vec<CableCut> = plan
        .lengths
        .iter()
        .enumerate()
        .filter(|(k, _)| plan.apart != Some(*k))
        .map(|(k, &length)| {
            let from = if k == 0 { home.clone() } else { lamp(k - 1) };
            piece(from, lamp(k), length)
        })
        .collect();
    if plan.returns() && !plan.lengths.is_empty() {
        pieces.push(piece(lamp(plan.lengths.len() - 1), home, plan.back));
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_the_preferred_ones() {
        // ISO 4762, preferred lengths (from memory): 16 follows 12, 25 follows 20.
        assert_eq!(at_least(12.1), Some(16.0));
        assert_eq!(at_least(20.0), Some(20.0));
        assert_eq!(between(14.0, 24.9), Some(20.0));
        assert_eq!(between(21.0, 24.9), None);
        assert_eq!(screw(CAP, Thread::M4, None, 23.5), "ISO 4762 M4, cut to 23.5 mm");
    }
}
