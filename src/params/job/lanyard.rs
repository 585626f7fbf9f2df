//! The lanyard that catches what lets go.

use crate::params::declare::table;
use crate::units::{Force, Length};

table! {
    /// `[lanyard]`: the safety lanyard of every lamp and box.
    Lanyard {
        /// Free fall before it is taut.
        slack: Length = Length::mm(100.0), in 0.0..=1_000.0,
            why "as short as tilting allows; advice for stage lamps is 150 mm at most (on EN 60598-2-17)";
        /// Newtons that stretch it by a millimetre.
        stiffness: f64 = 20.0, in 0.5..=500.0,
            why "half a metre of woven cord of 5 mm; thin wire rope has 50 to 100; common practice, no source";
        /// What it bears with its shackle, as its label says.
        working_load as "working-load": Option<Force>, in 20.0..=50_000.0;
    }
}
