//! Random jobs that somebody could have, as text of a job file, from (seed, index).
//!
//! Where the full-range generator asks for anything that the job file allows, this one asks for what
//! people measure, own and buy: trees of one site of like age, lamps of 6 to 30 W whose body, mass and
//! mount go together, packs up to 500 Wh, webbing and foam as they are sold, printers as they stand in
//! workshops. Lengths are on the divisions of a tape or of calipers. What a person would leave unwritten
//! is left unwritten: of the keys that have a default most are. The person measures properly and knows
//! rough sums (watts times hours over watt-hours), and nothing of what the program checks: no value is
//! drawn so that a rule agrees, none so that it objects.
//!
//! Ranges are common practice without a source where no source is named. The module uses no item of
//! the library, so that tests inside and outside of it can include it by path.

mod dice;
mod hold;
mod lamp;
mod place;
mod supply;
mod trees;
mod workshop;

use dice::Dice;

/// The text of one job file.
pub(crate) fn job(seed: u64, index: usize) -> String {
    let dice = &mut Dice::new(seed, index);
    let place = place::Place::draw(dice);
    let mut trees = trees::draw(dice, &place);
    let lamps: u32 = trees.iter().map(|t| t.lamps).sum();
    let watts = lamp::watts(dice);
    let supply = supply::draw(dice, &place, &mut trees, f64::from(lamps) * watts);
    let mut job = String::new();
    place.write_job(dice, index, &mut job);
    trees::write(&trees, &place, &mut job);
    lamp::write(dice, &place, watts, supply.as_ref().map(|s| s.pack.volts), &mut job);
    hold::write(dice, &place, &mut job);
    if let Some(supply) = &supply {
        supply.write(dice, &place, &trees, lamps, &mut job);
    }
    workshop::write(dice, &mut job);
    place.write_site(dice, &mut job);
    job
}
