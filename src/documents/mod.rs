//! Documents of a set: filled beds, templates, pictures, the job sheet.
//!
//! Pure, as all the core: each function turns a job that was planned and made into files in memory.
//!
//! A part that an error blocks is on no bed and has neither templates nor a dimensioned drawing; the
//! steps of its trunks are left out. Its picture stays, since it helps to see what is wrong, but in
//! red and under a title that says so.

pub(crate) mod assembly;
pub(crate) mod beds;
mod cable_way;
pub(crate) mod dimensions;
pub(crate) mod feed_plan;
mod fittings;
pub(crate) mod handbook;
mod lamp;
pub(crate) mod manifest_data;
pub(crate) mod measuring;
mod mounted;
pub(crate) mod pictures;
pub(crate) mod previous_manifest;
pub(crate) mod pull_chart;
pub(crate) mod scene;
pub(crate) mod set;
mod shapes;
pub(crate) mod sheet;
pub(crate) mod templates;

pub use manifest_data::{ManifestData, trunk_table};
pub use previous_manifest::PreviousManifest;
pub use set::{Press, Selection};

use crate::assessment;
use crate::assessment::Calculations;
use crate::build::BuiltPart;
use crate::design::{PartId, Plan};
use crate::finding::Finding;
use crate::params::Job;
use crate::pipeline::Outcome;

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
    pub made: &'a [BuiltPart],
    /// Every sum.
    pub sums: &'a Calculations,
    /// What the checks say.
    pub findings: &'a [Finding],
}

impl<'a> Subject<'a> {
    /// A job that was worked through.
    #[must_use]
    pub fn of(worked: &'a Outcome) -> Self {
        let Outcome { job, plan, built, sums, findings, .. } = worked;
        Self { job, plan, made: built, sums, findings }
    }

    /// Whether an error blocks this part.
    #[must_use]
    pub fn blocks(&self, part: &PartId) -> bool {
        assessment::blocks(self.findings, part)
    }
}

#[cfg(test)]
mod tests;
