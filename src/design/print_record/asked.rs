//! What a job asks of each part: the records of the parts that would be printed today.

use std::collections::BTreeMap;

use super::{
    BoxFit, CradleFit, DESIGN, Interface, Material, PrintRecord, Proof, RailFit, TiltPlateFit,
};
use crate::design::cradle::pattern;
use crate::design::saddle::Saddle;
use crate::design::stability::middle;
use crate::design::{Yoke, enclosure::Enclosure, rail, tilt_plate};
use crate::engineering::seal::Gasket;
use crate::params::{Job, Mount};
use crate::units::{Angle, Force, Length, settled};

/// The record of a cradle with this saddle, whose straps are planned for a pull.
pub(in crate::design) fn cradle(
    job: &Job,
    yoke: &Yoke,
    saddle: &Saddle,
    pull: Force,
) -> PrintRecord {
    let lock = yoke.lock.as_ref();
    let with_lock = |tilt: Angle| lock.and_then(|_| deg(tilt));
    let interface = CradleFit {
        gap_mm: mm(yoke.gap),
        pivot_hole_mm: mm(yoke.pivot_hole),
        lock_radius_mm: mm(lock.map_or(Length::ZERO, |l| l.radius)),
        lock_angle_deg: lock.and_then(|l| deg(l.angle)),
        slot_mm: lock.and_then(|l| mm(l.slot)),
        slot_from_deg: with_lock(job.tilt.min),
        slot_to_deg: with_lock(job.tilt.max),
        straps: Some(f64::from(saddle.straps())),
        strap_width_mm: mm(job.strap.width),
        strap_thickness_mm: mm(job.strap.thickness),
    };
    let mut shape = saddle_shape(saddle);
    shape.extend(named([
        ("ear_mm", yoke.ear),
        ("ear_end_radius_mm", yoke.end_radius),
        ("pivot_reach_mm", yoke.reach),
        ("pivot_height_mm", yoke.pivot_z),
        ("ear_foot_height_mm", yoke.foot_height),
    ]));
    let proven = Proof { pull_n: Some(settled(pull.get())), ..lamp(job, yoke) };
    record(job, Interface::Cradle(interface), shape, proven)
}

/// Without what the job leaves open: a lock bolt whose angle is not written is where the print has it, and
/// a print has as many straps as it has when the job does not ask for so many.
pub(in crate::design) fn left_open(
    mut record: PrintRecord,
    mount: &Mount,
    straps_open: bool,
) -> PrintRecord {
    if let (Some(Interface::Cradle(cradle)), true) = (&mut record.interface, straps_open) {
        cradle.straps = None;
    }
    if let (Some(Interface::Cradle(cradle)), Mount::SideBosses { lock_angle: None, .. }) =
        (&mut record.interface, mount)
    {
        cradle.lock_angle_deg = None;
    }
    record
}

/// The record of a rail of a box.
pub(in crate::design) fn rail(
    job: &Job,
    rail: &rail::Rail,
    boxed: &Enclosure,
    pull: Force,
) -> PrintRecord {
    let interface = RailFit {
        screw_x_mm: mm(rail.screw_x),
        screw_hole_mm: mm(rail.hole),
        straps: Some(f64::from(rail.saddle.straps())),
        strap_width_mm: mm(job.strap.width),
        strap_thickness_mm: mm(job.strap.thickness),
    };
    let proven = Proof {
        contents_kg: Some(boxed.contents.get()),
        pull_n: Some(settled(pull.get())),
        ..site(job)
    };
    record(job, Interface::Rail(interface), saddle_shape(&rail.saddle), proven)
}

