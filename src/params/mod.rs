//! The job file: typed values, units, and the way back to the place in the file.
//!
//! [`read`] turns text into a [`Job`] or into every [`Problem`] of the file; [`job`] declares the
//! tables, each key once; [`source_map`] leads from a key to its bytes.
//! Nothing here touches a file, a clock or a terminal.

mod consistency;
mod declare;
mod formats;
pub(crate) mod job;
mod meant;
pub(crate) mod overrides;
pub(crate) mod problem;
pub(crate) mod reader;
#[cfg(test)]
pub(crate) mod samples;
pub(crate) mod schema;
pub(crate) mod source_map;
pub(crate) mod spec;
pub(crate) mod survey;
pub(crate) mod template;
mod text;
pub(crate) mod value;
mod why;

pub use job::*;
pub use overrides::Override;
pub(crate) use overrides::{GirthOverride, girth_remedy, read_girth};
pub use problem::{MISTAKES, Problem};
pub use reader::{Draft, Loaded, read, read_with};
pub use schema::schema;
pub use source_map::{Origin, Place, SourceMap};
pub use survey::{Survey, read_survey};
pub(crate) use text::{enumerated, listed, nearest};
pub use why::why;
pub(crate) use why::{defaults_taken, keys_called, nearest_key};

#[cfg(test)]
mod tests;
