//! The yoke's ears bend more than the print bears.

use super::{Finding, Rule, Severity};
use crate::engineering::strength::beam::megapascals;
use crate::engineering::strength::limits::{first_polymer_that, key_word};
use crate::engineering::strength::{Ear, EarLoad, Print, StrengthError};
use crate::units::Speed;

/// See [`check`].
pub const RULE: Rule = Rule {
    code: "ear-overstressed",
    title: "bending of the ears under weight and gust",
    why: "an ear that creeps or cracks lets the lamp fall on its lanyard",
    formula: "6 ((W + F)/2) L / (t h^2) + 6 (S/2) L / (h t^2) <= strength x share x warm factor; weight alone with the share for creep",
    source: "cantilever (strength of materials); low ends of published tests; shares from memory",
    cure: "a polymer that is stronger on a warm day, a lighter lamp, or take-down before strong wind",
};

/// Relative step in which the gust is lowered.
const STEP: f64 = 0.02;

/// One finding when the ears do not hold, or are too soft for the day.
#[must_use]
pub fn check(part: &str, ear: &Ear, load: &EarLoad, print: &Print, gust: Speed) -> Vec<Finding> {
    let finding = match ear.stress(load, print) {
        Ok(found) if found.holds() => return Vec::new(),
        Ok(found) => {
            let sustained = found.sustained > found.sustained_limit;
            let (what, stress, limit) = if sustained {
                ("their lamp's weight", found.sustained, found.sustained_limit)
            } else {
                ("weight and gust", found.gust, found.gust_limit)
            };
            let (stress, limit) = (megapascals(stress), megapascals(limit));
            Finding::new(
                RULE.code,
                Severity::Error,
                format!("the ears bend to {stress} under {what}, the print bears {limit}"),
            )
            .measured(stress, format!("at most {limit}"))
        }
        Err(error @ StrengthError::Soft { .. }) => {
            Finding::new(RULE.code, Severity::Error, error.to_string())
        }
        Err(error) => return vec![super::not_found(&RULE, part, &error)],
    };
    let mut finding = finding.part(part).key("polymer.kind").key("site.gust").key("fixture.mass");
    let holds =
        |load: &EarLoad, print: &Print| ear.stress(load, print).is_ok_and(|found| found.holds());
    if let Some(kind) = first_polymer_that(print, |print| holds(load, print)) {
        finding = finding.remedy("polymer.kind", format!("\"{}\"", key_word(kind)));
    }
    // Wind forces go with the square of the speed.
    let calmer = (1..50).map(|k| 1.0 - STEP * f64::from(k)).find(|f| {
        let wind = f * f;
        holds(&EarLoad { front: load.front * wind, side: load.side * wind, ..*load }, print)
    });
    if let Some(factor) = calmer {
        let speed = (gust.get() * factor * 10.0).floor() / 10.0;
        finding = finding.remedy("site.gust", format!("at most {speed} m/s"));
    }
    vec![finding]
}
