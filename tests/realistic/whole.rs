//! The program from job to findings, without its files: the one place of this test that knows how the
//! library is entered.

pub(crate) use bolewright::finding::{Finding, Remedy, Severity};
pub(crate) use bolewright::params::{Job, Override, read_with, why};
use bolewright::pipeline;

/// Works a job through as `check` and `make` do.
pub(crate) fn findings(job: &Job) -> Vec<Finding> {
    match pipeline::run(job, &Default::default()) {
        Ok(worked) => worked.findings,
        Err(none) => none.findings,
    }
}
