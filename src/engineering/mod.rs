//! The sums: pure functions with units, validity range and source.
