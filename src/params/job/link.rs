//! The radio link to the controller.

use crate::params::declare::table;
use crate::units::Length;

table! {
    /// `[link]`: the radio from hand or house to the controller in its box.
    Link {
        /// Megahertz.
        frequency: f64 = 2400.0, in 100.0..=6000.0, why "what most small lighting controllers speak on";
        /// From the sender to the box that is farthest off.
        distance: Length, in 500.0..=5_000_000.0;
        /// Of the sender above ground.
        sender_height as "sender-height": Length = Length::mm(1_300.0), in 0.0..=100_000.0,
            why "held in the hand";
        /// Of the box above ground.
        receiver_height as "receiver-height": Length = Length::mm(1_000.0), in 0.0..=30_000.0,
            why "a box under lamps at breast height";
        /// Power of the sender, dBm.
        power: f64 = 4.0, in -30.0..=36.0, why "a phone or a small remote; common practice, no source";
        /// Of both aerials together, dBi.
        gain: f64 = 0.0, in -20.0..=40.0;
        /// Weakest signal that the receiver understands, dBm.
        sensitivity: f64 = -90.0, in -150.0..=-30.0,
            why "a plain receiver (makers' sheets give -85 to -97); common practice, no source";
        /// Leaves that lie on the way.
        foliage: Length = Length::ZERO, in 0.0..=400_000.0;
        /// House walls on the way.
        walls: u32 = 0, in 0.0..=20.0;
        /// Lost to what stands beside the aerials, dB.
        obstacle: f64 = 10.0, in 0.0..=60.0,
            why "a wet trunk behind the box and a hand about the sender; common practice, no source";
        /// Left for fading and for other senders, dB.
        fade_margin as "fade-margin": f64 = 15.0, in 0.0..=60.0,
            why "10 to 20 dB are usual; common practice, no source";
    }
}
