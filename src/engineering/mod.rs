//! The sums: pure functions with units, validity range and source.

pub mod account;
pub mod fit;
pub mod sizes;
pub mod guard;
pub mod strap;
pub mod feed;

pub use account::Line;
