//! What the sums ask of a job, as the plain values that they take; each adapter stands here once.

use crate::engineering::foam::{Foam, Made};
use crate::engineering::guard::OutOfRange;
use crate::engineering::seat;
use crate::engineering::strength::Print;
use crate::params::{Job, Pad};

/// The pads.
///
/// # Errors
/// As [`Foam::new`].
pub(crate) fn pad(pad: &Pad) -> Result<seat::Pad, OutOfRange> {
    let foam = Foam::new(Made {
        strain: pad.strain,
        stress: pad.stress,
        frame: pad.frame,
        solid: pad.solid,
        gas_gone: pad.gas_hours,
    })?;
    Ok(seat::Pad {
        foam,
        thickness: pad.free_thickness(),
        least: pad.strain_min,
        most: pad.strain_max,
    })
}

/// What the parts are printed from, on the warmest day that the job tells.
pub(crate) fn print(job: &Job) -> Print {
    Print { polymer: job.polymer.kind, warm: job.site.warm, dark: job.polymer.dark }
}
