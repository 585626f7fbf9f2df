//! The sums: pure functions with units, validity range and source.

pub(crate) mod account;
pub(crate) mod aim;
pub(crate) mod fall;
pub mod feed;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "gives way to the springs of strap, foam and seat")
)]
pub(crate) mod fit;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod foam;
pub(crate) mod guard;
pub(crate) mod heat;
#[cfg_attr(
    not(test),
    expect(dead_code, unused_imports, reason = "gives way to the springs of strap, foam and seat")
)]
pub(crate) mod hold;
pub(crate) mod link;
pub(crate) mod oval;
pub(crate) mod print;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod pull;
pub(crate) mod runtime;
pub(crate) mod seal;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod season;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod seat;
pub(crate) mod sizes;
pub(crate) mod springs;
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "waits for the hold of straps on round and hollow bark")
)]
pub(crate) mod straightedge;
pub(crate) mod strap;
pub(crate) mod strength;
pub(crate) mod sun;
pub(crate) mod taper;
pub(crate) mod wind;

pub use fit::Foam;
pub use sizes::{SizeRule, TrunkRange, fewest_sizes};
