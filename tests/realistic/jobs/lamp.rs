//! The lamp: 6 to 30 W, a flat flood or a round spot, with body, mass and mount that go together.

use super::dice::{Dice, Table, Tape, plain};
use super::place::Place;

/// Marks on lamps of this kind; the small ones are the commonest.
pub(super) fn watts(dice: &mut Dice) -> f64 {
    dice.weighted(&[
        (8, 6.0),
        (8, 8.0),
        (34, 10.0),
        (12, 12.0),
        (8, 15.0),
        (18, 20.0),
        (4, 24.0),
        (8, 30.0),
    ])
}

struct Body {
    width: f64,
    height: f64,
    depth: f64,
    /// Of the whole body, kg/dm3: a die-cast housing with its driver and glass, or a longer, emptier
    /// turned one.
    density: f64,
    round: bool,
}

impl Body {
    fn draw(dice: &mut Dice, watts: f64) -> Self {
        // Sizes of three classes: a housing grows with the heat that it must give off.
        let class = if watts <= 10.0 { 0 } else { usize::from(watts > 20.0) + 1 };
        if dice.chance(72) {
            let [w, h, d] = [
                [[90.0, 125.0], [68.0, 100.0], [28.0, 54.0]],
                [[115.0, 165.0], [90.0, 136.0], [32.0, 60.0]],
                [[150.0, 220.0], [120.0, 176.0], [38.0, 66.0]],
            ][class];
            let mut side = |[low, high]: [f64; 2]| dice.between(low, high, 1.0);
            let (width, height, depth) = (side(w), side(h), side(d));
            Self { width, height, depth, density: dice.between(0.8, 1.5, 0.05), round: false }
        } else {
            let [across, along] = [
                [[68.0, 95.0], [80.0, 130.0]],
                [[85.0, 112.0], [100.0, 150.0]],
                [[100.0, 130.0], [120.0, 170.0]],
            ][class];
            let across = dice.between(across[0], across[1], 1.0);
            let depth = dice.between(along[0], along[1], 1.0);
            let density = dice.between(0.5, 1.0, 0.05);
            Self { width: across, height: across, depth, density, round: true }
        }
    }
}

/// Lowest and highest voltage that lamps of these battery systems are sold for.
fn voltages(dice: &mut Dice, pack: f64) -> [u32; 2] {
    match pack {
        ..16.0 => dice.pick(&[[10, 15], [10, 16], [10, 30], [9, 16]]),
        16.0..22.0 => dice.pick(&[[10, 30], [12, 24], [9, 36]]),
        22.0..32.0 => dice.pick(&[[18, 30], [20, 32], [10, 30]]),
        _ => dice.pick(&[[20, 48], [18, 60], [24, 48]]),
    }
}

