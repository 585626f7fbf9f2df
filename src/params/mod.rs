//! The job file: typed values, units, and the way back to the place in the file.
//!
//! [`read`] turns text into a [`Job`] or into every [`Problem`] of the file; [`job`] declares the
//! tables, each key once; [`source_map`] leads from a key to its bytes.
//! Nothing here touches a file, a clock or a terminal.

mod consistency;
mod declare;

mod formats;
pub mod job;
mod meant;
pub mod overrides;
pub mod problem;
pub mod reader;
#[cfg(test)]
pub(crate) mod samples;
pub mod schema;
pub mod source_map;
pub mod spec;
pub mod survey;
pub mod template;
mod text;
pub(crate) mod value;
pub mod why;

pub use job::*;
pub use overrides::{GirthError, GirthOverride, Override, girth_remedy, read_girth};
pub use problem::Problem;
pub use reader::{Draft, Loaded, read, read_with};
pub use source_map::{Origin, Place, SourceMap};
pub use survey::{Survey, read_survey};
pub(crate) use text::{enumerated, listed, nearest};
pub use why::{Taken, defaults_taken, keys_called, nearest_key, why};

#[cfg(test)]
mod tests;
