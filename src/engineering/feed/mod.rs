//! The feed: volts at every lamp, the cable that serves, and the fuse between.
//!
//! [`network`] solves a chain or a ring; [`study`] puts cable tables, battery states and limits
//! around it.

pub mod network;
mod solve;

pub use network::{Collapse, Load, Network, NetworkError, Solution, Source};

#[cfg(test)]
mod network_tests;
