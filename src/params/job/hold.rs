//! Straps and pads: what holds print to bark.

use crate::params::declare::table;
use crate::standards::Webbing;
use crate::units::{Force, Length, Pressure};

table! {
    /// `[strap]`: webbing, its passage and its tension.
    Strap {
        /// Straps on each cradle and rail pair.
        count: u32 = 2, in 1.0..=3.0, why "one strap lets the cradle rock";
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
        /// Tension pulled in by hand.
        tension: Force = Force::newtons(120.0), in 10.0..=2_000.0,
            why "a firm pull of one hand; common practice, no source";
        /// Webbing that the buckle takes up.
        buckle: Length = Length::mm(150.0), in 0.0..=1_000.0;
        /// Free tail to pull on.
        tail: Length = Length::mm(150.0), in 50.0..=1_000.0, why "two hands' width";
    }
}

table! {
    /// `[pad]`: closed-cell foam between print and bark.
    Pad {
        /// Free thickness.
        thickness: Length = Length::mm(10.0), in 3.0..=40.0,
            why "park rules for straps ask for 6 mm (1/4 in) of padding at least; 10 mm also takes up bark and a year's growth";
        /// Least compression that still grips, as a share of the thickness.
        strain_min as "strain-min": f64 = 0.10, in 0.01..=0.9,
            why "sponge gaskets are compressed by 10 to 15 % at least (enclosure gasket practice)";
        /// Compression aimed at.
        strain: f64 = 0.30, in 0.01..=0.9, why "the middle of the useful range";
        /// Most compression.
        strain_max as "strain-max": f64 = 0.50, in 0.01..=0.9,
            why "closed cells stiffen steeply and take a set beyond half (enclosure gasket practice)";
        /// Stress at the compression aimed at.
        stress: Pressure = Pressure::kpa(40.0), in 1.0..=500.0,
            why "soft closed-cell rubber foam, compression deflection class 1 to 2 of ASTM D1056 (from memory)";
        /// Friction of foam on bark, wet.
        friction: f64 = 0.4, in 0.05..=1.5, why "no published measurement; a cautious assumption";
        /// Friction of bare webbing on bark, wet.
        webbing_friction as "webbing-friction": f64 = 0.2, in 0.05..=1.0,
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
