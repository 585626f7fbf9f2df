//! The strap pulls harder on its printed passage than web or edge bear for a season.

use super::{Finding, Rule, Severity};
use crate::engineering::strength::limits::{first_polymer_that, key_word};
use crate::engineering::strength::{Passage, Print, StrengthError};
use crate::units::Force;

/// See [`check`].
pub const RULE: Rule = Rule {
    code: "passage-web-overstressed",
    title: "web and edge of the strap passage under the strap's pull",
    why: "the web bends across its layers, the way in which prints split",
    formula: "6 (2 T sin(turn/2) L / 12) / ((R + t) t^2) and T / (R b) <= strength x layer factor x creep share x warm factor",
    source: "beam clamped at both ends (strength of materials); low ends of published tests; layer factor and share from memory",
    cure: "pull less, or a polymer that is stronger on a warm day",
};

/// One finding when the passage does not bear the tension, or is too soft for the day.
#[must_use]
pub fn check(part: &str, passage: &Passage, tension: Force, print: &Print) -> Vec<Finding> {
    let finding = match passage.most_tension(print) {
        Ok(most) if tension <= most => return Vec::new(),
        Ok(most) => Finding::new(
            RULE.code,
            Severity::Error,
            format!("the strap passage bears {most:.0}, the strap is pulled to {tension:.0}"),
        )
        .measured(format!("{tension:.0}"), format!("at most {most:.0}"))
        .remedy("strap.tension", format!("at most {} N", most.get().floor())),
        Err(error @ StrengthError::Soft { .. }) => {
            Finding::new(RULE.code, Severity::Error, error.to_string())
        }
        Err(error) => return vec![super::not_found(&RULE, part, &error)],
    };
    let finding = finding.part(part).key("strap.tension").key("polymer.kind");
    let kind =
        first_polymer_that(print, |p| passage.most_tension(p).is_ok_and(|most| tension <= most));
    vec![match kind {
        Some(kind) => finding.remedy("polymer.kind", format!("\"{}\"", key_word(kind))),
        None => finding,
    }]
}
