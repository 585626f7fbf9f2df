//! The sums: pure functions with units, validity range and source.

pub mod account;
pub mod fit;
pub mod sizes;

pub use account::Line;
