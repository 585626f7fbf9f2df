//! Findings: what is wrong, by how much, why, and the smallest change that cures it.
//!
//! One file a rule; each declares a [`Rule`] that `explain` prints.

pub mod battery_too_small;
pub mod box_too_warm;
pub mod cells_too_cold;
pub mod feed_collapses;
pub mod finding;
pub mod fuse_mismatch;
pub mod lamp_overvolted;
pub mod wire_too_thin;

pub use finding::{Finding, Remedy, Severity};

/// What `explain` prints for a finding's code.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Kebab-case words.
    pub code: &'static str,
    /// What is checked, in one phrase.
    pub title: &'static str,
    /// Why it matters to the person who prints and straps.
    pub why: &'static str,
    /// The formula in words and symbols.
    pub formula: &'static str,
    /// Where the formula and the limit come from.
    pub source: &'static str,
    /// What to do about it.
    pub cure: &'static str,
}

#[cfg(test)]
mod power_tests;
