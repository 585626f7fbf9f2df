//! The sums: pure functions with units, validity range and source.

pub mod account;

pub use account::Line;
