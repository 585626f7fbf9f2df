//! Strength of printed parts: what the plastic may bear, ears, passages, and the tilt lock.
//!
//! [`limits`] turns a polymer's short-term strength into a stress for design; [`beam`] has the
//! bending sums of ear, strap passage, flange bar and eye; [`lock`] the screws that hold the tilt.
//! Stresses are kilopascals, lengths millimetres, forces newtons. Beams are slender and elastic;
//! notches at their roots are covered by the design shares, not by a stress concentration.

pub(crate) mod beam;
pub(crate) mod limits;
pub(crate) mod lock;

pub(crate) use beam::{Ear, EarLoad, EarStress, Passage};
pub(crate) use limits::{Direction, Duration, Print, StrengthError};
pub(crate) use lock::{TiltLock, TiltLockResult};
