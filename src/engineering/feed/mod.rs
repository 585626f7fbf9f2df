//! The feed: volts at every lamp, the cable that serves, and the fuse between.
//!
//! [`network`] solves a chain or a ring; [`study`] puts cable tables, battery states and limits
//! around it; [`lines`] tells the sums.

pub(crate) mod inrush;
pub mod lines;
pub mod network;
mod solve;
pub mod study;

pub use network::{Collapse, Load, Network, NetworkError, Solution, Source};
pub use study::{Break, FeedError, FeedLayout, NoSize, Plan, Shortfall, Study, Supply};

#[cfg(test)]
mod network_tests;
#[cfg(test)]
mod study_tests;
