//! A pull would hold and harm nothing, but no hand can meet it.

use super::no_pull_holds::worst;
use crate::assessment::Subject;
use crate::design::SizeKind;
use crate::engineering::pull::{ROOM, Window};
use crate::engineering::sizes::Unserved;
use crate::finding::{Finding, Rule};
use crate::units::trimmed;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "pull-has-no-room",
    title: "room for the scatter of the hand between least and most pull",
    why: "hands scatter by a quarter, and a ratchet goes in steps: a strap pulled to the newton is luck",
    formula: "most / least >= 1.25 / 0.75, and most - least >= one tooth of the ratchet",
    source: "scatter of tightening by hand: common practice, no source",
    cure: "foam of another thickness, a pad of another width, more straps, or a cam buckle for a ratchet",
};

/// One finding for each kind on whose best face the pull has too little room.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(plan) = subject.plan() else { return Vec::new() };
    let narrow = |u: &Unserved| u.window.is_some_and(|w| w.is_open() && !w.has_room());
    let told = |window: Option<&Window>| {
        let Some(w) = window else { return String::new() };
        format!(
            "the pull would have to lie between {:.0} ({}) and {:.0} ({}), and a hand that scatters \
             by a quarter needs {} times the least",
            w.least,
            w.need.words(),
            w.most,
            w.cap.words().trim_end_matches(','),
            trimmed(ROOM, 2)
        )
    };
    [SizeKind::Cradle, SizeKind::Rail]
        .into_iter()
        .filter_map(|kind| {
            worst((subject.job, plan.open), &plan.unserved, kind, &RULE, narrow, told)
        })
        .collect()
}
