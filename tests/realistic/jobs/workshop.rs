//! The printer and the plastic.

use super::dice::{Dice, Table, plain};

/// Printable room of machines on sale, 180 to 350 mm.
const BEDS: [(u32, [u32; 3]); 8] = [
    (12, [180, 180, 180]),
    (12, [250, 210, 210]),
    (20, [220, 220, 250]),
    (14, [235, 235, 250]),
    (20, [256, 256, 256]),
    (12, [300, 300, 300]),
    (6, [300, 300, 400]),
    (4, [350, 350, 350]),
];

pub(super) fn write(dice: &mut Dice, job: &mut String) {
    let mut printer = Table::new("[printer]");
    if dice.chance(65) {
        printer.put("bed", format!("{:?}", dice.weighted(&BEDS)));
    }
    if dice.chance(25) {
        // Nozzles of 0.4 and 0.6 mm; lines a little wider, layers about half.
        let (line, layer) = dice.weighted(&[
            (25, (0.42, 0.2)),
            (25, (0.45, 0.24)),
            (20, (0.5, 0.2)),
            (15, (0.6, 0.3)),
            (15, (0.65, 0.3)),
        ]);
        printer.put("line", line);
        printer.put("layer", layer);
    }
    if dice.chance(15) {
        printer.put("wall-lines", dice.pick(&[3, 4, 5, 6]));
    }
    if dice.chance(15) {
        printer.put("infill", dice.pick(&[0.15, 0.2, 0.3, 0.4, 0.5]));
    }
    if dice.chance(15) {
        // A plain hot end to a quick one.
        printer.put("flow", dice.pick(&[6, 10, 12, 15, 20]));
    }
    printer.finish(job);
    let mut polymer = Table::new("[polymer]");
    if dice.chance(50) {
        let spools = [(30, "petg"), (45, "asa"), (15, "pla"), (7, "abs"), (3, "pc")];
        polymer.put_text("kind", dice.weighted(&spools));
    }
    if dice.chance(15) {
        polymer.put("price", plain(dice.between(18.0, 40.0, 1.0)));
    }
    if dice.chance(15) {
        polymer.put("dark", true);
    }
    polymer.finish(job);
}
