//! The feed: volts at every lamp, the cable that serves, and the fuse between.
//!
//! [`network`] solves a chain or a ring; [`study`] puts cable tables, battery states and limits
//! around it; [`from_job`] reads a job's feeds; [`lines`] tells the sums.

pub mod from_job;
pub mod lines;
pub mod network;
mod solve;
pub mod study;

pub use from_job::{Feed, SegmentMismatch, Studied, StudyError, feeds, studied};
pub use network::{Collapse, Load, Network, NetworkError, Solution, Source};
pub use study::{Break, FeedError, NoSize, Plan, Shortfall, Study, Supply};

#[cfg(test)]
mod network_tests;
#[cfg(test)]
mod study_tests;
