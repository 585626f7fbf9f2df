//! Bolewright: from a measured tree girth to checked, printable lamp cradles.

pub mod checks;
pub mod cli;
pub mod documents;
pub mod engineering;
pub mod export;
pub mod mesh;
pub mod params;
pub mod parts;
pub mod plan;
pub mod produce;
pub mod solid;
pub mod sums;
pub mod tables;
pub mod units;
