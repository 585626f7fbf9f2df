//! The lid between its screws.

use super::of_box;
use crate::assessment::{Subject, undetermined};
use crate::design::enclosure::print_tolerance;
use crate::engineering::seal::{Groove, Strip};
use crate::finding::{Finding, Rule, Severity};
use crate::standards::gasket::{SQUEEZE_LEAST, SQUEEZE_MOST};
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lid-bows",
    title: "the lid stays down on the cord between its screws",
    why: "a lid that bows lets the cord spring back, and water in",
    formula: "5 w L^4 / (384 E I) <= cord (squeeze - 0.10) - print tolerance",
    source: "beam on simple supports under a line load, standard beam tables; least squeeze of enclosure gasket guides",
    cure: "a softer cord, more squeeze, or a stiffer polymer",
};

/// An error when the lid bows by more than the squeeze allows.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(|plan, job| {
        let (groove, strip, pitch) = (&plan.groove.section, &plan.lid.edge, plan.screws.pitch);
        of_box(judge(groove, strip, job.seal.line_load, pitch, print_tolerance(&job.printer)))
    })
}

/// `line_load` in N/mm at the squeeze of the groove.
pub(crate) fn judge(
    groove: &Groove,
    strip: &Strip,
    line_load: f64,
    pitch: Length,
    tolerance: Length,
) -> Option<Finding> {
    let bow = match strip.bow(line_load, pitch) {
        Ok(bow) => bow.supported,
        Err(error) => return Some(undetermined(&RULE, &error)),
    };
    let allowed = groove.allowed_gap(tolerance);
    if bow <= allowed {
        return None;
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!("the lid bows by {bow} between screws {pitch:.0} apart, but the cord follows only {allowed}"),
    )
    .measured(bow, allowed)
    .key("seal.line-load")
    .key("seal.squeeze")
    .key("polymer.kind");
    let softer = (line_load * (allowed / bow) * 100.0).floor() / 100.0;
    if softer > 0.0 {
        finding = finding.remedy("seal.line-load", format!("at most {}", trimmed(softer, 2)));
    }
    let squeeze = SQUEEZE_LEAST + (bow + tolerance.abs()) / groove.cord;
    let squeeze = (squeeze * 100.0).ceil() / 100.0;
    if squeeze <= SQUEEZE_MOST {
        finding = finding.remedy(
            "seal.squeeze",
            format!("at least {} with the same line load", trimmed(squeeze, 2)),
        );
    }
    Some(finding)
}
