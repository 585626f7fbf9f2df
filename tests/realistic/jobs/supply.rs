//! Pack, box, controller, cable and programme.

use super::dice::{Dice, Table, plain};
use super::place::Place;
use super::trees::Tree;

/// A pack as it is sold; lengths in mm, the longest first.
pub(super) struct Pack {
    pub(super) volts: f64,
    name: &'static str,
    chemistry: &'static str,
    amp_hours: f64,
    size: [f64; 3],
    kg: f64,
    /// The plate that it slides on, or the tray that holds it: thickness, hole pattern, mm.
    plate: f64,
    holes: [f64; 2],
}

#[rustfmt::skip]
const PACKS: [(u32, Pack); 15] = [
    // Tool packs: five or ten lithium-ion cells in series, two or three abreast, on a slide.
    (14, pack("Tool pack 18 V", "li-ion", 18.0, 4.0, [118.0, 76.0, 62.0], 0.65, 5.0, [50.0, 32.0])),
    (16, pack("Tool pack 18 V", "li-ion", 18.0, 5.0, [120.0, 78.0, 66.0], 0.70, 5.0, [50.0, 32.0])),
    (8, pack("Tool pack 18 V", "li-ion", 18.0, 8.0, [138.0, 80.0, 84.0], 1.05, 6.0, [56.0, 36.0])),
    (8, pack("Tool pack 36 V", "li-ion", 36.0, 4.0, [130.0, 82.0, 74.0], 1.25, 6.0, [54.0, 40.0])),
    (6, pack("Tool pack 36 V", "li-ion", 36.0, 7.5, [140.0, 104.0, 78.0], 1.90, 6.0, [54.0, 42.0])),
    // Bicycle packs: bricks of 40 cells in sleeve, and one in a long case.
    (6, pack("Brick 36 V", "li-ion", 36.0, 10.0, [190.0, 80.0, 72.0], 2.10, 3.0, [110.0, 50.0])),
    (4, pack("Brick 36 V", "li-ion", 36.0, 13.0, [195.0, 92.0, 76.0], 2.70, 3.0, [110.0, 56.0])),
    (3, pack("Frame pack 36 V", "li-ion", 36.0, 11.0, [365.0, 90.0, 88.0], 2.90, 5.0, [180.0, 40.0])),
    // Lithium iron phosphate in the cases of small lead batteries.
    (10, pack("Iron pack 12.8 V", "lifepo4", 12.8, 6.0, [151.0, 65.0, 95.0], 0.80, 4.0, [110.0, 45.0])),
    (10, pack("Iron pack 12.8 V", "lifepo4", 12.8, 12.0, [151.0, 98.0, 95.0], 1.50, 4.0, [110.0, 60.0])),
    (5, pack("Iron pack 12.8 V", "lifepo4", 12.8, 20.0, [181.0, 77.0, 167.0], 2.50, 4.0, [130.0, 50.0])),
    (3, pack("Iron pack 25.6 V", "lifepo4", 25.6, 10.0, [181.0, 77.0, 167.0], 2.60, 4.0, [130.0, 50.0])),
    // Sealed lead: alarm and mobility batteries.
    (6, pack("Lead battery 12 V", "lead-acid", 12.0, 7.2, [151.0, 65.0, 95.0], 2.40, 4.0, [110.0, 45.0])),
    (4, pack("Lead battery 12 V", "lead-acid", 12.0, 12.0, [151.0, 98.0, 95.0], 3.80, 4.0, [110.0, 60.0])),
    // Ten cells from a workshop.
    (3, pack("Cell pack 12 V", "nimh", 12.0, 5.0, [166.0, 68.0, 34.0], 0.95, 3.0, [120.0, 44.0])),
];

#[allow(clippy::too_many_arguments, reason = "one row of the table above")]
const fn pack(
    name: &'static str,
    chemistry: &'static str,
    volts: f64,
    amp_hours: f64,
    size: [f64; 3],
    kg: f64,
    plate: f64,
    holes: [f64; 2],
) -> Pack {
    Pack { volts, name, chemistry, amp_hours, size, kg, plate, holes }
}

pub(super) struct Supply {
    pub(super) pack: &'static Pack,
    boxes: u32,
}

/// The pack and the trunks that carry a box; `None` when the lamps run from a supply indoors.
pub(super) fn draw(
    dice: &mut Dice,
    place: &Place,
    trees: &mut [Tree],
    lamp_watts: f64,
) -> Option<Supply> {
    // A lamp or two by the house need no battery.
    if dice.chance(if trees.len() <= 2 { 45 } else { 20 }) {
        return None;
    }
    // Watts times hours over watt-hours: most do this sum, and take a larger pack or more boxes, at most
    // one for every second tree. Some count on what the label says but a fifth, some on half of it.
    let used = dice.weighted(&[(25, 0.8), (40, 0.65), (35, 0.5)]);
    let most = (trees.len() as u32).div_ceil(2);
    let needed = |pack: &Pack| {
        (lamp_watts * place.hours_at_full() / (pack.volts * pack.amp_hours * used)).ceil() as u32
    };
    let packs = PACKS.each_ref().map(|(weight, pack)| (*weight, pack));
    let careful = dice.chance(80);
    let mut pack = dice.weighted(&packs);
    /// Packs that one looks at before one gives up.
    const LOOKS: u32 = 4;
    for _ in 0..LOOKS {
        if careful && needed(pack) > most {
            let other = dice.weighted(&packs);
            if needed(other) < needed(pack) {
                pack = other;
            }
        }
    }
    let boxes = if careful { needed(pack).clamp(1, most) } else { 1 };
    // Each in the middle of its stretch.
    for number in 0..boxes {
        let at = (2 * number + 1) as usize * trees.len() / (2 * boxes) as usize;
        trees[at].carries_box = true;
    }
    Some(Supply { pack, boxes })
}

