//! Published figures, one file a standard; every table names its source.

pub mod conductor;
pub mod fastener;
pub mod gland;

pub use conductor::ConductorSize;
pub use fastener::Thread;
pub use gland::GlandSize;
