//! Battery, controller, cable and the evening's programme.

use super::HolePattern;
use crate::engineering::feed::FeedLayout;
use crate::params::declare::table;
use crate::standards::{Chemistry, ConductorSize, Thread};
use crate::units::{Charge, Current, Hours, Length, Mass, Power, Resistance, Temperature, Voltage};

table! {
    /// `[battery]`: the pack in the box.
    Battery {
        /// Name of the pack.
        name: String, in 1.0..=60.0;
        /// Along its longest side.
        length: Length, in 10.0..=600.0;
        /// Across.
        width: Length, in 10.0..=600.0;
        /// Off the plate.
        height: Length, in 10.0..=600.0;
        /// Its mass.
        mass: Mass, in 0.02..=30.0;
        /// Its cells.
        chemistry: Chemistry;
        /// Nominal voltage.
        voltage: Voltage, in 3.0..=60.0,
            why "above 60 V DC other rules for safety hold (IEC 60364-4-41, from memory)";
        /// Nominal charge.
        capacity: Charge, in 0.1..=200.0;
        /// Voltage at which the pack cuts off; without it, by chemistry.
        cutoff: Option<Voltage>, in 0.5..=60.0;
        /// Inner resistance with its leads.
        resistance: Resistance = Resistance::ohms(0.05), in 0.0..=5.0,
            why "a small tool pack with its contacts; common practice, no source";
        /// Share of the charge that may be drawn; without it 0.8, and 0.5 of lead-acid, which lives longer
        /// so. Runtime and volts at the lamps count with the same share.
        usable: Option<f64>, in 0.1..=1.0;
        /// Share of the nominal charge left after ageing.
        ageing: f64 = 0.9, in 0.3..=1.0, why "a pack in its second or third year; common practice";
        /// Most lasting current that its own electronics pass.
        max_current as "max-current": Option<Current>, in 0.1..=200.0;
        /// Current of its charger; without it, half the capacity in an hour.
        charger: Option<Current>, in 0.05..=100.0;
        /// The plate that the pack slides on.
        receiver: Receiver;
    }
}

table! {
    /// `[battery.receiver]`: the plate that the pack slides on.
    Receiver {
        /// Thickness of the plate.
        thickness: Length, in 0.5..=40.0;
        /// Its screw holes.
        holes: HolePattern;
        /// Thread of its screws.
        thread: Thread;
        /// How far the pack slides along its length to come off; without it, a quarter of its length.
        slide: Option<Length>, in 0.0..=400.0;
    }
}

table! {
    /// `[controller]`: what dims and switches the lamps.
    Controller {
        /// Name of the controller.
        name: String, in 1.0..=60.0;
        /// Along its longest side.
        length: Length, in 5.0..=400.0;
        /// Across.
        width: Length, in 5.0..=400.0;
        /// Off the standoffs, with its plugs.
        height: Length, in 2.0..=200.0;
        /// Its mass.
        mass: Mass, in 0.005..=5.0;
        /// Its screw holes.
        holes: HolePattern;
        /// Thread of its screws.
        thread: Thread;
        /// Whether it cuts the lamps' supply while they are dark; one that only sends them a signal does not.
        cuts_supply as "cuts-supply": bool = true;
        /// Most lasting current that it passes.
        max_current as "max-current": Option<Current>, in 0.1..=200.0;
        /// Own draw, by day and night.
        standby: Power = Power::watts(0.3), in 0.0..=50.0,
            why "a small radio controller; common practice, no source";
        /// Power out over power in.
        efficiency: f64 = 0.92, in 0.3..=1.0, why "a switching converter; common practice, no source";
    }
}

table! {
    /// `[feed]`: the cable from box to lamps.
    Feed {
        /// How the cable runs.
        layout: FeedLayout = FeedLayout::Chain, why "least cable";
        /// Conductor; without it, the thinnest from 0.75 mm2 that serves: thinner cords tear.
        conductor: Option<ConductorSize>;
        /// From the box to the lamp above it; without it, from the plan.
        lead: Option<Length>, in 50.0..=100_000.0;
        /// Between neighbouring trunks: one length for all, or one a segment, from lamp to lamp; without it,
        /// 8 m between trunks. Lamps on one trunk: from the plan, unless written one a segment, or no other
        /// trunk has lamps.
        segments: Option<Vec<Length>>, in 50.0..=200_000.0;
        /// From the last lamp back to the box, for a loop; without it, back along the row, or on round the
        /// trunk.
        back: Option<Length>, in 50.0..=500_000.0;
        /// Largest voltage drop at the farthest fixture, as a share of the nominal voltage.
        drop: f64 = 0.05, in 0.005..=0.3,
            why "IEC 60364-7-715 allows 5 % in extra-low-voltage lighting (from memory)";
        /// Temperature of the conductor.
        temperature: Temperature = Temperature::celsius(30.0), in -20.0..=90.0,
            why "a mild evening and a little warmth of its own";
        /// Of one contact of a plug; each piece of cable has a plug of two contacts.
        contact: Resistance = Resistance::ohms(0.005), in 0.0..=0.5,
            why "a good plug has a few milliohms (makers' sheets); MIL-DTL-26482 allows 20";
        /// Outer diameter of the two-core cable; without it, that of usual rubber cord.
        cable_diameter as "cable-diameter": Option<Length>, in 2.0..=25.0;
        /// Longest cable between two addressed lamps, or from the box to the first, that their maker states.
        signal_limit as "signal-limit": Option<Length>, in 100.0..=1_000_000.0;
        /// Fuse rating; without it, the smallest standard rating that serves.
        fuse: Option<Current>, in 0.1..=60.0;
        /// What the cable may carry; without it, from the table.
        ampacity: Option<Current>, in 0.5..=100.0;
    }
}

table! {
    /// `[programme]`: what is lit, and for how long.
    Programme {
        /// Stretches of the evening, one table each.
        parts as "part": Vec<ProgrammePart> =
            vec![ProgrammePart { level: 1.0, duration: Hours::hours(4.0) }],
            why "one evening at full level, from dusk to closing";
        /// Evenings between battery swaps; without it, as many as a charge lasts.
        nights: Option<u32>, in 1.0..=365.0;
        /// Evenings with a show in a week.
        week: u32 = 7, in 1.0..=7.0;
    }
}

table! {
    /// `[[programme.part]]`: one stretch of the evening.
    ProgrammePart {
        /// Share of full power.
        level: f64, in 0.0..=1.0;
        /// How long it lasts.
        duration: Hours, in 0.01..=24.0;
    }
}
