//! The box: its seal, lid, cable glands and vent.

use crate::engineering::seal::{Closing, Gasket};
use crate::params::declare::table;
use crate::standards::{GasketKind, GlandSize, Thread};
use crate::units::Length;

table! {
    /// `[seal]`: the gasket in the groove under the lid.
    Seal {
        /// What lies in the groove; without it, cord where its diameter is written or the lid is closed
        /// by screws, otherwise sponge.
        kind: Option<GasketKind>;
        /// Diameter of the cord; without it, 3 mm.
        cord: Option<Length>, in 1.5..=6.0;
        /// Thickness and width of the sponge strip; without it, 6 and 6 mm.
        sponge: Option<[Length; 2]>, in 3.0..=20.0;
        /// Squeeze as a share of the height; without it, 0.25 of a cord, 0.3 of sponge.
        squeeze: Option<f64>, in 0.1..=0.4;
        /// Line load at that squeeze, newtons a millimetre; without it, 1 of a cord, and of sponge the
        /// stiffest of grade 1.
        line_load as "line-load": Option<f64>, in 0.05..=10.0;
    }
}

impl Seal {
    /// The gasket of a lid that is closed this way.
    #[must_use]
    pub fn gasket(&self, closing: Closing) -> Gasket {
        let sponge = closing == Closing::Knobs && self.cord.is_none();
        match self.kind {
            Some(GasketKind::Sponge) => self.strip(),
            None if sponge => self.strip(),
            _ => Gasket::Cord { diameter: self.cord.unwrap_or(CORD) },
        }
    }

    fn strip(&self) -> Gasket {
        let [thickness, width] = self.sponge.unwrap_or(SPONGE);
        Gasket::Sponge { thickness, width }
    }
}

/// Cord that evens out a printed land, and is sold everywhere.
const CORD: Length = Length::mm(3.0);
/// Thickness and width of the strip: thick enough for the unevenness of a printed land and for what the
/// lid bows, no wider than it must be, so that the flange stays narrow.
const SPONGE: [Length; 2] = [Length::mm(6.0), Length::mm(6.0)];

table! {
    /// `[lid]`: how the lid is closed.
    Lid {
        /// How it is closed; without it, knobs, or as the boxes of the earlier set where they serve.
        close: Option<Closing>;
        /// Thread of its screws, with or without knobs.
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
