//! Webbing and foam, as they are sold by the metre and by the sheet.

use super::dice::{Dice, Table, plain};
use super::place::Place;

pub(super) fn write(dice: &mut Dice, place: &Place, job: &mut String) {
    let mut strap = Table::new("[strap]");
    if dice.chance(12) {
        strap.put("count", dice.weighted(&[(30, 1), (20, 2), (50, 3)]));
    }
    // 25 mm is the default and the commonest; labels of wider webbing bear more.
    let width = dice.weighted(&[(55, 25.0), (10, 20.0), (10, 38.0), (20, 50.0), (5, 30.0)]);
    let is_written = width != 25.0 || dice.chance(35);
    if is_written {
        strap.put("width", place.tape.small(width));
    }
    if dice.chance(if is_written { 60 } else { 15 }) {
        let thick =
            if width > 35.0 { dice.between(1.5, 2.5, 0.1) } else { dice.between(1.1, 1.8, 0.1) };
        strap.put("thickness", place.tape.thin(thick));
    }
    if dice.chance(12) {
        strap.put("clearance", plain(dice.between(0.4, 0.8, 0.1)));
    }
    if dice.chance(35) {
        let webbing = [(45, "polyester"), (40, "polypropylene"), (15, "polyamide")];
        strap.put_text("material", dice.weighted(&webbing));
    }
    if dice.chance(50) {
        // Cam buckles on narrow webbing, ratchets on wide (labels give daN or kg; one daN is 10 N).
        let kn = if width > 35.0 { [1.5, 2.0, 2.5, 5.0] } else { [0.75, 1.0, 1.25, 2.5] };
        strap.put_text("working-load", format!("{} kN", dice.pick(&kn)));
    }
    if dice.chance(30) {
        // A luggage scale in the strap: a light pull of one hand to a hard one of two.
        strap.put_text("tension", format!("{} N", dice.between(80.0, 250.0, 10.0)));
    }
    if dice.chance(15) {
        strap.put("buckle", place.tape.small(dice.between(60.0, 200.0, 20.0)));
        strap.put("tail", place.tape.small(dice.between(150.0, 300.0, 50.0)));
    }
    strap.finish(job);
    let mut pad = Table::new("[pad]");
    if dice.chance(50) {
        // Sheets of closed-cell foam on sale.
        let sheets = [(10, 6.0), (15, 8.0), (30, 10.0), (15, 12.0), (15, 15.0), (15, 20.0)];
        pad.put("thickness", place.tape.small(dice.weighted(&sheets)));
    }
    if dice.chance(12) {
        // Who presses a piece of the sheet on kitchen scales: classes 1 and 2 of ASTM D1056 and softer
        // (from memory).
        pad.put_text("stress", format!("{} kPa", dice.between(20.0, 70.0, 5.0)));
    }
    if dice.chance(8) {
        // Pulled over wet bark with a luggage scale.
        pad.put("friction", plain(dice.between(0.35, 0.6, 0.05)));
    }
    if dice.chance(8) {
        // An owner who asks for less on young bark, or a council that allows more.
        pad.put_text("bark-limit", format!("{} kPa", dice.pick(&[60, 80, 120, 150])));
    }
    if dice.chance(8) {
        pad.put("half-width", place.tape.small(dice.between(30.0, 60.0, 5.0)));
    }
    pad.finish(job);
}
