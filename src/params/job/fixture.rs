//! The lamp, how it is held, and how far it tilts.

use crate::params::declare::{table, tagged};
use crate::standards::Thread;
use crate::standards::words::words;
use crate::units::{Angle, Length, LuminousFlux, Mass, Power, Temperature, Voltage};

table! {
    /// `[fixture]`: the lamp's body, bolts and light.
    Fixture {
        /// Name of the lamp.
        name: String, in 1.0..=60.0;
        /// Body across the yoke.
        width: Length, in 40.0..=400.0;
        /// Body from bottom to top, beam level.
        height: Length, in 20.0..=400.0;
        /// Body along the beam.
        depth: Length, in 15.0..=400.0;
        /// Mass with its own cable.
        mass: Mass, in 0.05..=25.0;
        /// Power at full level.
        power: Power, in 0.5..=500.0;
        /// How it is held.
        mount: Mount;
        /// From the back face to the pivot axis (side bosses); without it, half the depth.
        pivot_from_back as "pivot-from-back": Option<Length>, in 0.0..=400.0;
        /// From the lower face to the pivot axis (side bosses) or to the middle of the holes (base
        /// plate); without it, half the height.
        pivot_from_bottom as "pivot-from-bottom": Option<Length>, in 0.0..=400.0;
        /// Room that the cable needs behind the body.
        cable_room as "cable-room": Length = Length::ZERO, in 0.0..=200.0;
        /// Light at full level.
        lumens: Option<LuminousFlux>, in 10.0..=100_000.0;
        /// Full angle of the beam between the directions of half the peak intensity.
        beam_angle as "beam-angle": Option<Angle>, in 2.0..=170.0;
        /// How the lamp draws its current.
        load: LoadKind = LoadKind::ConstantPower,
            why "most lamps on a battery have a switching driver, and it is the harder case for the cable";
        /// Warmest place of its body by the bolts, after an hour at full level; without it, by a heat balance.
        body_temperature as "body-temperature": Option<Temperature>, in 0.0..=150.0;
        /// Draw while dark, its supply left on.
        idle: Power = Power::watts(0.5), in 0.0..=50.0,
            why "a switching driver without load; common practice, no source";
        /// Capacity of its input in microfarads, for the inrush at switching on.
        capacitor: Option<f64>, in 0.1..=100_000.0;
        /// Least voltage at which it gives its light.
        min_voltage as "min-voltage": Option<Voltage>, in 1.0..=60.0;
        /// Most voltage that it bears.
        max_voltage as "max-voltage": Option<Voltage>, in 1.0..=60.0;
    }
}

tagged! {
    /// `[fixture.mount]`: how the lamp is held.
    Mount by "kind" {
        /// Two coaxial threaded bosses at the sides.
        SideBosses "side-bosses" {
            /// Over both boss faces; at least the body's width.
            span: Length, in 40.0..=420.0;
            /// Thread of the bosses.
            thread: Thread;
            /// Radius of a lock boss about the pivot, when the lamp has one.
            lock_radius as "lock-radius": Option<Length>, in 8.0..=200.0;
            /// Where the lock boss lies at tilt 0: 0 deg toward the beam, 90 deg up, 180 deg behind;
            /// without it, behind, where its slot stands upright in the middle of the tilt range.
            lock_angle as "lock-angle": Option<Angle>, in -180.0..=360.0;
        }
        /// Holes in the back of the lamp, for a tilt plate.
        BasePlate "base-plate" {
            /// The holes.
            pattern as "holes": HolePattern;
            /// Thread of the screws that go in.
            thread: Thread;
        }
    }
}

impl Mount {
    pub(crate) const STAND_IN: Self = Self::SideBosses {
        span: Length::ZERO,
        thread: Thread::M3,
        lock_radius: None,
        lock_angle: None,
    };
}

tagged! {
    /// Holes on a plane, about the pattern's middle.
    HolePattern by "pattern" {
        /// Four holes at the corners of a rectangle.
        Rectangle "rectangle" {
            /// Between the holes, across.
            width: Length, in 5.0..=600.0;
            /// Between the holes, up.
            height: Length, in 5.0..=600.0;
        }
        /// Holes evenly on a circle; the first lies on the +X axis.
        Circle "circle" {
            /// Through the holes' middles.
            diameter: Length, in 5.0..=600.0;
            /// How many.
            count: u32, in 2.0..=24.0;
        }
        /// Holes at given points.
        Points "points" {
            /// Across and up from the pattern's middle, one pair a hole.
            points: Vec<[Length; 2]>, in -300.0..=300.0;
        }
    }
}

impl HolePattern {
    pub(crate) const STAND_IN: Self = Self::Rectangle { width: Length::ZERO, height: Length::ZERO };
}

words! {
    /// How a lamp draws its current.
    LoadKind {
        /// A switching driver: current rises as voltage falls.
        ConstantPower "constant-power",
        /// A linear driver: current stays as voltage falls.
        ConstantCurrent "constant-current",
    }
}

table! {
    /// `[tilt]`: beam above level.
    Tilt {
        /// Lowest setting.
        min: Angle = Angle::ZERO, in -30.0..=90.0;
        /// Highest setting.
        max: Angle = Angle::degrees(75.0), in -30.0..=90.0,
            why "steep enough for the crown above the lamp";
    }
}
