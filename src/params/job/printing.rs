//! The printer, its slicer settings, and the plastic.

use crate::params::declare::table;
use crate::standards::PolymerKind;
use crate::units::{Angle, Length};

table! {
    /// `[printer]`: what it prints, and how.
    Printer {
        /// Printable room along X, Y and Z.
        bed: [Length; 3] = [Length::mm(220.0), Length::mm(220.0), Length::mm(250.0)],
            in 120.0..=2_000.0, why "the commonest size of machine";
        /// Width of an extrusion line.
        line: Length = Length::mm(0.45), in 0.2..=1.5, why "a 0.4 mm nozzle";
        /// Layer height.
        layer: Length = Length::mm(0.2), in 0.05..=0.8, why "half the nozzle";
        /// Lines in a wall.
        wall_lines as "wall-lines": u32 = 4, in 1.0..=20.0, why "1.8 mm of wall; parts that bear load ask for it";
        /// Solid layers above and below.
        solid_layers as "solid-layers": u32 = 5, in 0.0..=30.0, why "1 mm closed above and below";
        /// Share of the inside that is filled.
        infill: f64 = 0.25, in 0.0..=1.0, why "walls bear the load; the inside only holds them apart";
        /// Volumetric flow, cubic millimetres per second.
        flow: f64 = 8.0, in 0.5..=60.0, why "a plain hot end at an even pace";
        /// Real time over estimated time, from one finished print.
        time_factor as "time-factor": f64 = 1.0, in 0.2..=5.0;
        /// Steepest overhang without support, from upright.
        overhang: Angle = Angle::degrees(45.0), in 20.0..=80.0,
            why "measured tests put the limit at 45 degrees (Mazlan et al., JAITA 2020)";
        /// Longest bridge.
        bridge: Length = Length::mm(12.0), in 1.0..=60.0,
            why "more than the 5 to 10 mm that guides give for a clean bridge: the roof of a passage may sag a little";
        /// Left free at the bed's rim.
        margin: Length = Length::mm(5.0), in 0.0..=50.0, why "clips and a skirt";
        /// Between parts on a bed.
        gap: Length = Length::mm(4.0), in 0.5..=50.0, why "room for a brim on each";
    }
}

table! {
    /// `[polymer]`: the plastic.
    Polymer {
        /// Which.
        kind: PolymerKind = PolymerKind::Petg,
            why "bears a winter and a warm lid, and prints without a chamber";
        /// Price of a kilogram, in your money.
        price: Option<f64>, in 0.0..=10_000.0;
        /// Dark parts take up sun.
        dark: bool = false;
    }
}
