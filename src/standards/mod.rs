//! Published figures, one file a standard; every table names its source.

#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod bark;
pub(crate) mod battery;
pub(crate) mod conductor;
pub(crate) mod fastener;
pub(crate) mod fuse;
pub(crate) mod gasket;
pub(crate) mod gland;
pub(crate) mod light;
pub(crate) mod polymer;
pub(crate) mod webbing;
pub(crate) mod wind;
pub(crate) mod words;

pub(crate) use battery::Chemistry;
pub(crate) use conductor::{ConductorSize, Strands};
pub(crate) use fastener::Thread;
pub(crate) use fuse::FuseKind;
pub(crate) use gasket::GasketKind;
pub(crate) use gland::GlandSize;
pub(crate) use polymer::PolymerKind;
pub(crate) use webbing::Webbing;