/// `pack` is the nominal voltage of the battery, when there is one.
pub(super) fn write(
    dice: &mut Dice,
    place: &Place,
    watts: f64,
    pack: Option<f64>,
    job: &mut String,
) {
    let body = Body::draw(dice, watts);
    let small = |mm| place.tape.small(mm);
    let mut table = Table::new("[fixture]");
    table.put_text("name", format!("{} {watts} W", if body.round { "Spot" } else { "Flood" }));
    table.put("width", small(body.width));
    table.put("height", small(body.height));
    table.put("depth", small(body.depth));
    let kg = (body.width * body.height * body.depth * 1e-6 * body.density).max(0.2);
    match place.tape {
        Tape::Inches => table.put_text("mass", format!("{:.0} oz", kg / 0.02835)),
        _ => table.put_text("mass", format!("{:.0} g", (kg * 100.0).round() * 10.0)),
    }
    table.put_text("power", format!("{watts} W"));
    let side_bosses = dice.chance(if body.round { 60 } else { 82 });
    // A bracket grips behind the middle, or near it.
    let back = dice.chance(45).then(|| (body.depth * dice.between(0.3, 0.6, 0.05)).round());
    let bottom = dice.chance(25).then(|| (body.height * dice.between(0.4, 0.6, 0.02)).round());
    if let (Some(back), true) = (back, side_bosses) {
        table.put("pivot-from-back", small(back));
    }
    if let Some(bottom) = bottom {
        table.put("pivot-from-bottom", small(bottom));
    }
    if dice.chance(40) {
        // A gland and the bend of a rubber cable behind it.
        table.put("cable-room", small(dice.between(8.0, 24.0, 2.0)));
    }
    if dice.chance(60) {
        // LED lamps with lens and driver, 75 to 115 lm/W.
        table.put("lumens", plain((watts * dice.between(75.0, 115.0, 5.0) / 10.0).round() * 10.0));
    }
    if dice.chance(55) {
        let beam = if body.round { [15, 24, 25, 36, 38, 45] } else { [60, 60, 90, 100, 110, 120] };
        table.put("beam-angle", dice.pick(&beam));
    }
    if dice.chance(10) {
        table.put_text("load", "constant-current");
    }
    if let (Some(pack), true) = (pack, dice.chance(55)) {
        let [least, most] = voltages(dice, pack);
        table.put_text("min-voltage", format!("{least} V"));
        table.put_text("max-voltage", format!("{most} V"));
    }
    table.finish(job);
    let mut mount = Table::new("[fixture.mount]");
    if side_bosses {
        let pivot = [back.unwrap_or(body.depth / 2.0), bottom.unwrap_or(body.height / 2.0)];
        write_bosses(dice, place, &body, pivot, &mut mount);
    } else {
        write_base_plate(dice, place, &body, &mut mount);
    }
    mount.finish(job);
    write_tilt(dice, job);
}

/// Where the bracket was screwed on. `pivot` from back and from bottom, mm.
fn write_bosses(dice: &mut Dice, place: &Place, body: &Body, pivot: [f64; 2], mount: &mut Table) {
    mount.put_text("kind", "side-bosses");
    // Bosses flush with the body, or standing out by up to 4 mm a side.
    mount.put("span", place.tape.small(body.width + dice.between(0.0, 8.0, 2.0)));
    let thread = if body.width < 130.0 {
        dice.weighted(&[(15, "M4"), (50, "M5"), (35, "M6")])
    } else {
        dice.weighted(&[(15, "M5"), (55, "M6"), (30, "M8")])
    };
    mount.put_text("thread", thread);
    // A second boss on the side, on the body with a rim of 6 mm round its middle.
    let [behind, above] = [pivot[0] - 6.0, body.height - pivot[1] - 6.0];
    let (angle, room) = dice.pick(&[(90, above), (135, behind.min(above) * 1.414), (180, behind)]);
    if room >= 14.0 && dice.chance(40) {
        mount.put("lock-radius", place.tape.small(dice.between(14.0, room.min(36.0), 1.0).floor()));
        mount.put("lock-angle", angle);
    }
}

/// Threaded holes in the back, within the body.
fn write_base_plate(dice: &mut Dice, place: &Place, body: &Body, mount: &mut Table) {
    mount.put_text("kind", "base-plate");
    let small = |mm| place.tape.small(mm);
    let thread = if body.width < 130.0 { ["M4", "M4", "M5"] } else { ["M4", "M5", "M6"] };
    mount.put_text("thread", dice.pick(&thread));
    let mut share = |of: f64| (of * dice.between(0.35, 0.65, 0.05) / 2.0).round() * 2.0;
    let (across, up) = (share(body.width), share(body.height));
    let holes = if body.round {
        let count = dice.weighted(&[(20, 2), (45, 3), (35, 4)]);
        format!("{{ pattern = \"circle\", diameter = {}, count = {count} }}", small(across))
    } else {
        format!("{{ pattern = \"rectangle\", width = {}, height = {} }}", small(across), small(up))
    };
    mount.put("holes", holes);
}

/// Many leave it; who writes it knows the crown from the place.
fn write_tilt(dice: &mut Dice, job: &mut String) {
    if dice.chance(45) {
        return;
    }
    let mut tilt = Table::new("[tilt]");
    let min = dice.weighted(&[(10, -10), (30, 0), (30, 10), (15, 20), (15, 30)]);
    tilt.put("min", min);
    tilt.put("max", dice.weighted(&[(10, 45), (25, 60), (15, 70), (20, 75), (15, 80), (15, 90)]));
    tilt.finish(job);
}
