//! The sums: pure functions with units, validity range and source.

pub mod account;
pub mod aim;
pub mod feed;
pub mod fit;
pub mod foam;
pub mod guard;
pub mod heat;
pub mod hold;
pub mod oval;
pub mod print;
pub mod pull;
pub mod runtime;
pub mod seal;
pub mod season;
pub mod seat;
pub mod served;
pub mod sizes;
pub mod springs;
pub mod straightedge;
pub mod strap;
pub mod strength;
pub mod taper;
pub mod wind;

pub use account::Line;
