//! Every derived dimension: pure arithmetic from the job to plain data that parts, checks, templates
//! and the job sheet read.

mod classes;
pub mod common;
pub mod derived;
pub mod enclosure;
pub mod marks;
pub mod pattern;
pub mod plates;
pub mod rail;
pub mod reuse;
pub mod saddle;
pub mod shelf;
pub(crate) mod standing;
pub(crate) mod steady;
pub mod tilt_plate;
pub mod trade_off;
pub mod whole;
pub mod yoke;

pub use derived::Derived;
pub use whole::{
    Before, CradleSize, Plan, Printed, RailSize, SizeClass, SizeKind, TrunkPlan, plan,
};
pub use yoke::Yoke;
