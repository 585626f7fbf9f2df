//! The cradle: a saddle with two ears between which the lamp turns.

pub(crate) mod drawing;
pub(crate) mod pattern;
pub(crate) mod yoke;

pub use yoke::Yoke;
