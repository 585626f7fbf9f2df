//! Runtime: how long a pack lights the programme, and how many charged packs a season takes.
//!
//! Usable charge at a current I is C x usable x ageing x f(cold) x p(I), with f from
//! `standards::battery` and p = (C/(I H))^(k-1) by Peukert's law in reference-hour form, never above 1:
//! no credit is taken for slow discharge. The share of a pack that one part of the programme takes is
//! I h divided by that charge; shares add up over the parts. I = P/V with the nominal voltage as the
//! mean over the discharge.
//!
//! Two hours are told: those of a new pack, warm and drained to its own cut-off, which is what a test on
//! the bench shows; and those planned, with age, cold and what stays in the pack.
//!
//! Between two shows the controller's standby and, where it leaves their supply on, the lamps' own idle
//! draw go on round the clock: a charge lasts n shows when n show + (n - 1) dark <= 1.
//!
//! Charging by constant current, then constant voltage: t = f C/I + (1 - f) C/(I - I_end) ln(I/I_end),
//! exact for a current that falls off exponentially; f = 0.8 of the charge comes at constant current
//! (teaching texts: 70 to 80 %), I_end = C/20.
//!
//! Assumptions: lamps dim by pulse width, so that power is level x rated power (cable losses with
//! it, which overstates them a little at low level); the controller passes on its efficiency of what
//! the lamps take; the pack starts each charge full, just before a show.

use serde::Serialize;

use crate::engineering::account::{Line, Side};
use crate::engineering::feed;
use crate::engineering::guard::{OutOfRange, not_negative, positive};
use crate::standards::Chemistry;
use crate::standards::battery::{CellTemperature, Peukert};
use crate::units::{Charge, Current, Energy, Hours, Power, Temperature, Voltage, trimmed};

/// A pack as it hangs on the tree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pack {
    /// Chemistry, for the cold.
    pub chemistry: Chemistry,
    /// Nominal voltage.
    pub voltage: Voltage,
    /// Rated charge.
    pub capacity: Charge,
    /// Share of the charge that the user takes out, above 0, at most 1.
    pub usable: f64,
    /// Share of the charge that age has left, above 0, at most 1.
    pub ageing: f64,
    /// Peukert figures; [`Chemistry::peukert`] when the maker gives none.
    pub peukert: Peukert,
}

/// One stretch of the evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stretch {
    /// Share of full power, 0 to 1.
    pub level: f64,
    /// How long it lasts.
    pub duration: Hours,
}

/// What the programme draws.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Programme {
    /// All lamps at full level, with the losses of their cables.
    pub lamps: Power,
    /// The controller's own draw, by day and night.
    pub standby: Power,
    /// Drawn by all lamps together while dark; 0 where the controller cuts their supply.
    pub idle: Power,
    /// Share of the power that the controller passes on, above 0, at most 1.
    pub efficiency: f64,
    /// Levels (0..=1) and their hours.
    pub parts: Vec<Stretch>,
    /// Evenings with a show in the whole season, at least 1.
    pub season: u32,
    /// Evenings with a show in a week, 1..=7.
    pub week: u32,
    /// Shows between two swaps, when it is asked for.
    pub swap: Option<u32>,
}

/// What a pack gives to a programme.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Runtime {
    /// Hours at full level from a full pack, as planned.
    pub full_level: Hours,
    /// Hours at full level from a new pack at 20 C, drained to its own cut-off.
    pub bench: Hours,
    /// Charge that can be taken out at full level, after cold, age and rate.
    pub charge: Charge,
    /// Share of the rated charge left by the cold.
    pub cold_factor: f64,
    /// Hours of one evening.
    pub evening: Hours,
    /// Energy that one evening takes from the battery.
    pub energy: Energy,
    /// Share of a pack that one evening takes; above 1 it does not last.
    pub share: f64,
    /// Hours into the evening at which a full pack is empty, when it does not last.
    pub empty_after: Option<Hours>,
    /// Share of a pack that is drawn between two shows.
    pub dark: f64,
    /// Evenings that one charge lasts; 0 when it does not last one.
    pub nights_per_charge: u32,
    /// Evenings between two swaps: as asked for, but no more than one charge lasts; at least 1.
    pub swap_every: u32,
    /// Full packs for one evening; 1 when one lasts.
    pub packs_per_night: u32,
    /// Full packs fitted over the season, with the first; each is one charging.
    pub charges: u32,
}