/// The record of the box, body and lid.
pub(in crate::design) fn enclosure(job: &Job, boxed: &Enclosure) -> PrintRecord {
    let holes = |holes| Some(points(&pattern::points(holes)));
    let (battery, controller) = (job.battery.as_ref(), job.controller.as_ref());
    let entries = job.glands.iter();
    let glands = entries.flat_map(|e| vec![e.size.thread().get(); job.gland_count(e) as usize]);
    let mut glands: Vec<f64> = glands.collect();
    glands.sort_by(f64::total_cmp);
    let vent = job.vent.as_ref().map_or(Length::ZERO, |v| v.size.thread());
    let (cord, strip) = match boxed.groove.section.gasket {
        Gasket::Cord { diameter } => (diameter, Vec::new()),
        Gasket::Sponge { thickness, width } => {
            (Length::ZERO, [thickness, width].map(|l| settled(l.get())).to_vec())
        }
    };
    let interface = BoxFit {
        receiver_holes_mm: battery.and_then(|b| holes(&b.receiver.holes)),
        receiver_screw_mm: battery.and_then(|b| mm(b.receiver.thread.diameter())),
        controller_holes_mm: controller.map_or(Some(Vec::new()), |c| holes(&c.holes)),
        controller_screw_mm: controller.and_then(|c| mm(c.thread.diameter())),
        glands_mm: Some(glands),
        vent_mm: mm(vent),
        cord_mm: mm(cord),
        strip_mm: Some(strip),
        lid_screw_mm: mm(boxed.screws.thread.diameter()),
        rail_screw_x_mm: mm(boxed.rail_screw_x),
    };
    let proven = Proof {
        contents_kg: Some(boxed.contents.get()),
        battery_length_mm: battery.and_then(|b| mm(b.length)),
        battery_width_mm: battery.and_then(|b| mm(b.width)),
        battery_height_mm: battery.and_then(|b| mm(b.height + b.receiver.thickness)),
        controller_length_mm: mm(controller.map_or(Length::ZERO, |c| c.length)),
        controller_width_mm: mm(controller.map_or(Length::ZERO, |c| c.width)),
        controller_height_mm: mm(controller.map_or(Length::ZERO, |c| c.height)),
        cord_n_per_mm: Some(boxed.screws.line_load),
        ..site(job)
    };
    record(job, Interface::Box(interface), box_shape(boxed), proven)
}

/// The record of the tilt plate.
pub(in crate::design) fn tilt_plate(
    job: &Job,
    yoke: &Yoke,
    plate: &tilt_plate::TiltPlate,
) -> PrintRecord {
    let interface = TiltPlateFit {
        lamp_holes_mm: Some(points(&plate.holes)),
        lamp_hole_mm: mm(plate.hole),
        span_mm: mm(2.0 * plate.lug_x[1]),
        pivot_hole_mm: mm(yoke.pivot_hole),
        lock_radius_mm: mm(yoke.lock.as_ref().map_or(Length::ZERO, |l| l.radius)),
    };
    let shape = named([
        ("width_mm", 2.0 * plate.half[0]),
        ("height_mm", 2.0 * plate.half[1]),
        ("thickness_mm", plate.thickness),
        ("corner_mm", plate.corner),
        ("lug_mm", plate.lug_x[1] - plate.lug_x[0]),
        ("lug_foot_mm", plate.lug_foot),
        ("lug_radius_mm", plate.lug_radius),
        ("pivot_mm", plate.pivot),
    ]);
    record(job, Interface::TiltPlate(interface), shape, lamp(job, yoke))
}

fn record(
    job: &Job,
    interface: Interface,
    shape: BTreeMap<String, f64>,
    proven: Proof,
) -> PrintRecord {
    let printer = &job.printer;
    let material = Material {
        polymer: Some(job.polymer.kind.to_string()),
        dark: Some(job.polymer.dark),
        wall_mm: mm(printer.line * f64::from(printer.wall_lines)),
        solid_layers_mm: mm(printer.layer * f64::from(printer.solid_layers)),
        infill: Some(printer.infill),
    };
    PrintRecord {
        design: DESIGN,
        interface: Some(interface),
        material,
        shape,
        proven: Some(proven),
    }
}

/// What the weather asks of every part.
fn site(job: &Job) -> Proof {
    Proof {
        gust_m_per_s: Some(job.site.gust.get()),
        warm_c: Some(job.site.warm.get()),
        safety: Some(job.site.safety),
        ..Proof::default()
    }
}

/// What the lamp asks of the parts that carry it.
fn lamp(job: &Job, yoke: &Yoke) -> Proof {
    let lamp = &job.fixture;
    let inward = yoke.swing.iter().map(|b| b.inward(&job.tilt));
    let [_, _, arm] = middle(&yoke.swing, &job.tilt);
    Proof {
        lamp_kg: Some(lamp.mass.get()),
        lamp_width_mm: mm(lamp.width),
        lamp_height_mm: mm(lamp.height),
        lamp_depth_mm: mm(lamp.depth),
        swing_mm: mm(inward.fold(Length::ZERO, Length::max)),
        arm_mm: mm(arm),
        tilt_from_deg: deg(job.tilt.min),
        tilt_to_deg: deg(job.tilt.max),
        ..site(job)
    }
}

