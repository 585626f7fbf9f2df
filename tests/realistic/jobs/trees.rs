//! The trunks: 1 to 25 of them, 0.4 to 3 m of girth.

use super::dice::{Dice, Tape};
use super::place::{Kind, Place};

pub(super) struct Tree {
    pub(super) lamps: u32,
    pub(super) carries_box: bool,
    girth: f64,
    /// Further keys, as they are written.
    more: Vec<String>,
}

/// Thinner trees are not lit with straps (park rules ask for 300 mm of diameter, gardens for less),
/// thicker ones are the rare veterans that owners leave alone.
const GIRTHS: [f64; 2] = [400.0, 3000.0];

pub(super) fn draw(dice: &mut Dice, place: &Place) -> Vec<Tree> {
    // Trees of one site are of like age: a typical girth, and how far the others are from it.
    let (count, typical, spread) = match place.kind {
        Kind::Garden => (dice.count(1, 5), dice.between(450.0, 1200.0, 10.0), 0.35),
        Kind::Park => (dice.count(3, 12), dice.between(700.0, 2000.0, 10.0), 0.35),
        Kind::Street => (dice.count(6, 25), dice.between(600.0, 1600.0, 10.0), 0.2),
        Kind::Specimen => (dice.count(1, 2), dice.between(1600.0, 2800.0, 10.0), 0.1),
    };
    let with_crowns = dice.chance(30);
    (0..count)
        .map(|_| {
            let off = dice.between(-spread, spread, 0.01);
            // A tape read to the centimetre by most, to the millimetre by some.
            let division = if place.tape == Tape::Millimetres { 5.0 } else { 10.0 };
            let girth = (typical * (1.0 + off) / division).round() * division;
            let girth = girth.clamp(GIRTHS[0], GIRTHS[1]);
            let lamps = match place.kind {
                Kind::Street => 1,
                _ if girth > 1800.0 => dice.weighted(&[(55, 1), (35, 2), (10, 3)]),
                _ if girth > 1000.0 => dice.weighted(&[(88, 1), (12, 2)]),
                _ => 1,
            };
            let more = more(dice, place, girth, with_crowns);
            Tree { lamps, carries_box: false, girth, more }
        })
        .collect()
}

/// What some measure beside the girth.
fn more(dice: &mut Dice, place: &Place, girth: f64, with_crowns: bool) -> Vec<String> {
    let long = |mm| place.tape.long(mm);
    let mut more = Vec::new();
    let height = place.height.unwrap_or(1300.0);
    if let Some(height) = place.height {
        more.push(format!("height = {}", long(height)));
    }
    if dice.chance(6) {
        // Stems lose a few centimetres of girth a metre above breast height.
        let upper = girth * dice.between(0.93, 0.98, 0.01);
        more.push(format!("upper-girth = {}", long((upper / 10.0).round() * 10.0)));
        more.push(format!("upper-height = {}", long(height + 800.0)));
    }
    if dice.chance(5) {
        // Oval by a few in a hundred, as most stems are.
        let (mean, oval) = (girth / std::f64::consts::PI, dice.between(0.01, 0.05, 0.01));
        let (near, across) = (mean * (1.0 + oval), mean * (1.0 - oval));
        more.push(format!("diameters = [{near:.0}, {across:.0}]"));
    }
    if dice.chance(if place.kind == Kind::Park { 12 } else { 5 }) {
        more.push(format!("lean = \"{} deg\"", dice.pick(&[-5, -4, -3, 3, 4, 5, 6, 8, 10])));
    }
    if with_crowns {
        // Branches that one walks under; a crown four to seven girths wide.
        let spread = (girth * dice.between(4.0, 7.0, 0.1) / 500.0).round() * 500.0;
        more.push(format!("crown-base = {}", long(dice.between(1900.0, 3600.0, 100.0))));
        more.push(format!("crown-spread = {}", long(spread.max(2500.0))));
    }
    more
}

pub(super) fn write(trees: &[Tree], place: &Place, job: &mut String) {
    for (number, tree) in (1..).zip(trees) {
        let girth = place.tape.long(tree.girth);
        job.push_str(&format!("\n[[trunk]]\nname = \"Tree {number}\"\ngirth = {girth}\n"));
        for line in &tree.more {
            job.push_str(&format!("{line}\n"));
        }
        if tree.lamps != 1 {
            job.push_str(&format!("fixtures = {}\n", tree.lamps));
        }
        if tree.carries_box {
            job.push_str("box = true\n");
        }
    }
}
