//! The program from job to findings, without its files: the one place of this test that knows how the
//! library is entered.

use bolewright::checks;
pub(crate) use bolewright::checks::{Finding, Remedy, Severity};
pub(crate) use bolewright::params::{Job, Override, explain_key, read_with};
use bolewright::sums::Sums;
use bolewright::sums::prints::Measured;
use bolewright::{plan, produce};

/// Works a job through as `check` and `make` do; parts that an error bars are not made.
pub(crate) fn findings(job: &Job) -> Vec<Finding> {
    let plan = match plan::plan(job, &Default::default()) {
        Ok(plan) => plan,
        Err(findings) => return findings,
    };
    let mut findings = checks::before_making(job, &plan);
    let mut made = Vec::new();
    for order in produce::orders(job, &plan) {
        if !checks::bars(&findings, &order.part.name) {
            match produce::make(order, job.job.deviation) {
                Ok(one) => made.push(one),
                Err(finding) => findings.push(*finding),
            }
        }
    }
    let sums = Sums::of(job, &plan, &made, &Measured::all(job, &made));
    findings.extend(checks::run(job, &plan, &made, &sums));
    findings
}
