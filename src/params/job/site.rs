//! Weather, margins, and the windows and roads around.

use crate::params::declare::table;
use crate::units::{Angle, Illuminance, Length, Speed, Temperature, Torque};

table! {
    /// `[site]`: weather and the margin of safety.
    Site {
        /// Strongest gust while it hangs.
        gust: Speed = Speed::metres_per_second(20.0), in 5.0..=60.0,
            why "gusts of a strong breeze: Beaufort 6 ends at 13.8 m/s as a ten-minute mean, and gusts in open country are 1.45 times the mean (ESDU); beyond it, take everything down";
        /// Coldest evening.
        cold: Temperature = Temperature::celsius(5.0), in -30.0..=30.0;
        /// Warmest afternoon.
        warm: Temperature = Temperature::celsius(30.0), in -10.0..=60.0;
        /// Thickness of glaze that winters bring, where it hangs in such.
        ice: Option<Length>, in 1.0..=60.0;
        /// Latitude of the place, north positive, for the sun on the box's lid.
        latitude: Option<Angle>, in -66.0..=66.0;
        /// Compass bearing that the box's lid looks to: 0 north, 90 east, 180 south. With the latitude it
        /// gives the sun on the lid; without either, the worst bearing and height of the sun.
        lid_facing as "lid-facing": Option<Angle>, in 0.0..=360.0;
        /// Margin against sliding and peeling.
        safety: f64 = 2.0, in 1.0..=10.0,
            why "friction on bark is not known better than by half; common practice, no source";
        /// Torque on the tilt bolts; without it, from the sum.
        lock_torque as "lock-torque": Option<Torque>, in 0.1..=50.0;
    }
}

table! {
    /// `[[glare]]`: a window or a road that must not be dazzled.
    Glare {
        /// What it is.
        name: String, in 1.0..=60.0;
        /// From the trunk, level.
        distance: Length, in 500.0..=500_000.0;
        /// Above ground.
        height: Length, in 0.0..=100_000.0;
        /// Most light there.
        limit: Illuminance = Illuminance::lux(5.0), in 0.1..=1_000.0,
            why "light on windows before curfew in sparsely lit country (CIE 150, zone E2, unverified); a suburb, E3, is allowed 10 lx";
    }
}
