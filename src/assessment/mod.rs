//! What is found out about a design: the calculations of each subject, and the rules that judge it.
//!
//! One folder a subject holds its calculations in `mod.rs` and its rules beside them, one file a rule:
//! a [`Rule`] that `why` prints and a `check` of one signature. The registry pairs them. Some rules
//! judge the plan, before anything is built; the others what was built and calculated. Guarantees: a
//! calculation without a result is reported, and never taken for a pass; findings come in one order.
//! Not here: the formulas, and how dimensions are chosen.

pub(crate) mod calculations;
mod enclosure;
mod fit;
mod hold;
mod light;
mod link;
pub(crate) mod lists;

mod calculation_failed;
pub(crate) mod power;
pub(crate) mod prints;
mod registry;
mod rounding;
pub(crate) mod seal;
mod yoke;

use std::cmp::Reverse;

pub use calculations::Calculations;
pub(crate) use calculations::{Section, TrunkResults};
pub(crate) use hold::PadState;
pub use prints::Measured;
pub use registry::rules;

use crate::build::{BuildError, BuiltPart};
use crate::design::enclosure::Enclosure;
use crate::design::{PartId, Plan, PlanError};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;

/// What the rules judge.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its plan, or why it has none.
    pub plan: Result<&'a Plan, &'a PlanError>,
    /// The parts that were built; empty before.
    pub parts: &'a [BuiltPart],
    /// The parts that could not be built.
    pub failures: &'a [BuildError],
    /// Every calculation; `None` before the parts are built.
    pub calculations: Option<&'a Calculations>,
}

impl<'a> Subject<'a> {
    /// A job that was planned, before anything is built.
    #[must_use]
    pub const fn planned(job: &'a Job, plan: Result<&'a Plan, &'a PlanError>) -> Self {
        Self { job, plan, parts: &[], failures: &[], calculations: None }
    }

    /// The plan, where there is one.
    fn plan(&self) -> Option<&'a Plan> {
        self.plan.ok()
    }

    /// The part, if it was built.
    fn part(&self, id: &PartId) -> Option<&'a BuiltPart> {
        self.parts.iter().find(|part| part.id() == id)
    }

    /// What a rule of the box's geometry says of the planned box.
    fn judge_box(&self, judge: impl Fn(&Enclosure, &Job) -> Vec<Finding>) -> Vec<Finding> {
        let enclosure = self.plan().and_then(|plan| plan.enclosure.as_ref());
        enclosure.map(|enclosure| judge(enclosure, self.job)).unwrap_or_default()
    }
}

/// Runs every rule that judges the subject as far as it has come, in the order of [`in_order`]. What
/// the rules of the plan say is not said again of what was built from it.
#[must_use]
pub fn assess(subject: &Subject<'_>) -> Vec<Finding> {
    let entries = registry::REGISTRY.iter().filter(|entry| entry.stage.judges(subject));
    in_order(entries.flat_map(|entry| (entry.check)(subject)).collect())
}

/// Findings by severity, errors first, then in the order of the rules.
#[must_use]
pub fn in_order(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|finding| (Reverse(finding.severity), finding.code));
    findings
}

/// Whether an error keeps this part from being built or written.
#[must_use]
pub fn blocks(findings: &[Finding], part: &PartId) -> bool {
    let name = part.to_string();
    findings.iter().any(|f| f.severity == Severity::Error && f.parts.contains(&name))
}

/// The finding when what a rule judges has no value: never a silent pass.
fn undetermined(rule: &Rule, error: &dyn std::error::Error) -> Finding {
    let message = format!("{} cannot be found: {error}", rule.title);
    Finding::new(rule.code, Severity::Error, message)
}

#[cfg(test)]
pub(crate) mod tests;
