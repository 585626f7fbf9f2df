//! The program from job to findings, without its files: the one place of this test that knows how the
//! library is entered.

pub(crate) use bolewright::finding::{Finding, Remedy, Severity};
pub(crate) use bolewright::params::{Job, Override, read_with, why};
use bolewright::pipeline;

/// Works the job of this text through as `check` and `make` do, its remedies tried.
pub(crate) fn told(text: &str, job: &Job) -> Vec<Finding> {
    let again = |set: &[Override]| {
        let changed = read_with(text, set).ok()?;
        Some(findings(&changed.job))
    };
    bolewright::remedies::verified(findings(job), job.trunks.len(), again)
}

/// Works a job through; its remedies are those of the rules, not tried.
pub(crate) fn findings(job: &Job) -> Vec<Finding> {
    match pipeline::run(job, &Default::default()) {
        Ok(worked) => worked.findings,
        Err(none) => none.findings,
    }
}
