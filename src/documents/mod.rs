//! Documents of a set: plates, templates, pictures, the job sheet.
//!
//! Pure, as all the core: each function turns a job that was planned and made into files in memory.
//!
//! A part that an error bars is on no plate and has neither templates nor a dimensioned drawing; the
//! steps of its trunks are left out. Its picture stays, since it helps to see what is wrong, but in
//! red and under a title that says so.

pub mod assembly;
mod cable_way;
pub mod dimensions;
pub mod feed_plan;
mod fittings;
pub mod handbook;
mod lamp;
pub mod manifest_data;
pub mod measuring;
mod mounted;
pub mod pictures;
pub mod plates;
pub mod previous_manifest;
pub mod scene;
mod shapes;
pub mod sheet;
pub mod templates;

use crate::assessment::calculations::Sums;
use crate::assessment::checks::{self, Finding};
use crate::build::Made;
use crate::design::Plan;
use crate::params::Job;

/// A file of a set: relative path and bytes.
pub type Document = (String, Vec<u8>);

/// A document could not be made from a sound plan.
#[derive(Debug, thiserror::Error)]
#[error("{path}: {why}")]
pub struct DocumentError {
    /// Which file.
    pub path: String,
    /// Why not.
    pub why: String,
}

impl DocumentError {
    fn at(path: &str) -> impl Fn(&dyn std::fmt::Display) -> Self + '_ {
        move |why| Self { path: path.to_owned(), why: why.to_string() }
    }
}

/// What documents tell of.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its plan.
    pub plan: &'a Plan,
    /// The parts that passed the gate.
    pub made: &'a [Made],
    /// Every sum.
    pub sums: &'a Sums,
    /// What the checks say.
    pub findings: &'a [Finding],
}

impl Subject<'_> {
    /// Whether an error bars the part of this name.
    #[must_use]
    pub fn bars(&self, part: &str) -> bool {
        checks::bars(self.findings, part)
    }
}

#[cfg(test)]
mod tests;