impl Supply {
    pub(super) fn write(
        &self,
        dice: &mut Dice,
        place: &Place,
        trees: &[Tree],
        lamps: u32,
        job: &mut String,
    ) {
        let small = |mm| place.tape.small(mm);
        let pack = self.pack;
        let mut battery = Table::new("[battery]");
        battery.put_text("name", format!("{} {} Ah", pack.name, pack.amp_hours));
        for (key, side) in ["length", "width", "height"].into_iter().zip(pack.size) {
            battery.put(key, small(side));
        }
        battery.put_text("mass", format!("{} kg", pack.kg));
        battery.put_text("chemistry", pack.chemistry);
        battery.put_text("voltage", format!("{} V", pack.volts));
        battery.put_text("capacity", format!("{} Ah", pack.amp_hours));
        battery.finish(job);
        let mut receiver = Table::new("[battery.receiver]");
        receiver.put("thickness", small(pack.plate));
        receiver.put_text("thread", dice.weighted(&[(20, "M3"), (65, "M4"), (15, "M5")]));
        let [w, h] = pack.holes.map(small);
        receiver.put("holes", format!("{{ pattern = \"rectangle\", width = {w}, height = {h} }}"));
        receiver.finish(job);
        if dice.chance(60) {
            write_controller(dice, place, job);
        }
        write_box(dice, place, job);
        self.write_feed(dice, place, trees, lamps, job);
        write_show(place, job);
    }

    fn write_feed(
        &self,
        dice: &mut Dice,
        place: &Place,
        trees: &[Tree],
        lamps: u32,
        job: &mut String,
    ) {
        let long = |mm| place.tape.long(mm);
        let mut feed = Table::new("[feed]");
        // Between neighbouring trees of a garden, a path, an avenue.
        let apart = dice.between(4000.0, 10_000.0, 500.0);
        let segments = lamps.saturating_sub(self.boxes);
        let written = dice.chance(75);
        if written && segments > 1 && dice.chance(35) {
            let each: Vec<String> =
                (0..segments).map(|_| long(apart * dice.between(0.7, 1.3, 0.1))).collect();
            feed.put("segments", format!("[{}]", each.join(", ")));
        } else if written {
            feed.put("segments", long(apart));
        }
        if dice.chance(50) {
            feed.put("lead", long(dice.between(500.0, 5000.0, 500.0)));
        }
        if dice.chance(18) && trees.len() > 2 {
            // A return along the same way.
            let lamps_a_box = f64::from(lamps) / f64::from(self.boxes);
            feed.put_text("layout", "loop");
            feed.put("back", long((apart * lamps_a_box / 500.0).round() * 500.0));
        }
        if dice.chance(45) {
            // What is on the drum: rubber cable of two cores.
            let drum = [(15, "0.75 mm2"), (20, "1 mm2"), (35, "1.5 mm2"), (30, "2.5 mm2")];
            feed.put_text("conductor", dice.weighted(&drum));
        }
        feed.finish(job);
    }
}

fn write_controller(dice: &mut Dice, place: &Place, job: &mut String) {
    let small = |mm| place.tape.small(mm);
    let mut table = Table::new("[controller]");
    let (length, width) = (dice.between(50.0, 110.0, 2.0), dice.between(35.0, 70.0, 1.0));
    table.put_text("name", "Dimmer");
    table.put("length", small(length));
    table.put("width", small(width));
    table.put("height", small(dice.between(14.0, 34.0, 1.0)));
    table.put_text("mass", format!("{} g", dice.between(30.0, 140.0, 5.0)));
    table.put_text("thread", "M3");
    // Holes 3 to 5 mm from the edges.
    let [w, h] = [length, width].map(|side| small(side - dice.between(6.0, 10.0, 1.0)));
    table.put("holes", format!("{{ pattern = \"rectangle\", width = {w}, height = {h} }}"));
    if dice.chance(15) {
        table.put("efficiency", plain(dice.between(0.85, 0.96, 0.01)));
        table.put_text("standby", format!("{} W", plain(dice.between(0.1, 0.8, 0.1))));
    }
    table.finish(job);
}

/// Glands, vent, cord and screws of the box.
fn write_box(dice: &mut Dice, place: &Place, job: &mut String) {
    let mut entry = Table::new("[[gland]]");
    entry.put_text("size", dice.weighted(&[(10, "M12"), (60, "M16"), (30, "M20")]));
    let count = dice.weighted(&[(45, 1), (50, 2), (5, 3)]);
    if count > 1 {
        entry.put("count", count);
    }
    entry.finish(job);
    if dice.chance(25) {
        let mut vent = Table::new("[vent]");
        vent.put_text("size", "M12");
        vent.finish(job);
    }
    let mut seal = Table::new("[seal]");
    if dice.chance(20) {
        // Round cord by the metre.
        seal.put("cord", place.tape.thin(dice.pick(&[2.0, 2.5, 3.0, 4.0, 5.0])));
    }
    seal.finish(job);
    let mut lid = Table::new("[lid]");
    if dice.chance(10) {
        lid.put_text("screw", dice.pick(&["M3", "M4", "M5"]));
    }
    lid.finish(job);
}

fn write_show(place: &Place, job: &mut String) {
    let mut show = Table::new("[programme]");
    if let Some(nights) = place.nights {
        show.put("nights", nights);
    }
    show.finish(job);
    for (level, hours) in place.show.iter().flatten() {
        let mut part = Table::new("[[programme.part]]");
        part.put("level", plain(*level));
        part.put_text("duration", format!("{} h", plain(*hours)));
        part.finish(job);
    }
}
