//! The strap as pulled does not hold the saddle against sliding.

use super::judge_sizes;
use super::pad_opens::too_low;
use crate::assessment::Subject;
use crate::design::PartId;
use crate::engineering::hold::{HoldInput, Need};
use crate::finding::{Finding, Rule, Severity};
use crate::units::Force;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "strap-too-slack",
    title: "friction of pad and webbing against weight and gust",
    why: "a saddle that slides turns its lamp away, and rubs the bark",
    formula: "(mu_pad N + B) >= safety sqrt(W^2 + S^2), and the same with the gust pulling outward",
    source: "Coulomb friction, capstan law (Euler and Eytelwein); friction on wet bark is common practice, no source",
    cure: "pull the strap tighter, up to what bark and print bear",
};

/// One finding for each saddle that slides at the tension asked for.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge_sizes(
        subject,
        |case| case.least(slides),
        |case, wish| judge(case.part(), &case.input, wish),
    )
}

fn slides(need: Need) -> bool {
    matches!(need, Need::SlidesAside | Need::SlidesDown)
}

/// At this tension.
pub(crate) fn judge(part: &PartId, input: &HoldInput<'_>, tension: Force) -> Vec<Finding> {
    too_low(&RULE, part, input, tension, Severity::Error, slides)
}
