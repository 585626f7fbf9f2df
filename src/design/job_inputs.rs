//! What the sums ask of a job, as the plain values that they take; each adapter stands here once.

use crate::engineering::fit::{FitError, Foam};
use crate::engineering::strength::Print;
use crate::params::{Job, Pad};

/// The foam of the pads.
///
/// # Errors
/// As [`Foam::new`].
pub(crate) fn foam(pad: &Pad) -> Result<Foam, FitError> {
    Foam::new(pad.thickness, pad.strain_min, pad.strain, pad.strain_max)
}

/// What the parts are printed from, on the warmest day that the job tells.
pub(crate) fn print(job: &Job) -> Print {
    Print { polymer: job.polymer.kind, warm: job.site.warm, dark: job.polymer.dark }
}
