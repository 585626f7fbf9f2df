//! Knobs that fingers can turn tight enough.

use super::of_box;
use crate::assessment::{Subject, undetermined};
use crate::design::enclosure::SealScrews;
use crate::engineering::seal::{Closing, NUT_FACTOR, screw_force, screw_torque};
use crate::finding::{Finding, Rule, Severity};
use crate::units::{Torque, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "knob-too-tight",
    title: "gloved fingers turn the lid's knobs tight enough",
    why: "a knob that fingers cannot turn tight leaves the lid off its land, and water in",
    formula: "K w L k d <= 0.5 N.m",
    source: "bolt torque tables (K); torque of three gloved fingers on a knob of 28 mm: common practice, no source",
    cure: "a softer gasket, a thinner screw, or close = \"screws\"",
};

/// Torque that three cold, gloved fingers give a knob of this size.
const FINGERS: Torque = Torque::newton_metres(0.5);

/// An error when a knob needs more torque than fingers give.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(|plan, _| of_box(judge(&plan.screws)))
}

pub(crate) fn judge(screws: &SealScrews) -> Option<Finding> {
    if screws.closing == Closing::Screws {
        return None;
    }
    let torque = screw_force(screws.line_load, screws.pitch)
        .and_then(|force| screw_torque(force, screws.thread.diameter(), NUT_FACTOR));
    let torque = match torque {
        Ok(torque) => torque,
        Err(error) => return Some(undetermined(&RULE, &error)),
    };
    if torque <= FINGERS {
        return None;
    }
    let message =
        format!("a knob of the lid needs {torque}, but gloved fingers give only {FINGERS}");
    let mut finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(torque, FINGERS)
        .key("seal.line-load")
        .key("lid.close")
        .remedy("lid.close", "\"screws\"");
    let softer = (screws.line_load * (FINGERS / torque) * 100.0).floor() / 100.0;
    if softer > 0.0 {
        finding = finding.remedy("seal.line-load", format!("at most {}", trimmed(softer, 2)));
    }
    Some(finding)
}
