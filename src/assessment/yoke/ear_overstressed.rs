//! The yoke's ears bend more than the print bears.

use super::of_cradles;
use crate::assessment::{Calculations, Subject, undetermined};
use crate::engineering::strength::beam::megapascals;
use crate::engineering::strength::limits::first_polymer_that;
use crate::engineering::strength::{Ear, EarLoad, Print, StrengthError};
use crate::finding::{Finding, Rule, Severity};
use crate::units::Speed;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "ear-overstressed",
    title: "bending of the ears under weight and gust",
    why: "an ear that creeps or cracks lets the lamp fall on its lanyard",
    formula: "6 ((W + F)/2) L / (t h^2) + 6 (S/2) L / (h t^2) <= strength x share x warm factor; weight alone with the share for creep",
    source: "cantilever (strength of materials); low ends of published tests; shares from memory",
    cure: "a polymer that is stronger on a warm day, a lighter lamp, or take-down before strong wind",
};

/// Relative step in which the gust is lowered.
const GUST_STEP: f64 = 0.02;

/// One finding for all cradles, which share their ears, when these do not hold or are too soft for the
/// day.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(Calculations { yoke: Ok(yoke), print, .. }) = subject.calculations else {
        return Vec::new();
    };
    of_cradles(subject, judge(&yoke.ear, &yoke.load, print, subject.job.site.gust))
}

pub(crate) fn judge(ear: &Ear, load: &EarLoad, print: &Print, gust: Speed) -> Option<Finding> {
    let finding = match ear.stress(load, print) {
        Ok(found) if found.holds() => return None,
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
                format!(
                    "the stress in the ears is {stress} under {what}; the print withstands {limit}"
                ),
            )
            .measured(stress, format!("at most {limit}"))
        }
        Err(error @ StrengthError::Soft { .. }) => {
            Finding::new(RULE.code, Severity::Error, error.to_string())
        }
        Err(error) => return Some(undetermined(&RULE, &error)),
    };
    let mut finding = finding.key("polymer.kind").key("site.gust").key("fixture.mass");
    let holds =
        |load: &EarLoad, print: &Print| ear.stress(load, print).is_ok_and(|found| found.holds());
    if let Some(kind) = first_polymer_that(print, |print| holds(load, print)) {
        finding = finding.remedy("polymer.kind", format!("\"{kind}\""));
    }
    // Wind forces go with the square of the speed.
    let calmer = (1..50).map(|k| 1.0 - GUST_STEP * f64::from(k)).find(|f| {
        let wind = f * f;
        holds(&EarLoad { front: load.front * wind, side: load.side * wind, ..*load }, print)
    });
    if let Some(factor) = calmer {
        let speed = (gust.get() * factor * 10.0).floor() / 10.0;
        finding = finding.remedy("site.gust", format!("at most {speed} m/s"));
    }
    Some(finding)
}
