//! A sum that has no result: told, and never taken for a pass.

use super::{Finding, Rule, Severity};

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "sum-without-result",
    title: "every sum that the job asks for has a result",
    why: "what cannot be summed cannot be promised: a strap that would have to run through wood, or \
          a saddle that no strap touches",
    formula: "each sum names the measure that leaves its range",
    source: "the sum itself; `sums` shows what went in",
    cure: "correct the measure that the message names",
};

/// The finding.
#[must_use]
pub fn finding(what: &str, why: &str, part: &str) -> Finding {
    let finding = Finding::new(RULE.code, Severity::Error, format!("no result for {what}: {why}"));
    if part.is_empty() { finding } else { finding.part(part) }
}
