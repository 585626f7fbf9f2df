//! The lid between its fasteners.

use super::of_box;
use crate::assessment::{Subject, undetermined};
use crate::design::enclosure::print_tolerance;
use crate::engineering::seal::{Groove, Strip};
use crate::finding::{Finding, Rule, Severity};
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lid-bows",
    title: "the lid stays down on the gasket between its fasteners",
    why: "a lid that bows lets the gasket spring back, and water in",
    formula: "5 w L^4 / (384 E I) <= 0.9 height after its set - depth - print tolerance",
    source: "beam on simple supports under a line load, standard beam tables; least squeeze of enclosure gasket guides",
    cure: "a softer gasket, more squeeze, or a stiffer polymer",
};

/// An error when the lid bows by more than the squeeze allows.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(|plan, job| {
        let (groove, strip, pitch) = (&plan.groove.section, &plan.lid.edge, plan.screws.pitch);
        of_box(judge(groove, strip, plan.screws.line_load, pitch, print_tolerance(&job.printer)))
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
        format!("the lid bows by {bow} between fasteners {pitch:.0} apart, but the gasket follows only {allowed}"),
    )
    .measured(bow, allowed)
    .key("seal.line-load")
    .key("seal.squeeze")
    .key("polymer.kind");
    let softer = (line_load * (allowed / bow) * 100.0).floor() / 100.0;
    if softer > 0.0 {
        finding = finding.remedy("seal.line-load", format!("at most {}", trimmed(softer, 2)));
    }
    // The gap grows with the squeeze by the share of it that does not set.
    let per_squeeze = groove.gasket.gap_per_squeeze();
    let squeeze = groove.squeeze() + (bow - groove.free_gap(tolerance)) / per_squeeze;
    let squeeze = (squeeze * 100.0).ceil() / 100.0;
    if squeeze <= groove.gasket.most_squeeze() {
        finding = finding.remedy(
            "seal.squeeze",
            format!("at least {} with the same line load", trimmed(squeeze, 2)),
        );
    }
    Some(finding)
}
