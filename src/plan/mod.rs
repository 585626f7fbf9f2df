//! The plan: every derived dimension of every part, pure arithmetic from the job.

pub mod rail;
pub mod saddle;
pub mod yoke;
