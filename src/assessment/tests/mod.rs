//! Each rule fires where it must, keeps quiet where it must not, and its remedy cures what it found.

mod box_rules;
pub(crate) mod calculations;
mod fit;
mod geometry;
mod mechanics;
mod power;
