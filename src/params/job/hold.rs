//! Straps and pads: what holds print to bark.

use crate::params::declare::table;
use crate::standards::Webbing;
use crate::standards::words::words;
use crate::units::{Force, Hours, Length, Pressure};

words! {
    /// How a strap is tightened.
    TightenerKind {
        /// A cam buckle: what the hand pulls stays, and no more.
        Cam "cam",
        /// A ratchet: more than the hand pulls, in steps, and soon more than bark bears.
        Ratchet "ratchet",
    }
}

table! {
    /// `[strap]`: webbing, its passage and its tension.
    Strap {
        /// Straps on each cradle; without it, as few as hold, two at least.
        count: Option<u32>, in 1.0..=3.0, why "one strap lets the cradle rock";
        /// Width of the webbing.
        width: Length = Length::mm(25.0), in 15.0..=75.0, why "the commonest webbing";
        /// Thickness of the webbing.
        thickness: Length = Length::mm(1.5), in 1.0..=4.0, why "common 25 mm webbing";
        /// Gap between webbing and passage, all round.
        clearance: Length = Length::mm(0.6), in 0.2..=3.0,
            why "0.5 mm between moving printed parts is the common rule, and roofs of passages sag a little";
        /// Polymer of the webbing.
        material: Webbing = Webbing::Polyester, why "creeps least when wet";
        /// Of one strap in straight pull, as its label says.
        working_load as "working-load": Force = Force::newtons(500.0), in 50.0..=20_000.0,
            why "a weak cam buckle; common practice, no source";
        /// How it is tightened; without it, by a cam buckle where that holds every trunk.
        tightener: Option<TightenerKind>,
            why "a hand cannot pull a cam buckle so tight that bark bruises, and a ratchet can";
        /// Lashing capacity on the label, at which the elongation is stated.
        label_load as "label-load": Force = Force::newtons(2_500.0), in 100.0..=100_000.0,
            why "25 mm polyester webbing in straight pull (EN 12195-2)";
        /// Elongation at that load, as a share of the length.
        elongation: f64 = 0.07, in 0.005..=0.4,
            why "EN 12195-2 allows 7 % at most (from memory), and labels say so";
        /// Most that shall be pulled; without it the sum alone decides.
        tension: Option<Force>, in 10.0..=2_000.0;
        /// Webbing that the buckle takes up.
        buckle: Length = Length::mm(150.0), in 0.0..=1_000.0;
        /// Free tail to pull on.
        tail: Length = Length::mm(150.0), in 50.0..=1_000.0, why "two hands' width";
    }
}

table! {
    /// `[pad]`: closed-cell foam between print and bark.
    Pad {
        /// Free thickness; without it, the sheet on sale with which every trunk gets its print, 10 mm if it
        /// does.
        thickness: Option<Length>, in 3.0..=40.0,
            why "park rules for straps ask for 6 mm (1/4 in) of padding at least; 10 mm also takes up bark and a year's growth";
        /// Least compression that still grips, as a share of the thickness.
        strain_min as "strain-min": f64 = 0.05, in 0.01..=0.9,
            why "enough to grip once the bark's relief is counted apart; gaskets that must seal are pressed by 10 % at least";
        /// Compression at which the stress is known.
        strain: f64 = 0.30, in 0.01..=0.9, why "the middle of the useful range";
        /// Most compression.
        strain_max as "strain-max": f64 = 0.50, in 0.01..=0.9,
            why "closed cells stiffen steeply and take a set beyond half (enclosure gasket practice)";
        /// Stress at that compression.
        stress: Pressure = Pressure::kpa(40.0), in 1.0..=500.0,
            why "soft closed-cell rubber foam, compression deflection class 1 to 2 of ASTM D1056 (from memory)";
        /// Share of that stress which the walls of the foam carry, and keep when its gas has gone.
        frame: f64 = 0.5, in 0.0..=1.0,
            why "judgement, unverified: 0.15 is published for polyethylene foam of 33 kg/m3, rubber foam is denser";
        /// Density of the foam over that of its polymer.
        solid: f64 = 0.1, in 0.0..=0.4, why "soft closed-cell rubber foam (from memory)";
        /// Hours until the gas has left the foam.
        gas_hours as "gas-hours": Hours = Hours::hours(40.0), in 1.0..=10_000.0,
            why "half of a midsole foam's gas was gone after 10 hours (Mills), and the time goes with the square";
        /// Friction of foam on bark, wet: the least and the most. The least must hold.
        friction: [f64; 2] = [0.4, 0.7], in 0.05..=1.5,
            why "no published measurement; a cautious assumption";
        /// Friction of webbing on bark: the least and the most. The most takes from the pull on its way round.
        webbing_friction as "webbing-friction": [f64; 2] = [0.15, 0.3], in 0.05..=1.0,
            why "no published measurement; a cautious assumption";
        /// Most pressure on bark.
        bark_limit as "bark-limit": Pressure = Pressure::kpa(100.0), in 5.0..=500.0,
            why "common practice, no source: no published limit for living bark";
        /// The saddle's width as a share of the trunk's diameter, at most.
        max_width_ratio as "max-width-ratio": f64 = 0.6, in 0.2..=0.8,
            why "beyond it the pad's edge slides round the trunk instead of pressing";
        /// Wished half width of the pad; without it, it follows from the fixture.
        half_width as "half-width": Option<Length>, in 15.0..=200.0;
    }
}

impl Strap {
    /// How it is tightened: as written, or as first tried.
    #[must_use]
    pub fn tightened_by(&self) -> TightenerKind {
        self.tightener.unwrap_or(TightenerKind::Cam)
    }

    /// Straps on each cradle: as written, or as first tried.
    #[must_use]
    pub fn straps(&self) -> u32 {
        self.count.unwrap_or(COMMON_STRAPS)
    }
}

impl Pad {
    /// Free thickness: as written, or as first tried.
    #[must_use]
    pub fn free_thickness(&self) -> Length {
        self.thickness.unwrap_or(COMMON_FOAM)
    }
}

/// One strap lets the cradle rock.
const COMMON_STRAPS: u32 = 2;
/// Foam sheet that is everywhere on sale and takes up bark and a year's growth (common practice, no source).
const COMMON_FOAM: Length = Length::mm(10.0);
