//! The sums: pure functions with units, validity range and source.

pub mod account;
pub mod feed;
pub mod fit;
pub mod guard;
pub mod runtime;
pub mod sizes;
pub mod strap;
pub mod strength;
pub mod wind;

pub use account::Line;