/// What shapes a saddle beside its face, which is its size.
fn saddle_shape(saddle: &Saddle) -> BTreeMap<String, f64> {
    let passage = saddle.passages.first().map_or(Length::ZERO, |[low, high]| *high - *low);
    named([
        ("height_mm", saddle.height),
        ("recess_mm", saddle.recess),
        ("rim_mm", saddle.rim),
        ("side_mm", saddle.half_width),
        ("passage_inner_mm", saddle.passage_y[0]),
        ("passage_outer_mm", saddle.passage_y[1]),
        ("passage_height_mm", passage),
        ("mouth_radius_mm", saddle.mouth),
        ("front_mm", saddle.front_y),
        ("front_half_width_mm", saddle.front_half_width),
        ("flange_mm", saddle.flange_y.unwrap_or(Length::ZERO)),
    ])
}

fn box_shape(boxed: &Enclosure) -> BTreeMap<String, f64> {
    let [inner_width, inner_height] = boxed.cavity.half.map(|h| 2.0 * h);
    let [rim_width, rim_height] = boxed.flange.rim.half.map(|h| 2.0 * h);
    let mut shape = named([
        ("box_wall_mm", boxed.wall),
        ("box_floor_mm", boxed.floor),
        ("box_depth_mm", boxed.depth),
        ("box_inner_width_mm", inner_width),
        ("box_inner_height_mm", inner_height),
        ("box_inner_corner_radius_mm", boxed.cavity.radius),
        ("rim_width_mm", rim_width),
        ("rim_height_mm", rim_height),
        ("flange_root_mm", boxed.flange.root),
        ("box_flange_face_mm", boxed.flange.face),
        ("gasket_groove_depth_mm", boxed.groove.section.depth),
        ("gasket_groove_width_mm", boxed.groove.section.width),
        ("seal_screw_bore_mm", boxed.screws.bore),
        ("seal_screw_bore_depth_mm", boxed.screws.bore_depth),
        ("lid_thickness_mm", boxed.lid.thickness),
        ("lid_panel_mm", boxed.lid.panel),
        ("lid_hole_mm", boxed.lid.hole),
        ("lid_skirt_mm", boxed.lid.edge.skirt[1]),
        ("lid_ring_mm", boxed.lid.ring),
        ("lid_ring_depth_mm", boxed.lid.ring_depth),
        ("lanyard_eye_mm", boxed.lanyard.diameter),
        ("post_height_mm", boxed.post_height()),
        ("lower_rail_screws_mm", boxed.rail_rows_y[0]),
        ("upper_rail_screws_mm", boxed.rail_rows_y[1]),
        ("rail_boss_height_mm", boxed.rail_boss.height),
    ]);
    let mut at = |what: &str, n: usize, [x, y]: [Length; 2]| {
        shape.insert(format!("{what}_{n}_x_mm"), settled(x.get()));
        shape.insert(format!("{what}_{n}_y_mm"), settled(y.get()));
    };
    for (n, point) in boxed.screws.points.iter().enumerate() {
        at("seal_screw", n, *point);
    }
    for (n, point) in boxed.components().flat_map(|thing| &thing.holes).enumerate() {
        at("post", n, *point);
    }
    if let Some(stand) = &boxed.battery.stand {
        at("stand_low", 0, [stand.low[0], stand.low[1]]);
        at("stand_high", 0, [stand.high[0], stand.high[1]]);
    }
    for (n, hole) in boxed.wall_holes().enumerate() {
        at("wall_hole", n, hole.at);
        at("wall_hole_roof", n, [hole.roof_half, hole.roof]);
    }
    shape
}

fn named<const N: usize>(all: [(&str, Length); N]) -> BTreeMap<String, f64> {
    all.into_iter().map(|(name, value)| (name.to_owned(), settled(value.get()))).collect()
}

fn points(all: &[[Length; 2]]) -> Vec<[f64; 2]> {
    all.iter().map(|p| p.map(|v| settled(v.get()))).collect()
}

#[allow(clippy::unnecessary_wraps, reason = "every term of a record is optional")]
fn mm(length: Length) -> Option<f64> {
    Some(settled(length.get()))
}

#[allow(clippy::unnecessary_wraps, reason = "every term of a record is optional")]
fn deg(angle: Angle) -> Option<f64> {
    Some(settled(angle.deg()))
}
