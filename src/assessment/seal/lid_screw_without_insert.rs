//! The lid's screws need heat-set inserts, and the table has them for M3 to M5 only.

use crate::assessment::Subject;
use crate::design::enclosure::EnclosureError;
use crate::design::{PartId, PlanError};
use crate::finding::{Finding, Rule, Severity};
use crate::standards::Thread;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lid-screw-without-insert",
    title: "the lid's screw has a heat-set insert",
    why: "a lid is opened every evening: a thread cut into plastic wears out, and the seal's pressure goes with it",
    formula: "the insert table has an entry for the thread (M3, M4, M5)",
    source: "open data set of one taper series of heat-set inserts; inserts follow no standard",
    cure: "choose M3, M4 or M5",
};

/// One error when the table has no insert for the lid's thread.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Err(PlanError::Enclosure(error @ EnclosureError::NoInsert(thread))) = subject.plan else {
        return Vec::new();
    };
    let largest = Thread::ALL.into_iter().rfind(|t| t.insert().is_some()).unwrap_or(Thread::M5);
    let finding = Finding::new(RULE.code, Severity::Error, error.to_string())
        .measured(thread, format!("at most {largest}"))
        .part(PartId::BoxBody)
        .part(PartId::BoxLid)
        .key("lid.screw")
        .remedy("lid.screw", format!("\"{largest}\" or smaller"));
    vec![finding]
}
