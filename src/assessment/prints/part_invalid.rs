//! A part whose drawing contradicts itself, or whose mesh fails the gate.

use crate::assessment::Subject;
use crate::build::BuildError;
use crate::finding::{Finding, Rule, Severity};

/// What `why` says.
pub(crate) const RULE: Rule = Rule {
    code: "part-invalid",
    title: "a part's solid is closed, one body, with the designed holes",
    why: "a mesh that is open, in pieces or inside out prints as something else, or not at all",
    formula: "every edge has two faces, run once each way; V - E + F - rings = 2 (1 - genus); \
              |mesh volume - exact volume| <= area x deviation",
    source: "Euler-Poincare formula; divergence theorem",
    cure: "the dimensions that meet at the named face contradict each other: undo the last change \
           of the job, or change it by less",
};

/// One error for each part that could not be built.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let finding = |error: &BuildError| {
        Finding::new(RULE.code, Severity::Error, error.to_string()).part(&error.part)
    };
    subject.failures.iter().map(finding).collect()
}
