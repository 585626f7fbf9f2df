//! The lid's screws need heat-set inserts, and the table has them for M3 to M5 only.

use super::{Finding, Rule, Severity};
use crate::standards::Thread;

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "lid-screw-without-insert",
    title: "the lid's screw has a heat-set insert",
    why: "a lid is opened every evening: a thread cut into plastic wears out, and the seal's pressure goes with it",
    formula: "the insert table has an entry for the thread (M3, M4, M5)",
    source: "open data set of one taper series of heat-set inserts; inserts follow no standard",
    cure: "choose M3, M4 or M5",
};

/// The finding for a thread without an insert.
#[must_use]
pub fn finding(thread: Thread) -> Finding {
    let largest = Thread::ALL.into_iter().rfind(|t| t.insert().is_some()).unwrap_or(Thread::M5);
    Finding::new(
        RULE.code,
        Severity::Error,
        format!("no heat-set insert is known for the lid screw {thread}"),
    )
    .measured(thread, format!("{largest} at most"))
    .part("box-body")
    .part("box-lid")
    .key("lid.screw")
    .remedy("lid.screw", format!("\"{largest}\" or smaller"))
}
