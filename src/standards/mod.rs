//! Published figures, one file a standard; every table names its source.

pub mod bark;
pub mod battery;
pub mod conductor;
pub mod fastener;
pub mod fuse;
pub mod gasket;
pub mod gland;
pub mod ip;
pub mod light;
pub mod polymer;
pub mod webbing;
pub mod wind;
pub(crate) mod words;

pub use battery::Chemistry;
pub use conductor::{ConductorSize, Strands};
pub use fastener::Thread;
pub use fuse::FuseKind;
pub use gland::GlandSize;
pub use polymer::PolymerKind;
pub use webbing::Webbing;
