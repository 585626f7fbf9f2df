//! The sums: pure functions with units, validity range and source.

pub(crate) mod account;
pub(crate) mod aim;
pub(crate) mod fall;
pub mod feed;
pub(crate) mod fit;
pub(crate) mod foam;
pub(crate) mod guard;
pub(crate) mod heat;
pub(crate) mod hold;
pub(crate) mod link;
pub(crate) mod oval;
pub(crate) mod print;
pub(crate) mod pull;
pub(crate) mod runtime;
pub(crate) mod seal;
pub(crate) mod season;
pub(crate) mod seat;
pub(crate) mod served;
pub(crate) mod sizes;
pub(crate) mod springs;
pub(crate) mod straightedge;
pub(crate) mod strap;
pub(crate) mod strength;
pub(crate) mod sun;
pub(crate) mod taper;
pub(crate) mod wind;
