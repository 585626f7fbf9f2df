//! Every derived dimension: pure arithmetic from the job to plain data that parts, checks, templates
//! and the job sheet read.

pub mod derived;
pub mod marks;
pub mod pattern;
pub mod rail;
pub mod saddle;
pub mod yoke;

pub use derived::Derived;
pub use yoke::Yoke;
