//! Room for the cord in its groove.

use super::of_box;
use crate::assessment::{Subject, undetermined};
use crate::design::enclosure::print_tolerance;
use crate::engineering::seal::Groove;
use crate::finding::{Finding, Rule, Severity};
use crate::standards::gasket::FILL_MOST;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "groove-fill",
    title: "the squeezed cord has room in its groove",
    why: "rubber does not shrink under pressure: a full groove holds the lid off its land",
    formula: "fill = (pi cord^2 / 4) / (width x depth) <= 0.85, with width and depth smaller by the print's tolerance",
    source: "groove guides of seal makers: 75 % aimed at, 85 % at most",
    cure: "less squeeze makes the groove deeper",
};

/// An error when the groove is too full after the print's tolerance.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject
        .judge_box(|plan, job| of_box(judge(&plan.groove.section, print_tolerance(&job.printer))))
}

pub(crate) fn judge(groove: &Groove, tolerance: Length) -> Option<Finding> {
    let fill = match groove.worst_fill(tolerance) {
        Ok(Some(fill)) if fill > FILL_MOST => fill,
        // Sponge is compressed, it needs no room beside it.
        Ok(_) => return None,
        Err(error) => return Some(undetermined(&RULE, &error)),
    };
    let percent = |v: f64| format!("{} %", trimmed(v * 100.0, 1));
    // Depth at which the same width is just full enough, and the squeeze that gives it.
    let (d, w) = (groove.gasket.height().get(), groove.width.get() - tolerance.get());
    let depth = std::f64::consts::PI / 4.0 * d * d / (w * FILL_MOST) + tolerance.get();
    let squeeze = (1.0 - depth / d) * 100.0;
    let mut finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!("the cord fills {} of its groove", percent(fill)),
    )
    .measured(percent(fill), percent(FILL_MOST))
    .key("seal.squeeze")
    .key("seal.cord");
    if squeeze > 0.0 {
        let squeeze = squeeze.floor() / 100.0;
        finding = finding.remedy("seal.squeeze", format!("at most {}", trimmed(squeeze, 2)));
    }
    Some(finding)
}
