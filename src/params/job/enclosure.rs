//! The box: its seal, lid, cable glands and vent.

use crate::params::declare::table;
use crate::standards::{GlandSize, Thread};
use crate::units::Length;

table! {
    /// `[seal]`: the cord in the groove under the lid.
    Seal {
        /// Diameter of the cord.
        cord: Length = Length::mm(3.0), in 1.5..=6.0,
            why "thick enough for the unevenness of a printed land";
        /// Squeeze as a share of the diameter.
        squeeze: f64 = 0.25, in 0.1..=0.4,
            why "face seals take 20 to 30 % (seal makers' design guides)";
        /// Line load at that squeeze, newtons a millimetre.
        line_load as "line-load": f64 = 1.0, in 0.05..=10.0,
            why "soft solid or firm foamed silicone cord; common practice, no source";
    }
}

table! {
    /// `[lid]`: the lid and its screws.
    Lid {
        /// Thread of the lid's screws.
        screw: Thread = Thread::M4, why "heat-set inserts are at hand, and it bears many openings";
        /// Length of the heat-set insert; without it, twice the thread's diameter.
        insert_length as "insert-length": Option<Length>, in 3.0..=25.0;
    }
}

table! {
    /// `[[gland]]`: cable glands of one size in the downward wall.
    Gland {
        /// Metric gland.
        size: GlandSize;
        /// How many; without it, one, and as many as cables of the feed leave the box where there is only
        /// one size.
        count: Option<u32>, in 1.0..=12.0;
    }
}

table! {
    /// `[vent]`: evens out pressure, so that a cooling box does not suck in water.
    Vent {
        /// Metric thread.
        size: GlandSize;
    }
}
