//! The strap as pulled does not hold the saddle against sliding.

use super::{Finding, Rule, Severity};
use crate::engineering::hold::{HoldInput, Need};
use crate::units::Force;

/// See [`check`].
pub const RULE: Rule = Rule {
    code: "strap-too-slack",
    title: "friction of pad and webbing against weight and gust",
    why: "a saddle that slides turns its lamp away, and rubs the bark",
    formula: "(mu_pad N + B) >= safety sqrt(W^2 + S^2), and the same with the gust pulling outward",
    source: "Coulomb friction, capstan law (Euler and Eytelwein); friction on wet bark is common practice, no source",
    cure: "pull the strap tighter, up to what bark and print bear",
};

/// One finding for each saddle that slides at this tension.
#[must_use]
pub fn check(part: &str, input: &HoldInput<'_>, tension: Force) -> Vec<Finding> {
    super::pad_opens::too_low(&RULE, part, input, tension, Severity::Error, |need| {
        matches!(need, Need::SlidesAside | Need::SlidesDown)
    })
}
