//! The cradle: a saddle with two ears between which the lamp turns.

pub mod drawing;
pub mod pattern;
pub mod yoke;

pub use yoke::Yoke;
