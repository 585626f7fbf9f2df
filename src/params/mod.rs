//! The job file: typed values, units, and the way back to the place in the file.
//!
//! [`job`] has the shapes; [`path`] names a key of the job file.

pub mod job;
pub mod path;

pub use job::*;
pub use path::KeyPath;