/// Share of the charge that comes at constant current (teaching texts: 70 to 80 %).
const AT_CONSTANT_CURRENT: f64 = 0.8;
/// The charger ends at this share of the capacity an hour. Common practice, no source.
const ENDS_AT: f64 = 0.05;

/// Hours to charge an empty pack with this current; none for a current no larger than that at which
/// charging ends.
#[must_use]
pub(crate) fn charging(capacity: Charge, current: Current) -> Option<Hours> {
    let (c, i) = (capacity.get(), current.get());
    let end = c * ENDS_AT;
    let hours = AT_CONSTANT_CURRENT * c / i
        + (1.0 - AT_CONSTANT_CURRENT) * c / (i - end) * libm::log(i / end);
    (i > end && hours.is_finite()).then(|| Hours::hours(hours))
}

/// Why there is no runtime.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum RuntimeError {
    /// A number outside its range.
    #[error(transparent)]
    Range(#[from] OutOfRange),
    /// Too cold or too warm for the cells.
    #[error(transparent)]
    Cells(#[from] CellTemperature),
    /// No part of the programme lasts.
    #[error("the programme has no hours")]
    NoProgramme,
    /// Neither lamps nor controller draw anything.
    #[error("the programme draws no power")]
    NoDraw,
}

/// A week.
const HOURS_A_WEEK: f64 = 168.0;

/// Slack for shares that meet a whole pack exactly.
const WHOLE: f64 = 1e-9;

impl Pack {
    fn check(&self) -> Result<(), RuntimeError> {
        positive("the pack's voltage", self.voltage.get())?;
        positive("the pack's capacity", self.capacity.get())?;
        share("the usable share", self.usable)?;
        share("the share that age has left", self.ageing)?;
        positive("Peukert's rated hours", self.peukert.rated.get())?;
        not_negative("Peukert's exponent less 1", self.peukert.exponent - 1.0)?;
        not_negative("1.5 less Peukert's exponent", 1.5 - self.peukert.exponent)?;
        Ok(())
    }

    /// Charge that can be taken out at this current and cold; numbers checked before.
    fn charge(&self, current: f64, cold: f64) -> f64 {
        self.new_charge(current) * self.usable * self.ageing * cold
    }

    /// Charge of the new, warm pack, drained to its cut-off at this current.
    fn new_charge(&self, current: f64) -> f64 {
        let rated = self.capacity.get() / self.peukert.rated.get();
        self.capacity.get() * libm::pow(rated / current, self.peukert.exponent - 1.0).min(1.0)
    }
}

/// Checks a share above 0 and at most 1.
fn share(what: &'static str, value: f64) -> Result<(), OutOfRange> {
    if value > 0.0 && value <= 1.0 {
        Ok(())
    } else {
        Err(OutOfRange { what, value, needs: "above 0, at most 1" })
    }
}

impl Programme {
    /// What the battery gives at a level: level x lamps/efficiency + standby.
    #[must_use]
    pub(crate) fn power(&self, level: f64) -> Power {
        self.lamps * (level / self.efficiency) + self.standby
    }

    fn check(&self) -> Result<(), RuntimeError> {
        not_negative("the power of the lamps", self.lamps.get())?;
        not_negative("the controller's standby", self.standby.get())?;
        not_negative("the lamps' idle draw", self.idle.get())?;
        positive("shows in a week", f64::from(self.week))?;
        share("the controller's efficiency", self.efficiency)?;
        for part in &self.parts {
            not_negative("a level of the programme", part.level)?;
            not_negative("1 less a level of the programme", 1.0 - part.level)?;
            not_negative("a duration of the programme", part.duration.get())?;
        }
        positive("the number of evenings", f64::from(self.season))?;
        Ok(())
    }
}

/// Power that one feed takes at full level, lamps and cables, from its study; the battery nominal.
///
/// Without a working point at nominal voltage there is none.
#[must_use]
pub(crate) fn lamps(study: &feed::Study) -> Option<Power> {
    study.fresh.as_ref().ok().map(|s| s.delivered + s.cable_loss)
}

/// What a pack gives to a programme with cells at this temperature.
///
/// # Errors
/// [`RuntimeError`]: a number out of range, cells outside -20..60 C, a programme without hours or draw.
pub(crate) fn runtime(
    pack: &Pack,
    programme: &Programme,
    cells: Temperature,
) -> Result<Runtime, RuntimeError> {
    pack.check()?;
    programme.check()?;
    let cold = pack.chemistry.capacity_factor(cells)?;
    let evening: f64 = programme.parts.iter().map(|p| p.duration.get()).sum();
    if evening <= 0.0 {
        return Err(RuntimeError::NoProgramme);
    }
    let full = programme.power(1.0).get() / pack.voltage.get();
    if full <= 0.0 {
        return Err(RuntimeError::NoDraw);
    }

    let mut energy = 0.0;
    let mut taken = 0.0;
    let mut clock = 0.0;
    let mut empty_after = None;
    for part in &programme.parts {
        let (power, hours) = (programme.power(part.level).get(), part.duration.get());
        let current = power / pack.voltage.get();
        if current > 0.0 {
            let whole = pack.charge(current, cold) / current;
            if empty_after.is_none() && taken + hours / whole > 1.0 + WHOLE {
                empty_after = Some(Hours::hours(clock + (1.0 - taken).max(0.0) * whole));
            }
            taken += hours / whole;
        }
        energy += power * hours;
        clock += hours;
    }
    let charge = pack.charge(full, cold);
    for (what, value) in [("the share of a pack", taken), ("the energy of an evening", energy)] {
        not_negative(what, value)?;
    }
    let idle = (programme.standby + programme.idle).get() / pack.voltage.get();
    let apart = (HOURS_A_WEEK / f64::from(programme.week) - evening).max(0.0);
    let dark = if idle > 0.0 { apart * idle / pack.charge(idle, cold) } else { 0.0 };
    not_negative("the share of a pack between shows", dark)?;
    let each = taken + dark;
    let lasting = if each > 0.0 { ((1.0 + dark + WHOLE) / each).floor() } else { f64::INFINITY };
    let per_charge = if taken > 1.0 + WHOLE { 0.0 } else { lasting };
    let per_night = (taken - WHOLE).ceil().max(1.0);
    let nights_per_charge = (per_charge as u32).min(programme.season);
    let packs_per_night = per_night as u32;
    let swap_every = programme.swap.unwrap_or(u32::MAX).min(nights_per_charge).max(1);
    let charges = if nights_per_charge > 0 {
        programme.season.div_ceil(swap_every)
    } else {
        programme.season.saturating_mul(packs_per_night)
    };
    Ok(Runtime {
        full_level: Hours::hours(charge / full),
        bench: Hours::hours(pack.new_charge(full) / full),
        charge: Charge::amp_hours(charge),
        cold_factor: cold,
        evening: Hours::hours(evening),
        energy: Energy::watt_hours(energy),
        share: taken,
        empty_after,
        dark,
        nights_per_charge,
        swap_every,
        packs_per_night,
        charges,
    })
}

/// The rated charge at which one pack would last the evening, everything else the same.
///
/// Peukert's share falls with the charge, so that this is found by proportion from above and is a
/// little more than the least.
#[cfg(test)]
fn charge_for_one_evening(pack: &Pack, found: &Runtime) -> Charge {
    pack.capacity * found.share.max(0.0)
}

/// The runtime's sums as account lines.
#[must_use]
pub(crate) fn lines(
    pack: &Pack,
    programme: &Programme,
    cells: Temperature,
    found: &Runtime,
) -> Vec<Line> {
    let full = Current::amps(programme.power(1.0).get() / pack.voltage.get());
    let charge = Line::new(
        "charge that a pack gives at full level",
        "C x usable x ageing x f(t) x min(1, (C/(I H))^(k-1))",
        found.charge,
        "Peukert's law in reference-hour form (Battery University BU-503); cold from tables",
    )
    .input("C", pack.capacity)
    .input("usable", trimmed(pack.usable, 3))
    .input("ageing", trimmed(pack.ageing, 3))
    .input("t", cells)
    .input("f(t)", trimmed(found.cold_factor, 3))
    .input("I", full)
    .input("H", pack.peukert.rated)
    .input("k", trimmed(pack.peukert.exponent, 3));
    let hours = Line::new(
        "hours at full level from one charge",
        "charge x V/(lamps/efficiency + standby)",
        found.full_level,
        "energy balance; nominal voltage as the mean",
    )
    .input("charge", found.charge)
    .input("V", pack.voltage)
    .input("lamps", programme.lamps)
    .input("efficiency", trimmed(programme.efficiency, 3))
    .input("standby", programme.standby);
    let bench = Line::new(
        "the same from a new pack at 20 C, drained to its own cut-off",
        "C min(1, (C/(I H))^(k-1))/I",
        found.bench,
        "what a test on the bench shows; the planned hours count age, cold and reserve",
    )
    .input("C", pack.capacity)
    .input("I", full);
    let dark = Line::new(
        "share of a pack that is drawn between two shows",
        "I_dark (168/week - evening)/charge(I_dark), I_dark = (standby + idle)/V",
        format!("{} %", trimmed(100.0 * found.dark, 1)),
        "energy balance, round the clock",
    )
    .input("standby", programme.standby)
    .input("idle", programme.idle)
    .input("week", programme.week);
    let evening = Line::new(
        "share of a pack that one evening takes",
        "sum over the parts of I h/charge(I), I = (level x lamps/efficiency + standby)/V",
        format!("{} %", trimmed(100.0 * found.share, 1)),
        "lamps dim by pulse width: power = level x rated, common practice, no source",
    )
    .input("evening", found.evening)
    .input("energy", found.energy)
    .against(Side::AtMost, found.share, 1.0, "100 %");
    let season = Line::new(
        "chargings over the season",
        "nights/(evenings between swaps), rounded up; or nights x packs a night",
        found.charges,
        "counting",
    )
    .input("nights", programme.season)
    .input("evenings a charge", found.nights_per_charge)
    .input("evenings between swaps", found.swap_every)
    .input("packs a night", found.packs_per_night);
    vec![charge, hours, bench, evening, dark, season]
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    fn ideal(capacity: f64, voltage: f64) -> Pack {
        Pack {
            chemistry: Chemistry::LiIon,
            voltage: Voltage::volts(voltage),
            capacity: Charge::amp_hours(capacity),
            usable: 1.0,
            ageing: 1.0,
            peukert: Peukert { exponent: 1.0, rated: Hours::hours(5.0) },
        }
    }

    fn programme(lamps: f64, parts: &[(f64, f64)], season: u32) -> Programme {
        let part = |&(level, hours)| Stretch { level, duration: Hours::hours(hours) };
        Programme {
            lamps: Power::watts(lamps),
            standby: Power::ZERO,
            idle: Power::ZERO,
            week: 7,
            swap: None,
            efficiency: 1.0,
            parts: parts.iter().map(part).collect(),
            season,
        }
    }

    const WARM: Temperature = Temperature::celsius(20.0);

    #[test]
    fn worked_example_of_three_cells_and_twenty_watts() {
        // By hand: 10 Ah x 10.8 V x 0.8 usable x 0.9 cold x 0.92 converter/20 W = 3.577 h.
        let pack = Pack { usable: 0.8, ageing: 0.9, ..ideal(10.0, 10.8) };
        let programme = Programme { efficiency: 0.92, ..programme(20.0, &[(1.0, 4.0)], 1) };
        let found = runtime(&pack, &programme, WARM).unwrap();
        assert_eq!(format!("{:.3}", found.full_level.get()), "3.577");
        // It does not last four hours and dies at 3.577 h.
        assert_eq!(found.nights_per_charge, 0);
        assert_eq!(found.packs_per_night, 2);
        assert_relative_eq!(found.empty_after.unwrap().get(), 3.5770, epsilon = 1e-4);
    }

    #[test]
    fn three_lamps_of_ten_watts_on_a_small_pack_last_two_hours() {
        // Common practice, no source: 12 V 5 Ah feeds three 10 W lamps for about 2 h.
        let found = runtime(&ideal(5.0, 12.0), &programme(30.0, &[(1.0, 2.0)], 30), WARM).unwrap();
        assert_relative_eq!(found.full_level.get(), 2.0, epsilon = 1e-12);
        assert_relative_eq!(found.share, 1.0, epsilon = 1e-12);
        assert_eq!((found.nights_per_charge, found.charges, found.empty_after), (1, 30, None));
    }

    #[test]
    fn the_bench_and_the_plan_are_both_told() {
        // Common practice, no source: three 10 W lamps on a 12 V class pack of 5 Ah shine about two hours.
        // By hand: 10.8 V x 5 Ah/30 W = 1.8 h from the new pack; planned with 0.8, 0.9 and 0.89 at 5 C:
        // 1.15 h.
        let pack = Pack { usable: 0.8, ageing: 0.9, ..ideal(5.0, 10.8) };
        let cool = Temperature::celsius(5.0);
        let found = runtime(&pack, &programme(30.0, &[(1.0, 1.0)], 30), cool).unwrap();
        assert_relative_eq!(found.bench.get(), 1.8, epsilon = 1e-9);
        assert_relative_eq!(found.full_level.get(), 1.8 * 0.8 * 0.9 * 0.89, epsilon = 1e-9);
    }

    #[test]
    fn standby_goes_on_round_the_clock() {
        // By hand: 120 Wh, 10 Wh a show of half an hour at 20 W. Without standby twelve shows. 1 W of standby
        // draws 0.5 Wh in the show and 23.5 Wh until the next: n 10.5 + (n - 1) 23.5 <= 120 gives four.
        let still = runtime(&ideal(10.0, 12.0), &programme(20.0, &[(1.0, 0.5)], 60), WARM).unwrap();
        assert_eq!(still.nights_per_charge, 12);
        let awake = Programme { standby: Power::watts(1.0), ..programme(20.0, &[(1.0, 0.5)], 60) };
        let found = runtime(&ideal(10.0, 12.0), &awake, WARM).unwrap();
        assert_relative_eq!(found.dark, 23.5 / 120.0, epsilon = 1e-9);
        assert_eq!((found.nights_per_charge, found.charges), (4, 15));
        // The lamps' own draw counts the same; with one show a week a charge lasts one.
        let idle = Programme { idle: Power::watts(1.0), ..programme(20.0, &[(1.0, 0.5)], 60) };
        assert_relative_eq!(
            runtime(&ideal(10.0, 12.0), &idle, WARM).unwrap().dark,
            23.5 / 120.0,
            epsilon = 1e-9
        );
        let weekly = Programme { week: 1, ..awake.clone() };
        assert_eq!(runtime(&ideal(10.0, 12.0), &weekly, WARM).unwrap().nights_per_charge, 1);
        // A swap every second evening is asked for, and is what is counted.
        let asked = Programme { swap: Some(2), ..awake };
        let found = runtime(&ideal(10.0, 12.0), &asked, WARM).unwrap();
        assert_eq!((found.nights_per_charge, found.swap_every, found.charges), (4, 2, 30));
    }

    #[test]
    fn charging_takes_longer_than_charge_over_current() {
        // By hand from the formula, f 0.8, end at C/20: 10 Ah at 5 A 2.623 h, at 2 A 5.848 h; 20 Ah at
        // 4 A the same.
        for (capacity, current, hours) in
            [(10.0, 5.0, 2.623), (10.0, 2.0, 5.848), (20.0, 4.0, 5.848)]
        {
            let found = charging(Charge::amp_hours(capacity), Current::amps(current)).unwrap();
            assert!((found.get() - hours).abs() < 5e-4, "{found}");
        }
        assert_eq!(charging(Charge::amp_hours(10.0), Current::amps(0.5)), None);
        assert_eq!(charging(Charge::amp_hours(10.0), Current::amps(f64::NAN)), None);
    }

    #[test]
    fn peukert_counts_from_the_rated_hours() {
        // Battery University BU-503: 100 Ah at 20 h, k 1.3, 15 A: 4.79 h instead of 6.67 h.
        let peukert = Peukert { exponent: 1.3, rated: Hours::hours(20.0) };
        let pack = Pack { chemistry: Chemistry::LeadAcid, peukert, ..ideal(100.0, 12.0) };
        let warm = Temperature::celsius(25.0);
        let found = runtime(&pack, &programme(180.0, &[(1.0, 1.0)], 1), warm).unwrap();
        // The lead-acid table stands at 0.99 from 20 C.
        assert!((found.full_level.get() / 0.99 - 4.79).abs() < 0.005, "{}", found.full_level);
        // Slower than rated earns nothing: 1 A for 100 h, not 133 h.
        let slow = runtime(&pack, &programme(12.0, &[(1.0, 1.0)], 1), warm).unwrap();
        assert_relative_eq!(slow.full_level.get() / 0.99, 100.0, epsilon = 1e-9);
    }

    #[test]
    fn dimmed_parts_take_their_level() {
        // 1 h full, 2 h half, 3 h dark with 0.5 W standby: 20 + 20 + 0 + 6 x 0.5 = 43 Wh.
        let programme = Programme {
            standby: Power::watts(0.5),
            ..programme(20.0, &[(1.0, 1.0), (0.5, 2.0), (0.0, 3.0)], 10)
        };
        let found = runtime(&ideal(10.0, 12.0), &programme, WARM).unwrap();
        assert_relative_eq!(found.energy.get(), 43.0, epsilon = 1e-12);
        assert_relative_eq!(found.share, 43.0 / 120.0, epsilon = 1e-12);
        // 0.5 W for the 18 h between are 9 Wh: 2 x 43 + 9 = 95 Wh of 120. Two evenings a charge, five
        // charges.
        assert_eq!((found.nights_per_charge, found.charges), (2, 5));
    }

    #[test]
    fn no_runtime_without_numbers_hours_or_draw() {
        let (pack, good) = (ideal(10.0, 12.0), programme(20.0, &[(1.0, 4.0)], 1));
        let cold = Temperature::celsius(-25.0);
        assert!(matches!(runtime(&pack, &good, cold), Err(RuntimeError::Cells(_))));
        assert_eq!(runtime(&pack, &programme(20.0, &[], 1), WARM), Err(RuntimeError::NoProgramme));
        assert_eq!(
            runtime(&pack, &programme(0.0, &[(1.0, 4.0)], 1), WARM),
            Err(RuntimeError::NoDraw)
        );
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert!(runtime(&Pack { usable: bad, ..pack }, &good, WARM).is_err());
            assert!(runtime(&ideal(bad, 12.0), &good, WARM).is_err());
            assert!(runtime(&ideal(10.0, bad), &good, WARM).is_err());
            assert!(runtime(&pack, &programme(bad, &[(1.0, 4.0)], 1), WARM).is_err());
            assert!(runtime(&pack, &programme(20.0, &[(bad, 4.0)], 1), WARM).is_err());
            assert!(runtime(&pack, &programme(20.0, &[(1.0, bad)], 1), WARM).is_err());
        }
        assert!(runtime(&pack, &programme(20.0, &[(1.0, 4.0)], 0), WARM).is_err());
    }

    proptest! {
        #[test]
        fn charges_light_the_whole_season(
            capacity in 1.0..50.0f64,
            lamps in 1.0..200.0f64,
            parts in prop::collection::vec((0.0..=1.0f64, 0.1..4.0f64), 1..5),
            nights in 1u32..60,
            cells in -20.0..40.0f64,
        ) {
            let pack = Pack {
                usable: 0.8,
                ageing: 0.9,
                peukert: Chemistry::LiIon.peukert(),
                ..ideal(capacity, 12.0)
            };
            let programme = programme(lamps, &parts, nights);
            let found = runtime(&pack, &programme, Temperature::celsius(cells)).unwrap();
            // What is fitted covers what is taken, and one less would not.
            let per = if found.nights_per_charge > 0 {
                f64::from(found.nights_per_charge) * found.share <= 1.0 + 1e-6
            } else {
                f64::from(found.packs_per_night) >= found.share - 1e-6
                    && f64::from(found.packs_per_night - 1) < found.share
            };
            prop_assert!(per);
            prop_assert_eq!(found.empty_after.is_some(), found.nights_per_charge == 0);
            if let Some(t) = found.empty_after {
                prop_assert!(t < found.evening && t > Hours::ZERO);
            }
            prop_assert!(found.charges >= 1);
            let big = Pack { capacity: charge_for_one_evening(&pack, &found) * (1.0 + 1e-9), ..pack };
            if found.share > 1.0 {
                let lasts = runtime(&big, &programme, Temperature::celsius(cells)).unwrap();
                prop_assert!(lasts.nights_per_charge >= 1);
            }
        }
    }
}
